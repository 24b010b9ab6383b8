//! What an entry must say before it is taken: where a write begins, why a count rises, why a time is late, whose word it is.

use super::tests::{chain, draft, found, small, time, write};
use super::*;
use crate::problem::Severity;

#[test]
fn a_write_begins_from_what_is_stored_or_says_why_it_does_not() {
    let check = |earlier: &[(EventKind, &[(&str, &str)])], fields: &[(&str, &str)], stored: Option<&str>| {
        let mut chain = Chain::default();
        for (kind, fields) in earlier {
            chain.append(draft(*kind, fields)).unwrap();
        }
        let count = chain.entries().len();
        let said = chain.append(draft(EventKind::Write, fields)).map(|entry| entry.sequence);
        match stored {
            None => assert_eq!(said, Ok(count as u64 + 1), "{fields:?}"),
            Some(stored) => {
                let problems = said.unwrap_err();
                assert!(problems[0].expected.contains(stored), "{problems:?}");
                assert_eq!(chain.entries().len(), count);
            }
        }
    };
    use EventKind::{Correction, Equipment, Vehicle, Write};
    let vehicle: (EventKind, &[(&str, &str)]) = (Vehicle, &[("present", "8.20")]);
    let write: (EventKind, &[(&str, &str)]) = (Write, &[("from", "8.20"), ("to", "7.86")]);
    check(&[], &[("from", "8.20"), ("to", "7.86")], None);
    check(&[vehicle], &[("from", "8.2"), ("to", "7.86")], None);
    check(&[vehicle], &[("from", "8.22"), ("to", "7.86")], Some("8.20"));
    check(&[vehicle], &[("from", "8.22"), ("to", "7.86"), ("from_reason", " ")], Some("8.20"));
    check(&[vehicle], &[("from", "8.22"), ("to", "7.86"), ("from_reason", "a shop stored it")], None);
    check(&[vehicle, write], &[("from", "8.20"), ("to", "7.90")], Some("7.86"));
    check(&[vehicle, write], &[("from", "not known"), ("to", "7.90")], Some("7.86"));
    let unmade: (EventKind, &[(&str, &str)]) =
        (Correction, &[("corrects", "2"), ("not_made", "it still shows 8.20")]);
    check(&[vehicle, write, unmade], &[("from", "8.20"), ("to", "7.90")], None);
    let module: (EventKind, &[(&str, &str)]) = (Equipment, &[("part", "module")]);
    check(&[vehicle, module], &[("from", "9.00"), ("to", "7.90")], None);
    // Two things to set, each with a value of its own.
    let ring: (EventKind, &[(&str, &str)]) = (Write, &[("from", "96"), ("to", "104"), ("adjuster", "ring")]);
    let constant: (EventKind, &[(&str, &str)]) =
        (Write, &[("from", "60000"), ("to", "61000"), ("adjuster", "constant")]);
    check(&[ring, constant], &[("from", "104"), ("to", "92"), ("adjuster", "ring")], None);
    check(&[ring, constant], &[("from", "96"), ("to", "92"), ("adjuster", "ring")], Some("104"));
}

#[test]
fn a_write_that_was_never_made_counts_for_nothing() {
    let mut chain = small();
    let unmade = draft(EventKind::Correction, &[("corrects", "3"), ("not_made", "it still shows 8.20")]);
    chain.append(unmade).unwrap();
    let state = VehicleState::from_entries(chain.entries());
    assert_eq!((state.writes_left, state.writes_made), (Some(4), 0));
    assert_eq!(found(&chain), []);
    chain.append(write("8.20", "7.90", "4", "3")).unwrap();
    assert_eq!(VehicleState::from_entries(chain.entries()).setting, Some(("7.90".to_string(), 7)));
}

#[test]
fn writes_left_do_not_rise_with_a_vehicle_file() {
    let mut chain = small();
    let described = |left: &str| draft(EventKind::Vehicle, &[("present", "7.86"), ("writes_left", left)]);
    let problems = chain.append(described("5")).unwrap_err();
    assert!(problems[0].hint.contains("`equipment`"), "{problems:?}");
    chain.append(described("3")).unwrap();
    chain.append(draft(EventKind::Equipment, &[("part", "module")])).unwrap();
    chain.append(described("5")).unwrap();
    assert_eq!(VehicleState::from_entries(chain.entries()).writes_left, Some(5));
}

#[test]
fn times_out_of_order_are_taken_only_when_it_is_said() {
    let at =
        |later: i128, fields: &[(&str, &str)]| Draft { time: time(later), ..draft(EventKind::Note, fields) };
    let mut chain = chain(vec![at(10, &[("text", "first")])]);
    let problems = chain.append(at(9, &[("text", "second")])).unwrap_err();
    assert_eq!(problems[0].part, Some("entry 2, time".into()));
    chain.append(at(9, &[("text", "second"), ("entered_late", "found on a receipt")])).unwrap();
    let before = time(0);
    let five_minutes = 300_000_000_000;
    let ahead = |later: i128| time_problem(1, &at(later, &[("text", "x")]), None, Some(before)).is_some();
    assert_eq!((ahead(five_minutes), ahead(five_minutes + 1)), (false, true));
    // One sealed so before this was asked for is told, and stays.
    let sealed = seal(3, chain.head(), at(8, &[("text", "third")]));
    let all = Chain::from_entries([chain.entries(), &[sealed]].concat());
    let found: Vec<Severity> = found(&all).iter().map(|problem| problem.severity).collect();
    assert_eq!(found, [Severity::Warning]);
    let later = all.check(&Expected { now: Some(time(-2 * five_minutes)), ..Expected::default() });
    assert_eq!(later.len(), 3 - 1, "the second says why: {later:?}");
}

#[test]
fn what_was_typed_by_hand_is_the_owners_word() {
    let check = |kind: EventKind, fields: &[(&str, &str)], expected: bool| {
        assert_eq!(is_owners_word(kind, &draft(kind, fields).fields), expected, "{kind:?} {fields:?}");
    };
    let computed = [("computed_by", "0.1.0"), ("inputs_sha256", "00ff")];
    for kind in [EventKind::Estimate, EventKind::Choice, EventKind::Proof] {
        check(kind, &[], true);
        check(kind, &computed[..1], true);
        check(kind, &computed, false);
    }
    check(EventKind::Note, &[], false);
    assert!(typed_by_hand("computed_by").is_err() && typed_by_hand("by").is_ok());
    assert!(typed_by_hand("odometer_befor").unwrap_err().hint.contains("Did you mean `odometer_before`?"));
    assert!(typed_by_hand("zzyzx").unwrap_err().hint.contains("`note`"));
}
