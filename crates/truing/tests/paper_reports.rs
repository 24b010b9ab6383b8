//! What papers are made of: each piece of evidence alone, tires beside each other, the speed card.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod trucks;

use metrology::quantity::Speed;
use rust_decimal::Decimal;
use trucks::{fused, vehicle};
use truing::choose::{MeasurementKind, choose, compare_tires, rule_of};
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::{VehicleEstimate, each_alone};
use truing::record::{Chain, Draft, EventKind};
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::evidence::EvidenceReport;
use truing::report::answers::tire_choice::TireChoice;
use truing::report::document::{Block, Document, SeriesKind, Table};
use truing::report::papers::life::LifeReport;
use truing::report::papers::measuring::MeasuringSheet;
use truing::report::papers::proving::ProofSheet;
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
    let bars: Vec<_> = chart.series.iter().filter(|series| series.kind == SeriesKind::Interval).collect();
    assert_eq!(bars.len(), 3);
    assert!(bars.iter().all(|series| series.points.len() == 3));
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
        // Held there, the true speed keeps to what is shown as a limit, and one more would not by the low end.
        let ratio = estimate.over_all.needle_ratio.unwrap().low_95.plain();
        let (limit, hold) = (row.shown.parse::<f64>().unwrap(), row.hold.parse::<f64>().unwrap());
        assert!(hold / ratio <= limit + 1e-9 && (hold + 1.0) / ratio > limit, "{row:?}");
        // rpm = mph x revs per mile x axle x gear / 60; below 600 no engine runs.
        let rpm = truly * revs * (41.0 / 11.0) / 60.0;
        match row.rpm[0].parse::<f64>() {
            Ok(shown) => assert!((shown - rpm).abs() <= 5.0 + 1e-9, "{row:?}"),
            Err(_) => assert!(!(600.0..=5000.0).contains(&rpm), "{row:?}"),
        }
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
    let grouped: Vec<String> =
        head.as_bytes().chunks(4).map(|four| String::from_utf8_lossy(four).into()).collect();
    assert!(words(true).contains(&grouped.join(" ")) && !words(true).contains("NOT in order"));
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

fn measuring(text: &str, kind: Option<MeasurementKind>) -> Document {
    let (vehicle, estimate) = read(text);
    let choice = choose("truck.toml", &vehicle, &estimate, None, None).unwrap();
    let choice = ChoiceReport::new(&vehicle, &choice, Vec::new(), Units::Us);
    MeasuringSheet::new(&vehicle, &estimate, &choice, kind, Units::Us).document()
}

fn form(document: &Document) -> &Table {
    let mut forms = document.blocks.iter().filter_map(|block| match block {
        Block::Form(table) => Some(table),
        _ => None,
    });
    forms.next_back().unwrap()
}

#[test]
fn a_sheet_to_measure_with_has_five_lines_a_drawing_and_a_table() {
    for kind in MeasurementKind::ALL {
        let sheet = measuring(TRUCK, Some(kind));
        let lines = |block: &Block| if let Block::Method(lines) = block { lines.len() } else { 0 };
        assert_eq!(sheet.blocks.iter().map(lines).sum::<usize>(), 5, "{kind:?}");
        assert!(sheet.blocks.iter().any(|block| matches!(block, Block::Drawing(_))), "{kind:?}");
        let form = form(&sheet);
        assert!(form.rows.len() >= 3, "{kind:?}");
        assert!(
            form.rows.iter().all(|row| row.len() == form.head.len() && row[1..].iter().all(String::is_empty))
        );
        let words = serde_json::to_string(&sheet).unwrap();
        for asked in ["Pressure", "Load", "Date", "Who measured", "Stored now: 8.20."] {
            assert!(words.contains(asked), "{kind:?}: no {asked}");
        }
        assert!(!words.contains("Store 8") && !words.contains("write left"), "{kind:?}: {words}");
        assert_eq!(MeasurementKind::named(kind.word()), Ok(kind));
    }
    assert!(MeasurementKind::named("rolout").unwrap_err().hint.to_string().contains("rollout"));
}

#[test]
fn what_is_driven_carries_the_caution_for_open_faults_and_what_stands_does_not() {
    let faults = format!("{TRUCK}[[fault]]\ntouches = \"seat\"\n[[fault]]\ntouches = \"lights\"\n");
    let words = |kind| serde_json::to_string(&measuring(&faults, Some(kind))).unwrap();
    let driven = words(MeasurementKind::TimedMile);
    assert!(driven.contains("faults are open: seat") && driven.contains("Not in the dark"), "{driven}");
    assert!(!words(MeasurementKind::Rollout).contains("faults are open"));
}

#[test]
fn speeds_of_a_proof_stay_legal_though_the_dial_reads_slow() {
    let text = format!("{TRUCK}[use]\nspeeds_mph = [25, 60]\nrule = \"un-r39\"\n");
    let (vehicle, estimate) = read(&text);
    let rule = rule_of(&vehicle.usage, None).unwrap();
    let sheet = ProofSheet::new(&vehicle, &estimate, &rule, Units::Us).document();
    let ratio = estimate.over_all.needle_ratio.unwrap().low_95.plain();
    let form = form(&sheet);
    assert_eq!(form.rows.len(), 4);
    for row in &form.rows {
        let shown: f64 = row[0].split(' ').next().unwrap().parse().unwrap();
        assert!(shown / ratio <= 60.0 && shown >= 25.0, "{row:?}");
        // UN R39: shown is not below true, and above it by no more than a tenth and 4 km/h (2.485 mph).
        let ends: Vec<f64> = row[4].split(" to ").map(|end| end.parse().unwrap()).collect();
        assert!((ends[1] - shown).abs() < 0.051, "{row:?}");
        assert!((ends[0] - (shown - 2.485) / 1.1).abs() < 0.051, "{row:?}");
    }
}

#[test]
fn weights_of_all_pieces_and_of_what_was_believed_add_up_to_a_hundred() {
    let (vehicle, estimate) = read(&format!("{TRUCK}{TAPE}"));
    let alone = each_alone("truck.toml", &vehicle, &estimate.drives);
    let report = EvidenceReport::new(&vehicle, &estimate, &alone, Units::Us);
    for most in [1, 2, 5] {
        let (table, left_out) = report.table(most);
        let shares = table.rows.iter().filter_map(|row| row[3].strip_suffix(" %")?.parse::<usize>().ok());
        assert_eq!(shares.sum::<usize>(), 100, "{table:?}");
        assert_eq!(left_out, 2_usize.saturating_sub(most));
    }
}
