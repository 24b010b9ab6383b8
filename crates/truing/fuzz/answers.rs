//! From any bytes all the way to an answer: what each target of the attack does. No input may stop the program, no answer may
//! lie outside its own interval, and what cannot be answered has a reason.
//!
//! The coverage-guided targets beside this file use it, and the driver that every test run contains (`crates/waywiser/src/attack.rs`).

#![allow(dead_code, reason = "each target uses one of them")]

use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Pressure, Quantity, Speed, Volume};
use metrology::text;
use truing::choose::{Advice, choose};
use truing::describe::tire::TireSize;
use truing::describe::vehicle::Vehicle;
use truing::logs::csv::CsvOptions;
use truing::logs::recording::RecordingOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::measure::drive::{DriveEstimate, Indicated, estimate};
use truing::measure::fusion::fuse;
use truing::measure::pulses;
use truing::record::{Expected, VehicleState, csv_head, export_csv, export_entry, import};
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::description::DescriptionReport;
use truing::report::answers::drive::DriveReport;
use truing::report::answers::pulses::PulseReport;
use truing::report::answers::record_head::Verifier;
use truing::report::answers::steps::StepsReport;
use truing::report::answers::tire::TireReport;
use truing::report::answers::vehicle::VehicleReport;
use truing::report::papers::life::LifeReport;
use truing::report::papers::odometer::PapersReport;
use truing::report::words;
use truing::set::{Order, Procedure, Values, job, steps};
use truing::units::Units;

/// A target: its name, and what it does with bytes.
pub type Target = (&'static str, fn(&[u8]));

/// Those that need nothing but the reasoning.
pub const TARGETS: [Target; 8] = [
    ("drive", drive),
    ("pulses", recording),
    ("vehicle", advice),
    ("record", record),
    ("tire", tire),
    ("quantity", quantity),
    ("procedure", procedure),
    ("sheet_code", sheet_code),
];

fn inside<Q: Quantity>(measured: Option<&Measured<Q>>) {
    if let Some(m) = measured {
        let [low, value, high] = [m.low_95, m.value, m.high_95].map(Quantity::si);
        assert!(low <= value && value <= high && low.is_finite() && high.is_finite(), "{low} {value} {high}");
    }
}

/// The first two bytes say where the track ends and the log begins, the third whether both are the whole.
pub fn drive(bytes: &[u8]) {
    let [first, second, both, bytes @ ..] = bytes else { return };
    let split = usize::from(u16::from_le_bytes([*first, *second])).min(bytes.len());
    let (track_bytes, log_bytes) = if both & 1 == 1 { (bytes, bytes) } else { bytes.split_at(split) };
    let mut reader = TrackReader::new("track", CsvOptions::default());
    reader.feed(track_bytes);
    let (track, _) = reader.finish();
    let mut reader = VehicleLogReader::new("log", CsvOptions::default());
    reader.feed(log_bytes);
    let (log, _) = reader.finish();
    for indicated in [Indicated::Nothing, Indicated::Log(log)] {
        let (found, problems) = estimate("drive", &track, &indicated);
        assert!(found.is_some() || !problems.is_empty(), "neither an answer nor a reason");
        let Some(found) = found else { continue };
        sound(&found);
        DriveReport::new(&found, problems, Units::Us).document();
    }
}

fn sound(found: &DriveEstimate) {
    inside(found.reading_ratio.as_ref());
    inside(found.ratio_by_distance.as_ref());
    inside(found.offset.as_ref());
    inside(found.clock_lag.as_ref());
    inside(found.distance.as_ref());
}

/// A recording of the sensor's wire, to counts and the ring.
pub fn recording(bytes: &[u8]) {
    let (found, mut problems) = pulses::estimate("wire", RecordingOptions::default(), [bytes]);
    problems.extend(words::pulses::problems("wire", &found));
    let per_turn = found.per_turn(10.0);
    inside(per_turn.as_ref());
    PulseReport::new(&found, per_turn, None, problems, Units::Us).document();
}

/// A vehicle file, to the advice and the steps. Files that it names are not there.
pub fn advice(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let (vehicle, problems) = Vehicle::read("truck.toml", text);
    assert!(vehicle.is_some() || !problems.is_empty(), "neither a vehicle nor a reason");
    let Some(vehicle) = vehicle else { return };
    let (found, more) = fuse("truck.toml", &vehicle, Vec::new());
    for units in [Units::Us, Units::Metric] {
        DescriptionReport::new(&vehicle, &found, problems.clone(), units).document();
        VehicleReport::new(&vehicle, &found, more.clone(), units).document();
    }
    let Ok(choice) = choose("truck.toml", &vehicle, &found, None, None) else { return };
    ChoiceReport::new(&vehicle, &choice, Vec::new(), Units::Us).document();
    let best = choice.best.as_ref().filter(|_| choice.advice == Advice::Write);
    for (place, target) in best.into_iter().flat_map(|best| &best.settings) {
        let Some(adjuster) = vehicle.adjusters.get(*place) else { continue };
        if let Ok(outcome) = job("truck.toml", &vehicle, &Order::new(adjuster, target.clone())) {
            StepsReport::new(&vehicle, &outcome, Vec::new(), Units::Us).document();
        }
    }
}

/// An exported record, to its check and its papers. What was read goes out again byte for byte.
pub fn record(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let (chain, problems) = import("record.jsonl", &text);
    let _ = chain.check(&Expected::default());
    let entries = chain.entries();
    if problems.is_empty() && text.len() == bytes.len() {
        let again: String = entries.iter().map(|entry| export_entry(entry) + "\n").collect();
        assert_eq!(again, text, "an export that was taken in goes out otherwise");
    }
    let _ = csv_head() + &entries.iter().map(export_csv).collect::<String>();
    let Some(vehicle) = entries.first().map(|entry| entry.event.vehicle.clone()) else { return };
    let of_one: Vec<_> = entries.iter().filter(|entry| entry.event.vehicle == vehicle).cloned().collect();
    let _ = VehicleState::from_entries(&of_one);
    for units in [Units::Us, Units::Metric] {
        let head = chain.head().to_string();
        LifeReport::new(&vehicle, &of_one, (of_one.len() as u64, &head, true), units).document();
        let day = jiff::civil::Date::constant(2026, 11, 25);
        PapersReport::new(&vehicle, &of_one, Some(1994), Some(day), None, units).document();
    }
}

/// What somebody typed for a size of tire. What is printed is read again as the same.
pub fn tire(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let Ok(size) = TireSize::parse(&text) else { return };
    let printed = size.to_string();
    let again = TireSize::parse(&printed).map(|size| size.to_string());
    assert_eq!(again.as_ref().ok(), Some(&printed), "{text:?} is printed as {printed:?}");
    if let Ok(report) = TireReport::new(&size, &Default::default(), Units::Us) {
        report.document();
    }
}

/// What somebody typed for a quantity: a number of it, or a reason.
pub fn quantity(bytes: &[u8]) {
    let typed = String::from_utf8_lossy(bytes);
    fn of<Q: text::Typable>(typed: &str) {
        if let Ok(read) = text::read::<Q>(typed) {
            assert!(read.value.si().is_finite(), "{typed:?}");
        }
        let _ = text::read_list::<Q>(typed);
    }
    of::<Length>(&typed);
    of::<Speed>(&typed);
    of::<Pressure>(&typed);
    of::<Duration>(&typed);
    of::<Volume>(&typed);
}

/// An owner's own routine, to steps.
pub fn procedure(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let (procedure, problems) = Procedure::read("routine", &text);
    let values = Values {
        vehicle: "The truck",
        present: "1479",
        target: "1416",
        present_display: "1479",
        target_display: "1416",
        writes_left: Some(2),
        ..Values::default()
    };
    let filled = steps(&procedure, &values);
    assert!(
        filled.is_ok() || filled.is_err_and(|why| !why.is_empty()),
        "neither steps nor a reason: {problems:?}"
    );
}

/// What somebody typed from a sheet, and held against no record at all.
pub fn sheet_code(bytes: &[u8]) {
    let typed = String::from_utf8_lossy(bytes);
    match Verifier::new(&typed) {
        Ok(verifier) => assert!(!verifier.finish(Vec::new()).ok, "an empty record holds nothing"),
        Err(problems) => assert!(!problems.is_empty(), "no reason"),
    }
}
