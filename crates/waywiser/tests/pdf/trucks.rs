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

/// An odometer that showed so many miles for 100 true ones.
fn shown(miles: f64) -> String {
    format!(
        "[[evidence]]\nkind = \"odometer-distance\"\ndate = 2026-05-02\nindicated = \"{miles:.3} mi\"\n\
         true = \"100 mi +/- 0.05\"\nresolution = \"0.001 mi\"\n"
    )
}

/// A truck with something to set, that showed so many miles for 100.
fn with(name: &str, chain: &str, adjuster: &str, miles: f64) -> String {
    format!("name = \"{name}\"\n[tire]\nsize = \"LT235/85R16\"\n{chain}{adjuster}{}", shown(miles))
}

const CABLE: &str =
    "[chain]\nsensor_at = \"transmission-output\"\ntransport = \"cable\"\naxle_ratio = \"3.73\"\n";
const RING: &str = "[chain]\nsensor_at = \"axle-ring\"\nring_teeth = 96\n";

/// One for every kind of adjuster beside the sample truck's.
pub fn each_adjuster() -> Vec<(&'static str, String)> {
    let gears = "[adjuster]\nkind = \"gear-pair\"\ndrive_gears = [8]\ndriven_gears = [18, 19, 20, 21]\npresent = \"8/18\"\n";
    let switches = "[adjuster]\nkind = \"pulse-ratio\"\nswitch_weights = [1, 2, 4, 8, 16, 32, 64]\nswitch_denominator = 64\npresent = \"64/64\"\n";
    let ratio =
        "[adjuster]\nkind = \"pulse-ratio\"\nnumerator_max = 99\ndenominator_max = 99\npresent = \"1/1\"\n";
    let adapter =
        "[adjuster]\nkind = \"cable-adapter\"\nratios = [\"1/1\", \"16/15\", \"26/25\"]\npresent = \"1/1\"\n";
    let ring = "[adjuster]\nkind = \"tone-ring\"\nteeth = [92, 96, 98, 104]\npresent = 96\n";
    let declared = "[adjuster]\nkind = \"declared-tire-axle\"\nrevs_per_mile = { min = 500, max = 900, step = 1 }\n\
                    axle_ratios = [\"3.55\", \"3.73\", \"4.10\"]\npresent = \"700 x 3.73\"\n";
    let constant = "[adjuster]\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 20000\nmax = 90000\npresent = 62000\nwrites_left = 3\n";
    let tires = "[adjuster]\nkind = \"tires\"\nsizes = [\"LT235/85R16\", \"LT265/75R16\", \"LT285/75R16\"]\n";
    let of = |name, chain, adjuster, miles| with(name, chain, adjuster, miles);
    vec![
        ("gears", of("The cable pickup", CABLE, gears, 112.729)),
        ("switches", of("The box with switches", "", switches, 96.0)),
        ("ratio", of("The box with a ratio", "", ratio, 96.0)),
        ("adapter", of("The long cable", CABLE, adapter, 96.0)),
        ("ring", of("The rebuilt axle", RING, ring, 96.0)),
        ("declared", of("The told module", RING, declared, 103.0)),
        ("constant", of("The typed module", "", constant, 104.0) + "setting = \"62000\"\n"),
        ("tires", of("Nothing to set", RING, tires, 107.0)),
    ]
}

/// One whose module has no write left.
pub fn no_write_left() -> String {
    usual().replace("writes_left = 5", "writes_left = 0")
}

/// One with a fault of every kind, and an odometer's reading given as a distance.
pub fn all_faults() -> String {
    let touches = ["brakes", "steering", "seat", "tires", "lights", "driveline", "exhaust", "other"];
    let fault = |touches| format!("[[fault]]\ntouches = \"{touches}\"\nnote = \"to be looked at\"\n");
    let constant = "[adjuster]\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 90000\npresent = 20000\n\
                    [[evidence]]\nkind = \"odometer-distance\"\nindicated = \"128411.0 mi\"\ntrue = \"10.00 mi\"\n";
    format!("name = \"Much to repair\"\n{constant}{}", touches.map(fault).concat())
}

/// Every one with its name.
pub fn all() -> Vec<(&'static str, String)> {
    let mut all = vec![
        ("usual", usual()),
        ("long-name", long_name()),
        ("no-evidence", no_evidence()),
        ("ten-evidences", evidences(10)),
        ("twenty-evidences", evidences(20)),
        ("many-presses", many_presses()),
        ("faults-and-letters", faults_and_letters()),
        ("no-write-left", no_write_left()),
        ("all-faults", all_faults()),
    ];
    all.extend(each_adjuster());
    all
}
