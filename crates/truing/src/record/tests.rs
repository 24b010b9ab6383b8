use super::*;
use crate::problem::{Problem, Severity, any_error};
use jiff::Timestamp;
use proptest::prelude::*;

const TRUCK: &str = "The grey half-ton";

pub fn time(nanoseconds_later: i128) -> Timestamp {
    let start: Timestamp = "2026-05-02T10:00:00Z".parse().unwrap();
    Timestamp::from_nanosecond(start.as_nanosecond() + nanoseconds_later).unwrap()
}

pub fn draft(kind: EventKind, fields: &[(&str, &str)]) -> Draft {
    Draft::new(time(0), TRUCK, kind, fields)
}

pub fn write(from: &str, to: &str, before: &str, after: &str) -> Draft {
    let fields = [("from", from), ("to", to), ("writes_left_before", before), ("writes_left_after", after)];
    draft(EventKind::Write, &fields)
}

pub fn chain(drafts: Vec<Draft>) -> Chain {
    let mut chain = Chain::default();
    for draft in drafts {
        chain.append(draft).unwrap();
    }
    chain
}

/// A small history of five entries.
pub fn small() -> Chain {
    chain(vec![
        draft(EventKind::Vehicle, &[("writes_left", "4")]),
        draft(EventKind::Odometer, &[("odometer", "120344.5 mi")]),
        write("8.20", "7.86", "4", "3"),
        draft(EventKind::Note, &[("text", "quiet \"road\", é")]),
        draft(EventKind::Correction, &[("corrects", "2"), ("odometer", "120345.4 mi")]),
    ])
}

pub fn found(chain: &Chain) -> Vec<Problem> {
    chain.check(&Expected::default())
}

#[test]
fn hashes_are_those_of_the_standard() {
    // FIPS 180-4 examples as NIST publishes them; each agrees with sha256sum and hashlib.
    let million = vec![b'a'; 1_000_000];
    let lines: [(&[u8], &str); 4] = [
        (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
        (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        (
            b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
        ),
        (&million, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"),
    ];
    for (message, expected) in lines {
        assert_eq!(Hash::new(message).to_string(), expected);
    }
}

#[test]
fn entries_have_the_bytes_that_are_written_down() {
    // Encoded and hashed from the description alone by a few lines of Python 3.11 (struct.pack,
    // hashlib.sha256).
    let first = draft(EventKind::Note, &[("text", "first")]);
    let bytes = "00000000000000117761797769736572207265636f726420310000000000000001000000000000000018abb748838740\
                 00000000000000001154686520677265792068616c662d746f6e00000000000000046e6f74650000000000000001000000\
                 00000000047465787400000000000000056669727374";
    let found: String =
        canonical_bytes(1, &Hash::NONE, &first).iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(found, bytes.to_string() + &"00".repeat(32));
    let first = seal(1, Hash::NONE, first);
    assert_eq!(first.hash.to_string(), "fa0bc3ec12f38b1c5f55a2235459278caa0ccaf8792d24d18f98bb08bfe9e5ef");
    let fields = [("to", "7.86"), ("from", "8.20"), ("odometer", "120344.5 mi")];
    let second = seal(2, first.hash, Draft::new(time(500_000_000), TRUCK, EventKind::Write, &fields));
    assert_eq!(second.hash.to_string(), "8e63c444274743aa94d3a4638248f5802a90d294cefd74b53be23a6043977e94");
    let before_the_epoch = Timestamp::from_nanosecond(-1).unwrap();
    let fields = [("odometer", "1 km"), ("é", ""), ("a", "\n")];
    let third = seal(3, second.hash, Draft::new(before_the_epoch, "Größe ✓", EventKind::Odometer, &fields));
    assert_eq!(third.hash.to_string(), "3d355317ac6c257f978bd9cc455453a0cb856a75c4af3964007b1c71a46a8f78");
}

#[test]
fn a_hash_is_read_back_also_from_paper() {
    let hash = Hash::new(b"abc");
    assert_eq!(Hash::read(&hash.to_string()), Ok(hash));
    assert_eq!(Hash::read(&format!(" {}\n", hash.to_string().to_uppercase())), Ok(hash));
    for wrong in ["", "ba78", &"g".repeat(64), &"0".repeat(65), &("0".repeat(64) + "x")] {
        assert!(Hash::read(wrong).is_err(), "{wrong}");
    }
}

#[test]
fn a_chain_as_it_was_made_is_well() {
    assert_eq!(found(&small()), []);
    assert_eq!(found(&Chain::default()), []);
    assert_eq!(Chain::default().head(), Hash::NONE);
    assert_eq!(small().entries()[0].previous, Hash::NONE);
}

#[test]
fn every_changed_byte_of_the_export_is_found() {
    let whole = chain(vec![
        draft(EventKind::Vehicle, &[("writes_left", "4")]),
        write("8.20", "7.86", "4", "3"),
        draft(EventKind::Note, &[("text", "quiet \"road\", é")]),
    ]);
    let text = export(&whole);
    assert_eq!(import("record", &text), (whole, vec![]));
    let mut changes = 0;
    for place in 0..text.len() {
        for byte in 0..=u8::MAX {
            let mut bytes = text.clone().into_bytes();
            if bytes[place] == byte {
                continue;
            }
            bytes[place] = byte;
            // What is not UTF-8 is no text and is refused where the file is read.
            let Ok(changed) = String::from_utf8(bytes) else { continue };
            let (chain, problems) = import("record", &changed);
            assert!(any_error(&problems) || any_error(&found(&chain)), "byte {place} to {byte}: {changed}");
            changes += 1;
        }
    }
    assert!(changes > 100 * text.len(), "{changes} changes tried");
}

#[test]
fn removed_doubled_and_swapped_entries_are_named() {
    let check = |change: &dyn Fn(&mut Vec<Entry>), part: &str| {
        let mut entries = small().entries().to_vec();
        change(&mut entries);
        let problems = found(&Chain::from_entries(entries));
        assert!(any_error(&problems), "{part}");
        assert_eq!(problems[0].part, Some(part.into()), "{problems:?}");
    };
    check(&|entries| drop(entries.remove(0)), "entry 2");
    check(&|entries| drop(entries.remove(3)), "entry 5");
    check(&|entries| entries.insert(2, entries[1].clone()), "entry 2");
    check(&|entries| entries.swap(1, 2), "entry 3");
    check(&|entries| entries[3].event.vehicle.push('x'), "entry 4");
    check(&|entries| entries[3].event.time = time(1), "entry 4");
    // A replaced entry, sealed again, is well by itself; the one after it tells.
    check(
        &|entries| entries[3] = seal(4, entries[3].previous, draft(EventKind::Note, &[("text", "no")])),
        "entry 5",
    );
}

#[test]
fn a_cut_tail_and_a_rewritten_whole_show_against_what_was_written_down() {
    let whole = small();
    let head = |entries: usize| whole.entries()[entries - 1].hash;
    let expected = |head: Option<Hash>, entries: Option<u64>| Expected { head, entries, now: None };
    let cut = Chain::from_entries(whole.entries()[..4].to_vec());
    assert_eq!(found(&cut), [], "by itself a cut tail does not show");
    let mut other = Chain::default();
    for entry in whole.entries() {
        other.append(Draft { time: time(7), ..entry.event.clone() }).unwrap();
    }
    assert_eq!(found(&other), [], "by itself a rewritten whole does not show");
    let check = |chain: &Chain, expected: Expected, severity: Option<Severity>| {
        let problems = chain.check(&expected);
        assert_eq!(problems.first().map(|problem| problem.severity), severity, "{problems:?}");
    };
    let (error, note) = (Some(Severity::Error), Some(Severity::Note));
    for (chain, wrong) in [(&whole, None), (&cut, error), (&other, error)] {
        check(chain, expected(Some(head(5)), Some(5)), wrong);
        check(chain, expected(Some(head(5)), None), wrong);
    }
    check(&cut, expected(None, Some(5)), error);
    check(&whole, expected(None, Some(5)), None);
    // Written down earlier; the chain has grown since, or not from there.
    check(&whole, expected(Some(head(4)), Some(4)), note);
    check(&whole, expected(Some(head(4)), None), note);
    check(&whole, expected(None, Some(4)), note);
    check(&whole, expected(Some(Hash::NONE), Some(0)), note);
    check(&other, expected(Some(head(4)), Some(4)), error);
    check(&whole, expected(Some(head(4)), Some(5)), error);
    check(&whole, expected(Some(Hash::new(b"")), Some(u64::MAX)), error);
}

#[test]
fn what_cannot_be_recorded_is_refused_and_nothing_is_added() {
    let check = |draft: Draft, words: &str| {
        let mut chain = small();
        let problems = chain.append(draft).unwrap_err();
        assert_eq!(chain, small());
        assert!(problems.iter().any(|problem| problem.to_string().contains(words)), "{problems:?}");
    };
    check(Draft::new(time(0), " ", EventKind::Note, &[("text", "x")]), "name of a vehicle");
    check(draft(EventKind::Write, &[("from", "1")]), "value for `to`");
    check(draft(EventKind::Note, &[("text", "")]), "value for `text`");
    for number in ["6", "0", "-1", "two", "99999999999999999999"] {
        check(draft(EventKind::Correction, &[("corrects", number)]), "earlier entry of the same vehicle");
    }
    check(Draft::new(time(0), "Another", EventKind::Correction, &[("corrects", "2")]), "same vehicle");
    check(draft(EventKind::FaultMended, &[("opened", "9")]), "earlier entry");
    check(write("7.86", "8.00", "3", "3"), "fewer than 3 writes left");
    check(write("7.86", "8.00", "4", "3"), "at most 3 writes left");
    check(write("7.86", "8.00", "three", "2"), "whole number");
}

#[test]
fn writes_left_only_fall_until_the_module_is_replaced() {
    let check = |more: Vec<Draft>, severities: &[Severity]| {
        let mut entries = small().entries().to_vec();
        for event in more {
            let sequence = entries.len() as u64 + 1;
            entries.push(seal(sequence, entries[entries.len() - 1].hash, event));
        }
        let found: Vec<Severity> =
            found(&Chain::from_entries(entries)).iter().map(|problem| problem.severity).collect();
        assert_eq!(found, severities);
    };
    check(vec![write("7.86", "8.00", "3", "2"), write("8.00", "8.02", "2", "1")], &[]);
    check(vec![write("7.86", "8.00", "3", "4")], &[Severity::Error]);
    check(vec![write("7.86", "8.00", "5", "4")], &[Severity::Error]);
    check(vec![write("7.86", "8.00", "2", "1")], &[Severity::Warning]);
    let module = draft(EventKind::Equipment, &[("part", "module"), ("writes_left", "6")]);
    check(vec![module.clone(), write("8.20", "8.00", "6", "5")], &[]);
    check(vec![module, write("8.20", "8.00", "7", "6")], &[Severity::Error]);
    let tires = draft(EventKind::Equipment, &[("part", "tires"), ("writes_left", "6")]);
    check(vec![tires, write("8.20", "8.00", "6", "5")], &[Severity::Error]);
    let another = |event: Draft| Draft { vehicle: "Another".to_string(), ..event };
    check(vec![another(write("1", "2", "9", "8")), another(write("2", "3", "8", "8"))], &[Severity::Error]);
    // Without a number before, the one after the last write stands.
    let short = |after| draft(EventKind::Write, &[("from", "1"), ("to", "2"), ("writes_left_after", after)]);
    check(vec![short("2")], &[]);
    check(vec![short("3")], &[Severity::Error]);
    // A mistyped number is put right by a correction; the entry stays.
    let right = draft(
        EventKind::Correction,
        &[("corrects", "6"), ("writes_left_before", "3"), ("writes_left_after", "2")],
    );
    check(vec![write("7.86", "8.00", "33", "32"), right], &[]);
}

#[test]
fn a_correction_lies_over_what_it_corrects() {
    let mut chain = small();
    chain.append(draft(EventKind::Correction, &[("corrects", "2"), ("by", "second look")])).unwrap();
    let fields = Corrections::among(chain.entries().iter()).over(&chain.entries()[1]);
    assert_eq!(fields["odometer"], "120345.4 mi");
    assert_eq!(fields["by"], "second look");
    assert!(!fields.contains_key("corrects"));
    assert_eq!(chain.entries()[1].event.fields["odometer"], "120344.5 mi");
}

#[test]
fn damaged_files_are_read_as_far_as_they_go() {
    let text = export(&small());
    let check = |text: &str, entries: usize, line: Option<usize>, words: &str| {
        let (chain, problems) = import("record.jsonl", text);
        assert_eq!(chain.entries().len(), entries, "{problems:?}");
        assert_eq!(problems[0].line, line);
        assert!(problems[0].to_string().contains(words), "{}", problems[0]);
    };
    check(&text.replacen("\"note\"", "\"note2\"", 1), 4, Some(4), "Did you mean `note`?");
    check(&text.replacen("2026-05-02T", "2026-05-02 ", 1), 4, Some(1), "exactly as it was exported");
    check(&text.replacen("2026-05-02T10", "yesterday", 1), 4, Some(1), "2026-05-02T10:00:00Z");
    check(&text.replacen("{\"seq", "{ \"seq", 1), 4, Some(1), "spacing");
    check(&text.replace('\n', "\r\n"), 0, Some(1), "spacing");
    check(text.trim_end(), 5, None, "line feed at the end");
    check(&text[..text.len() - 9], 4, Some(5), "an entry of the record");
    let mut bytes = text.replacen("\"note\"", "\"n\u{f3}te\"", 1).into_bytes();
    bytes.retain(|byte| *byte != 0xb3);
    let (mut reader, mut entries) = (LineReader::new("record.jsonl"), 0);
    bytes.chunks(7).for_each(|piece| reader.feed(piece, |_| entries += 1));
    assert_eq!((reader.finish(|_| ())[0].found.as_str(), entries), ("other bytes", 4));
    assert_eq!(import("record.jsonl", ""), (Chain::default(), vec![]));
}

fn any_draft() -> impl Strategy<Value = Draft> {
    let fields = proptest::collection::btree_map("\\PC{0,6}|text", ".{0,8}", 0..4);
    (any::<i64>(), ".{1,8}", fields).prop_map(|(nanoseconds, name, mut fields)| {
        fields.insert("text".to_string(), "x".to_string());
        let time = Timestamp::from_nanosecond(nanoseconds.into()).unwrap();
        Draft { time, vehicle: format!("a{name}"), kind: EventKind::Note, fields }
    })
}

proptest! {
    #[test]
    fn any_history_is_well_and_comes_back_from_its_export(
        drafts in proptest::collection::vec(any_draft(), 0..6),
        cut in 1..300usize,
    ) {
        let mut drafts = drafts;
        drafts.sort_by_key(|draft| draft.time);
        let chain = chain(drafts);
        prop_assert_eq!(found(&chain), vec![]);
        let (text, mut reader, mut entries) = (export(&chain), LineReader::new("record"), Vec::new());
        text.as_bytes().chunks(cut).for_each(|piece| reader.feed(piece, |entry| entries.push(entry)));
        prop_assert_eq!(reader.finish(|_| ()), vec![]);
        prop_assert_eq!(entries, chain.entries());
        prop_assert_eq!(import("record", &text), (chain, vec![]));
    }

    #[test]
    fn different_entries_have_different_bytes(a in any_draft(), b in any_draft()) {
        let bytes = |draft: &Draft| canonical_bytes(1, &Hash::NONE, draft);
        prop_assert_eq!(a == b, bytes(&a) == bytes(&b));
    }

    #[test]
    fn any_text_is_imported_without_panic(text in "(\\PC|\n|\\{|\"){0,60}") {
        let _ = import("any", &text);
    }
}
