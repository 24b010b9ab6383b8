//! The answer of `set`.

use super::document::{Block, Document, Step, Tick};
use super::words::{held_back_by, hold_back_caution};
use crate::describe::vehicle::Vehicle;
use crate::problem::Problem;
use crate::set::{Job, StepKind, StepText};
use serde::Serialize;

/// The steps from the present value to the target.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StepsReport {
    /// The truck.
    pub vehicle: String,
    /// What is stored now.
    pub from: String,
    /// What is to be stored.
    pub to: String,
    /// Each button and how often it is pressed.
    pub presses: Vec<PressReport>,
    /// All presses together.
    pub total_presses: usize,
    /// How often the display passes from one end to the other.
    pub wraps: usize,
    /// The steps, each a sentence or two.
    pub steps: Vec<String>,
    /// Which of the steps cannot be taken back, counted from 1.
    pub irreversible_steps: Vec<usize>,
    /// What else to know before starting.
    pub notes: Vec<String>,
    /// Open faults that hold a drive back.
    pub held_back_by: Vec<String>,
    /// What was wrong with the inputs.
    pub problems: Vec<Problem>,
    #[serde(skip)]
    texts: Vec<StepText>,
    #[serde(skip)]
    ticks: Vec<Tick>,
}

/// Presses of one button.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PressReport {
    /// The button that counts this way.
    pub button: String,
    /// How many presses.
    pub count: usize,
}

impl StepsReport {
    /// The report of a job.
    pub fn new(vehicle: &Vehicle, job: &Job, problems: Vec<Problem>) -> StepsReport {
        let steps = &job.steps;
        StepsReport {
            vehicle: vehicle.name.clone(),
            from: job.from.clone(),
            to: job.to.clone(),
            presses: steps
                .presses
                .iter()
                .map(|p| PressReport { button: p.button.to_string(), count: p.count })
                .collect(),
            total_presses: steps.total_presses,
            wraps: steps.wraps,
            steps: steps.steps.iter().map(|step| step.text.clone()).collect(),
            irreversible_steps: (1..=steps.steps.len())
                .filter(|n| steps.steps[n - 1].irreversible())
                .collect(),
            notes: job.notes.clone(),
            held_back_by: held_back_by(&vehicle.faults),
            problems,
            texts: steps.steps.clone(),
            ticks: job
                .checkpoints
                .iter()
                .map(|(presses, shows)| Tick { presses: *presses, shows: shows.clone() })
                .collect(),
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("{}: from {} to {}", self.vehicle, self.from, self.to));
        if self.total_presses > 0 {
            let presses: Vec<String> =
                self.presses.iter().map(|p| format!("{} presses {}", p.count, p.button)).collect();
            let ends = match self.wraps {
                0 => String::new(),
                1 => ", passing the end of the range once".into(),
                n => format!(", passing the end of the range {n} times"),
            };
            document.sentence(format!("{}{ends}.", presses.join(", ")));
        }
        for note in &self.notes {
            document.sentence(note.clone());
        }
        if let Some(caution) = hold_back_caution(&self.held_back_by) {
            document.caution(caution);
        }
        self.push_steps(&mut document);
        document
    }

    /// Cautions stand where the procedure has them, between the steps.
    pub(super) fn push_steps(&self, document: &mut Document) {
        let mut run: Vec<Step> = Vec::new();
        for step in &self.texts {
            if step.kind == StepKind::Caution {
                if !run.is_empty() {
                    document.push(Block::Steps(std::mem::take(&mut run)));
                }
                document.caution(step.text.clone());
            } else {
                let ticks = if step.presses { self.ticks.clone() } else { Vec::new() };
                run.push(Step { text: step.text.clone(), irreversible: step.irreversible(), ticks });
            }
        }
        if !run.is_empty() {
            document.push(Block::Steps(run));
        }
    }
}
