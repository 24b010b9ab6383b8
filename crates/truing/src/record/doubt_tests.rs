//! What an entry typed by hand is asked about: each question once with its cause and once without.

use super::*;
use crate::describe::vehicle::Vehicle;
use jiff::Timestamp;

const TRUCK: &str = "The grey half-ton";

fn day(number: i64) -> Timestamp {
    // 2026-05-02, 10:00 UTC.
    Timestamp::from_second(1_777_716_000 + 86_400 * number).unwrap()
}

fn draft(on: i64, kind: EventKind, fields: &[(&str, &str)]) -> Draft {
    Draft::new(day(on), TRUCK, kind, fields)
}

fn chain(drafts: &[Draft]) -> Chain {
    let mut chain = Chain::default();
    for draft in drafts {
        chain.append(draft.clone()).unwrap();
    }
    chain
}

fn vehicle() -> Vehicle {
    let text = "name = \"The grey half-ton\"\n\n[[adjuster]]\nkind = \"stepped-constant\"\nmin = 5.00\nmax = 12.00\n\
                step = 0.01\nbuttons = [\"up\"]\npresent = 8.20\nwrites_left = 4\n";
    let (vehicle, problems) = Vehicle::read("a truck", text);
    vehicle.unwrap_or_else(|| panic!("{problems:?}"))
}

#[track_caller]
fn check(earlier: &[Draft], new: &Draft, found: &[&str]) {
    let chain = chain(earlier);
    let doubts = doubts(chain.entries(), new, Some(&vehicle()));
    let told: Vec<String> = doubts.iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), usize::from(!found.is_empty()), "{told:?}");
    found.iter().for_each(|part| assert!(told[0].contains(part), "{part} in {told:?}"));
    let mut sure = new.clone();
    sure.fields.insert(SURE.into(), "seen twice".into());
    assert_eq!(super::doubts(chain.entries(), &sure, Some(&vehicle())), []);
}

#[test]
fn a_value_off_the_grid_is_asked_about() {
    let write = |to: &str| draft(0, EventKind::Write, &[("from", "8.20"), ("to", to)]);
    check(&[], &write("7.87"), &[]);
    check(&[], &write("7.875"), &["7.875", "Nearest: 7.87, 7.88", "say why"]);
    check(&[], &write("787"), &["Nearest: 7.87, 12.00"]);
    check(&[], &write("4"), &["Nearest: 5.00. "]);
    check(&[], &write("8/20"), &["8/20"]);
}

#[test]
fn the_same_twice_on_a_day_is_asked_about() {
    let fuel = |on, volume: &str| draft(on, EventKind::Fuel, &[("volume", volume), ("odometer", "100 mi")]);
    check(&[fuel(0, "10 gal")], &fuel(0, "10 gal"), &["entry 1"]);
    check(&[fuel(0, "10 gal")], &fuel(0, "11 gal"), &[]);
    check(&[fuel(0, "10 gal")], &fuel(1, "10 gal"), &[]);
    let note = |text: &str| draft(0, EventKind::Note, &[("text", text)]);
    check(&[note("quiet")], &note("quiet"), &[]);
}

#[test]
fn a_reading_that_jumps_is_asked_about() {
    let reading = |on, shown: &str| draft(on, EventKind::Odometer, &[("odometer", shown)]);
    let earlier = [reading(0, "100000 mi")];
    check(&earlier, &reading(0, "101999 mi"), &[]);
    // The first day counts as one: on the third, three times 2000 mi.
    check(&earlier, &reading(2, "105999 mi"), &[]);
    check(&earlier, &reading(2, "106001 mi"), &["106001.0 mi", "entry 1"]);
    check(&earlier, &reading(1, "161000 mi"), &["In kilometres it would fit"]);
    check(&earlier, &reading(1, "1000123 mi"), &["last digit as tenths"]);
}

#[test]
fn what_was_done_earlier_has_its_day() {
    let reading = |on, shown: &str| draft(on, EventKind::Odometer, &[("odometer", shown)]);
    let ratio = draft(0, EventKind::Estimate, &[("what", "x"), ("reading_ratio", "1 +/- 0")]);
    let chain = chain(&[reading(0, "1000 mi"), ratio, reading(10, "2000 mi")]);
    let oil = |on: &str, shown: &str| {
        let fields = [("what", "oil"), ("every", "5000 mi"), ("odometer", shown), (DONE_ON, on)];
        draft(12, EventKind::Service, &fields)
    };
    let told = |draft: &Draft| day_problem(chain.entries(), 4, draft).map(|problem| problem.to_string());
    assert_eq!(told(&oil("2026-05-07", "1500 mi")), None);
    assert!(told(&oil("2026-05-07", "2500 mi")).unwrap().contains("entry 3"));
    assert!(told(&oil("2026-05-07", "900 mi")).unwrap().contains("entry 1"));
    assert!(told(&oil("2026-06-07", "2500 mi")).unwrap().contains("future"));
    assert!(told(&oil("last week", "1500 mi")).unwrap().contains("2026-05-02"));
    let tires = draft(12, EventKind::Equipment, &[("part", "tires"), (DONE_ON, "2026-04-01")]);
    assert!(told(&tires).unwrap().contains("entry 2"), "{:?}", told(&tires));
    // It is kept, does not run the odometer back, and the service counts from there.
    let mut chain = chain;
    chain.append(oil("2026-05-07", "1500 mi")).unwrap();
    assert_eq!(chain.check(&Expected::default()), []);
    let state = VehicleState::from_entries(chain.entries());
    let since = state.due[0].since.clone().unwrap().distance.unwrap();
    assert!((since.value.mi() - 500.0).abs() < 1e-6, "{}", since.value.mi());
}

#[test]
fn a_replaced_odometer_is_seen_without_its_last_reading() {
    let reading = draft(0, EventKind::Odometer, &[("odometer", "91234.5 mi")]);
    let check = |part: &str, shown: Option<&str>, before: Option<&str>| {
        let fields = [("part", Some(part)), ("odometer", shown)];
        let fields: Vec<(&str, &str)> =
            fields.iter().filter_map(|(name, value)| Some((*name, (*value)?))).collect();
        let chain = chain(&[reading.clone(), draft(1, EventKind::Equipment, &fields)]);
        let found: Vec<String> =
            notices(chain.entries()).into_iter().map(|notice| notice.mileage_before).collect();
        assert_eq!(found, before.into_iter().collect::<Vec<_>>(), "{part} {shown:?}");
    };
    check("odometer", Some("0 mi"), Some("91234 mi or more"));
    check("Instrument cluster", Some("12 mi"), Some("91234 mi or more"));
    check("odometer", None, Some("91234 mi or more"));
    check("module", None, None);
    check("module", Some("91300 mi"), None);
    check("mirror", None, None);
}
