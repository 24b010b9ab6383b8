//! What each kind of file is taken for, as a track and as a vehicle log.

use super::*;
use proptest::prelude::*;

fn read(bytes: &[u8], chunk_bytes: usize) -> ((Track, Vec<Problem>), (VehicleLog, Vec<Problem>)) {
    let mut track = TrackReader::new("drive", CsvOptions::default());
    let mut vehicle = VehicleLogReader::new("trip", CsvOptions::default());
    for chunk in bytes.chunks(chunk_bytes) {
        track.feed(chunk);
        vehicle.feed(chunk);
    }
    (track.finish(), vehicle.finish())
}

/// What is told of a file given as a track and as a vehicle log; empty for nothing.
fn check(bytes: &[u8], as_track: &str, as_vehicle_log: &str) {
    let ((_, track), (_, vehicle)) = read(bytes, 7);
    for (problems, expected) in [(track, as_track), (vehicle, as_vehicle_log)] {
        let told: Vec<String> = problems.iter().map(|problem| problem.to_string()).collect();
        let shown = String::from_utf8_lossy(bytes);
        assert_eq!(any_error(&problems), !expected.is_empty(), "{shown}: {told:?}");
        assert!(expected.is_empty() || told.iter().any(|told| told.contains(expected)), "{shown}: {told:?}");
    }
}

#[test]
fn formats() {
    check(
        b"",
        "expected a track as GPX, NMEA 0183, CSV, JSON, KML, TCX, FIT, IGC or subtitles; found an empty file",
        "found an empty file",
    );
    check(b" \r\n\t", "found an empty file", "found an empty file");
    check(b"<!DOCTYPE html><html><body>", "looks like a web page", "looks like a web page");
    check(b"<HTML>", "looks like a web page", "looks like a web page");
    check(b"<?xml version='1.0'?><kml>", "at least one position or speed", "looks like KML");
    check(b"{\"a\":1}", "found 1 objects with the names a", "found 1 objects with the names a");
    check(b"log of a day\n$GPRMC,1,2", "at least one position or speed", "looks like NMEA 0183");
    check(b"(1.0) can0 7E8#03410D50\n", "looks like a CAN log. give it as the vehicle's own log", "");
    check(b" can0  7E8   [4]  03 41 0D 50\n", "looks like a CAN log", "a time before each frame");
    check(b"\x1f\x8b\x08\0", "looks like gzip", "looks like gzip");
    check(b"PK\x03\x04..", "zip archive", "zip archive");
    check(b"abc\x01\x02,4", "binary data", "binary data");
    check(b"just some words\n", "a first line naming the columns", "a first line naming the columns");
    check(b"<rss><a/></rss>", "a GPX file, which begins with <gpx>; found <rss>", "GPX or other XML");
}

#[test]
fn every_format_finds_its_reader() {
    let track = |bytes: &[u8]| check(bytes, "", "looks like");
    track(b"<gpx><trk><trkseg><trkpt lat='1' lon='2'><time>2019-05-24T11:50:21Z</time></trkpt></trkseg></trk></gpx>");
    track(b"<?xml version='1.0'?><kml><Placemark><TimeStamp><when>2019-05-24T11:50:21Z</when></TimeStamp><Point><coordinates>11.5,48.25</coordinates></Point></Placemark></kml>");
    track(b"<TrainingCenterDatabase><Trackpoint><Time>2019-05-24T11:50:21Z</Time><Speed>3</Speed></Trackpoint></TrainingCenterDatabase>");
    track(b"AABC\nHFDTE240519\nB1150214815000N01130000EA0051900520\n");
    track(b"1\n00:00:01,000 --> 00:00:02,000\n52 km/h\n");
    track(b"WEBVTT\n\n00:01.000 --> 00:02.000\n52 km/h\n");
    let definition = b"\x0c\x10\0\0\0\0\0\0.FIT\x40\0\0\x14\0\x02\xfd\x04\x86\x06\x02\x84";
    track(&[&definition[..], &[0, 0, 0, 0, 0x40, 0x10, 0x27]].concat());
    check(b"[{\"time_s\":1,\"lat\":48.25,\"lon\":11.5,\"speed_kmh\":50}]", "", "");
    for frames in [
        &b"base hex timestamps absolute\n0.5 1 7E8 Rx d 4 03 41 0D 50\n"[..],
        b";$FILEVERSION=1.1\n1) 500.0 Rx 07E8 4 03 41 0D 50\n",
        b"time_s,id,dlc,data\n0.5,7E8,4,03 41 0D 50\n",
    ] {
        check(frames, "looks like a CAN log", "");
    }
}

#[test]
fn what_is_known_and_not_read_is_named_with_the_way_out() {
    for (head, name, hint) in [
        (&b"MDF     4.10    "[..], "a measurement file (MDF, MF4)", "export the frames as candump text"),
        (b"UnFinMF 4.10", "was not closed", "close it with what wrote it"),
        (b"LOGG\x90\0\0\0", "a binary log of buses (BLF)", "export the frames"),
        (b"MATRIX 5.0 MAT-file, ", "a file of matrices (MAT)", "write the vectors"),
        (b"\x89HDF\r\n\x1a\n\0", "HDF5", "write the arrays"),
        (b"PK\x03\x04\x14\0", "a zip archive or spreadsheet", "save the sheet"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "XLS", "save the table as CSV"),
        (b"SQLite format 3\0", "a database (SQLite)", "export the table"),
        (b"PAR1\x15\0", "Parquet", "save the table as CSV"),
        (b"\xd4\xc3\xb2\xa1\x02\0", "pcap", "export them as candump"),
        (b"\x0a\x0d\x0d\x0a\x1c\0", "pcapng", "export them as candump"),
        (b"\0\0\0\x20ftypisom", "a video (MP4, MOV)", "take its track out"),
        (b"\x1a\x45\xdf\xa3\x01", "MKV", "take its track out"),
        (b"RIFF\x24\0\0\0AVI LIST", "AVI", "take its track out"),
        (b"RIFF\x24\0\0\0WAVEfmt ", "a sound recording (WAV)", "give it as a recording"),
        (b"\xff\xfb\x90\x64", "MP3", "give it as a recording"),
        (b"\xb5\x62\x01\x07", "binary messages of a receiver", "convert it to NMEA 0183"),
        (b"7z\xbc\xaf\x27\x1c", "7z", "unpack it"),
    ] {
        check(head, name, name);
        check(head, hint, hint);
    }
    // Texts that begin with the same letters.
    for text in ["LOGGER,time_s,lat,lon,speed kmh\n", "ID3,time_s,lat,lon,mph\n", "PAR1 time_s,lat,lon,mph\n"]
    {
        check(text.as_bytes(), "at least one position", "at least one row with a time");
    }
    let stream: Vec<u8> = (0..1000).map(|at| if at % 188 == 0 { 0x47 } else { 1 }).collect();
    check(&stream, "MPEG transport stream", "take its track out");
}

#[test]
fn single_zeros_do_not_refuse_a_log() {
    let rows: String = (0..200).map(|row| format!("{row},48.25,11.5,50\n")).collect();
    let text = format!("t_s,lat,lon,speed kmh\n{rows}");
    for at in [1, 30, 500, 2000] {
        let mut bytes = text.clone().into_bytes();
        bytes.insert(at, 0);
        let ((track, told), (log, _)) = read(&bytes, 7);
        assert_eq!((track.fixes.len(), log.samples.len()), (200, 200), "{at}: {told:?}");
        assert!(
            told.iter().any(|told| told.to_string().contains("without bytes of zero; found 1 of them")),
            "{told:?}"
        );
    }
}

#[test]
fn what_holds_nothing_of_use() {
    let gpx = |points: &str| format!("<gpx><trk><trkseg>{points}</trkseg></trk></gpx>").into_bytes();
    check(&gpx(""), "at least one position or speed", "give it as the track");
    check(&gpx("<trkpt lat='1' lon='2'/>"), "expected times of the fixes; found not one", "GPX");
    check(&gpx("<trkpt lat='1' lon='2'><time>2019-05-24T11:50:21Z</time></trkpt>"), "", "GPX");
    check(b"t_s,lat,lon,mph\n", "at least one position or speed", "at least one row with a time");
    check(b"t_s,lat,lon,mph\n1,2,3,4\n", "", "");
    check(b"lat,lon\n1,2\n", "a column of times", "a column of times");
}

proptest! {
    #[test]
    fn any_bytes_are_survived(bytes in proptest::collection::vec(any::<u8>(), 0..3000), chunk_bytes in 1usize..50) {
        prop_assert_eq!(read(&bytes, chunk_bytes), read(&bytes, 1 << 20));
    }
}
