//! A sheet to measure with: how, in five lines and a drawing, and a table to fill in. Nothing on it is to be stored.

use crate::choose::MeasurementKind;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::report::answers::choice::ChoiceReport;
use crate::report::document::{Block, Document, Drawing, Table};
use crate::report::papers::held::held_speeds;
use crate::report::papers::job::{last_day, set_now};
use crate::report::words::cautions;
use crate::report::words::measuring::{Method, WITH_IT, method};
use crate::units::Units;
use serde::Serialize;

/// A sheet for one measurement.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasuringSheet {
    /// The truck.
    pub vehicle: String,
    /// The last day of which its file speaks.
    pub last_day: Option<String>,
    /// What is measured.
    pub title: String,
    /// What is set now, which what is read belongs to.
    pub set_now: Option<String>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// How, in five lines.
    pub method: Vec<String>,
    /// The same drawn.
    pub drawing: Drawing,
    /// The table to fill in.
    pub form: Table,
    /// What is written down with it.
    pub lines: Vec<String>,
}

impl MeasuringSheet {
    /// For a measurement: the one named, else the one that the advice asks for, else the most useful that nothing holds back.
    pub fn new(
        vehicle: &Vehicle,
        estimate: &VehicleEstimate,
        choice: &ChoiceReport,
        kind: Option<MeasurementKind>,
        units: Units,
    ) -> Self {
        let kind = kind.unwrap_or_else(|| advised(choice));
        let Method { title, lines, head, mut rows, drawing, evidence } = method(kind, units);
        if kind == MeasurementKind::CalledSpeeds {
            rows = held_speeds(vehicle, estimate, rows.len(), units);
        }
        let head: Vec<&str> = head.iter().map(String::as_str).collect();
        let blank = |start: String| [vec![start], vec![String::new(); head.len() - 1]].concat();
        let form = Table::new(None, "To fill in", &head, rows.into_iter().map(blank).collect());
        Self {
            vehicle: vehicle.name.clone(),
            last_day: last_day(vehicle).map(|day| day.to_string()),
            title: title.into(),
            set_now: set_now(vehicle),
            cautions: cautions::before(evidence, &vehicle.faults),
            method: lines.to_vec(),
            drawing,
            form,
            lines: WITH_IT.map(String::from).to_vec(),
        }
    }

    /// Its blocks, without a title.
    pub fn blocks(&self) -> Vec<Block> {
        let mut document = Document::new("");
        document.heading(self.title.clone());
        self.cautions.iter().for_each(|caution| {
            document.caution(caution.clone());
        });
        document.push(Block::Method(self.method.clone()));
        document.push(Block::Drawing(self.drawing));
        self.set_now.iter().for_each(|now| {
            document.sentence(format!(
                "{now} What is read belongs to that: if it is another by now, write it down."
            ));
        });
        document.push(Block::Form(self.form.clone()));
        document.push(Block::Lines(self.lines.clone()));
        document.blocks
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        Document { title: self.vehicle.clone(), blocks: self.blocks() }
    }
}

fn advised(choice: &ChoiceReport) -> MeasurementKind {
    let free = choice.measurements.iter().find(|one| one.held_back_by.is_empty());
    let asked = choice.measure.as_ref().map(|measure| measure.kind);
    asked.or(free.map(|one| one.kind)).unwrap_or(MeasurementKind::Rollout)
}
