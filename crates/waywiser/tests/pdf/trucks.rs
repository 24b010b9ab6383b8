//! Vehicle files that strain a layout. All numbers are invented.

/// A name nobody would type twice.
pub const LONG_NAME: &str = "The extraordinarily long-winded flat-bed that came with two axles in the bed and a Donaudampfschifffahrtsgesellschaftskapitänsmützenabzeichen on its dashboard";

/// The truck of the example.
pub fn usual() -> String {
    super::demo::text()
}

/// A truck whose file says no gears.
pub fn without_gears(text: &str) -> String {
    let kept: Vec<&str> = text.lines().filter(|line| !line.starts_with("gear_ratios")).collect();
    kept.join("\n")
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
             date = 2026-04-{day:02}\nturns = 5\nlength = \"42 ft {}.{day} in\"\n",
            10 + day % 2
        )
    });
    usual() + &more.collect::<String>()
}

/// One whose module counts up only, in small steps, and has to pass the end: more than 600 presses.
pub fn many_presses() -> String {
    let text = usual().replace("step = \"3\"", "step = \"1\"").replace("max = \"2100\"", "max = \"1600\"");
    text.replace("[\"up\", \"down\"]", "[\"up\"]\nwraps = true")
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
