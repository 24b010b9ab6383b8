//! What is stored in each adjuster by the record's last word, and whether a new write or a vehicle file agrees.

use super::chain::{Entry, at};
use super::correction::{Corrections, Fields};
use super::event::{Draft, EventKind};
use crate::describe::adjuster::setting::Setting;
use crate::describe::vehicle::Vehicle;
use crate::problem::Problem;

/// The field in which a write says why it begins from a value that is not the stored one.
pub const FROM_REASON: &str = "from_reason";
/// The field that names what was set, where a vehicle has several adjusters.
pub const ADJUSTER: &str = "adjuster";
/// The field in which a correction says that a write was never made.
pub const NOT_MADE: &str = "not_made";

/// A value the record holds to be stored, with the entry that says so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stored {
    /// The value.
    pub setting: String,
    /// The entry.
    pub entry: u64,
    /// Whether that entry is a write.
    pub by_write: bool,
}

/// What is stored, by entries of one vehicle in their order. `adjuster` is the name that writes to it carry; where none is
/// named, the last word on any counts. Entries without a name are about the first adjuster of the vehicle, or its only
/// one: `is_first` says whether that is it.
pub fn stored(entries: &[Entry], adjuster: Option<&str>, is_first: bool) -> Option<Stored> {
    let corrections = Corrections::among(entries.iter());
    let mut last = None;
    for entry in entries {
        let fields = corrections.over(entry);
        let named = fields.get("adjuster").map(String::as_str);
        let is_it = adjuster.is_none() || named == adjuster || (named.is_none() && is_first);
        let said = |name: &str, by_write| {
            let setting = fields.get(name)?.trim().to_string();
            Some(Stored { setting, entry: entry.sequence, by_write })
        };
        match entry.event.kind {
            EventKind::Write if is_it && !is_unmade(&fields) => last = said("to", true),
            EventKind::Vehicle if is_it => last = said("present", false).or(last),
            EventKind::Equipment if fields.get("part").is_some_and(|part| part == "module") => {
                last = said("present", false);
            }
            _ => {}
        }
    }
    last
}

/// Whether a write was taken back by a correction.
pub(super) fn is_unmade(fields: &Fields) -> bool {
    fields.contains_key(NOT_MADE)
}

/// Whether two texts mean the same setting: 8.2 is 8.20.
pub fn same_setting(one: &str, other: &str) -> bool {
    Setting::parse(one.trim()).same_as(&Setting::parse(other.trim()))
}

/// A write must begin from what is stored, or say why it does not.
pub(super) fn from_problem(earlier: &[Entry], sequence: u64, event: &Draft) -> Option<Problem> {
    if event.kind != EventKind::Write
        || event.fields.get(FROM_REASON).is_some_and(|why| !why.trim().is_empty())
    {
        return None;
    }
    let from = event.fields.get("from")?;
    let stored = stored(earlier, event.fields.get("adjuster").map(String::as_str), false)?;
    if same_setting(from, &stored.setting) {
        return None;
    }
    let expected = format!("a write from {}, which is stored by entry {}", stored.setting, stored.entry);
    let problem = Problem::error("record", expected, format!("`{from}`")).in_part("from");
    Some(at(sequence, problem).hint(
        "If the module was found to hold another value, say why with the write, and the reason goes into the record; if \
         an entry is wrong, correct that first.",
    ))
}

/// Where the record's last write and the vehicle file do not say the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The adjuster, as it is called.
    pub adjuster: String,
    /// The same in words.
    pub spoken: String,
    /// What the record holds to be stored.
    pub recorded: Stored,
    /// What the file says is stored, where it says so.
    pub in_file: Option<String>,
}

impl Difference {
    /// In words.
    pub fn problem(&self) -> Problem {
        let Stored { setting, entry, .. } = &self.recorded;
        let found = self.in_file.clone().unwrap_or_else(|| "no value".to_string());
        let expected =
            format!("{setting} as the {}, as the record's last write says (entry {entry})", self.spoken);
        Problem::error("the vehicle file", expected, found).hint(
            "Look at what the module shows, then let the file follow the record, or enter into the record that the file \
             is right.",
        )
    }
}

/// Holds the record's last write to each adjuster against a vehicle file. What was taken in from a file later than the last
/// write is the file's own word, and no difference.
pub fn differences(vehicle: &Vehicle, entries: &[Entry]) -> Vec<Difference> {
    let adjusters = vehicle.adjusters.iter().enumerate();
    let differs = adjusters.filter_map(|(place, adjuster)| {
        let recorded = match (&adjuster.name, place) {
            (None, 1..) => None,
            (name, _) => stored(entries, name.as_deref(), place == 0),
        };
        let recorded = recorded.filter(|stored| stored.by_write)?;
        let in_file = adjuster.present().map(|setting| setting.to_string());
        let same = in_file.as_deref().is_some_and(|value| same_setting(value, &recorded.setting));
        let (called, spoken) = (adjuster.called().to_string(), adjuster.spoken().to_string());
        (!same).then_some(Difference { adjuster: called, spoken, recorded, in_file })
    });
    // What is changed by hand, without a stored value, has none to compare.
    differs.filter(|difference| difference.in_file.is_some()).collect()
}
