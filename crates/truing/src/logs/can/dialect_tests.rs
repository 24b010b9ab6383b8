//! The same frames in every text: whole, cut and damaged.

use super::*;
use proptest::prelude::*;

fn read(text: &str, chunk_bytes: usize) -> (VehicleLog, Vec<String>) {
    let mut reader = CanReader::new("bus", CanOptions::default());
    text.as_bytes().chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
    let (log, problems) = reader.finish();
    (log, problems.iter().map(Problem::to_string).collect())
}

/// Times (s) and speeds (km/h), and what is told.
fn check(text: &str, expected: &[(f64, f64)], told: &[&str]) -> VehicleLog {
    let (log, problems) = read(text, 9);
    let found: Vec<(f64, f64)> =
        log.samples.iter().map(|sample| (sample.time.s(), sample.speed.km_per_h())).collect();
    let close = |((time, speed), (t, s)): (&(f64, f64), &(f64, f64))| {
        (time - t).abs() < 1e-5 && (speed - s).abs() < 1e-9
    };
    assert_eq!(found.len(), expected.len(), "{text}: {found:?} {problems:?}");
    assert!(found.iter().zip(expected).all(close), "{text}: {found:?}");
    assert_eq!(problems.len(), told.len(), "{text}: {problems:?}");
    assert!(problems.iter().zip(told).all(|(found, told)| found.contains(told)), "{text}: {problems:?}");
    assert_eq!(read(text, 1 << 20).0, log);
    assert!(begins_with_frames(text.as_bytes()), "{text}");
    log
}

/// 100, 80 and 60 km/h as SPN 84: 25600, 20480 and 15360 counts of 1/256 km/h.
const SPEEDS: [(f64, &str); 3] = [
    (100.0, "FF 00 64 FF FF FF FF FF"),
    (80.0, "FF 00 50 FF FF FF FF FF"),
    (60.0, "FF 00 3C FF FF FF FF FF"),
];

fn expected(start_s: f64) -> Vec<(f64, f64)> {
    SPEEDS.iter().enumerate().map(|(index, (speed, _))| (start_s + 0.5 + index as f64, *speed)).collect()
}

fn rows(row: impl Fn(usize, &str) -> String) -> String {
    SPEEDS.iter().enumerate().map(|(index, (_, data))| row(index, data)).collect()
}

/// 2019-05-24T11:50:21Z by `date -u +%s`.
const MOMENT_S: f64 = 1_558_698_621.0;

#[test]
fn asc() {
    let frames = rows(|index, data| {
        format!("   {index}.500000 1  18FEF100x       Rx   d 8 {data}  Length = 273910 BitCount = 141\r\n")
    });
    let head = "date Fri May 24 11:50:21 am 2019\r\nbase hex  timestamps absolute\r\ninternal events logged\r\n// version 8.0.0\r\n\
                Begin Triggerblock Fri May 24 11:50:21 am 2019\r\n   0.000000 Start of measurement\r\n";
    let log = check(&format!("{head}{frames}End TriggerBlock\r\n"), &expected(MOMENT_S), &["taken as UTC"]);
    assert_eq!(log.clock, Clock::Absolute);
    let log = check(&format!("base hex  timestamps absolute\n{frames}"), &expected(0.0), &[]);
    assert_eq!(log.clock, Clock::Elapsed);
    // Spans between lines; another line counts too.
    let spans = "base hex  timestamps relative\n 0.5 1 18FEF100x Rx d 8 FF 00 64 FF FF FF FF FF\n 0.25 1 123 Rx d 1 00\n\
                 0.75 1 18FEF100x Rx d 8 FF 00 50 FF FF FF FF FF\n";
    check(spans, &expected(0.0)[..2], &[]);
    let decimal = "base dec  timestamps absolute\n0.5 1 419361024x Rx d 8 255 0 100 255 255 255 255 255\n";
    check(decimal, &expected(0.0)[..1], &[]);
    for name in ["", "SomeMessage "] {
        let fd = format!(
            "base hex  timestamps absolute\n0.5 CANFD 1 Rx 18FEF100x {name}1 0 8 8 FF 00 64 FF FF FF FF FF 130000\n"
        );
        check(&fd, &expected(0.0)[..1], &[]);
    }
    let others = "base hex  timestamps absolute\n0.1 1 ErrorFrame\n0.2 1 Statistic: D 0 R 0\n0.3 1 7E8 Rx r 8\n\
                  0.5 1 7E8 Rx d 8 03 41 0D 64 AA AA AA AA\n0.6 1 7E8 Rx d 8 03 41\n";
    check(others, &expected(0.0)[..1], &["whole frames; found damaged ones"]);
}

#[test]
fn trc() {
    let head = |version: &str, more: &str| {
        format!(";$FILEVERSION={version}\r\n;$STARTTIME=43609.4932986111\r\n{more};---+--   ----+----\r\n")
    };
    // 43609 days after 1899-12-30 is 2019-05-24; 0.4932986111 of a day is 11:50:21.
    let first =
        rows(|index, data| format!("     {index})      {index}500.0  Rx     18FEF100  8  {data} \r\n"));
    check(&format!("{}{first}", head("1.1", "")), &expected(MOMENT_S), &[]);
    let bare = rows(|index, data| format!("     {index})      {index}500 18FEF100 8 {data}\r\n"));
    check(&format!(";  Start time: today\r\n{bare}"), &expected(0.0), &[]);
    let bus = rows(|index, data| {
        format!("     {index})      {index}500.000 1  Rx     18FEF100 -  8    {data} \r\n")
    });
    check(&format!("{}{bus}", head("1.3", "")), &expected(MOMENT_S), &[]);
    let second =
        rows(|index, data| format!("      {index}      {index}500.000 DT 18FEF100 Rx 8  {data} \r\n"));
    check(&format!("{}{second}", head("2.0", ";$COLUMNS=N,O,T,I,d,l,D\r\n")), &expected(MOMENT_S), &[]);
    check(&format!("{}{second}", head("2.0", "")), &expected(MOMENT_S), &[]);
    let third =
        rows(|index, data| format!("      {index}      {index}500.000 DT 1 18FEF100 Rx -  8    {data} \r\n"));
    check(&format!("{}{third}", head("2.1", ";$COLUMNS=N,O,T,B,I,d,R,L,D\r\n")), &expected(MOMENT_S), &[]);
    let others = "1) 1.0 Warng FFFFFFFF 4 00 00 00 08  BUSHEAVY\n2) 2.0 Rx 07E8 8 RTR\n3) 3.0 Rx 07E8 9 00\n4) 500.0 Rx 07E8 8 03 41 0D 64 AA AA AA AA\n";
    check(
        &format!(";$FILEVERSION=1.1\n{others}"),
        &expected(0.0)[..1],
        &["whole frames; found damaged ones"],
    );
}

#[test]
fn tables() {
    for (head, row) in [
        ("timestamp,id,dlc,data", "@.5,18FEF100,8,#"),
        ("Time (s);CAN ID;Len;Data", "@.5;0x18FEF100;8;#"),
        ("time_ms,bus,arbitration_id,extended,data", "@500,0,18FEF100,true,#"),
        ("Time Stamp,ID,Extended,Dir,Bus,LEN,D1,D2,D3,D4,D5,D6,D7,D8", "@.5,18FEF100,true,Rx,0,8,%"),
        (
            "\"time\",\"can_id\",\"byte0\",\"byte1\",\"byte2\",\"byte3\",\"byte4\",\"byte5\",\"byte6\",\"byte7\"",
            "\"@.5\",\"18FEF100\",%",
        ),
    ] {
        let row = |index: usize, data: &str| {
            let row = row.replace('@', &index.to_string());
            row.replace('#', data).replace('%', &data.replace(' ', ",")) + "\r\n"
        };
        let text = format!("{head}\r\n{}", rows(row));
        let (_, problems) = read(&text, 9);
        let told: &[&str] =
            if problems.is_empty() { &[] } else { &["the unit of elapsed times in the column name"] };
        check(&text, &expected(0.0), told);
    }
    // The digits together; decimal bytes and identifiers; calendar times.
    let together = rows(|index, data| {
        format!("2019-05-24T11:50:2{}.5Z,18FEF100,{}\n", index + 1, data.replace(' ', ""))
    });
    assert_eq!(check(&format!("time,id,data\n{together}"), &expected(MOMENT_S), &[]).clock, Clock::Absolute);
    let decimal = "time_s,id,d0,d1,d2,d3,d4,d5,d6,d7\n0.5,419361024,255,0,100,255,255,255,255,255\n";
    check(decimal, &expected(0.0)[..1], &[]);
    let obd = "time_s,id,dlc,d0,d1,d2,d3\n0.5,2024,4,3,65,13,100\n";
    check(obd, &expected(0.0)[..1], &[]);
}

#[test]
fn damaged_tables() {
    let open = "time_s,id,dlc,data\n0.5,700,2,00 11\n1.5,701,2,00 11\n";
    check(
        open,
        &[],
        &[
            "digits that show whether they are hexadecimal",
            "digits that show",
            "found 2 frames with none that is known",
        ],
    );
    let whole = "time,id,data\n1,7E8,03 41 0D 64\n2,7E8,03 41 0D 50\n";
    check(
        whole,
        &[(1.0, 100.0), (2.0, 80.0)],
        &["the unit of times without a fraction", "the unit of elapsed times"],
    );
    let bad = "time_s,id,dlc,data\n0.5,7E8,4,03 41 0D 64\nx,7E8,4,03 41 0D 64\n2.5,XYZ,4,03 41 0D 64\n3.5,7E8,4,03 41\n4.5,7E8\n5.5,7E8,4,03 4";
    check(
        bad,
        &expected(0.0)[..1],
        &["whole frames; found damaged ones (4 times", "a number, like the first time"],
    );
}

#[test]
fn a_table_of_something_else_is_none() {
    for head in ["time,lat,lon", "time,id,value", "id,data,name", "time,data,speed", "timeid data"] {
        assert!(!begins_with_frames(head.as_bytes()), "{head}");
    }
    let many = format!("time,id,data{}", ",x".repeat(100_000));
    assert!(!begins_with_frames(many.as_bytes()));
}

proptest! {
    #[test]
    fn any_lines_in_any_chunks(
        head in prop_oneof![
            Just("base hex timestamps absolute"), Just(";$FILEVERSION=1.1"), Just(";$FILEVERSION=2.1"),
            Just(";$COLUMNS=D,I,O"), Just("time,id,dlc,data"), Just("time,id,d0,d1"), Just("date Fri May 24 11:50:21 am 2019"),
        ],
        lines in proptest::collection::vec(prop_oneof![
            "[0-9]{1,3}\\.[0-9] 1 18FEF100x Rx d [0-9]( [0-9A-F]{2}){0,9}",
            "[0-9]\\) [0-9]{1,4} Rx 07E8 [0-9]( [0-9A-F]{2}){0,9}",
            "[0-9]{1,3},7E8,[0-9]{0,2},[0-9A-F, x]{0,20}",
            "[0-9] [0-9]{1,4} DT 1 7E8 Rx - [0-9]( [0-9A-F]{2}){0,9}",
            "\\PC{0,20}",
        ], 0..80),
        chunk_bytes in 1usize..50,
    ) {
        let text = format!("{head}\n{}", lines.join("\n"));
        prop_assert_eq!(read(&text, chunk_bytes), read(&text, 1 << 20));
    }
}
