//! Recordings of every format, whole and damaged.

use super::*;
use proptest::prelude::*;

/// What came out: samples with their rate, edges as (time, rising), the end.
#[derive(Clone, Debug, Default, PartialEq)]
struct Read {
    rate_hz: f64,
    samples: Vec<f64>,
    edges: Vec<(f64, bool)>,
    end_s: Option<f64>,
    problems: Vec<Problem>,
}

fn read(bytes: &[u8], channel: Option<&str>, chunk: usize) -> Read {
    let mut found = Read::default();
    let mut take = |piece: Piece| match piece {
        Piece::Samples { rate, values } => {
            found.rate_hz = rate.hz();
            found.samples.extend(values);
        }
        Piece::Edge { time, rising } => found.edges.push((time.s(), rising)),
        Piece::Lossy => {}
        Piece::End { time } => found.end_s = Some(time.s()),
    };
    let mut reader = RecordingReader::new("it", RecordingOptions { channel: channel.map(str::to_owned) });
    bytes.chunks(chunk.max(1)).for_each(|piece| reader.feed(piece, &mut take));
    let problems = reader.finish(&mut take);
    Read { problems, ..found }
}

/// A WAV file by hand: code, bits, channels, data size as written, data.
fn wav(code: u16, bits: u16, channels: u16, size: Option<u32>, data: &[u8]) -> Vec<u8> {
    let mut bytes = b"RIFF\0\0\0\0WAVELIST\x03\0\0\0abc\0fmt \x10\0\0\0".to_vec();
    let frame = channels * bits / 8;
    bytes.extend([code.to_le_bytes(), channels.to_le_bytes()].concat());
    bytes.extend([8000_u32.to_le_bytes(), (8000 * u32::from(frame)).to_le_bytes()].concat());
    bytes.extend([frame.to_le_bytes(), bits.to_le_bytes()].concat());
    bytes.extend(b"data");
    bytes.extend(size.unwrap_or(data.len() as u32).to_le_bytes());
    bytes.extend(data);
    bytes
}

fn check_samples(bytes: &[u8], channel: Option<&str>, expected: &[f64]) {
    for chunk in [1, 3, 4096] {
        let found = read(bytes, channel, chunk);
        assert_eq!(found.samples, expected, "{:?}", found.problems);
        assert_eq!(found.rate_hz, 8000.0);
    }
}

#[test]
fn every_width_of_sample() {
    check_samples(&wav(1, 8, 1, None, &[0, 128, 192]), None, &[-1.0, 0.0, 0.5]);
    check_samples(&wav(1, 16, 1, None, &[0, 0x80, 0, 0, 0, 0x40]), None, &[-1.0, 0.0, 0.5]);
    check_samples(&wav(1, 24, 1, None, &[0, 0, 0x80, 0, 0, 0, 0, 0, 0x40]), None, &[-1.0, 0.0, 0.5]);
    check_samples(&wav(1, 32, 1, None, &[0, 0, 0, 0x80, 0, 0, 0, 0x40]), None, &[-1.0, 0.5]);
    let floats: Vec<u8> = [-1.0_f32, 0.25].iter().flat_map(|v| v.to_le_bytes()).collect();
    check_samples(&wav(3, 32, 1, None, &floats), None, &[-1.0, 0.25]);
    let doubles: Vec<u8> = [-1.0_f64, 0.1].iter().flat_map(|v| v.to_le_bytes()).collect();
    check_samples(&wav(3, 64, 1, None, &doubles), None, &[-1.0, 0.1]);
}

#[test]
fn channels_are_chosen() {
    let stereo = wav(1, 8, 2, None, &[128, 192, 64, 0]);
    check_samples(&stereo, Some("2"), &[0.5, -1.0]);
    check_samples(&stereo, None, &[0.0, -0.5]);
    assert!(read(&stereo, None, 9).problems[0].hint.contains("choose another with channel"));
    assert!(read(&stereo, Some("3"), 9).problems[0].is_error());
}

#[test]
fn damaged_sizes_are_read_to_the_end() {
    for size in [0, u32::MAX, 100, 5] {
        let found = read(&wav(1, 16, 1, Some(size), &[0, 0x40, 0, 0x40, 7]), None, 4);
        assert_eq!(found.samples, [0.5, 0.5], "{size}");
        assert!(!found.problems.iter().any(Problem::is_error), "{:?}", found.problems);
    }
}

#[test]
fn extensible_headers() {
    let mut bytes = wav(0xFFFE, 16, 1, None, &[0, 0x40]);
    let format = bytes.windows(4).position(|four| four == b"fmt ").unwrap();
    bytes[format + 4] = 40;
    let mut more = vec![22, 0, 16, 0, 4, 0, 0, 0, 1, 0];
    more.resize(24, 0);
    bytes.splice(format + 24..format + 24, more);
    check_samples(&bytes, None, &[0.5]);
}

fn check_refused(bytes: &[u8], piece: &str) {
    let found = read(bytes, None, 7);
    assert!(
        found.problems.iter().any(|p| p.is_error() && p.to_string().contains(piece)),
        "{:?}",
        found.problems
    );
    assert!(found.samples.is_empty() && found.edges.is_empty());
}

#[test]
fn what_is_refused() {
    check_refused(b"", "an empty file");
    check_refused(b"  \n ", "an empty file");
    check_refused(b"\0\0\0\x20ftypM4A ", "MPEG-4");
    check_refused(b"OggS....", "Ogg");
    check_refused(b"\xff\xfb\x90\x64", "MP3");
    check_refused(b"\xff\xf1\x50\x80", "AAC");
    check_refused(b"#!AMR\n\x3c", "AMR");
    check_refused(b"\x1a\x45\xdf\xa3\x01", "WebM");
    check_refused(b"abc\0def", "binary");
    check_refused(&wav(2, 4, 1, None, &[1, 2]), "format code 2");
    check_refused(&wav(1, 16, 0, None, &[1, 2]), "channel");
    check_refused(&wav(1, 16, 1, None, &[]), "no samples");
    check_refused(b"RIFF\0\0\0\0WAVEdata\x02\0\0\0ab", "without a format");
    check_refused(b"level,other\n0,1\n", "time in the first column");
    check_refused(b"time_s,volt\n0,0.1\n1,0.2\n5,0.3\n5.1,0.4\n", "uneven");
    check_refused(b"$timescale 1 us $end $enddefinitions $end #0 #5", "a line of one bit");
    check_refused(b"$timescale 3 weeks $end $var wire 1 ! a $end $enddefinitions $end #0 0!", "time scale");
}

#[test]
fn sound_that_the_faces_decode() {
    let check = |head: &[u8], expected: Option<&str>| assert_eq!(compressed(head), expected, "{head:x?}");
    check(b"\0\0\0\x20ftypM4A ", Some("compressed sound (MPEG-4)"));
    check(b"\xff\xf3\x40", Some("compressed sound (MP3)"));
    check(b"\xff\xf9\x40", Some("compressed sound (AAC)"));
    // Text in UTF-16 begins with FF FE or FE FF.
    for other in [&b"\xff\xfet\0"[..], b"\xfe\xff\0t", b"RIFF", b"#!AMR\n", b"", b"\xff"] {
        check(other, None);
    }
}

#[test]
fn single_zeros_do_not_refuse_a_text() {
    let rows: String = (0..20_000).map(|row| format!("{row},{}\n", row % 2)).collect();
    for at in [3, 300, 600, 100_000] {
        let mut bytes = format!("time_s,level\n{rows}").into_bytes();
        bytes.insert(at, 0);
        for chunk in [1 << 20, 511, 512, 513, 64] {
            let found = read(&bytes, None, chunk);
            assert_eq!(found.edges.len(), 19_999, "zero at {at}, chunks of {chunk}: {:?}", found.problems);
            let told: Vec<String> = found.problems.iter().map(Problem::to_string).collect();
            assert!(
                told.len() == 1 && told[0].contains("without bytes of zero; found 1 of them"),
                "{told:?}"
            );
        }
    }
}

#[test]
fn the_first_bytes_decide_however_they_arrive() {
    // Far more zeros than a text has, but beyond the bytes that are looked at.
    let rows: String = (0..200).map(|row| format!("{row},{}\n", row % 2)).collect();
    let bytes = [format!("time_s,level\n{rows}").as_bytes(), &[0; 9000]].concat();
    for chunk in [1 << 20, 512, 7] {
        assert_eq!(read(&bytes, None, chunk).edges.len(), 199, "{chunk}");
    }
    let (dump, far) =
        ("$date today $end $timescale 1 us $end $var wire 1 ! a $end", " $enddefinitions $end #0 0! #5 1!");
    let found = read(format!("{dump}{}{far}", " ".repeat(2000)).as_bytes(), None, 1 << 20);
    assert_eq!(found.edges.len(), 1, "{:?}", found.problems);
}

fn check_edges(text: &str, channel: Option<&str>, expected: &[(f64, bool)]) {
    for chunk in [1, 5, 4096] {
        assert_eq!(read(text.as_bytes(), channel, chunk).edges, expected, "{text}");
    }
}

#[test]
fn logic_csv() {
    let both = [(1.0, true), (1.5, false)];
    check_edges("time_s,level\n10,0\n11,1\n11.5,0\n", None, &both);
    check_edges("Time [ms];D0;D1\r\n0;1;0\r\n1000;1;1\r\n1500;0;0\r\n", Some("D1"), &both);
    check_edges("# exported\nTime(us)\tline\n0\tlow\n1000000\thigh\n1500000\tlow\n", None, &both);
    check_edges("0,0\n1,1\n1.5,0\n2,0\n", None, &both);
    check_edges("time_s\n0\n1\n", None, &[(0.0, true), (1.0, true)]);
    assert_eq!(read(b"time_s,level\n10,0\n11,1\n14,1\n", None, 9).end_s, Some(4.0));
    let bad = read(b"time_s,level\n0,0\n1,1\nx,y\n0.5,0\n2,0\n", None, 9);
    assert_eq!((bad.edges, bad.problems.len()), (vec![(1.0, true), (2.0, false)], 2));
}

#[test]
fn a_wave_as_csv() {
    let text: String = (0..200).map(|i| format!("{},{}\n", f64::from(i) * 0.001, i % 7)).collect();
    let found = read(format!("time_s,volt\n{text}").as_bytes(), None, 10);
    assert!((found.rate_hz - 1000.0).abs() < 1e-6 && found.samples.len() == 200);
}

#[test]
fn value_change_dumps() {
    let head = "$date today $end $timescale 10 us $end $scope module top $end $var wire 1 ! sensor $end\n\
                $var wire 8 # bus $end $var wire 1 \" other $end $upscope $end $enddefinitions $end\n";
    let values = "$dumpvars 0! x\" b0 # $end #100 1! 1\" b101 # #150 0! #200 z!\n";
    check_edges(&format!("{head}{values}"), Some("sensor"), &[(0.0, true), (0.0005, false)]);
    check_edges(&format!("{head}{values}"), Some("top.other"), &[]);
    let found = read(format!("{head}{values}").as_bytes(), None, 11);
    assert_eq!(found.end_s, Some(0.001));
    assert_eq!(found.problems.len(), 1, "two lines are said: {:?}", found.problems);
}

/// Rising edges, the last time and what is told, with so many changes of the line at most.
fn with_most_edges(text: &str, most: usize) -> (usize, f64, Vec<String>) {
    let (mut edges, mut last_s) = (0, 0.0);
    let mut take = |piece: Piece| match piece {
        Piece::Edge { time, .. } | Piece::End { time } => (edges, last_s) = (edges + 1, time.s()),
        _ => {}
    };
    let mut reader = RecordingReader::with_most_edges("it".into(), RecordingOptions::default(), most);
    text.as_bytes().chunks(100).for_each(|piece| reader.feed(piece, &mut take));
    let told = reader.finish(&mut take).iter().map(Problem::to_string).collect();
    (edges, last_s, told)
}

#[test]
fn more_changes_than_can_be_kept_end_the_recording() {
    let dump: String = (0..1000).map(|tick| format!("#{tick} {}!\n", tick % 2)).collect();
    let dump = format!("$timescale 1 s $end $var wire 1 ! a $end $enddefinitions $end\n{dump}");
    let rows: String = (0..1000).map(|tick| format!("{tick},{}\n", tick % 2)).collect();
    for text in [dump, format!("time_s,level\n{rows}")] {
        let (edges, last_s, told) = with_most_edges(&text, 10);
        assert_eq!((edges, last_s), (10, 10.0), "{told:?}");
        assert!(told[0].contains("at most 10 changes of the line; found 999"), "{told:?}");
        assert_eq!(with_most_edges(&text, 999).2, Vec::<String>::new());
    }
}

#[test]
fn declarations_without_end_are_read_in_bounded_memory() {
    let variables: String = (0..9000).map(|index| format!("$var wire 1 a{index} d{index} $end\n")).collect();
    let text = format!(
        "{}{variables}$enddefinitions $end #0 0a8999 #1 1a8999",
        "$scope module m $end\n".repeat(5000)
    );
    let found = read(text.as_bytes(), Some("d8999"), 4096);
    assert_eq!(found.edges.len(), 1, "the channel asked for is kept: {:?}", found.problems);
    assert!(
        found
            .problems
            .iter()
            .any(|problem| problem.to_string().contains("4096 lines of one bit; found 4903 more")),
        "{:?}",
        found.problems
    );
    let scales = "$timescale 3 weeks $end\n".repeat(10_000);
    assert!(read(scales.as_bytes(), None, 4096).problems.len() < 5);
    let names = format!("$var wire 1 ! {} $end\n", "x".repeat(100_000)).repeat(20);
    let found = read(format!("$date $end {names}$enddefinitions $end #0 0!").as_bytes(), None, 4096);
    assert!(found.problems.iter().all(|problem| problem.to_string().len() < 20_000));
}

proptest! {
    #[test]
    fn no_bytes_do_harm(bytes in proptest::collection::vec(any::<u8>(), 0..300), start in 0usize..4, chunk in 1usize..50) {
        let starts: [&[u8]; 4] = [b"", b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0\x01\0\x01\0\x40\x1f\0\0\0\0\0\0\x02\0\x10\0data", b"$date $end #", b"time_s,level\n"];
        let all = [starts[start], &bytes].concat();
        let whole = read(&all, None, all.len());
        prop_assert_eq!(format!("{:?}", read(&all, None, chunk)), format!("{whole:?}"));
    }
}
