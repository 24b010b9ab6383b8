//! Factors of the chain, worked by hand. All numbers are invented.

use crate::describe::chain::{Assumption, Basis, Effect, Link, Standing, assumed_by, links};
use crate::describe::vehicle::Vehicle;
use metrology::quantity::{PerLength, Speed};

/// Rounding of a few products and quotients.
const ROUNDING: f64 = 1e-12;

fn vehicle(text: &str) -> Vehicle {
    let (vehicle, problems) = Vehicle::read("truck.toml", text);
    assert_eq!(problems, [], "in\n{text}");
    vehicle.unwrap()
}

/// A chain, its label, and counts per turn of the tire.
#[track_caller]
fn check_factor(chain: &str, label: &str, counts: Option<f64>) {
    let all = vehicle(&format!("[chain]\n{chain}")).chain.hypotheses();
    let [only] = &all[..] else { panic!("{all:#?}") };
    assert_eq!(only.label, label, "{chain}");
    // What passes at the end of the chain where the tire turns once a metre.
    let points = only.points(PerLength::from_per_m(1.0));
    let found = points.last().and_then(|point| point.per_length).map(|found| found.per_m());
    match (found, counts) {
        (Some(found), Some(counts)) => assert!((found / counts - 1.0).abs() < ROUNDING, "{chain}: {found}"),
        _ => assert_eq!(found, counts, "{chain}"),
    }
    assert_eq!(only.unknown().is_empty(), found.is_some());
}

#[test]
fn factor_from_tire_to_counts() {
    let output = "sensor_at = \"transmission-output\"\n";
    for (chain, label, counts) in [
        // A ring on the final drive turns with the wheels: no axle ratio.
        (
            "sensor_at = \"axle-ring\"\nring_teeth = 96\naxle_ratio = \"41/11\"",
            "axle 41/11, tone ring 96",
            Some(96.0),
        ),
        ("sensor_at = \"wheel-ring\"\nring_teeth = 48", "tone ring 48", Some(48.0)),
        ("sensor_at = \"wheel-ring\"", "hardware unknown", None),
    ] {
        check_factor(chain, label, counts);
    }
    for (chain, label, counts) in [
        // 41/11 x 40
        ("ring_teeth = 40\naxle_ratio = \"41/11\"", "axle 41/11, tone ring 40", Some(1640.0 / 11.0)),
        // 41/10 x 8/20 x 8
        (
            "axle_ratio = \"41/10\"\ndrive_gear = 8\ndriven_gear = 20\ncounts_per_turn = 8",
            "axle 41/10, drive and driven gear 8/20, sensor 8",
            Some(13.12),
        ),
        // Cable: 41/10 x 7/18 turns; no counts.
        (
            "transport = \"cable\"\naxle_ratio = \"41/10\"\ndrive_gear = 7\ndriven_gear = 18",
            "axle 41/10, drive and driven gear 7/18",
            Some(287.0 / 180.0),
        ),
        ("transport = \"cable\"\naxle_ratio = \"41/10\"\ndrive_gear = 7", "axle 41/10", None),
        ("counts_per_turn = 8", "sensor 8", None),
        // 40 x 41/11 x 1001/1000; the low range stays beside it.
        (
            "ring_teeth = 40\naxle_ratio = \"41/11\"\nconditioner = \"1001/1000\"\ntransfer_low_ratio = \"2.72\"",
            "axle 41/11, tone ring 40, conditioner 1001/1000, low range 2.72",
            Some(1640.0 / 11.0 * 1.001),
        ),
    ] {
        check_factor(&format!("{output}{chain}"), label, counts);
    }
}

#[test]
fn hypotheses_are_all_combinations_and_share_the_belief() {
    let all = vehicle(
        "[chain]\nsensor_at = \"transmission-output\"\nring_teeth = [40, 44]\naxle_ratio = [3.73, \"41/10\", \"82/20\"]",
    )
    .chain
    .hypotheses();
    // 3.73 is 41/11 or 56/15, a third of the belief together; 41/10 and 82/20 are one axle with two thirds.
    let found: Vec<(String, f64)> =
        all.iter().map(|one| (one.label.clone(), (one.prior.plain() * 12.0 * 1e9).round() / 1e9)).collect();
    let expected = [
        ("axle 41/11, tone ring 40", 1.0),
        ("axle 41/11, tone ring 44", 1.0),
        ("axle 56/15, tone ring 40", 1.0),
        ("axle 56/15, tone ring 44", 1.0),
        ("axle 41/10, tone ring 40", 4.0),
        ("axle 41/10, tone ring 44", 4.0),
    ];
    assert_eq!(found, expected.map(|(label, prior)| (label.to_string(), prior)));
}

#[test]
fn too_many_combinations_are_refused() {
    let many: Vec<String> = (1..=70).map(|teeth| teeth.to_string()).collect();
    let many = many.join(", ");
    let text = format!(
        "[chain]\nsensor_at = \"transmission-output\"\ndrive_gear = [{many}]\ndriven_gear = [{many}]"
    );
    let (vehicle, problems) = Vehicle::read("truck.toml", &text);
    assert_eq!(problems.len(), 1);
    assert_eq!(
        problems[0].to_string(),
        "truck.toml, line 1, [chain]: expected at most 4096 combinations of candidates; found 4900. \
         Count or look up at least one of the parts"
    );
    assert_eq!(vehicle.unwrap().chain.hypotheses().len(), 4096);
}

#[test]
fn what_passes_at_each_point() {
    let it = vehicle(
        "[chain]\nsensor_at = \"transmission-output\"\nring_teeth = 40\naxle_ratio = \"40/10\"\nconditioner = \"1/2\"",
    );
    let hardware = &it.chain.hypotheses()[0];
    let points = hardware.points(PerLength::from_per_mi(700.0));
    // At 60 mph a mile takes a minute: 700 x 4 x 40 / 60 s = 1866.67 Hz at the sensor.
    let expected = [
        ("turns of the tire", 700.0),
        ("turns of the propeller shaft", 2800.0),
        ("counts at the sensor", 112_000.0),
        ("counts after the conditioner", 56_000.0),
    ];
    assert_eq!(points.len(), expected.len());
    for (point, (name, per_mile)) in points.iter().zip(expected) {
        assert_eq!(point.name, name);
        assert!((point.per_length.unwrap().per_mi() / per_mile - 1.0).abs() < ROUNDING, "{name}");
        let hz = point.frequency(Speed::from_mi_per_h(60.0)).unwrap().hz();
        assert!((hz / (per_mile / 60.0) - 1.0).abs() < ROUNDING, "{name} {hz}");
    }
}

#[test]
fn what_readers_assume() {
    let cable = "[chain]\nsensor_at = \"transmission-output\"\ntransport = \"cable\"\n";
    let stepped =
        "[adjuster]\nkind = \"stepped-constant\"\nmin = 4\nmax = 12\nstep = \"0.02\"\nbuttons = [\"up\"]\n";
    let free = "[adjuster]\nkind = \"free-constant\"\nmin = 1\nmax = 9000\n";
    let declared =
        |per_mi| Assumption::PerLength { per_length: PerLength::from_per_mi(per_mi), basis: Basis::Declared };
    for (text, expected) in [
        ("[use]".to_string(), Assumption::Unknown),
        ("[head]\ncounts_per_mile = 4000".to_string(), declared(4000.0)),
        // 5000 x 8.5
        (format!("{stepped}present = 8.5\ncounts_per_mile_per_unit = 5000"), declared(42_500.0)),
        (format!("{stepped}present = 8.5"), Assumption::Constant(rust_decimal::Decimal::new(85, 1))),
        (stepped.to_string(), Assumption::Unknown),
        (format!("{free}unit = \"pulses-per-mile\"\npresent = 4000"), declared(4000.0)),
        (format!("{cable}[head]\nturns_per_mile = 1001"), declared(1001.0)),
        (
            cable.to_string(),
            // SAE J678, from memory.
            Assumption::PerLength {
                per_length: PerLength::from_per_mi(1000.0),
                basis: Basis::CommonPractice,
            },
        ),
        (format!("{cable}{free}unit = \"pulses-per-mile\""), Assumption::Unknown),
    ] {
        let it = vehicle(&text);
        assert_eq!(assumed_by(it.readers.first(), &it.adjusters, it.chain.transport), expected, "{text}");
    }
}

#[test]
fn the_chain_as_a_list() {
    let it = vehicle(
        "[tire]\npublished_revs_per_mile = 655\n[chain]\nsensor_at = \"transmission-output\"\nring_teeth = [40, 44]\n\
         axle_ratio = \"41/11\"\n[[reader]]\nname = \"dial\"\ncounts_per_mile = 4000\nneedle = \"analog\"",
    );
    let found: Vec<(String, Effect, Standing)> =
        links(&it).into_iter().map(|link| (link.name, link.effect, link.standing)).collect();
    let expected = [
        ("tire", Effect::Multiplies, Standing::Assumed),
        (Link::Axle.name(), Effect::Multiplies, Standing::Known),
        (Link::Ring.name(), Effect::Multiplies, Standing::Assumed),
        ("dial assumes", Effect::Divides, Standing::Known),
        ("needle of dial", Effect::Multiplies, Standing::Assumed),
    ];
    assert_eq!(found, expected.map(|(name, effect, standing)| (name.to_string(), effect, standing)));
}
