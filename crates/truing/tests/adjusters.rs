//! Every kind of adjuster, and two at once, through the one choice; figures by hand.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use truing::choose::{Advice, Choice, choose};
use truing::describe::adjuster::setting::Setting;
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::fuse;
use truing::problem::any_error;
use truing::report::words::reasons::sentence;
use truing::units::Units;

fn chosen(text: &str) -> Choice {
    let (vehicle, problems) = Vehicle::read("truck.toml", text);
    assert!(!any_error(&problems), "{problems:?}");
    let vehicle = vehicle.unwrap();
    let (estimate, problems) = fuse("truck.toml", &vehicle, Vec::new());
    assert!(!any_error(&problems), "{problems:?}");
    choose("truck.toml", &vehicle, &estimate, None, None).unwrap()
}

/// The reasons in their sentences, of which none names a piece of a vehicle.
fn said(choice: &Choice) -> Vec<String> {
    let (vehicle, _) = Vehicle::read("truck.toml", "");
    let vehicle = vehicle.unwrap();
    choice.why.iter().map(|reason| sentence(&vehicle, reason, Units::Us)).collect()
}

/// An odometer that showed so many miles for 100 true ones, known to 0.05 %.
fn shown(miles: f64) -> String {
    format!(
        "[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"{miles:.3} mi\"\ntrue = \"100 mi +/- 0.05\"\nresolution = \"0.001 mi\"\n"
    )
}

/// The best label and the miles that 100 true ones would show with it.
#[track_caller]
fn check(text: &str, label: &str, miles: f64) -> Choice {
    let choice = chosen(text);
    let best = choice.best.clone().unwrap();
    assert_eq!(best.label, label, "{:?}", choice.why);
    let found = 100.0 * best.expected_ratio.value.plain();
    assert!((found - miles).abs() < 0.001, "{found} {miles}");
    assert_eq!(choice.advice, Advice::Write, "{:?}", choice.why);
    choice
}

const CABLE: &str =
    "[chain]\nsensor_at = \"transmission-output\"\ntransport = \"cable\"\naxle_ratio = \"3.73\"\n";

/// 680 revs per mile x 3.73 = 2536.4 turns of the shaft for a mile; the head takes 1000 of the cable. 8 drive teeth:
/// exactly true would be 8 x 2536.4 / 1000 = 20.29 driven teeth; 20 read 1.46 % fast, 21 read 3.38 % slow.
#[test]
fn twenty_teeth_and_not_twenty_one() {
    let truck = |present: &str| {
        let gears = format!(
            "[adjuster]\nkind = \"gear-pair\"\ndrive_gears = [8]\ndriven_gears = [18, 19, 20, 21]\npresent = \"{present}\"\n"
        );
        let miles = 100.0 * 2.5364 * 8.0 / present[2..].parse::<f64>().unwrap();
        format!("{CABLE}{gears}{}", shown(miles))
    };
    let choice = check(&truck("8/18"), "8/20", 101.456);
    let of =
        |label: &str| choice.options.iter().find(|o| o.label == label).unwrap().expected_ratio.value.plain();
    assert!((of("8/20") - 1.0146).abs() < 5e-5 && (of("8/21") - 0.9662).abs() < 5e-5);
    assert!(said(&choice)[0].contains("20.291 driven teeth"), "{}", said(&choice)[0]);
    let choice = chosen(&truck("8/20"));
    assert_eq!(choice.advice, Advice::Leave, "{:?}", choice.why);
}

#[test]
fn only_pairs_that_mesh() {
    let gears = "[adjuster]\nkind = \"gear-pair\"\ndrive_gears = [7, 8]\ndriven_gears = [18, 20, 21]\nmeshing = [\"7/18\", \"8/18\", \"8/21\"]\npresent = \"8/18\"\n";
    // Reads 100 x 2.5364 x 8 / 18 = 112.729; 8/21 would show 96.625, 7/18 98.638; 8/20 and 7/20 do not mesh.
    let choice = check(&format!("{CABLE}{gears}{}", shown(112.7289)), "7/18", 98.638);
    assert_eq!(choice.options.len(), 3);
}

#[test]
fn what_multiplies_goes_the_other_way() {
    // 4 % slow: counts times 100 / 96 = 1.041667 = 25/24.
    let pulse = |present: &str| {
        format!(
            "[adjuster]\nkind = \"pulse-ratio\"\nnumerator_max = 99\ndenominator_max = 99\npresent = \"{present}\"\n{}",
            shown(96.0)
        )
    };
    check(&pulse("1/1"), "25/24", 100.0);
    // From 2/3: 2/3 x 25/24 = 25/36.
    check(&pulse("2/3"), "25/36", 100.0);
    // Rings: 100 / 96 x 96 = 100 teeth; of 92, 98 and 104 the nearest is 98: 96 x 98 / 96 = 98.0 miles.
    check(
        &format!(
            "[adjuster]\nkind = \"tone-ring\"\nteeth = [92, 96, 98, 104]\npresent = 96\n{}",
            shown(96.0)
        ),
        "98",
        98.0,
    );
    // Adapters: 16/15 x 96 = 102.4; 26/25 x 96 = 99.84.
    check(
        &format!(
            "[adjuster]\nkind = \"cable-adapter\"\nratios = [\"1/1\", \"16/15\", \"14/15\", \"26/25\"]\npresent = \"1/1\"\n{}",
            shown(96.0)
        ),
        "26/25",
        99.84,
    );
}

#[test]
fn switches_are_added_up() {
    // Weights 1 to 64 over 64; now 64/64. Wanted 66.67/64: 67/64 shows 96 x 67 / 64 = 100.5, 66/64 shows 99.0.
    let text = format!(
        "[adjuster]\nkind = \"pulse-ratio\"\nswitch_weights = [1, 2, 4, 8, 16, 32, 64]\nswitch_denominator = 64\npresent = \"64/64\"\n{}",
        shown(96.0)
    );
    check(&text, "67/64", 100.5);
}

#[test]
fn the_largest_range_of_fractions() {
    // 100 / 97.654321 with both up to 9999 is met to a billionth.
    let text = format!(
        "[adjuster]\nkind = \"pulse-ratio\"\nnumerator_max = 9999\ndenominator_max = 9999\npresent = \"1/1\"\n{}",
        shown(97.654)
    );
    let choice = chosen(&text);
    let best = choice.best.unwrap();
    assert!((best.expected_ratio.value.plain() - 1.0).abs() < 1e-8, "{}", best.label);
}

const DECLARED: &str = "[adjuster]\nkind = \"declared-tire-axle\"\nrevs_per_mile = { min = 600, max = 800, step = 1 }\npresent = \"700 x 3.55\"\n";

#[test]
fn a_declared_tire_with_the_true_axle() {
    let truck = |axles: &str, at: &str| {
        format!(
            "[chain]\nsensor_at = \"{at}\"\naxle_ratio = \"3.73\"\n{DECLARED}axle_ratios = {axles}\n{}",
            shown(96.0)
        )
    };
    // Before the axle: 0.96 x 700 x 3.55 = 2385.6 = revs x axle; / 3.73 = 639.57. 640 x 3.73 shows 2385.6 / 2387.2 = 99.933,
    // slow; 639 x 3.73 shows 2385.6 / 2383.47 = 100.089, as near and on the safe side.
    let choice = check(&truck("[3.55, 3.73, 4.10]", "transmission-output"), "639 x 3.73", 100.089);
    assert!(choice.best.as_ref().unwrap().misled_by.is_none());
    assert!(
        said(&choice).iter().any(|why| why.contains("639.57 revolutions per mile with the axle 3.73")),
        "{:?}",
        said(&choice)
    );
    // The true axle cannot be told: 2385.6 / 3.55 = 672 exactly, and the cost of a false axle is said: 3.55 / 3.73 is 4.8 % less.
    let choice = check(&truck("[3.55]", "transmission-output"), "672 x 3.55", 100.0);
    assert!((choice.best.as_ref().unwrap().misled_by.unwrap().plain() - 3.55 / 3.73).abs() < 1e-12);
    assert!(
        said(&choice).iter().any(|why| why.contains("4.8 % less than the one fitted")),
        "{:?}",
        choice.why
    );
    // After the axle it drops out: 0.96 x 700 = 672, and the true axle is declared.
    check(&truck("[3.55, 3.73]", "axle-ring\"\nring_teeth = \"96"), "672 x 3.73", 100.0);
}

#[test]
fn which_tire_makes_the_setting_true() {
    let sizes = "[tire]\nsize = \"235/75R15\"\ntread_depth_new = \"9 mm\"\ntread_depth = \"9 mm\"\n[adjuster]\nkind = \"tires\"\nsizes = [\"235/75R15\", \"265/75R15\", \"215/75R15\"]\n";
    // The tires on it are unworn, as those on the list. Diameters: 15 in + 2 x 0.75 x width: 733.5, 778.5 and 703.5 mm. 104 shown for 100: the tires are too small by 4 %;
    // 265/75R15 shows 104 x 733.5 / 778.5 = 97.988, 215/75R15 108.435.
    let choice = chosen(&format!("{sizes}{}", shown(104.0)));
    let of =
        |label: &str| choice.options.iter().find(|o| o.label == label).unwrap().expected_ratio.value.plain();
    assert!((100.0 * of("265/75R15") - 97.988).abs() < 0.01, "{:?}", choice.options);
    assert!((100.0 * of("215/75R15") - 108.435).abs() < 0.01);
    // Another size is known to a per cent or two only: the change is no better than what is there by half a per cent or is measured.
    let other = choice.options.iter().find(|o| o.label == "265/75R15").unwrap();
    assert!(
        other.rms.plain() > 0.02 && said(&choice).iter().any(|why| why.contains("revolutions per mile")),
        "{:?}",
        choice.why
    );
}

#[test]
fn two_adjusters_at_once() {
    let both = |constant: &str, ring_present: u32, miles: f64| {
        format!(
            "[[adjuster]]\nkind = \"tone-ring\"\nteeth = [96, 104]\npresent = {ring_present}\n[[adjuster]]\nkind = \"stepped-constant\"\n{constant}buttons = [\"up\"]\nwraps = true\npresent = \"8.20\"\nwrites_left = 3\n{}setting = {{ stepped-constant = \"8.20\" }}\n",
            shown(miles)
        )
    };
    // The constant alone is enough: 0.96 x 8.20 = 7.872; 7.88 shows 99.898. One thing is set, not two.
    let fine = "min = \"4.00\"\nmax = \"12.00\"\nstep = \"0.02\"\n";
    let choice = check(&both(fine, 96, 96.0), "tone ring 96, stored constant 7.88", 99.898);
    assert_eq!(choice.best.unwrap().settings, [(1, Setting::parse("7.88"))]);
    // The constant ends at 8.00: 90 x 8.20 / 8.00 = 92.25 alone, 90 x 104 / 96 = 97.5 with the ring alone, and both:
    // 97.5 x 8.20 / 8.00 = 99.9375. The second thing gains 2.4 points: worth it.
    let short = "min = \"8.00\"\nmax = \"12.00\"\nstep = \"0.02\"\n";
    let choice = check(&both(short, 96, 90.0), "tone ring 104, stored constant 8.00", 99.9375);
    let best = choice.best.unwrap();
    assert_eq!((best.settings.len(), best.writes), (2, 1));
    // Without a write left only the ring can be changed.
    let spent = both(short, 96, 90.0).replace("writes_left = 3", "writes_left = 0");
    check(&spent, "tone ring 104, stored constant 8.20", 97.5);
}

/// 680 turns per mile x 3.73 = 2536.4 turns of the shaft. The dial at 70 mph with R = 0.96 means 72.9167 mph true:
/// 2536.4 x 72.9167 / 60 = 3082.4 rpm in direct drive. Made true, 70 mph is 70 mph: 2959.1 rpm. Overdrive of 0.70 turns
/// the engine 0.70 times as fast.
#[test]
fn the_engine_by_the_dial() {
    let truck = format!(
        "[chain]\nsensor_at = \"axle-ring\"\nring_teeth = 96\naxle_ratio = \"3.73\"\ngear_ratios = [\"1.00\", \"0.70\"]\n\
         [adjuster]\nkind = \"stepped-constant\"\nmin = \"4.000\"\nmax = \"12.000\"\nstep = \"0.001\"\nbuttons = [\"up\"]\nwraps = true\n\
         present = \"8.000\"\n[use]\nspeeds_mph = [25, 70]\n\
         [[evidence]]\nkind = \"earlier\"\nrevs_per_mile = 680\nstandard_uncertainty = 0.01\n{}",
        shown(96.0)
    );
    let choice = chosen(&truck);
    let rpm = |of: Option<metrology::quantity::Frequency>| of.unwrap().per_min();
    let [direct, over] = choice.engine.as_slice() else { panic!("{:?}", choice.engine) };
    // The odometer's resolution leaves 1e-5, the axle's tooth pairs that round to 3.73 four parts in a thousand.
    assert!((rpm(direct.now) / rpm(direct.best) - 1.0 / 0.96).abs() < 1e-4, "{direct:?}");
    assert!((rpm(direct.best) / 2959.1 - 1.0).abs() < 0.004, "{direct:?}");
    assert!((rpm(over.now) / rpm(direct.now) - 0.70).abs() < 1e-12);
}

/// Pairs of large conditioners, of which the product of all settings fits 64 bits in the first line and not in the others.
#[test]
fn conditioners_too_large_to_go_through_together_are_told() {
    let conditioner = |max: u32| {
        format!(
            "[[adjuster]]\nkind = \"pulse-ratio\"\nnumerator_max = {max}\ndenominator_max = {max}\npresent = \"1/1\"\n"
        )
    };
    for (maxima, found) in [
        (vec![9999, 9999], "99980001 settings"),
        (vec![9999, 9999, 9999], "9996000599960001 settings"),
        (vec![1_000_000_000, 1_000_000_000], "1000000000000000000 settings"),
        (vec![1_000_000_000, 1_000_000_000, 1_000_000_000], "more than 18446744073709551615 settings"),
    ] {
        let adjusters: String = maxima.into_iter().map(conditioner).collect();
        let truck = format!(
            "[chain]\nsensor_at = \"axle-ring\"\nring_teeth = 96\naxle_ratio = \"3.73\"\n{adjusters}{}",
            shown(96.0)
        );
        let vehicle = Vehicle::read("truck.toml", &truck).0.unwrap();
        let (estimate, _) = fuse("truck.toml", &vehicle, Vec::new());
        let problem = choose("truck.toml", &vehicle, &estimate, None, None).unwrap_err();
        assert!(problem.to_string().contains(found), "{problem}");
    }
}
