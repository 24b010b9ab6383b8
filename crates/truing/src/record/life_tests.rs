//! Derived state against a slow replay that shares no code with it, and papers against the rules' own examples.

use super::*;
use jiff::Timestamp;
use jiff::civil::date;
use proptest::prelude::*;

const TRUCK: &str = "The grey half-ton";
const METRES_PER_MILE: f64 = metrology::quantity::METRES_PER_MILE;

fn day(number: i64) -> Timestamp {
    Timestamp::from_second(1_777_716_000 + 86_400 * number).unwrap()
}

fn chain(events: &[(EventKind, Vec<(&str, String)>)]) -> Chain {
    let mut chain = Chain::default();
    for (index, (kind, fields)) in events.iter().enumerate() {
        let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
        let _ = chain.append(Draft::new(day(index as i64), TRUCK, *kind, &fields));
    }
    chain
}

fn event(kind: EventKind, fields: &[(&'static str, &str)]) -> (EventKind, Vec<(&'static str, String)>) {
    (kind, fields.iter().map(|(name, value)| (*name, value.to_string())).collect())
}

fn reading(miles: &str) -> (EventKind, Vec<(&'static str, String)>) {
    event(EventKind::Odometer, &[("odometer", miles)])
}

fn whole(chain: &Chain) -> TrueDistance {
    let mileage = Mileage::from_entries(chain.entries());
    let (first, last) = mileage.ends().unwrap();
    mileage.distance(first, last).unwrap()
}

#[test]
fn odometers_roll_over_and_are_replaced() {
    let check = |events: Vec<(EventKind, Vec<(&'static str, String)>)>, indicated_mi: f64, gaps: usize| {
        let chain = chain(&events);
        assert_eq!(chain.entries().len(), events.len());
        assert_eq!(chain.check(&Expected::default()), []);
        let found = whole(&chain);
        assert!((found.indicated.mi() - indicated_mi).abs() < 1e-6, "{}", found.indicated.mi());
        assert_eq!(Mileage::from_entries(chain.entries()).gaps.len(), gaps);
    };
    let equipment = |fields: &[(&'static str, &str)]| event(EventKind::Equipment, fields);
    let rolled = event(EventKind::RollOver, &[("limit", "100000 mi")]);
    check(vec![reading("99000 mi"), rolled, reading("500 mi")], 1500.0, 0);
    let kept = equipment(&[("part", "odometer"), ("odometer_before", "9100 mi"), ("odometer", "0 mi")]);
    check(vec![reading("9000 mi"), kept, reading("30 mi")], 130.0, 0);
    let unread = equipment(&[("part", "odometer")]);
    check(vec![reading("9000 mi"), unread, reading("30 mi"), reading("50 mi")], 20.0, 1);
    let module = equipment(&[("part", "module")]);
    check(vec![reading("9000 mi"), module.clone(), reading("9100 mi")], 100.0, 0);
    check(vec![reading("9000 mi"), module, reading("30 mi"), reading("50 mi")], 20.0, 1);
    let right = event(EventKind::Correction, &[("corrects", "1"), ("odometer", "900 mi")]);
    check(vec![reading("9000 mi"), right, reading("1000 mi")], 100.0, 0);
    // An older reading is put right when a newer one is there.
    let late = event(EventKind::Correction, &[("corrects", "1"), ("odometer", "150 mi")]);
    check(vec![reading("100 mi"), reading("300 mi"), late], 150.0, 0);
}

#[test]
fn an_odometer_that_runs_back_is_refused_and_found() {
    let mut chain = chain(&[reading("9000 mi")]);
    let back = Draft::new(day(1), TRUCK, EventKind::Odometer, &[("odometer", "8999 mi")]);
    let problems = chain.append(back.clone()).unwrap_err();
    assert!(problems[0].hint.contains("roll-over"), "{problems:?}");
    let entries = vec![chain.entries()[0].clone(), seal(2, chain.head(), back)];
    let problems = Chain::from_entries(entries).check(&Expected::default());
    assert_eq!(problems[0].part, Some("entry 2, odometer".into()));
}

#[test]
fn ratios_are_carried_over_writes_and_not_over_equipment() {
    let estimate = |ratio: &str| event(EventKind::Estimate, &[("what", "x"), ("reading_ratio", ratio)]);
    let write = |from: &str, to: &str| {
        event(EventKind::Write, &[("from", from), ("to", to), ("odometer", "2000 mi")])
    };
    let check = |middle: Vec<(EventKind, Vec<(&'static str, String)>)>, true_mi: Option<f64>| {
        let events = [vec![reading("1000 mi")], middle, vec![reading("3000 mi")]].concat();
        let found = whole(&chain(&events)).distance.map(|distance| distance.value.mi());
        let is_right = match (found, true_mi) {
            (Some(found), Some(expected)) => (found - expected).abs() < 1e-6,
            (found, expected) => found.is_none() && expected.is_none(),
        };
        assert!(is_right, "{found:?}, expected {true_mi:?}");
    };
    check(vec![estimate("0.8 +/- 0.01"), write("8", "10")], Some(1000.0 / 0.8 + 1000.0 / 0.64));
    check(vec![write("8", "10"), estimate("0.8 +/- 0.01")], Some(1000.0 + 1000.0 / 0.8));
    check(vec![estimate("0.8 +/- 0.01"), write("8", "10"), estimate("0.5 +/- 0.01")], Some(1250.0 + 2000.0));
    check(vec![write("8", "10")], None);
    check(vec![estimate("0.8 +/- 0.01"), write("not known", "10")], None);
    check(vec![estimate("0.8")], None);
    let mut signal = write("8", "10");
    signal.1.push(("acts", "signal".to_string()));
    check(vec![estimate("0.8 +/- 0.01"), signal], Some(1250.0 + 1000.0));
    let tires = event(EventKind::Equipment, &[("part", "tires"), ("odometer", "2000 mi")]);
    check(vec![estimate("0.8 +/- 0.01"), tires.clone()], None);
    check(vec![estimate("0.8 +/- 0.01"), tires, estimate("0.5 +/- 0.01")], Some(1250.0 + 2000.0));
}

#[test]
fn between_two_readings_a_moment_is_uncertain() {
    let chain = chain(&[
        reading("1000 mi"),
        event(EventKind::Estimate, &[("what", "x"), ("reading_ratio", "1 +/- 0")]),
        reading("1300 mi"),
    ]);
    let mileage = Mileage::from_entries(chain.entries());
    let place = mileage.place_at(day(1)).unwrap();
    assert!((place.at.mi() - 1150.0).abs() < 1e-6, "half way in time: {}", place.at.mi());
    // A rectangular distribution over 300 mi and the digit: 301/sqrt(12).
    assert!((place.u.mi() - 301.0 / 12.0_f64.sqrt()).abs() < 1e-6, "{}", place.u.mi());
    assert_eq!(mileage.place_at(day(-5)), mileage.ends().map(|ends| ends.0));
    assert_eq!(mileage.place_at(day(50)), mileage.ends().map(|ends| ends.1));
}

#[test]
fn services_are_due_in_true_distance_and_fuel_is_corrected() {
    let chain = chain(&[
        event(EventKind::Service, &[("what", "oil"), ("every", "3000 mi"), ("odometer", "1000 mi")]),
        event(EventKind::Estimate, &[("what", "x"), ("reading_ratio", "0.8 +/- 0.008")]),
        event(EventKind::Fuel, &[("volume", "9 gal"), ("odometer", "1000 mi")]),
        event(EventKind::Fuel, &[("volume", "5 gal"), ("odometer", "1100 mi"), ("full", "no")]),
        event(EventKind::Fuel, &[("volume", "15 gal"), ("odometer", "1240 mi")]),
    ]);
    let state = VehicleState::from_entries(chain.entries());
    let left = state.due[0].left().unwrap();
    assert!((left.value.mi() - (3000.0 - 240.0 / 0.8)).abs() < 1e-6, "{}", left.value.mi());
    let (tanks, problems) = tanks(chain.entries());
    assert_eq!((tanks.len(), problems.len()), (1, 0));
    let gone = tanks[0].gone.distance.unwrap();
    // 300 true miles on 20 gal, where the odometer has it at 240.
    assert!((gone.value.mi() / tanks[0].volume.us_gal() - 15.0).abs() < 1e-9);
}

#[test]
fn exemptions_as_the_rule_has_them() {
    // 49 CFR 580.17 with its own examples: from 1 January 2020 model year 2010, from 1 January 2031 model year 2011.
    let check = |year, (on, month, day), weight, expected| {
        assert_eq!(exemption(year, date(on, month, day), weight), expected, "{year} in {on}");
    };
    let (ten, twenty) = (Some(Exemption::TenYears), Some(Exemption::TwentyYears));
    check(2010, (2020, 1, 1), None, ten);
    check(2010, (2019, 12, 31), None, None);
    check(2011, (2031, 1, 1), None, twenty);
    check(2011, (2030, 12, 31), None, None);
    check(2012, (2031, 6, 1), None, None);
    check(2010, (2026, 7, 1), None, ten);
    check(2011, (2026, 7, 1), None, None);
    check(1994, (2026, 7, 1), None, ten);
    check(2020, (2026, 7, 1), Some(16_000), None);
    check(2020, (2026, 7, 1), Some(16_001), Some(Exemption::Weight));
}

#[test]
fn notices_where_a_total_could_not_be_kept() {
    let check = |fields: &[(&'static str, &str)], expected: Option<&str>| {
        let chain = chain(&[reading("9000 mi"), event(EventKind::Equipment, fields)]);
        let found = notices(chain.entries());
        assert_eq!(found.first().map(|notice| notice.mileage_before.as_str()), expected);
        let facts = statement_facts(chain.entries());
        assert_eq!(facts.iter().any(|(kind, _)| *kind == StatementKind::NotActual), expected.is_some());
    };
    check(&[("part", "odometer"), ("odometer_before", "9100 mi"), ("odometer", "0 mi")], Some("9100 mi"));
    check(&[("part", "module"), ("odometer_before", "9100 mi"), ("odometer", "9100 mi")], None);
    check(&[("part", "axle"), ("odometer", "9100 mi")], None);
}

/// A life on one odometer, in whole miles, all of it read.
fn any_life() -> impl Strategy<Value = Vec<(EventKind, Vec<(&'static str, String)>)>> {
    let one = (0..8_u8, 1..30_u32, 1..9_u32, 1..20_u32);
    proptest::collection::vec(one, 1..40).prop_map(|steps| {
        let mut miles = 0;
        let event = |(what, further, digit, named): (u8, u32, u32, u32)| {
            miles += further;
            let odometer = ("odometer", format!("{miles} mi"));
            let text = |value: &str| value.to_string();
            match what {
                0 => (
                    EventKind::Write,
                    vec![
                        ("from", format!("8.{digit}")),
                        ("to", format!("7.{digit}")),
                        ("from_reason", text("found so")),
                        odometer,
                    ],
                ),
                1 => (
                    EventKind::Estimate,
                    vec![("what", text("x")), ("reading_ratio", format!("0.9{digit} +/- 0.01"))],
                ),
                2 => (EventKind::FaultOpened, vec![("touches", text("lights"))]),
                3 => (EventKind::FaultMended, vec![("opened", named.to_string())]),
                4 => (EventKind::Proof, vec![("rule", text("true")), ("verdict", text("conforms"))]),
                5 => (EventKind::Equipment, vec![("part", text("tires")), odometer]),
                6 => (
                    EventKind::Vehicle,
                    vec![("present", format!("9.{digit}")), ("writes_left", named.to_string())],
                ),
                _ => (EventKind::Odometer, vec![odometer]),
            }
        };
        steps.into_iter().map(event).collect()
    })
}

/// What the entries before and after one say, looked up again for every question.
struct Replay<'a>(&'a [Entry]);

impl Replay<'_> {
    fn last(&self, kinds: &[EventKind]) -> Option<&Entry> {
        self.0.iter().rev().find(|entry| kinds.contains(&entry.event.kind))
    }

    fn setting(&self) -> Option<String> {
        let entry = self.last(&[EventKind::Vehicle, EventKind::Write])?;
        let name = if entry.event.kind == EventKind::Write { "to" } else { "present" };
        entry.event.fields.get(name).cloned()
    }

    fn writes_left(&self) -> Option<u64> {
        let start = self.0.iter().rposition(|entry| entry.event.kind == EventKind::Vehicle)?;
        let left: u64 = self.0[start].event.fields["writes_left"].parse().unwrap();
        let writes = self.0[start..].iter().filter(|entry| entry.event.kind == EventKind::Write).count();
        Some(left.saturating_sub(writes as u64))
    }

    fn is_proved(&self) -> bool {
        let last = self.last(&[EventKind::Proof, EventKind::Write, EventKind::Equipment]);
        last.is_some_and(|entry| entry.event.kind == EventKind::Proof)
    }

    fn open_faults(&self) -> Vec<u64> {
        let opened = self.0.iter().filter(|entry| entry.event.kind == EventKind::FaultOpened);
        let is_open = |number: &u64| {
            !self.0.iter().any(|entry| entry.event.fields.get("opened") == Some(&number.to_string()))
        };
        opened.map(|entry| entry.sequence).filter(is_open).collect()
    }

    /// Mile by mile: the ratio of each, from the nearest estimate that no change of equipment parts from it.
    fn true_miles(&self) -> Option<f64> {
        let miles_of = |entry: &Entry| -> Option<u32> {
            entry.event.fields.get("odometer")?.strip_suffix(" mi")?.parse().ok()
        };
        let readings: Vec<(u32, usize)> =
            self.0.iter().enumerate().filter_map(|(index, entry)| Some((miles_of(entry)?, index))).collect();
        let mut sum = 0.0;
        for pair in readings.windows(2) {
            for _ in pair[0].0..pair[1].0 {
                sum += 1.0 / self.ratio_after(pair[0].1)?;
            }
        }
        Some(sum)
    }

    /// The ratio in force on the way that begins at an entry with a reading.
    fn ratio_after(&self, index: usize) -> Option<f64> {
        let is_change = |entry: &Entry| matches!(entry.event.kind, EventKind::Write | EventKind::Equipment);
        let number = |entry: &Entry, name: &str| -> f64 { entry.event.fields[name].parse().unwrap() };
        let estimate = |entry: &Entry| -> Option<f64> {
            let text = entry.event.fields.get("reading_ratio")?;
            Some(text.split(' ').next()?.parse().unwrap())
        };
        let start = (0..=index).rev().find(|at| is_change(&self.0[*at])).unwrap_or(0);
        let end = (start + 1..self.0.len()).find(|at| is_change(&self.0[*at])).unwrap_or(self.0.len());
        if let Some(own) = self.0[start..end].iter().rev().find_map(estimate) {
            return Some(own);
        }
        let mut factor = 1.0;
        for entry in self.0[..=start].iter().rev() {
            match entry.event.kind {
                EventKind::Equipment => break,
                EventKind::Write => factor *= number(entry, "from") / number(entry, "to"),
                _ => {}
            }
            if let Some(found) = estimate(entry) {
                return Some(found * factor);
            }
        }
        let mut factor = 1.0;
        for (at, entry) in self.0.iter().enumerate().skip(end) {
            match entry.event.kind {
                EventKind::Equipment => break,
                EventKind::Write => factor *= number(entry, "from") / number(entry, "to"),
                _ => {}
            }
            // The last estimate of that stretch is the one that counts.
            let next = (at + 1..self.0.len()).find(|at| is_change(&self.0[*at])).unwrap_or(self.0.len());
            if is_change(entry)
                && let Some(found) = self.0[at..next].iter().rev().find_map(estimate)
            {
                return Some(found / factor);
            }
        }
        None
    }
}

proptest! {
    #[test]
    fn derived_state_is_that_of_a_slow_replay(events in any_life()) {
        let chain = chain(&events);
        let (state, replay) = (VehicleState::from_entries(chain.entries()), Replay(chain.entries()));
        prop_assert_eq!(state.setting.map(|(setting, _)| setting), replay.setting());
        prop_assert_eq!(state.writes_left, replay.writes_left());
        prop_assert_eq!(state.proved != Proved::No, replay.is_proved());
        let faults: Vec<u64> = state.open_faults.iter().map(|(number, ..)| *number).collect();
        prop_assert_eq!(faults, replay.open_faults());
        let mileage = Mileage::from_entries(chain.entries());
        if let Some((first, last)) = mileage.ends() {
            let found = mileage.distance(first, last).unwrap().distance.map(|distance| distance.value.m());
            let expected = replay.true_miles().map(|miles| miles * METRES_PER_MILE);
            match (found, expected) {
                (Some(found), Some(expected)) => prop_assert!((found - expected).abs() < 1e-3, "{} {}", found, expected),
                (found, expected) => prop_assert_eq!(found.is_some(), expected.is_some()),
            }
        }
        prop_assert_eq!(chain.check(&Expected::default()), vec![]);
    }
}
