//! Corrections: an entry that was wrong stays, and a later one says what is right.

use super::chain::Entry;
use super::event::EventKind;
use std::collections::BTreeMap;

/// The fields of an entry by name.
pub type Fields = BTreeMap<String, String>;

/// What later entries say about earlier ones, by the number of the entry they correct.
#[derive(Clone, Debug, Default)]
pub struct Corrections(BTreeMap<u64, Vec<Fields>>);

impl Corrections {
    /// Gathers the corrections among some entries, which come in their order.
    pub fn among<'a>(entries: impl Iterator<Item = &'a Entry>) -> Self {
        let mut corrections = Self::default();
        entries.for_each(|entry| corrections.add(entry));
        corrections
    }

    /// Takes in one entry; one that corrects nothing changes nothing.
    pub fn add(&mut self, entry: &Entry) {
        if entry.event.kind != EventKind::Correction {
            return;
        }
        let named = entry.event.fields.get("corrects").and_then(|number| number.parse().ok());
        if let Some(number) = named.filter(|number| *number < entry.sequence) {
            self.0.entry(number).or_default().push(entry.event.fields.clone());
        }
    }

    /// Whether an entry is corrected.
    pub fn touch(&self, sequence: u64) -> bool {
        self.0.contains_key(&sequence)
    }

    /// The fields of an entry as corrected since.
    pub fn over(&self, entry: &Entry) -> Fields {
        let mut fields = entry.event.fields.clone();
        for correction in self.0.get(&entry.sequence).into_iter().flatten() {
            let right = correction.iter().filter(|(name, _)| name.as_str() != "corrects");
            fields.extend(right.map(|(name, value)| (name.clone(), value.clone())));
        }
        fields
    }
}
