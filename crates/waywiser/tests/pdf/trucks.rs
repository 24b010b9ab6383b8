//! Vehicle files that strain a layout. All numbers are invented.

/// A name nobody would type twice.
pub const LONG_NAME: &str = "The extraordinarily long-winded flat-bed that came with two axles in the bed and a Donaudampfschifffahrtsgesellschaftskapitänsmützenabzeichen on its dashboard";

/// The truck of the example.
pub fn usual() -> String {
    super::demo::text()
}

/// A truck with an axle of its own and no gears.
pub fn geared(text: &str) -> String {
    let other = |line: &&str| !line.starts_with("axle_ratio") && !line.starts_with("gear_ratios");
    let kept: Vec<&str> = text.lines().filter(other).collect();
    kept.join("\n").replace("[chain]", "[chain]\naxle_ratio = \"41/11\"")
}

/// The same with a long name.
pub fn long_name() -> String {
    usual().replace("The green hauler", LONG_NAME)
}

/// The same with nothing measured.
pub fn no_evidence() -> String {
    usual().split("[[evidence]]").next().unwrap().to_string()
}

/// The same with so many pieces of evidence, most with a long label of their own.
pub fn evidences(count: usize) -> String {
    let more = (1..=count - 2).map(|day| {
        format!(
            "\n[[evidence]]\nkind = \"rollout\"\nlabel = \"rollout number {day}, on the level ground behind the old grain store\"\n\
             date = 2026-04-{day:02}\nturns = 5\nlength = \"41 ft {}.{day} in\"\n",
            2 + day % 2
        )
    });
    usual() + &more.collect::<String>()
}

/// One whose module counts up only, in small steps, and has to pass the end: more than 600 presses.
pub fn many_presses() -> String {
    let text = usual().replace("step = \"0.02\"", "step = \"0.01\"").replace("[\"down\"]", "[\"up\"]");
    text.replace("max = \"11.00\"", "max = \"11.60\"")
}

/// One with faults that hold a drive back, and letters from many places.
pub fn faults_and_letters() -> String {
    let name = "Śnieżka \u{4e2d}\u{6587} \u{5d0}\u{5d1} \u{1f69a} ﬁ\u{200b}\u{202e} <b>&</b> Ωμέγα Жук";
    usual().replace("The green hauler", name)
        + "\n[[fault]]\ntouches = \"brakes\"\nnote = \"pedal soft\"\nmended = false\n"
}

/// Every one with its name.
pub fn all() -> Vec<(&'static str, String)> {
    vec![
        ("usual", usual()),
        ("long-name", long_name()),
        ("no-evidence", no_evidence()),
        ("ten-evidences", evidences(10)),
        ("twenty-evidences", evidences(20)),
        ("many-presses", many_presses()),
        ("faults-and-letters", faults_and_letters()),
    ]
}
