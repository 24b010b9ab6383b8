//! The note for the door frame: what is set on this truck since when, and the notice that a lost total asks for.

use crate::record::{Corrections, Entry, EventKind, NOT_MADE, VehicleState, day_of, notices};
use crate::report::document::Document;
use crate::report::papers::odometer::{DoorFrame, TO_ZERO};
use crate::report::words::{capital, owners_word_mark};
use serde::Serialize;

/// A note for the door frame.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DoorFrameNote {
    /// The truck.
    pub vehicle: String,
    /// What it says: names and values.
    pub lines: Vec<[String; 2]>,
    /// Notices after repairs that lost the total (49 USC 32704).
    pub notices: Vec<DoorFrame>,
    /// The day of the last entry.
    pub last_day: Option<String>,
}

impl DoorFrameNote {
    /// Of the entries of one vehicle.
    pub fn new(vehicle: &str, entries: &[Entry]) -> Self {
        let state = VehicleState::from_entries(entries);
        let corrections = Corrections::among(entries.iter());
        let day = |entry: &Entry| day_of(entry.event.time).to_string();
        let is_made = |entry: &&Entry| !corrections.over(entry).contains_key(NOT_MADE);
        let mut writes = entries.iter().rev().filter(|entry| entry.event.kind == EventKind::Write);
        let write = writes.find(is_made);
        let mut lines: Vec<[String; 2]> = Vec::new();
        let mut add = |name: &str, value: String| lines.push([name.into(), value]);
        if let Some((setting, _)) = &state.setting {
            add("Set to", setting.clone());
        }
        if let Some(entry) = write {
            let fields = corrections.over(entry);
            add("Set on", day(entry));
            add("Odometer then", fields.get("odometer").cloned().unwrap_or_else(|| "not noted".into()));
        }
        state.writes_left.into_iter().for_each(|left| add("Writes left", left.to_string()));
        let fitted = state.fitted.iter().filter(|(_, value)| !value.trim().is_empty());
        fitted.for_each(|(part, value)| add(&capital(part), value.clone()));
        if let crate::record::Proved::Yes { rule, verdict, owners_word, .. } = &state.proved {
            let mark = owners_word_mark(*owners_word);
            add("Proved", format!("{} against {rule}{mark}", verdict.replace('-', " ")));
        }
        if lines.is_empty() {
            lines.push(["Record".into(), "nothing of this truck yet".into()]);
        }
        let frame = |notice: &crate::record::Notice| DoorFrame {
            entry: notice.entry,
            mileage_before: notice.mileage_before.clone(),
            date: day_of(notice.date).to_string(),
        };
        Self {
            vehicle: vehicle.into(),
            lines,
            notices: notices(entries).iter().map(frame).collect(),
            last_day: entries.last().map(day),
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("{}: note for the door frame", self.vehicle));
        let rows = self.lines.iter().map(|line| line.to_vec()).collect();
        document.table("On the label", &["what", "value"], rows);
        for notice in &self.notices {
            document.heading("Notice at the left door frame (49 USC 32704)");
            document.sentence(Self::notice(notice));
            document.sentence(TO_ZERO);
        }
        document
    }

    /// What the law asks beside a notice.
    pub fn to_zero() -> &'static str {
        TO_ZERO
    }

    /// A notice in words.
    pub fn notice(notice: &DoorFrame) -> String {
        format!("Mileage before repair: {}. Date of repair: {}.", notice.mileage_before, notice.date)
    }
}
