//! The odometer of one vehicle through its life: readings that only rise, roll-overs and replacements.
//!
//! A `roll-over` entry says that the odometer passed its highest reading, `limit`, and began at zero. An
//! `equipment` entry for the part `odometer`, `module` or `cluster` may bring another one: `odometer_before` is what the
//! old one showed last, `odometer` what the new one shows. Where one of them is missing the distance between
//! is not known, and is said to be a gap. A reading is the field `odometer` of an entry of any kind but a correction, whose
//! fields belong to the entry that it corrects.

use super::chain::Entry;
use super::correction::Fields;
use super::event::EventKind;
use super::times::{DONE_ON, time_of_entry};
use crate::problem::Problem;
use jiff::Timestamp;
use metrology::quantity::Length;
use metrology::text::{Typed, length};

/// One reading, placed on its dial.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Reading {
    /// The entry it stands in.
    pub sequence: u64,
    /// When.
    pub time: Timestamp,
    /// Which odometer, counted from 0: a replacement brings the next.
    pub dial: usize,
    /// What it showed, with the roll-overs of this dial added.
    pub at: Length,
    /// One unit of the last digit.
    pub resolution: Length,
}

/// Where the odometer stands, entry by entry.
#[derive(Clone, Debug, Default)]
pub struct Odometer {
    last: Option<Reading>,
    /// Roll-overs of this dial, added up.
    rolled: Length,
    /// Another dial may begin with the next reading, if that is lower.
    may_restart: bool,
    /// Another dial begins with the next reading.
    must_restart: bool,
    /// Dials before which an unknown distance was gone.
    gaps: Vec<usize>,
}

impl Odometer {
    /// The last reading.
    pub fn last(&self) -> Option<&Reading> {
        self.last.as_ref()
    }

    /// Dials before which an unknown distance was gone.
    pub fn gaps(&self) -> &[usize] {
        &self.gaps
    }

    /// Takes one entry with its corrected fields: the readings in it, and what is wrong with them.
    pub fn feed(&mut self, entry: &Entry, fields: &Fields) -> (Vec<Reading>, Vec<Problem>) {
        let (mut readings, mut problems) = (Vec::new(), Vec::new());
        if entry.event.kind == EventKind::Correction {
            return (readings, problems);
        }
        let mut typed =
            |name: &str| read(fields, name).map_err(|problem| problems.push(problem)).ok().flatten();
        let (before, shown, limit) = (typed("odometer_before"), typed("odometer"), typed("limit"));
        if entry.event.kind == EventKind::RollOver {
            self.rolled = self.rolled + limit.map_or(Length::default(), |limit| limit.value);
        }
        if let Some(part) = changed_dial(entry, fields) {
            if let Some(before) = before {
                readings.extend(self.place(entry, fields, before, &mut problems));
            }
            self.replaced(part, before.is_some(), shown.is_some());
        }
        if let Some(shown) = shown {
            readings.extend(self.place(entry, fields, shown, &mut problems));
        }
        (readings, problems)
    }

    fn replaced(&mut self, part: &str, has_before: bool, has_after: bool) {
        if has_before && has_after {
            self.next_dial(false);
        } else if has_before || part.trim().eq_ignore_ascii_case("odometer") {
            self.must_restart = true;
        } else {
            self.may_restart = true;
        }
    }

    fn next_dial(&mut self, is_gap: bool) {
        let Some(last) = &mut self.last else { return };
        last.dial += 1;
        last.at = Length::default();
        if is_gap {
            self.gaps.push(last.dial);
        }
        self.rolled = Length::default();
        (self.may_restart, self.must_restart) = (false, false);
    }

    fn place(
        &mut self,
        entry: &Entry,
        fields: &Fields,
        shown: Typed<Length>,
        problems: &mut Vec<Problem>,
    ) -> Option<Reading> {
        let at = shown.value + self.rolled;
        let is_lower = self.last.is_some_and(|last| at < last.at);
        if self.must_restart || (self.may_restart && is_lower) {
            self.next_dial(true);
        } else if let Some(last) = self.last.filter(|last| at < last.at) {
            // What was done earlier stands among the readings that are there.
            if !fields.contains_key(DONE_ON) {
                problems.push(runs_back(&shown, &last));
            }
            return None;
        }
        self.may_restart = false;
        let dial = self.last.map_or(0, |last| last.dial);
        let at = shown.value + self.rolled;
        let time = time_of_entry(entry.event.time, fields);
        let time = self.last.map_or(time, |last| time.max(last.time));
        let reading = Reading { sequence: entry.sequence, time, dial, at, resolution: shown.resolution };
        self.last = Some(reading);
        Some(reading)
    }
}

/// Whether an entry may have to do with the odometer.
pub(super) fn may_matter(entry: &Entry) -> bool {
    let is_of_kind = matches!(entry.event.kind, EventKind::RollOver | EventKind::Equipment);
    is_of_kind || entry.event.fields.contains_key("odometer")
}

/// Whether a part that is replaced may bring another odometer, by what owners call it.
pub(super) fn shows_miles(part: &str) -> bool {
    const NAMES: [&str; 6] =
        ["odometer", "module", "speedometer", "cluster", "instrument cluster", "instruments"];
    NAMES.contains(&part.trim().to_lowercase().as_str())
}

/// The part, where the entry may bring another odometer.
fn changed_dial<'a>(entry: &Entry, fields: &'a Fields) -> Option<&'a str> {
    let part = fields.get("part").filter(|_| entry.event.kind == EventKind::Equipment)?;
    shows_miles(part).then_some(part.as_str())
}

/// A length among the fields.
pub(super) fn read(fields: &Fields, name: &str) -> Result<Option<Typed<Length>>, Problem> {
    let Some(text) = fields.get(name) else { return Ok(None) };
    let wrong = |expected: String, found: String, hint: String| {
        Problem::error("record", expected, found).in_part(name).hint(hint)
    };
    let typed = length(text).map_err(|error| wrong(error.expected, error.found, error.hint))?;
    if !typed.value.m().is_finite() || typed.value < Length::default() {
        let hint = "Copy it as the odometer shows it, with its unit.".to_string();
        return Err(wrong("a length of zero or more".to_string(), format!("`{text}`"), hint));
    }
    Ok(Some(typed))
}

fn runs_back(shown: &Typed<Length>, last: &Reading) -> Problem {
    // Nobody knows here in which units its owner thinks.
    let both = |length: Length| format!("{:.1} mi ({:.1} km)", length.mi(), length.km());
    let expected = format!("{} or more, as in entry {}", both(last.at), last.sequence);
    Problem::error("record", expected, both(shown.value)).in_part("odometer").hint(
        "If it rolled over, add a `roll-over` entry with its limit first; if it was replaced, an `equipment` entry \
         for the part `odometer` or `module`; if the earlier reading was mistyped, a correction.",
    )
}
