//! Steps for every kind of adjuster, from anywhere the display may stand.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use metrology::quantity::{Duration, Frequency};
use truing::describe::adjuster::setting::Setting;
use truing::describe::vehicle::Vehicle;
use truing::problem::{Problems, any_error};
use truing::report::words::setting::step as said;
use truing::set::{Job, Order, Repeat, job};

fn vehicle(adjuster: &str) -> Vehicle {
    let (vehicle, problems) =
        Vehicle::read("truck.toml", &format!("[tire]\nsize = \"235/75R15\"\n[adjuster]\n{adjuster}"));
    assert!(!any_error(&problems), "{problems:?}");
    vehicle.unwrap()
}

/// The way to a setting that is not stored.
fn planned(vehicle: &Vehicle, order: &Order) -> Result<Job, Problems> {
    job("truck.toml", vehicle, order).map(|outcome| outcome.job().unwrap())
}

fn jobs(adjuster: &str, target: &str) -> Result<Job, Problems> {
    let vehicle = vehicle(adjuster);
    planned(&vehicle, &Order::new(&vehicle.adjusters[0], Setting::parse(target)))
}

const STEPPED: &str = "kind = \"stepped-constant\"\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.02\"\nbuttons = [\"up\"]\nwraps = true\npresent = \"8.20\"\ndisplay = \"820\"\nwrites_left = 2\n";
const GEARS: &str = "kind = \"gear-pair\"\ndrive_gears = [7, 8]\ndriven_gears = [18, 20, 21]\nmeshing = [\"8/18\", \"8/20\"]\npresent = \"8/18\"\n";
const SWITCHES: &str = "kind = \"pulse-ratio\"\nswitch_weights = [1, 2, 4, 8, 16, 32, 64]\nswitch_denominator = 64\npresent = \"64/64\"\n";
const DECLARED: &str = "kind = \"declared-tire-axle\"\nrevs_per_mile = { min = 600, max = 800, step = 1 }\naxle_ratios = [3.55, 3.73]\npresent = \"700 x 3.55\"\n";
const RING: &str = "kind = \"tone-ring\"\nteeth = [92, 96, 104]\npresent = 96\n";
const CABLE: &str = "kind = \"cable-adapter\"\nratios = [\"1/1\", \"16/15\"]\npresent = \"1/1\"\n";
const FREE: &str =
    "kind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 20000\nmax = 99999\npresent = 65600\n";
const TIRES: &str = "kind = \"tires\"\nsizes = [\"235/75R15\", \"265/75R15\"]\n";
const FRACTION: &str =
    "kind = \"pulse-ratio\"\nnumerator_max = 99\ndenominator_max = 99\npresent = \"1/1\"\n";

#[test]
fn every_kind_has_its_steps() {
    for (adjuster, target) in [
        (STEPPED, "7.86"),
        (GEARS, "8/20"),
        (SWITCHES, "67/64"),
        (DECLARED, "640 x 3.73"),
        (RING, "104"),
        (CABLE, "16/15"),
        (FREE, "68033"),
        (TIRES, "265/75R15"),
        (FRACTION, "25/24"),
    ] {
        let job = jobs(adjuster, target).unwrap_or_else(|problems| panic!("{adjuster} {problems:?}"));
        assert_eq!(job.to, target);
        // Gears are told by their teeth.
        let words = if adjuster == GEARS { "driven gear with 20 teeth" } else { target };
        assert!(job.steps.steps.iter().any(|step| said(step).contains(words)), "{target}: {:?}", job.steps);
        assert!(job.steps.steps.iter().any(|step| step.check()), "{target}");
        assert_eq!(job.steps.total_presses > 0, adjuster == STEPPED);
    }
}

#[test]
fn what_cannot_be_set_is_refused() {
    for (adjuster, target, expected) in [
        (STEPPED, "7.87", "a value on the grid"),
        (GEARS, "7/18", "a pair that meshes"),
        (SWITCHES, "128/64", "a sum of the weights"),
        (DECLARED, "640 x 4.10", "one of the axles"),
        (DECLARED, "900 x 3.73", "a value on the grid"),
        (RING, "98", "one of the rings"),
        (CABLE, "14/15", "one of the adapters"),
        (FREE, "12", "a whole number"),
        (FREE, "700.5", "a whole number"),
        (TIRES, "31x10.50R15LT", "one of the sizes"),
        (FRACTION, "100/99", "a fraction up to"),
        (FRACTION, "8.20", "a setting of the conditioner"),
    ] {
        let problems = jobs(adjuster, target).unwrap_err();
        assert!(problems[0].expected.contains(expected), "{target}: {problems:?}");
    }
}

#[test]
fn switches_are_named() {
    // 67 = 64 + 2 + 1
    let job = jobs(SWITCHES, "67/64").unwrap();
    let all = "1 (1) on, 2 (2) on, 3 (4) off, 4 (8) off, 5 (16) off, 6 (32) off, 7 (64) on";
    // They stand in the steps that set and compare them, before and after: 64 alone is on at first.
    let steps: Vec<String> = job.steps.steps.iter().map(said).collect();
    assert_eq!(steps.iter().filter(|step| step.contains(all)).count(), 2, "{steps:?}");
    let before = "1 (1) off, 2 (2) off, 3 (4) off, 4 (8) off, 5 (16) off, 6 (32) off, 7 (64) on";
    assert!(steps.iter().any(|step| step.contains(before)), "{steps:?}");
}

/// The way from what the display shows by now.
#[test]
fn plans_again_from_what_the_display_shows() {
    let vehicle = vehicle(STEPPED);
    let presses = |shows: Option<&'static str>| {
        let order = Order { shows, ..Order::new(&vehicle.adjusters[0], Setting::parse("7.86")) };
        planned(&vehicle, &order).map(|job| job.steps.total_presses)
    };
    // 401 values; up only: from 8.20 (place 210) round to 7.86 (193): 401 - 17 = 384.
    assert_eq!(presses(None), Ok(384));
    // At 12.00 (400): 194 more. At 7.80 (190): 3 more. Already there: none. The point may be typed or not.
    assert_eq!((presses(Some("1200")), presses(Some("780")), presses(Some("786"))), (Ok(194), Ok(3), Ok(0)));
    assert_eq!(presses(Some("7.80")), Ok(3));
    let problems = presses(Some("781")).unwrap_err();
    assert!(problems[0].expected.contains("400 to 1200"), "{problems:?}");
}

#[test]
fn a_held_button_is_let_go_in_time() {
    let vehicle = vehicle(STEPPED);
    let repeat = Some(Repeat { rate: Frequency::from_hz(5.0), delay: Duration::from_s(1.0) });
    let order = Order { repeat, ..Order::new(&vehicle.adjusters[0], Setting::parse("7.86")) };
    let steps = planned(&vehicle, &order).unwrap().steps.steps;
    let notes: Vec<String> = steps.iter().map(said).collect();
    // 374 of 384 presses: 1 + 373 / 5 = 75.6 s; ten steps of 0.02 before 7.86 the display shows 7.66.
    assert!(
        notes
            .iter()
            .any(|note| note.contains("76 s") && note.contains("766") && note.contains("about 10 times")),
        "{notes:?}"
    );
}
