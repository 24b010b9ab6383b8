//! How fast the readers are, each beside a bare loop over the same bytes in the same run: `cargo run --release --example
//! reader_speed`. The bare loop does what nobody can leave out: it splits the bytes, and for CSV reads the numbers.

#![expect(clippy::print_stdout, reason = "a table is what this is for")]

use quick_xml::events::Event;
use std::fmt::Write;
use std::hint::black_box;
use std::time::Instant;
use truing::logs::can::{CanOptions, CanReader};
use truing::logs::csv::{CsvOptions, CsvReader};
use truing::logs::gpx::GpxReader;
use truing::logs::nmea::NmeaReader;

/// Bytes fed at a time, as the command line does.
const CHUNK_BYTES: usize = 1 << 16;
/// Every loop runs so often; the fastest run counts, because others were disturbed.
const RUNS: usize = 5;
const SIZES_BYTES: [usize; 2] = [5 << 20, 50 << 20];

fn main() {
    println!("| format | MB | reader MB/s | bare loop MB/s | ratio of times |");
    println!("|---|---|---|---|---|");
    for size_bytes in SIZES_BYTES {
        row("GPX", &gpx(size_bytes), read_gpx, bare_events);
        row("CSV", &csv(size_bytes), read_csv, bare_records);
        row("NMEA", &nmea(size_bytes), read_nmea, bare_lines);
        row("candump", &candump(size_bytes), read_candump, bare_lines);
    }
}

fn row(format: &str, bytes: &[u8], reader: impl Fn(&[u8]) -> usize, bare: impl Fn(&[u8]) -> usize) {
    let (ours_s, bare_s) = (fastest_s(bytes, reader), fastest_s(bytes, bare));
    let megabytes = bytes.len() as f64 / 1e6;
    println!(
        "| {format} | {megabytes:.0} | {:.0} | {:.0} | {:.2} |",
        megabytes / ours_s,
        megabytes / bare_s,
        ours_s / bare_s
    );
}

#[expect(clippy::disallowed_methods, reason = "a stopwatch is what this is for")]
fn fastest_s(bytes: &[u8], run: impl Fn(&[u8]) -> usize) -> f64 {
    let once = || {
        let start = Instant::now();
        let count = black_box(run(black_box(bytes)));
        // A time in which nothing was read is no time.
        if count > 0 { start.elapsed().as_secs_f64() } else { f64::NAN }
    };
    (0..RUNS).map(|_| once()).reduce(|one, other| if one <= other { one } else { other }).unwrap_or(f64::NAN)
}

/// Lines of `line(index)` until the size is reached.
fn text(size_bytes: usize, head: &str, tail: &str, mut line: impl FnMut(&mut String, usize)) -> Vec<u8> {
    let mut text = String::with_capacity(size_bytes + 1024);
    text.push_str(head);
    let mut index = 0;
    while text.len() < size_bytes {
        line(&mut text, index);
        index += 1;
    }
    text.push_str(tail);
    text.into_bytes()
}

fn place(index: usize) -> (f64, f64, f64) {
    let along = index as f64 * 1e-5;
    (10.0 + along % 1.0, 20.0 + along * 0.7 % 1.0, 15.0 + 10.0 * along.sin())
}

fn gpx(size_bytes: usize) -> Vec<u8> {
    text(size_bytes, "<gpx><trk><trkseg>\n", "</trkseg></trk></gpx>\n", |text, index| {
        let (lat, lon, speed) = place(index);
        let (minute, second) = (index / 60 % 60, index % 60);
        let _ = writeln!(
            text,
            "<trkpt lat=\"{lat:.7}\" lon=\"{lon:.7}\"><ele>120.4</ele><time>2024-05-24T10:{minute:02}:{second:02}Z</time><extensions><speed>{speed:.2}</speed></extensions></trkpt>"
        );
    })
}

fn csv(size_bytes: usize) -> Vec<u8> {
    text(size_bytes, "time_s,lat,lon,ele_m,speed_m_s,hdop\n", "", |text, index| {
        let (lat, lon, speed) = place(index);
        let time_s = 1_700_000_000.0 + index as f64 * 0.1;
        let _ = writeln!(text, "{time_s:.3},{lat:.7},{lon:.7},120.4,{speed:.3},0.9");
    })
}

fn nmea(size_bytes: usize) -> Vec<u8> {
    text(size_bytes, "", "", |text, index| {
        let (lat, lon, speed) = place(index);
        let (minute, second) = (index / 60 % 60, index % 60);
        let time = format!("10{minute:02}{second:02}.00");
        let (lat, lon) = (format!("10{:08.5}", lat % 1.0 * 60.0), format!("020{:08.5}", lon % 1.0 * 60.0));
        for body in [
            format!("GPRMC,{time},A,{lat},N,{lon},E,{speed:.3},84.4,240524,,,A"),
            format!("GPGGA,{time},{lat},N,{lon},E,1,08,0.9,120.4,M,46.9,M,,"),
        ] {
            let _ = write!(text, "${body}*{:02X}\r\n", body.bytes().fold(0, |sum, byte| sum ^ byte));
        }
    })
}

fn candump(size_bytes: usize) -> Vec<u8> {
    text(size_bytes, "", "", |text, index| {
        let time_s = 1_700_000_000.0 + index as f64 * 0.001;
        let count = 20_000 + index % 100;
        // One frame in ten holds a speed, which is more than on most buses.
        let _ = match index % 10 {
            0 => writeln!(
                text,
                "({time_s:.6}) can0 18FEF100#FF{:02X}{:02X}FFFFFFFFFF",
                count & 0xFF,
                count >> 8
            ),
            other => writeln!(text, "({time_s:.6}) can0 0CF00{other}00#F07D8CC82AF0{:04X}", index & 0xFFFF),
        };
    })
}

fn read_gpx(bytes: &[u8]) -> usize {
    let mut reader = GpxReader::new("gpx");
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish().0.fixes.len()
}

fn read_csv(bytes: &[u8]) -> usize {
    let mut reader = CsvReader::for_track("csv", CsvOptions::default());
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish().0.fixes.len()
}

fn read_nmea(bytes: &[u8]) -> usize {
    let mut reader = NmeaReader::new("nmea");
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish().0.fixes.len()
}

fn read_candump(bytes: &[u8]) -> usize {
    let mut reader = CanReader::new("candump", CanOptions::default());
    bytes.chunks(CHUNK_BYTES).for_each(|chunk| reader.feed(chunk));
    reader.finish().0.samples.len()
}

fn bare_events(bytes: &[u8]) -> usize {
    let mut reader = quick_xml::Reader::from_reader(bytes);
    let (mut events, mut buffer) = (0, Vec::new());
    while let Ok(event) = reader.read_event_into(&mut buffer) {
        if matches!(event, Event::Eof) {
            break;
        }
        events += 1;
        buffer.clear();
    }
    events
}

fn bare_records(bytes: &[u8]) -> usize {
    let mut reader = ::csv::Reader::from_reader(bytes);
    let (mut record, mut rows) = (::csv::ByteRecord::new(), 0);
    while matches!(reader.read_byte_record(&mut record), Ok(true)) {
        let numbers = record.iter().filter(|cell| fast_float2::parse::<f64, _>(cell).is_ok()).count();
        rows += numbers / 6;
    }
    rows
}

fn bare_lines(bytes: &[u8]) -> usize {
    let (mut start, mut lines) = (0, 0);
    for end in memchr::memchr_iter(b'\n', bytes) {
        lines += usize::from(!black_box(&bytes[start..end]).is_empty());
        start = end + 1;
    }
    lines
}
