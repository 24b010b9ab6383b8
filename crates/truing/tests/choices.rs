//! Choices held against plain search and the trade's arithmetic.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use metrology::quantity::Ratio;
use proptest::prelude::*;
use truing::choose::{Advice, Choice, choose};
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::fuse;
use truing::problem::any_error;
use truing::report::words::reasons::sentence;
use truing::units::Units;

/// Chooses for a vehicle file.
fn chosen(text: &str, rule: Option<&str>) -> Choice {
    let (vehicle, problems) = Vehicle::read("truck.toml", text);
    assert!(!any_error(&problems), "{problems:?}");
    let vehicle = vehicle.unwrap();
    let (estimate, problems) = fuse("truck.toml", &vehicle, Vec::new());
    assert!(!any_error(&problems), "{problems:?}");
    choose("truck.toml", &vehicle, &estimate, rule, None).unwrap()
}

/// The reasons in their sentences, of which none names a piece of a vehicle.
fn said(choice: &Choice) -> Vec<String> {
    let (vehicle, _) = Vehicle::read("truck.toml", "");
    let vehicle = vehicle.unwrap();
    choice.why.iter().map(|reason| sentence(&vehicle, reason, Units::Us)).collect()
}

/// A truck with a known ring and an earlier calibration of its tires.
fn truck(adjuster: &str, revs_per_mile: f64, u: f64, more: &str) -> String {
    format!(
        r#"
[chain]
sensor_at = "axle-ring"
ring_teeth = 108
[adjuster]
{adjuster}
writes_left = 3
[[evidence]]
kind = "earlier"
revs_per_mile = {revs_per_mile:.6}
standard_uncertainty = {u:.9}
{more}"#
    )
}

fn stepped(present: &str) -> String {
    format!(
        "kind = \"stepped-constant\"\ncounts_per_mile_per_unit = 8000\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.01\"\nbuttons = [\"up\", \"down\"]\npresent = \"{present}\""
    )
}

#[test]
fn the_trade_s_arithmetic() {
    // Revolutions per mile x ring teeth / 8000 (common practice, no source): 677 x 108 / 8000 = 9.1395, stored as 9.14.
    // A distance on the road shows that the ring is the one believed: 9.1395 / 8.20 = 1.114573.
    let seen = "[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"111.4573 mi\"\ntrue = \"100 mi +/- 0.5\"\nresolution = \"0.001 mi\"\nsetting = \"8.20\"\n";
    let choice = chosen(&truck(&stepped("8.20"), 677.0, 0.7, seen), None);
    assert_eq!((choice.advice, choice.best.as_ref().unwrap().label.as_str()), (Advice::Write, "9.14"));
    assert!(said(&choice)[0].contains("9.1395"), "{}", said(&choice)[0]);
    // 9.1395 / 9.14 = 0.999945
    let expected = choice.best.unwrap().expected_ratio.value.plain();
    assert!((expected - 0.999945).abs() < 1e-6, "{expected}");
}

#[test]
fn a_free_constant_is_stored_to_the_pulse() {
    let adjuster =
        "kind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 20000\nmax = 99999\npresent = 65600";
    let choice = chosen(&truck(adjuster, 677.0, 0.7, ""), None);
    // 677 x 108 = 73116
    assert_eq!(choice.best.unwrap().label, "73116");
    let adjuster = adjuster.replace("pulses-per-mile", "pulses-per-km").replace("65600", "40762");
    let choice = chosen(&truck(&adjuster, 677.0, 0.7, ""), None);
    // 73116 / 1.609344 = 45432.18
    assert_eq!(choice.best.unwrap().label, "45432");
}

#[test]
fn a_write_is_not_spent_on_the_last_digit() {
    let choice = chosen(&truck(&stepped("9.16"), 677.0, 0.7, ""), None);
    // 9.1395 / 9.16 = 0.22 % off: less than half a percentage point to gain.
    assert_eq!(choice.advice, Advice::Leave, "{:?}", choice.why);
    let choice = chosen(&truck(&stepped("9.14"), 677.0, 0.7, ""), None);
    assert_eq!(choice.advice, Advice::Leave);
    assert!(said(&choice)[1].contains("stored already"), "{:?}", choice.why);
}

#[test]
fn no_write_left_and_a_reserve_are_respected() {
    let none = truck(&stepped("8.20"), 677.0, 0.7, "").replace("writes_left = 3", "writes_left = 0");
    assert_eq!(chosen(&none, None).advice, Advice::Leave);
    let kept = truck(&stepped("8.20"), 677.0, 0.7, "[use]\nreserve = 3\n");
    assert_eq!(chosen(&kept, None).advice, Advice::Leave);
}

#[test]
fn a_rule_that_forbids_under_reading_biases_the_setting_and_says_what_that_costs() {
    let digits = "[head]\nneedle = \"digital\"\n";
    let choice = chosen(&truck(&stepped("8.20"), 677.0, 1.35, digits), Some("un-r39"));
    let best = choice.best.clone().unwrap();
    // u = 0.2 %: the ratio must lie 1.645 u above one, on a grid of 0.11 %.
    let above = best.expected_ratio.value.plain() - 1.0;
    assert!((0.0030..0.0046).contains(&above), "{above}");
    assert!(best.chance_of_breaking.unwrap().plain() <= 0.05);
    assert!(said(&choice).iter().any(|why| why.contains("for every 1000 driven")), "{:?}", choice.why);
    // The truest setting of all is another one.
    assert_ne!(best.label, chosen(&truck(&stepped("8.20"), 677.0, 1.35, digits), None).best.unwrap().label);
}

#[test]
fn an_analog_needle_needs_more_room_than_digits() {
    let above = |more: &str| {
        let choice = chosen(&truck(&stepped("8.20"), 677.0, 0.7, more), Some("un-r39"));
        choice.best.unwrap().expected_ratio.value.plain() - 1.0
    };
    // 1.5 % for the gain of the needle: 1.645 x 1.5 % = 2.5 %
    let (analog, digital) = (above(""), above("[head]\nneedle = \"digital\"\n"));
    assert!((0.023..0.027).contains(&analog) && digital < 0.004, "{analog} {digital}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    /// The best is what trying every value finds, and the chances of all settings to be the truest add up to one.
    #[test]
    fn the_best_is_what_trying_everything_finds(revs_millionths in 450_000_000_u32..800_000_000, present in 400_u32..=1200) {
        let revs = f64::from(revs_millionths) / 1e6;
        let label = format!("{}.{:02}", present / 100, present % 100);
        let choice = chosen(&truck(&stepped(&label), revs, 0.001 * revs, ""), None);
        let counts = revs * 108.0 / 8000.0;
        let nearest = (400..=1200).min_by(|a, b| {
            // An error on the slow side counts one and a half times one on the fast side.
            let off = |value: &i32| {
                let ln_ratio = (counts / (f64::from(*value) / 100.0)).ln();
                if ln_ratio < 0.0 { -1.5 * ln_ratio } else { ln_ratio }
            };
            off(a).total_cmp(&off(b))
        }).unwrap();
        let best = choice.best.unwrap();
        prop_assert_eq!(best.label, format!("{}.{:02}", nearest / 100, nearest % 100));
        let probability = choice.probability_best_is_best.map_or(0.0, Ratio::plain);
        prop_assert!((0.0..=1.0).contains(&probability));
        for option in &choice.options {
            let exact = (counts / option.value).ln();
            prop_assert!((option.expected_ratio.value.plain().ln() - exact).abs() < 1e-9);
            // RMS = sqrt(mean² + u²), u = 0.1 % of ln R
            prop_assert!((option.rms.plain() - f64::hypot(exact, 0.001)).abs() < 1e-8);
        }
    }
}
