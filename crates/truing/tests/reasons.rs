//! Every kind of reason of a choice comes about for some truck, with its numbers and its sentence.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod trucks;

use metrology::quantity::{Ratio, Speed};
use serde_json::Value;
use std::collections::BTreeSet;
use trucks::{drive, fused, vehicle};
use truing::choose::{Reason, choose};
use truing::measure::drive::{Diagnosis, DriveEstimate, Reads};
use truing::report::answers::choice::ChoiceReport;
use truing::units::Units;

/// A kind of reason, a piece of its sentence, and a truck for which it comes about.
struct Case {
    kind: &'static str,
    says: &'static str,
    truck: String,
    /// What the first piece of evidence came out as, where it is a drive.
    drive: Option<DriveEstimate>,
}

fn case(kind: &'static str, says: &'static str, truck: String) -> Case {
    Case { kind, says, truck: with_settings(&truck), drive: None }
}

/// Where writes are counted each measurement of something shown says what was stored then, which is what is stored now.
fn with_settings(truck: &str) -> String {
    let mut pieces = truck.split("[[evidence]]\n");
    let first = pieces.next().unwrap_or_default().to_string();
    let is_shown = |piece: &str| piece.contains("\"odometer-distance\"") || piece.contains("\"drive\"");
    let said =
        |piece: &str| match truck.contains("writes_left") && is_shown(piece) && !piece.contains("setting") {
            true => format!("[[evidence]]\nsetting = \"8.20\"\n{piece}"),
            false => format!("[[evidence]]\n{piece}"),
        };
    first + &pieces.map(said).collect::<String>()
}

/// A constant from 4.00 to 12.00 by 0.01 with its writes left.
fn stepped(present: &str, writes_left: u32) -> String {
    format!(
        "[adjuster]\nkind = \"stepped-constant\"\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.01\"\nbuttons = [\"up\"]\nwraps = true\n\
         present = \"{present}\"\nwrites_left = {writes_left}\n"
    )
}

/// An odometer that showed so many miles for 100 true ones, known to so many of them.
fn shown(miles: f64, give_or_take: f64) -> String {
    format!(
        "[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"{miles:.3} mi\"\ntrue = \"100 mi +/- {give_or_take}\"\nresolution = \"0.001 mi\"\n"
    )
}

const BRAKES: &str = "[[fault]]\ntouches = \"brakes\"\nnote = \"pulls left\"\n";
const DRIVE: &str = "[[evidence]]\nkind = \"drive\"\ntrack = \"a.gpx\"\nvehicle_log = \"a.csv\"\n";
const RULE: &str = "[use]\nrule = \"un-r39\"\n[head]\nneedle = \"digital\"\n";

/// Four per cent slow and well known.
fn slow(writes_left: u32) -> String {
    stepped("8.20", writes_left) + &shown(96.0, 0.05)
}

/// Tires of today for so many miles, then others that turn 4.6 % more often.
fn planned(present: &str, writes_left: u32, miles: [u32; 2]) -> String {
    let [now, then] = miles;
    // 650 x 100 / 8000 would be true; a distance on the road shows that the ring is the one believed.
    let shown = 100.0 * 8.125 / present.parse::<f64>().unwrap();
    format!(
        "[[tire]]\nname = \"summer\"\npublished_revs_per_mile = 650\nmounted = true\n[[tire]]\nname = \"winter\"\npublished_revs_per_mile = 680\n\
         [chain]\nsensor_at = \"axle-ring\"\nring_teeth = 100\n[adjuster]\nkind = \"stepped-constant\"\ncounts_per_mile_per_unit = 8000\n\
         min = \"5.0\"\nmax = \"11.0\"\nstep = \"0.1\"\nbuttons = [\"up\"]\nwraps = true\npresent = \"{present}\"\nwrites_left = {writes_left}\n\
         [[evidence]]\nkind = \"earlier\"\ntires = \"summer\"\nrevs_per_mile = 650\nstandard_uncertainty = 0.1\n\
         [[evidence]]\nkind = \"odometer-distance\"\ntires = \"summer\"\nindicated = \"{shown:.9} mi\"\ntrue = \"100 mi +/- 0.5\"\nresolution = \"0.001 mi\"\nsetting = \"{present}\"\n\
         [[plan]]\ntires = \"summer\"\nmiles = {now}\n[[plan]]\ntires = \"winter\"\nmiles = {then}\n"
    )
}

/// A ring, an adjuster that multiplies the signal behind the dial's branch, and a transmission that reads the wire.
fn readers() -> String {
    "[chain]\nsensor_at = \"transmission-output\"\nalso_feeds = [\"anti-lock-brakes\", \"transmission\"]\n\
     [adjuster]\nkind = \"tone-ring\"\nteeth = [92, 96, 100]\npresent = 96\n"
        .to_string()
        + &shown(96.0, 0.05)
}

fn evidence() -> Vec<Case> {
    let mut offset = drive(Reads::Channel, 0.96, 0.002);
    offset.diagnosis = Diagnosis::Offset { offset: Speed::from_mi_per_h(2.0), deviations: 9.0 };
    let mut slips = drive(Reads::Channel, 1.04, 0.002);
    slips.diagnosis = Diagnosis::Slipping { spinning: Ratio::from_plain(0.2) };
    let ring = "[chain]\nsensor_at = \"axle-ring\"\nring_teeth = 96\n";
    vec![
        Case {
            drive: Some(offset),
            ..case("not-by-setting", "Look first at where the needle", stepped("8.20", 3) + DRIVE)
        },
        Case {
            drive: Some(slips),
            ..case("not-by-setting", "the driven wheels spun", stepped("8.20", 3) + DRIVE)
        },
        case("unknowable", "cannot be known from what is given", stepped("8.20", 3)),
        case("reading-unknown", "no setting can be advised", stepped("8.20", 3)),
        case("measure-to-know", "Measure first: a 20-minute drive", stepped("8.20", 3)),
        case("held-back", "repaired - brakes (pulls left): a 20-minute drive", stepped("8.20", 3) + BRAKES),
        Case {
            drive: Some(drive(Reads::Channel, 1.07456, 0.002)),
            ..case("alarm", "count it before you rely", false_axle())
        },
        case(
            "conflict",
            "disagrees more than its uncertainties allow",
            stepped("8.20", 3) + &shown(96.0, 0.05) + &shown(103.0, 0.05) + ring,
        ),
        case("reading", "The odometer reads 4.00 % slow", slow(3)),
        case("check", "looks like a reading of the odometer", stepped("8.20", 3) + &shown(128411.0, 0.05)),
        case(
            "nothing-before-checked",
            "Nothing is to be stored before",
            stepped("8.20", 3) + &shown(128411.0, 0.05),
        ),
        case("dial-reads-slow", "shown 50 is a true 52: hold the needle at 46 to keep to 50 mph", slow(3)),
        case("may-have-no-log", "under use", stepped("8.20", 3) + &shown(96.0, 1.8)),
    ]
}

fn writes() -> Vec<Case> {
    vec![
        case("stored-is-best", "8.20 is stored already", stepped("8.20", 3) + &shown(100.0, 0.05)),
        case("stored-may-change", "is stored and is the best", stepped("8.20", 3) + &shown(100.0, 1.0)),
        case("no-write-to-spend", "has 1 write left, and 1 is to be kept", slow(1) + "[use]\nreserve = 1\n"),
        case("write-undecided", "cannot be told yet", stepped("8.20", 3) + &shown(99.4, 0.6)),
        case("second-write-likely", "costs a second write", stepped("8.20", 3) + &shown(96.0, 1.8)),
        case("measure-first", "Measure first: a 20-minute drive", stepped("8.20", 3) + &shown(96.0, 1.8)),
        case("worth-a-write", "After it the module has 2 writes left", slow(3)),
        case("may-be-worse", "leaves the truck worse", stepped("8.20", 3) + &shown(98.9, 0.28)),
        case("still-helps", "What would help: a conditioner", slow(0)),
        case("range-ends-short", "ends short: 8.20 comes nearest", ends_at_present(["up", "down"], "8.20")),
        case("dial-would-read-slow", "the dial still reads slow", ends_at_present(["up", "down"], "8.10")),
        case("not-reachable", "the only button goes up", ends_at_present(["up", "up"], "4.00")),
        case("not-slow-preferred", "would be as true but reads slow", coarse()),
        case("not-worth-a-write", "as it is: not worth a write", stepped("8.20", 3) + &shown(99.8, 0.05)),
    ]
}

fn rules_and_road() -> Vec<Case> {
    let declared = "[chain]\nsensor_at = \"transmission-output\"\naxle_ratio = \"3.73\"\n[adjuster]\nkind = \"declared-tire-axle\"\n\
                    revs_per_mile = { min = 600, max = 800, step = 1 }\npresent = \"700 x 3.55\"\naxle_ratios = [3.55]\n";
    let apart = "[[reader]]\nname = \"transmission\"\ncounts_per_mile = 4000\n";
    vec![
        case("rule-kept", "The rule un-r39", slow(3) + RULE),
        case("biased-for-rule", "for every 1000 driven", slow(3) + RULE),
        case("risk-beside-error", "How near to the truth each comes (95 %)", slow(3) + RULE),
        case(
            "write-for-rule",
            "is for the rule: the chance of breaking it falls",
            stepped("8.20", 3) + &shown(99.9, 0.05) + RULE,
        ),
        case("rests-on-needle", "measure the needle first", slow(3) + "[use]\nrule = \"un-r39\"\n"),
        case("risk-taken", "keeps the rule, but is", risky()),
        case("rule-not-kept", "No setting in reach keeps the rule un-r39", stuck()),
        case("axle-misdeclared", "4.8 % less than the one fitted", declared.to_string() + &shown(96.0, 0.05)),
        case("write-serves-later", "the write is better kept", planned("8.3", 1, [300, 20000])),
        case("serves-road-best", "8.3 serves the road planned best", planned("7.5", 1, [5000, 5000])),
        case("road-to-come", "8.3 over 5000 mi on summer", planned("7.5", 1, [5000, 5000])),
        case("one-for-all", "One setting for all of them would be 8.3", planned("7.5", 1, [5000, 5000])),
        case("waiting", "saves no write", planned("8.3", 1, [300, 20000])),
        case("reader-unchanged", "it stays wrong", slow(3) + apart),
        case("reader-changes", "A shift that comes at a true 30 mph", readers()),
    ]
}

/// Rings so far apart that the one which keeps the rule reads 5 % fast, and the one that nearly does reads true.
fn risky() -> String {
    "[adjuster]\nkind = \"tone-ring\"\nteeth = [96, 97, 105]\npresent = 96\n".to_string()
        + &shown(99.15, 0.05)
        + RULE
}

/// Four per cent slow, with a range that begins at a value and buttons.
fn ends_at_present(buttons: [&str; 2], least: &str) -> String {
    let buttons =
        if buttons[0] == buttons[1] { format!("{:?}", [buttons[0]]) } else { format!("{buttons:?}") };
    stepped("8.20", 3)
        .replace("wraps = true\n", "")
        .replace("buttons = [\"up\"]", &format!("buttons = {buttons}"))
        .replace("min = \"4.00\"", &format!("min = \"{least}\""))
        + &shown(96.0, 0.05)
}

/// Steps of a quarter of a per cent: exactly true would be 7.8712; 7.88 reads 0.11 % slow and 7.86 reads 0.14 % fast.
fn coarse() -> String {
    stepped("8.20", 3).replace("step = \"0.01\"", "step = \"0.02\"") + &shown(95.99, 0.05)
}

/// A truck whose only rings leave it far too slow for the rule.
fn stuck() -> String {
    "[adjuster]\nkind = \"tone-ring\"\nteeth = [80, 82]\npresent = 80\n".to_string()
        + &shown(90.0, 0.05)
        + RULE
}

/// An axle that is believed to be 39/11, where the log and the tape saw one of 41/10: 655.22 turns a mile from the tape times
/// 8 x 4.1 counts a turn are 21491, and the module takes 20000 for a mile.
fn false_axle() -> String {
    format!(
        "[tire]\nname = \"a\"\n[chain]\nsensor_at = \"transmission-output\"\ncounts_per_turn = 8\naxle_ratio = \"39/11\"\n\
         [adjuster]\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 90000\npresent = 20000\n{DRIVE}\
         [[evidence]]\nkind = \"rollout\"\nturns = 5\nlength = \"40 ft 3 1/2 in\"\n"
    )
}

fn reasons(case: &Case) -> Vec<Value> {
    let truck = vehicle(&case.truck);
    let drives: Vec<(usize, DriveEstimate)> = case.drive.iter().map(|drive| (0, drive.clone())).collect();
    let (estimate, _) = fused(&case.truck, &drives);
    let choice = choose("vehicle.toml", &truck, &estimate, None, None).unwrap();
    let report = ChoiceReport::new(&truck, &choice, Vec::new(), Units::Us);
    let Value::Object(mut report) = serde_json::to_value(&report).unwrap() else { panic!("no object") };
    let Value::Array(reasons) = report.remove("reasons").unwrap() else { panic!("no list") };
    let texts: Vec<&Value> = reasons.iter().map(|reason| &reason["text"]).collect();
    assert_eq!(report["why"].as_array().unwrap().iter().collect::<Vec<_>>(), texts, "two accounts");
    reasons
}

/// The kinds that the description of the JSON names.
fn kinds() -> BTreeSet<String> {
    let schema = schemars::schema_for!(Reason).to_value();
    let each = schema["oneOf"].as_array().unwrap().iter();
    each.map(|one| one["properties"]["kind"]["const"].as_str().unwrap().to_string()).collect()
}

#[test]
fn every_kind_comes_about() {
    let cases: Vec<Case> = [evidence(), writes(), rules_and_road()].into_iter().flatten().collect();
    for case in &cases {
        let reasons = reasons(case);
        let is_it = |reason: &&Value| {
            reason["kind"] == case.kind && reason["text"].as_str().unwrap().contains(case.says)
        };
        assert!(reasons.iter().any(|reason| is_it(&reason)), "{}: {reasons:#?}", case.kind);
    }
    let shown: BTreeSet<String> = cases.iter().map(|case| case.kind.to_string()).collect();
    assert_eq!(shown, kinds(), "a kind of reason without a truck, or a truck without one");
}

#[test]
fn numbers_come_unrounded_with_their_unit_in_the_key() {
    let of = |truck: String, kind: &'static str| {
        let all = reasons(&case(kind, "", truck));
        all.into_iter().find(|reason| reason["kind"] == kind).unwrap()
    };
    let near = |value: &Value, expected: f64, within: f64| {
        let value = value.as_f64().unwrap();
        assert!((value - expected).abs() < within, "{value} {expected}");
    };
    let worth = of(slow(3), "worth-a-write");
    // ln 0.96 = -0.040822; the best, 7.87, is 7.872 / 7.87 off: its uncertainty alone is left, 0.05 % and the day's 0.1 %.
    near(&worth["error_now"], 0.040822, 2e-5);
    near(&worth["error_then"], 0.00115, 1e-4);
    assert_eq!((&worth["setting"], &worth["writes_left_after"]), (&"7.87".into(), &2.into()));
    let reading = of(slow(3), "reading");
    near(&reading["now"]["ratio"], 0.96, 1e-6);
    // 0.96 x 8.20 = 7.872
    near(&reading["exactly_true"]["value"], 7.872, 1e-6);
    assert_eq!(
        (&reading["make_true"], &reading["exactly_true"]["kind"]),
        (&"distance".into(), &"constant".into())
    );
    let first = of(stepped("8.20", 3) + &shown(96.0, 1.8), "measure-first");
    assert_eq!((&first["measurement"], &first["minutes"]), (&"drive-with-log".into(), &30.0.into()));
    let road = of(planned("7.5", 1, [5000, 5000]), "road-to-come");
    // 5000 mi x 1609.344 m
    near(&road["held"][0]["distance_m"], 8_046_720.0, 1e-3);
    let held = of(stepped("8.20", 3) + BRAKES, "held-back");
    assert_eq!(held["faults"], serde_json::json!(["brakes"]));
}

/// With the winter tires planned first, what is to be stored is stored for them: 65 000 counts per mile on the summer tires and
/// 68 000 on the winter ones, where 8.9 takes 71 200 and 8.6, the least there is, 68 800.
#[test]
fn a_slow_dial_is_that_of_the_tires_that_the_advice_speaks_of() {
    let truck = planned("8.9", 3, [5000, 1000]).replace("min = \"5.0\"", "min = \"8.6\"");
    let check = |truck: &str, kind: &'static str, tires: Value, says: &str| {
        let reasons = reasons(&case(kind, "", truck.into()));
        let dial = reasons.iter().find(|reason| reason["kind"] == kind).unwrap();
        assert_eq!(dial["tires"], tires, "{dial}");
        assert!(dial["text"].as_str().unwrap().contains(says), "{dial}");
    };
    let (now, then) = ("dial-reads-slow", "dial-would-read-slow");
    // Summer first: 65 000 / 68 800 is 5.5 % slow with the tires that are on, which need no name.
    check(&truck, then, Value::Null, "With 8.6 the dial still reads slow: shown 50 is a true 53");
    let winter = truck
        .replace("tires = \"summer\"\nmiles = 5000", "tires = \"winter\"\nmiles = 5000")
        .replace("tires = \"winter\"\nmiles = 1000", "tires = \"summer\"\nmiles = 10");
    // 68 000 / 68 800 is 1.2 % slow.
    check(&winter, then, "winter".into(), "with the winter tires on: shown 50 is a true 51");
    // 65 000 / 71 200 is 8.7 % slow.
    check(&winter, now, "summer".into(), "with the summer tires on: shown 50 is a true 55");
}
