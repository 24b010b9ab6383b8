//! What papers are made of: each piece of evidence alone, tires beside each other, the speed card.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod trucks;

use metrology::quantity::Speed;
use rust_decimal::Decimal;
use trucks::{fused, vehicle};
use truing::choose::compare_tires;
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::{VehicleEstimate, each_alone};
use truing::record::{Chain, Draft, EventKind};
use truing::report::answers::evidence::EvidenceReport;
use truing::report::answers::tire_choice::TireChoice;
use truing::report::papers::life::LifeReport;
use truing::report::papers::speed_card::SpeedCard;
use truing::units::Units;

/// 95.85 mi shown for 100 mi of road, and a tape that says about as much.
const TRUCK: &str = r#"
name = "The tested half-ton"
[tire]
size = "LT265/75R16"
[chain]
sensor_at = "axle-ring"
ring_teeth = 96
axle_ratio = "41/11"
[adjuster]
kind = "stepped-constant"
counts_per_mile_per_unit = 8000
min = "4.00"
max = "12.00"
step = "0.02"
buttons = ["up"]
present = "8.20"
[[evidence]]
kind = "odometer-distance"
date = 2026-05-02
indicated = "95.85 mi"
true = "100.00 mi +/- 0.05"
setting = "8.20"
"#;
const TAPE: &str = r#"
[[evidence]]
kind = "rollout"
date = 2026-05-01
turns = 5
length = "40 ft 3 1/2 in"
"#;

fn read(text: &str) -> (Vehicle, VehicleEstimate) {
    (vehicle(text), fused(text, &[]).0)
}

#[test]
fn a_lone_piece_says_alone_what_all_say_together() {
    let (vehicle, estimate) = read(TRUCK);
    let alone = each_alone("truck.toml", &vehicle, &estimate.drives);
    assert_eq!(alone.len(), 1);
    assert_eq!(alone[0].quantities, estimate.over_all);
    let first = vehicle.evidence[alone[0].index].called();
    assert!(first.contains("odometer"), "{first}");
}

#[test]
fn two_pieces_together_are_surer_than_either_alone() {
    let (vehicle, estimate) = read(&format!("{TRUCK}{TAPE}"));
    let alone = each_alone("truck.toml", &vehicle, &estimate.drives);
    let together = estimate.over_all.distance_ratio.unwrap().standard_uncertainty;
    assert_eq!(alone.iter().map(|one| one.index).collect::<Vec<_>>(), [0, 1]);
    for one in &alone {
        let u = one.quantities.distance_ratio.unwrap().standard_uncertainty;
        assert!(together <= u * (1.0 + 1e-9), "{}: {together:?} is less sure than {u:?}", one.index);
    }
    let chart = EvidenceReport::new(&vehicle, &estimate, &alone, Units::Us).chart().unwrap();
    // A bar for each, and one for all.
    assert_eq!(chart.series.len(), 3);
    assert!(chart.series.iter().all(|series| series.points.len() == 3));
}

#[test]
fn no_evidence_makes_no_picture() {
    let (vehicle, estimate) = read(TRUCK.split("[[evidence]]").next().unwrap());
    let alone = each_alone("truck.toml", &vehicle, &estimate.drives);
    assert!(EvidenceReport::new(&vehicle, &estimate, &alone, Units::Us).chart().is_none());
}

#[test]
fn the_reading_goes_with_the_turns_of_the_tire() {
    let (vehicle, estimate) = read(&format!("{TRUCK}{TAPE}"));
    let sizes = ["235/75R15".to_string(), "LT265/75R16".to_string(), "31x10.50R15LT".to_string()];
    let compared = compare_tires("truck.toml", &vehicle, &estimate, &sizes).unwrap();
    let names: Vec<&str> = compared.iter().map(|tire| tire.size.as_str()).collect();
    assert_eq!(names, ["LT265/75R16", "235/75R15", "31x10.50R15LT"], "the tires on it stand there once");
    let (now, revs_now) = (compared[0].ratio.unwrap(), compared[0].revs.unwrap());
    for tire in &compared[1..] {
        let (ratio, revs) = (tire.ratio.unwrap(), tire.revs.unwrap());
        // Counts per mile, and so what is shown, are proportional to turns per mile.
        let expected = now.value.plain() * revs.value.per_mi() / revs_now.value.per_mi();
        assert!((ratio.value.plain() - expected).abs() < 1e-12, "{}", tire.size);
        assert!(ratio.relative_uncertainty().plain() > now.relative_uncertainty().plain());
    }
    let document = TireChoice::new("truck", None, &compared, Units::Metric).document();
    assert!(serde_json::to_string(&document).unwrap().contains("mm"));
    let unreadable = compare_tires("truck.toml", &vehicle, &estimate, &["thirty-one".to_string()]);
    assert!(unreadable.is_err());
}

#[test]
fn a_card_shows_what_is_shown_over_the_ratio() {
    let (vehicle, estimate) = read(TRUCK);
    let card = SpeedCard::new(&vehicle, &estimate, &[Decimal::ONE], Units::Us);
    let ratio = estimate.over_all.needle_ratio.unwrap().value.plain();
    let revs = estimate.over_all.revs.unwrap().value.per_mi();
    for row in &card.rows {
        let truly = row.shown.parse::<f64>().unwrap() / ratio;
        assert!((row.truly.parse::<f64>().unwrap() - truly).abs() <= 0.05 + 1e-9, "{row:?}");
        // rpm = mph x revs per mile x axle x gear / 60
        let rpm = truly * revs * (41.0 / 11.0) / 60.0;
        assert!((row.rpm[0].parse::<f64>().unwrap() - rpm).abs() <= 5.0 + 1e-9, "{row:?}");
    }
    assert!(card.warning.is_some(), "a dial that reads 4 % slow needs a warning");
    let metric = SpeedCard::new(&vehicle, &estimate, &[], Units::Metric);
    assert!(metric.gears.is_empty() && metric.unit == "km/h");
    assert!(metric.rows.iter().all(|row| row.shown.parse::<u32>().unwrap() % 10 == 0));
}

#[test]
fn a_history_from_a_record_out_of_order_says_so() {
    let mut chain = Chain::default();
    let day = "2026-05-01T16:00:00Z".parse().unwrap();
    chain.append(Draft::new(day, "truck", EventKind::Odometer, &[("odometer", "100000 mi")])).unwrap();
    let head = chain.head().to_string();
    let words = |in_order| {
        let life = LifeReport::new("truck", chain.entries(), (1, &head, in_order), Units::Us);
        serde_json::to_string(&life.document()).unwrap()
    };
    assert!(words(true).contains(&head) && !words(true).contains("NOT in order"));
    assert!(words(false).contains("NOT in order"));
}

#[test]
fn units_go_there_and_back() {
    for (units, number) in [(Units::Us, 60.0), (Units::Metric, 100.0)] {
        assert!((units.of_speed(units.speed(number)) - number).abs() < 1e-12);
    }
    // 60 mph are 96.56064 km/h, a mile being 1.609344 km.
    assert!((Units::Metric.of_speed(Speed::from_mi_per_h(60.0)) - 96.560_64).abs() < 1e-9);
}
