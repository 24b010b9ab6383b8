//! Any bytes all the way from two files to the estimate of a drive: no panic, every value a number inside its own interval.
#![no_main]

use libfuzzer_sys::fuzz_target;
use metrology::measured::Measured;
use metrology::quantity::Quantity;
use truing::logs::csv::CsvOptions;
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::measure::drive::{Indicated, estimate};
use truing::report::drive::DriveReport;
use truing::units::Units;

fn check<Q: Quantity>(measured: Option<Measured<Q>>) {
    if let Some(m) = measured {
        let [low, value, high] = [m.low_95, m.value, m.high_95].map(Quantity::si);
        assert!(low <= value && value <= high && low.is_finite() && high.is_finite(), "{low} {value} {high}");
    }
}

// The first number is where the track ends and the log begins; both may be the whole.
fuzz_target!(|input: (u16, bool, &[u8])| {
    let (split, both, bytes) = (usize::from(input.0), input.1, input.2);
    let (track_bytes, log_bytes) = if both { (bytes, bytes) } else { bytes.split_at(split.min(bytes.len())) };
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
        check(found.reading_ratio);
        check(found.ratio_by_distance);
        check(found.offset);
        check(found.clock_lag);
        check(found.distance);
        DriveReport::new(&found, problems, Units::Us).document();
    }
});
