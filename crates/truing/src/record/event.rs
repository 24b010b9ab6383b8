//! What can be recorded.

use crate::nearest::nearest;
use crate::problem::Problem;
use jiff::Timestamp;
use std::collections::BTreeMap;

/// What kind of thing happened.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EventKind {
    /// A vehicle was taken in or described again.
    Vehicle,
    /// Tires, axle, ring, module or another part was fitted or taken off.
    Equipment,
    /// The odometer was read.
    Odometer,
    /// A measurement was taken.
    Evidence,
    /// An estimate was made from evidence.
    Estimate,
    /// It was decided what to set, or to leave it.
    Choice,
    /// A value was stored in the module.
    Write,
    /// A proof on the road was judged.
    Proof,
    /// A fault was found.
    FaultOpened,
    /// A fault was repaired.
    FaultMended,
    /// The odometer passed its highest reading and began at zero.
    RollOver,
    /// Something was done that is due again after a true distance.
    Service,
    /// Fuel was filled in, to the brim unless said otherwise.
    Fuel,
    /// Anything else.
    Note,
    /// An earlier entry was wrong; this one says what is right.
    Correction,
}

/// Every kind, its word, and the fields it cannot do without.
const KINDS: [(EventKind, &str, &[&str]); 15] = [
    (EventKind::Vehicle, "vehicle", &[]),
    (EventKind::Equipment, "equipment", &["part"]),
    (EventKind::Odometer, "odometer", &["odometer"]),
    (EventKind::Evidence, "evidence", &["what"]),
    (EventKind::Estimate, "estimate", &["what"]),
    (EventKind::Choice, "choice", &["advice"]),
    (EventKind::Write, "write", &["from", "to"]),
    (EventKind::Proof, "proof", &["rule", "verdict"]),
    (EventKind::FaultOpened, "fault-opened", &["touches"]),
    (EventKind::FaultMended, "fault-mended", &["opened"]),
    (EventKind::RollOver, "roll-over", &["limit"]),
    (EventKind::Service, "service", &["what"]),
    (EventKind::Fuel, "fuel", &["volume", "odometer"]),
    (EventKind::Note, "note", &["text"]),
    (EventKind::Correction, "correction", &["corrects"]),
];

impl EventKind {
    /// Every kind.
    pub fn all() -> impl Iterator<Item = Self> {
        KINDS.iter().map(|(kind, _, _)| *kind)
    }

    fn row(self) -> (&'static str, &'static [&'static str]) {
        let row = KINDS.iter().find(|(kind, _, _)| *kind == self);
        row.map_or(("note", &[]), |(_, word, required)| (*word, *required))
    }

    /// Its word in files.
    pub fn word(self) -> &'static str {
        self.row().0
    }

    /// The fields an event of this kind cannot do without.
    pub fn required_fields(self) -> &'static [&'static str] {
        self.row().1
    }

    /// The field by which an event of this kind names an earlier entry of the same vehicle.
    pub(super) fn naming_field(self) -> Option<&'static str> {
        match self {
            Self::Correction => Some("corrects"),
            Self::FaultMended => Some("opened"),
            _ => None,
        }
    }

    /// The kind of that word.
    pub fn read(word: &str) -> Result<Self, Problem> {
        if let Some((kind, _, _)) = KINDS.iter().find(|(_, known, _)| *known == word) {
            return Ok(*kind);
        }
        let words: Vec<&str> = KINDS.iter().map(|(_, known, _)| *known).collect();
        let hint = match nearest(word, words.iter().copied()) {
            Some(meant) => format!("Did you mean `{meant}`?"),
            None => "Use `note` for what fits nowhere else.".to_string(),
        };
        Err(Problem::error("record", words.join(", "), word).in_part("kind").hint(hint))
    }
}

/// An event before it is sealed into the chain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// When it happened or was noted, as given by whoever holds the clock.
    pub time: Timestamp,
    /// The vehicle, by its name.
    pub vehicle: String,
    /// What kind of event.
    pub kind: EventKind,
    /// Everything else, in the order of its names. Values are text as it was given, units included.
    pub fields: BTreeMap<String, String>,
}

impl Draft {
    /// A draft with fields given in any order.
    pub fn new(time: Timestamp, vehicle: &str, kind: EventKind, fields: &[(&str, &str)]) -> Self {
        let owned = |(name, value): &(&str, &str)| (name.to_string(), value.to_string());
        Self { time, vehicle: vehicle.to_string(), kind, fields: fields.iter().map(owned).collect() }
    }

    /// The number of the entry it names, where its kind names one; `Some(None)` where that is no number.
    pub fn named(&self) -> Option<Option<u64>> {
        let name = self.kind.naming_field()?;
        Some(self.fields.get(name).and_then(|value| value.parse().ok()))
    }

    /// Whether nothing that was recorded before can speak against it: it names nothing, and changes neither what is
    /// counted nor where the odometer stands.
    pub fn stands_alone(&self) -> bool {
        let counts = matches!(
            self.kind,
            EventKind::Vehicle
                | EventKind::Equipment
                | EventKind::Write
                | EventKind::RollOver
                | EventKind::Correction
                | EventKind::FaultMended
        );
        !counts && !self.fields.contains_key("odometer")
    }

    /// What is missing in the draft itself.
    pub(super) fn problems(&self) -> Vec<Problem> {
        let mut problems = Vec::new();
        if self.vehicle.trim().is_empty() {
            problems.push(
                Problem::error("record", "the name of a vehicle", "nothing")
                    .in_part("vehicle")
                    .hint("Say which vehicle the entry is about."),
            );
        }
        for name in self.kind.required_fields() {
            if self.fields.get(*name).is_none_or(|value| value.trim().is_empty()) {
                let expected = format!("a value for `{name}` in an entry of kind `{}`", self.kind.word());
                problems.push(
                    Problem::error("record", expected, "none").in_part(*name).hint("Give it and add again."),
                );
            }
        }
        problems
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_read_from_its_word() {
        for kind in EventKind::all() {
            assert_eq!(EventKind::read(kind.word()), Ok(kind));
            assert!(kind.naming_field().is_none_or(|name| kind.required_fields().contains(&name)));
        }
        assert!(EventKind::read("odometre").unwrap_err().hint.contains("`odometer`"));
        assert!(EventKind::read("xyzzy").unwrap_err().hint.contains("`note`"));
    }
}
