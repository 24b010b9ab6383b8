//! What a file is by its beginning, whatever it is called, and when it was recorded.

use super::pairs::{Nature, Side, Span};
use super::reading::Reading;
use crate::work::logs;
use crate::world;
use metrology::quantity::Instant;
use std::path::Path;
use truing::logs::can;
use truing::logs::csv::{CsvOptions, shares_a_column};
use truing::logs::sniff::{TrackReader, VehicleLogReader};
use truing::logs::{Clock, Track, VehicleLog};

/// How much of a file tells what it is.
pub const LOOKED_AT_BYTES: usize = 1 << 18;

/// What the beginning of a file holds.
pub struct Beginning {
    /// What it can be.
    pub nature: Nature,
    /// Where and how fast.
    pub track: Track,
    /// What the vehicle indicated.
    pub log: VehicleLog,
}

/// What a file can be by its beginning.
pub fn nature(path: &Path, reading: &Reading) -> Nature {
    let mut head = Vec::new();
    // Damage further on is told when the file is read whole.
    let _ = world::feed_some(path, LOOKED_AT_BYTES, |bytes| head.extend_from_slice(bytes));
    beginning(&head, &reading.track, &reading.vehicle).nature
}

/// What stands in the beginning of a file, its columns chosen so where it is CSV.
pub fn beginning(head: &[u8], track_columns: &CsvOptions, vehicle_columns: &CsvOptions) -> Beginning {
    let mut reader = TrackReader::new("", track_columns.clone());
    reader.feed(head);
    let (track, _) = reader.finish();
    let mut reader = VehicleLogReader::new("", vehicle_columns.clone());
    reader.feed(head);
    let (log, _) = reader.finish();
    let is_placed = track.fixes.iter().any(|fix| fix.time.is_some() && fix.latitude.is_some());
    let is_track = is_placed || track.fixes.iter().any(|fix| fix.time.is_some() && fix.speed.is_some());
    let is_log = !log.samples.is_empty() || can::begins_with_frames(head);
    let nature = match (is_track, is_log) {
        (true, false) => Nature::Track,
        (false, true) => Nature::Vehicle,
        (false, false) => Nature::Unknown,
        (true, true) if !shares_a_column(head, track_columns, vehicle_columns) => Nature::Whole,
        // One column of speeds is that of whoever wrote the positions.
        (true, true) if is_placed => Nature::Track,
        (true, true) => Nature::Either,
    };
    Beginning { nature, track, log }
}

/// From when to when a file was recorded, where its clock counts from 1970.
pub fn span(path: &Path, part: Side, reading: &Reading) -> Option<Span> {
    let (clock, times): (Clock, Vec<Instant>) = if part == Side::Track {
        let (track, _) = logs::track(path, reading.track.clone()).ok()?;
        (track.clock, track.fixes.iter().filter_map(|fix| fix.time).collect())
    } else {
        let (log, _) = logs::vehicle_log(path, reading.vehicle.clone(), reading.can.clone()).ok()?;
        (log.clock, log.samples.iter().map(|sample| sample.time).collect())
    };
    let by_time = |one: &Instant, other: &Instant| one.s().total_cmp(&other.s());
    let from = times.iter().copied().min_by(by_time)?;
    let to = times.iter().copied().max_by(by_time)?;
    (clock == Clock::Absolute).then_some(Span { from, to })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, track_columns: &str, vehicle_columns: &str, expected: Nature) {
        let columns = |text: &str| match text {
            "" => CsvOptions::default(),
            _ => CsvOptions::parse(text).unwrap(),
        };
        let found = beginning(text.as_bytes(), &columns(track_columns), &columns(vehicle_columns)).nature;
        assert_eq!(found, expected, "{text} {track_columns} {vehicle_columns}");
    }

    #[test]
    fn what_stands_in_a_file_tells_what_it_is() {
        use Nature::{Either, Track, Unknown, Vehicle, Whole};
        check(
            "<gpx><trk><trkseg><trkpt lat='1' lon='2'><time>2019-05-24T11:50:21Z</time></trkpt></trkseg></trk></gpx>",
            "",
            "",
            Track,
        );
        check("(1.0) can0 7E8#03410D50\n", "", "", Vehicle);
        check("(1.0) can0 123#00\n", "", "", Vehicle);
        check("time_s,obd_speed_kmh\n1,2\n", "", "", Vehicle);
        check("time_s,gps_speed_kmh\n1,2\n", "", "", Track);
        check("time_s,speed_kmh\n1,2\n", "", "", Either);
        check("just some words\n", "", "", Unknown);
        check("", "", "", Unknown);
        // Positions and one column of speeds are a track: beside itself it would show nothing.
        check("time_s,lat,lon,speed_kmh\n1,2,3,4\n", "", "", Track);
        check("time_s,lat,lon\n1,2,3\n", "", "", Track);
        check("time_s,lat,lon,obd_speed_kmh\n1,2,3,4\n", "", "", Whole);
        check("time_s,lat,lon,gps_speed_kmh,obd_speed_kmh\n1,2,3,4,5\n", "", "", Whole);
        check("time_s,gps_speed_kmh,obd_speed_kmh\n1,4,5\n", "", "", Whole);
        // The same column named for both sides.
        check("time_s,a,b\n1,2,3\n", "time=time_s s, speed=a km/h", "time=time_s s, speed=b km/h", Whole);
        check("time_s,a,b\n1,2,3\n", "time=time_s s, speed=a km/h", "time=time_s s, speed=a km/h", Either);
    }
}
