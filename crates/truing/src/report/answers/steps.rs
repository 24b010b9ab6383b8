//! The answer of `set`.

use super::another::AnotherReport;
use super::to_file::FileLines;
use crate::describe::vehicle::Vehicle;
use crate::problem::Problem;
use crate::report::answers::faults::OpenFault;
use crate::report::document::{Block, Document, Step, Tick};
use crate::report::words::doing::Doing;
use crate::report::words::setting;
use crate::report::words::{capital, cautions, held_back_by, reads, reasons};
use crate::set::{self, Cause, Change, Job, Outcome, Presses, Run, StepKind, Switch};
use crate::units::Units;
use schemars::JsonSchema;
use serde::Serialize;

/// The steps from the present value to the target.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct StepsReport {
    /// The truck.
    pub vehicle: String,
    /// What is stored now.
    pub from: String,
    /// What is to be stored; the same where nothing is to be done.
    pub to: String,
    /// The owner's reason for storing it although something is to be checked first; it belongs into the record.
    pub despite: Option<String>,
    /// Why nothing is to be done, where that is so: then there are no steps and no presses.
    pub nothing_to_do: Option<NothingReport>,
    /// Where another value than the advised one was asked for: what the truck would read with it.
    pub another: Option<AnotherReport>,
    /// Where several adjusters change: what the truck would read with all of it.
    pub with_all: Option<String>,
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
    /// Every press of every run: the button, and what the display shows before the first and after each.
    pub runs: Vec<RunReport>,
    /// What is another value afterwards than before.
    pub changes: Vec<ChangeReport>,
    /// What the vehicle file says from then on, for whoever keeps it by hand; the page writes it by itself.
    pub to_file: Vec<FileLines>,
    /// What else to know before starting.
    pub notes: Vec<String>,
    /// Open faults that hold a drive back.
    pub held_back_by: Vec<String>,
    /// Every open fault and what it holds back.
    pub open_faults: Vec<OpenFault>,
    /// What was wrong with the inputs.
    pub problems: Vec<Problem>,
    #[serde(skip)]
    texts: Vec<StepText>,
    /// What the dial is to show afterwards, in a sentence; it stands among the notes too.
    #[serde(skip)]
    pub(crate) check: Option<String>,
}

/// A step in words.
#[derive(Clone, Debug, PartialEq, Eq)]
struct StepText {
    text: String,
    kind: StepKind,
    presses: bool,
    switches: Vec<Switch>,
}

impl StepText {
    fn new(step: &set::Step) -> Self {
        let set::Step { kind, presses, switches, .. } = step;
        Self { text: setting::step(step), kind: *kind, presses: *presses, switches: switches.clone() }
    }

    fn irreversible(&self) -> bool {
        self.kind == StepKind::Irreversible
    }
}

/// Why nothing is to be done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct NothingReport {
    /// The cause.
    pub cause: Cause,
    /// What is stored, where it is known.
    pub stored: Option<String>,
    /// The same in a sentence.
    pub text: String,
}

/// One step on a screen of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Screen<'a> {
    /// What to do or to see.
    pub text: &'a str,
    /// What kind of step it is.
    pub kind: StepKind,
    /// The cautions that stand before it.
    pub cautions: Vec<&'a str>,
    /// The presses to count in it.
    pub counted: Option<&'a RunReport>,
    /// The presses are made in it, be they none.
    pub is_pressing: bool,
    /// A step that cannot be taken back comes before it: what is shown is stored.
    pub is_after_storing: bool,
}

/// One adjuster and what becomes of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ChangeReport {
    /// The adjuster, as it is called.
    pub adjuster: String,
    /// The same in words.
    pub spoken: String,
    /// What is stored before.
    pub from: String,
    /// What is stored after.
    pub to: String,
    /// Writes left before, where the adjuster counts them and this is known.
    pub writes_left_before: Option<u32>,
}

impl ChangeReport {
    fn new(change: &Change) -> Self {
        let Change { adjuster, spoken, from, to, writes_left } = change.clone();
        Self { adjuster, spoken, from, to, writes_left_before: writes_left }
    }
}

/// A run of presses.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RunReport {
    /// The button that counts this way.
    pub button: String,
    /// What the display shows before the first press and after each.
    pub shows: Vec<String>,
    /// How long the button is held first, where it goes on by itself.
    pub held: Option<HeldReport>,
    #[serde(skip)]
    ticks: Vec<Tick>,
}

/// The part of a run that a held button makes by itself.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HeldReport {
    /// How long it is held, in seconds.
    pub hold_s: f64,
    /// What the display shows when it is let go, about.
    pub let_go_at: String,
    /// Presses made singly afterwards.
    pub then_singly: usize,
}

impl RunReport {
    fn new(run: &Run) -> Self {
        let held = run.held.as_ref().map(|held| HeldReport {
            hold_s: held.hold.duration.s(),
            let_go_at: held.let_go_at.clone(),
            then_singly: held.then_singly,
        });
        let tick = |(presses, shows): &(usize, String)| Tick { presses: *presses, shows: shows.clone() };
        let ticks = run.checkpoints.iter().map(tick).collect();
        Self { button: run.button.to_string(), shows: run.shows.clone(), held, ticks }
    }
}

/// Presses of one button.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PressReport {
    /// The button that counts this way.
    pub button: String,
    /// How many presses.
    pub count: usize,
}

impl StepsReport {
    /// The report of what came of it.
    pub fn new(vehicle: &Vehicle, outcome: &Outcome, problems: Vec<Problem>, units: Units) -> StepsReport {
        let held_back_by = held_back_by(&vehicle.faults);
        let open_faults = OpenFault::all(&vehicle.faults);
        let vehicle_name = vehicle.name.clone();
        let empty =
            StepsReport { vehicle: vehicle_name, held_back_by, open_faults, problems, ..Default::default() };
        match outcome {
            Outcome::Steps(job) => {
                Self { to_file: FileLines::after(vehicle, &job.changes), ..Self::of_job(job, units, empty) }
            }
            Outcome::NothingToDo { stored, cause, why } => {
                let value = stored.clone().unwrap_or_default();
                let notes = why.iter().map(|reason| reasons::sentence(vehicle, reason, units)).collect();
                let text = nothing_words(Doing::on(vehicle), *cause, stored.as_deref());
                let nothing_to_do = Some(NothingReport { cause: *cause, stored: stored.clone(), text });
                StepsReport { from: value.clone(), to: value, nothing_to_do, notes, ..empty }
            }
        }
    }

    fn of_job(job: &Job, units: Units, empty: StepsReport) -> StepsReport {
        let steps = &job.steps;
        let texts: Vec<StepText> = steps.steps.iter().map(StepText::new).collect();
        let check = job.expected.as_ref().map(|expected| setting::check_reading(expected, units));
        let press = |p: &Presses| PressReport { button: p.button.to_string(), count: p.count };
        let is_final = |n: &usize| steps.steps[n - 1].irreversible();
        let notes = job.notes.iter().map(setting::note).chain(job.long_ways.iter().map(setting::long_way));
        StepsReport {
            from: job.from.clone(),
            to: job.to.clone(),
            despite: job.despite.clone(),
            with_all: with_all(job),
            presses: steps.presses.iter().map(press).collect(),
            total_presses: steps.total_presses,
            wraps: steps.wraps,
            steps: texts.iter().map(|step| step.text.clone()).collect(),
            irreversible_steps: (1..=steps.steps.len()).filter(is_final).collect(),
            runs: job.runs.iter().map(RunReport::new).collect(),
            changes: job.changes.iter().map(ChangeReport::new).collect(),
            notes: notes.chain(check.clone()).collect(),
            texts,
            check,
            ..empty
        }
    }

    /// The presses in a sentence, and what else to know before starting.
    pub fn in_short(&self) -> Vec<String> {
        let plural = |count: usize| if count == 1 { "press" } else { "presses" };
        let presses: Vec<String> =
            self.presses.iter().map(|p| format!("{} {} {}", p.count, plural(p.count), p.button)).collect();
        let ends = match self.wraps {
            0 => String::new(),
            1 => ", passing the end of the range once".into(),
            n => format!(", passing the end of the range {n} times"),
        };
        let pressing = (self.total_presses > 0).then(|| format!("{}{ends}.", presses.join(", ")));
        let another = self.another.iter().map(|another| another.text.clone());
        let more = another.chain(self.with_all.clone());
        pressing.into_iter().chain(more).chain(self.notes.iter().cloned()).collect()
    }

    /// The steps one by one, each with the cautions that stand before it.
    pub fn screens(&self) -> Vec<Screen<'_>> {
        let (mut screens, mut cautions, mut run, mut is_after_storing) = (Vec::new(), Vec::new(), 0, false);
        for step in &self.texts {
            if step.kind == StepKind::Caution {
                cautions.push(step.text.as_str());
                continue;
            }
            let counted =
                step.presses.then(|| self.runs.get(run)).flatten().filter(|run| run.shows.len() > 1);
            run += usize::from(step.presses);
            screens.push(Screen {
                text: &step.text,
                kind: step.kind,
                cautions: std::mem::take(&mut cautions),
                counted,
                is_pressing: step.presses,
                is_after_storing,
            });
            is_after_storing |= step.irreversible();
        }
        screens
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let title = match &self.nothing_to_do {
            Some(_) => format!("{}: nothing to do", self.vehicle),
            None => format!("{}: from {} to {}", self.vehicle, self.from, self.to),
        };
        let mut document = Document::new(title);
        if let Some(nothing) = &self.nothing_to_do {
            document.sentence(nothing.text.clone());
        }
        if let Some(despite) = &self.despite {
            document.caution(format!(
                "The advice is to check first. It is stored all the same because: {despite}. Keep that reason in the record with the write."
            ));
        }
        for sentence in self.in_short() {
            document.sentence(sentence);
        }
        if let Some(caution) = cautions::of_faults(&self.open_faults) {
            document.caution(caution);
        }
        self.push_steps(&mut document);
        self.push_to_file(&mut document);
        document
    }

    /// Where nobody else writes it, the file would go on saying what was stored before.
    fn push_to_file(&self, document: &mut Document) {
        if self.to_file.is_empty() {
            return;
        }
        document.heading("Afterwards, in the vehicle file");
        document.sentence(format!(
            "Should it come out as another value than {}, put that one in. Until the file says so, everything here goes by {}.",
            self.to, self.from
        ));
        for part in &self.to_file {
            document.sentence(format!("{}:", part.place));
            part.lines.iter().for_each(|line| {
                document.sentence(format!("  {line}"));
            });
        }
    }

    /// Cautions stand where the procedure has them, between the steps; a way back stands beside the step that it belongs
    /// to, and is none itself.
    pub(crate) fn push_steps(&self, document: &mut Document) {
        let mut steps: Vec<Step> = Vec::new();
        let mut runs = self.runs.iter();
        for step in &self.texts {
            match (step.kind, steps.last_mut()) {
                (StepKind::Caution, _) => {
                    if !steps.is_empty() {
                        document.push(Block::Steps(std::mem::take(&mut steps)));
                    }
                    document.caution(step.text.clone());
                }
                (StepKind::WayBack, Some(last)) => last.otherwise.push(step.text.clone()),
                (StepKind::WayBack, None) => {
                    document.sentence(step.text.clone());
                }
                _ => {
                    let run = if step.presses { runs.next() } else { None };
                    steps.push(Step {
                        irreversible: step.irreversible(),
                        switches: step.switches.clone(),
                        ticks: run.map(|run| run.ticks.clone()).unwrap_or_default(),
                        ..Step::new(step.text.clone())
                    });
                }
            }
        }
        if !steps.is_empty() {
            document.push(Block::Steps(steps));
        }
    }
}

/// What the truck would read once all of several adjusters are set; in between it reads otherwise.
fn with_all(job: &Job) -> Option<String> {
    let expected = job.expected.as_ref().filter(|_| job.changes.len() > 1)?;
    let reads = reads(expected).replacen("reads", "would read", 1);
    Some(format!(
        "With all of it done the truck {reads}; with a part of it, something else: do it in one go."
    ))
}

/// That nothing is to be done, and why.
fn nothing_words(doing: Doing, cause: Cause, stored: Option<&str>) -> String {
    let nothing = doing.nothing();
    let press = match doing {
        Doing::Store | Doing::Declare => "Press nothing",
        _ => "Change nothing",
    };
    match (cause, stored) {
        (Cause::StoredAlready, Some(stored)) => {
            format!("{}: {nothing}.", capital(&doing.state(stored, "already")))
        }
        (Cause::StoredAlready, None) => format!("It is so already: {nothing}."),
        (Cause::Leave, Some(stored)) => {
            format!("{press}: {}, and the advice is to leave it so.", doing.state(stored, ""))
        }
        (Cause::Leave, None) => format!("{press}: the advice is to leave it as it is."),
        (Cause::MeasureFirst, _) => format!("{press} yet: the advice is to measure first."),
        (Cause::CheckFirst, _) => {
            format!("{press} yet: something is odd, and the advice is to check it first.")
        }
    }
}
