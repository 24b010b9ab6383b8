//! How a truck stands, in one sentence made in one place: the garage, Describe, Prove and the record all show it.

use crate::choose::{Advice, Choice};
use crate::describe::adjuster::Adjuster;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::record::{Entry, Proved, VehicleState, day_of, differences};
use crate::report::words::doing::Doing;
use crate::report::words::{counted, in_short, owners_word_mark};
use metrology::measured::Measured;
use metrology::quantity::Ratio;
use schemars::JsonSchema;
use serde::Serialize;

/// What is known of a truck beside its record.
#[derive(Copy, Clone)]
pub struct Believed<'a> {
    /// Its file.
    pub vehicle: &'a Vehicle,
    /// What its evidence says.
    pub estimate: &'a VehicleEstimate,
    /// What it is advised, where that can be told.
    pub choice: Option<&'a Choice>,
}

/// What is next.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Next {
    /// Record and vehicle file differ: settle which is right.
    SettleDifference,
    /// Measure how far off it reads, or measure more.
    Measure,
    /// Check what is odd.
    Check,
    /// See what is to be set.
    Choose,
    /// Set what is advised.
    Set,
    /// Prove it on the road.
    Prove,
    /// Nothing.
    Nothing,
}

/// How a truck stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StateLine {
    /// How far off it reads.
    pub reads: String,
    /// What is set, with the day since when and the entry that says so, as far as these are known.
    pub set: Option<String>,
    /// Writes left, where they are counted.
    pub writes_left: Option<String>,
    /// Whether what is set was proved.
    pub proved: String,
    /// What is next.
    pub next: Next,
    /// All of it.
    pub line: String,
}

impl StateLine {
    /// From the entries of the record that matter, and what the file and its evidence say. What was measured goes before what
    /// was once recorded; of writes the record knows more than the file.
    pub fn new(believed: Option<Believed>, entries: &[Entry]) -> Self {
        let state = VehicleState::from_entries(entries);
        let over_all = believed.map(|known| &known.estimate.over_all);
        let measured = over_all.and_then(|of| of.distance_ratio.as_ref().or(of.needle_ratio.as_ref()));
        let ratio = measured.or(state.ratio.as_ref());
        let mark = owners_word_mark(measured.is_none() && ratio.is_some() && state.ratio_is_owners_word);
        let reads = ratio.map_or("reading not known yet".to_string(), reads) + mark;
        let in_file = believed
            .and_then(|known| known.vehicle.adjusters.iter().find_map(|adjuster| adjuster.writes_left))
            .map(u64::from);
        let writes_left =
            state.writes_left.or(in_file).map(|left| format!("{} left", counted(left, "write")));
        let proved = match &state.proved {
            Proved::No => "unproved".to_string(),
            Proved::Yes { rule, verdict, owners_word, entry } => {
                format!("{verdict} against {rule}{} (entry {entry})", owners_word_mark(*owners_word))
            }
        };
        let set = set(believed.map(|known| known.vehicle), &state, entries);
        let (next, words) = next(believed, &state, entries, ratio.is_some());
        let parts = [Some(reads.clone()), set.clone(), writes_left.clone(), Some(proved.clone())];
        let line = parts.into_iter().flatten().collect::<Vec<_>>().join(", ");
        let line = format!("{line}; next: {words}.");
        Self { reads, set, writes_left, proved, next, line }
    }
}

/// How far off, in as many digits as one remembers.
fn reads(ratio: &Measured<Ratio>) -> String {
    format!("reads {}", in_short(ratio.value.plain(), ratio.low_95.plain(), ratio.high_95.plain()))
}

/// What is set, and since when: by the record, else by the file.
fn set(vehicle: Option<&Vehicle>, state: &VehicleState, entries: &[Entry]) -> Option<String> {
    let adjusters = vehicle.map(|vehicle| vehicle.adjusters.as_slice()).unwrap_or_default();
    if let (Some((setting, entry)), false) = (&state.setting, adjusters.len() > 1) {
        let doing = vehicle.map_or(Doing::Store, Doing::on);
        let day = entries.iter().find(|one| one.sequence == *entry).map(|one| day_of(one.event.time));
        let since = day.map_or(String::new(), |day| format!("since {day} "));
        return Some(doing.state(setting, &format!("{since}(entry {entry})")));
    }
    let vehicle = vehicle?;
    let word = |adjuster: &Adjuster| {
        let present = adjuster.present()?.to_string();
        let theirs = |name: Option<&str>| vehicle.adjuster(name) == Some(adjuster);
        let last = vehicle.written.iter().rfind(|write| theirs(write.adjuster.as_deref()));
        let since = last.map_or(String::new(), |write| format!("since {}", write.date));
        let state = Doing::to(&adjuster.kind).state(&present, &since);
        Some(if adjusters.len() > 1 { format!("{}: {state}", adjuster.spoken()) } else { state })
    };
    let all: Vec<String> = adjusters.iter().filter_map(word).collect();
    (!all.is_empty()).then(|| all.join(", "))
}

/// What is next, in words too.
fn next(
    believed: Option<Believed>,
    state: &VehicleState,
    entries: &[Entry],
    is_known: bool,
) -> (Next, String) {
    if believed.is_some_and(|known| !differences(known.vehicle, entries).is_empty()) {
        return (Next::SettleDifference, "settle whether the record or the vehicle file is right".into());
    }
    if !is_known {
        return (Next::Measure, "measure how far off it reads".into());
    }
    let written = believed.is_some_and(|known| !known.vehicle.written.is_empty());
    let to_prove = state.proved == Proved::No && (state.writes_made > 0 || written);
    let choice = believed.and_then(|known| Some((known.vehicle, known.choice?)));
    let Some((vehicle, choice)) = choice else {
        return match (to_prove, believed) {
            (true, _) => (Next::Prove, "prove it on the road".into()),
            (false, _) if state.proved != Proved::No => (Next::Nothing, "nothing".into()),
            // Without anything to set there is nothing to choose.
            (false, Some(known)) if known.vehicle.adjusters.is_empty() => (Next::Nothing, "nothing".into()),
            _ => (Next::Choose, "see what to set".into()),
        };
    };
    match (choice.advice, &choice.best) {
        (Advice::CheckFirst, _) => (Next::Check, "check what is odd".into()),
        (Advice::MeasureFirst, _) => (Next::Measure, "measure more before anything is set".into()),
        (Advice::Write, Some(best)) => {
            let order = Doing::order_of(vehicle, &best.settings);
            let mut letters = order.chars();
            let lower = letters.next().map(|first| first.to_lowercase().chain(letters).collect::<String>());
            (Next::Set, lower.unwrap_or_default())
        }
        _ if to_prove => (Next::Prove, "prove it on the road".into()),
        _ => (Next::Nothing, "nothing: it is left as it is".into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choose::choose;
    use crate::measure::fusion::fuse;
    use crate::record::{Chain, Draft, EventKind};
    use metrology::quantity::Quantity;

    #[test]
    fn as_many_digits_as_one_remembers() {
        let check = |value: f64, u: f64, expected: &str| {
            let ratio = Measured::symmetric(Ratio::from_plain(value), Ratio::from_si(u), f64::INFINITY);
            assert_eq!(reads(&ratio), expected);
        };
        check(0.969, 0.002, "reads 3.1 % slow");
        check(1.0312, 0.002, "reads 3.1 % fast");
        // 0.1 % off and 1.96 times 0.2 % to either side: 0.49 % at most.
        check(1.001, 0.002, "reads true within 0.5 %");
    }

    /// A file with the setting stored and what an odometer counted over 100 miles with it, and what the record holds.
    fn check(present: &str, counted: &str, recorded: &[(EventKind, &str)], expected: (Next, &str)) {
        let evidence = if counted.is_empty() {
            String::new()
        } else {
            format!(
                "[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"{counted} mi\"\ntrue = \"100.0 mi +/- 0.05\"\nsetting = \"{present}\"\n"
            )
        };
        let text = format!(
            "[adjuster]\nkind = \"stepped-constant\"\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.01\"\nbuttons = [\"up\", \"down\"]\n\
             present = \"{present}\"\nwrites_left = 3\n{evidence}"
        );
        let (vehicle, problems) = Vehicle::read("test", &text);
        let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
        let estimate = fuse("test", &vehicle, Vec::new()).0;
        let choice = choose("test", &vehicle, &estimate, None, None).ok();
        let mut chain = Chain::default();
        for (index, (kind, fields)) in recorded.iter().enumerate() {
            let fields = fields.split_terminator(';').filter_map(|pair| pair.split_once('='));
            let draft = Draft {
                time: format!("2026-05-0{}T12:00:00Z", index + 1).parse().unwrap(),
                vehicle: "x".into(),
                kind: *kind,
                fields: fields.map(|(name, value)| (name.into(), value.into())).collect(),
            };
            chain.append(draft).unwrap();
        }
        let believed = Believed { vehicle: &vehicle, estimate: &estimate, choice: choice.as_ref() };
        let state = StateLine::new(Some(believed), chain.entries());
        assert_eq!((state.next, state.line.as_str()), expected, "{text}");
    }

    #[test]
    fn says_what_is_stored_and_what_is_next() {
        use EventKind as K;
        let begun = (K::Vehicle, "present=8.20");
        check(
            "8.20",
            "",
            &[],
            (
                Next::Measure,
                "reading not known yet, 8.20 is stored, 3 writes left, unproved; next: measure how far off it reads.",
            ),
        );
        check(
            "8.20",
            "96.00",
            &[begun],
            (
                Next::Set,
                "reads 4.0 % slow, 8.20 is stored since 2026-05-01 (entry 1), 3 writes left, unproved; next: store 7.87.",
            ),
        );
        let write = (K::Write, "from=8.20;to=7.87;writes_left_before=3;writes_left_after=2");
        check(
            "7.87",
            "100.00",
            &[begun, write],
            (
                Next::Prove,
                "reads true within 0.2 %, 7.87 is stored since 2026-05-02 (entry 2), 2 writes left, unproved; next: prove it on the road.",
            ),
        );
        // The record has a write that the file has not.
        check(
            "8.20",
            "96.00",
            &[begun, write],
            (
                Next::SettleDifference,
                "reads 4.0 % slow, 7.87 is stored since 2026-05-02 (entry 2), 2 writes left, unproved; next: settle whether the record or the vehicle file is right.",
            ),
        );
        let proof = (K::Proof, "rule=un-r39;verdict=conforms");
        check(
            "7.87",
            "100.00",
            &[begun, write, proof],
            (
                Next::Nothing,
                "reads true within 0.2 %, 7.87 is stored since 2026-05-02 (entry 2), 2 writes left, conforms against un-r39 (the owner's word) (entry 3); next: nothing: it is left as it is.",
            ),
        );
    }

    #[test]
    fn the_record_alone_says_as_much_as_it_knows() {
        let state = StateLine::new(None, &[]);
        assert_eq!(state.line, "reading not known yet, unproved; next: measure how far off it reads.");
    }
}
