//! The job sheet as paper lays it out: what to do, on what, why, and how, each in words.

use crate::describe::adjuster::Adjuster;
use crate::describe::adjuster::setting::Setting;
use crate::describe::vehicle::Vehicle;
use crate::report::answers::choice::{ChoiceReport, OptionReport};
use crate::report::answers::description::{DescriptionReport, feeds_caution};
use crate::report::answers::errors::ErrorReport;
use crate::report::answers::evidence::EvidenceReport;
use crate::report::answers::faults::OpenFault;
use crate::report::answers::steps::{ChangeReport, StepsReport};
use crate::report::document::{Block, ChainBox, Chart, Document, Table};
use crate::report::papers::chain::boxes;
use crate::report::papers::measuring::MeasuringSheet;
use crate::report::words::{adjusters, cautions, signed};
use jiff::civil::Date;
use serde::Serialize;

/// More bars than these would fill the first page (judgement).
pub const MOST_BARS: usize = 6;
/// More lines than these would, too; what weighs least is left out, and that is said.
const MOST_LINES: usize = 10;

/// Settings shown on the sheet: the best and two to either side of it. All in reach stand in the advice itself.
const MOST_SETTINGS: usize = 5;

/// What the sheet is made of. Steps are there only where something is to be changed.
pub struct SheetParts<'a> {
    /// What is on the truck.
    pub description: &'a DescriptionReport,
    /// What to set.
    pub choice: &'a ChoiceReport,
    /// How to set it.
    pub steps: Option<&'a StepsReport>,
}

/// What the owner's routine and the presses come to on paper.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Doing {
    /// What to mind at this work.
    pub cautions: Vec<String>,
    /// How many presses, and what else to know before starting.
    pub before: Vec<String>,
    /// Steps with the cautions between them.
    pub steps: Vec<Block>,
    /// What the dial is to show afterwards.
    pub check: Option<String>,
    /// What to mind while it is proved.
    pub afterwards: Vec<Block>,
    /// What is to be written down.
    pub to_note: Vec<String>,
}

/// Everything on a job sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JobSheet {
    /// The truck.
    pub vehicle: String,
    /// The last day of which its file speaks.
    pub last_day: Option<String>,
    /// What to do, in one line.
    pub headline: String,
    /// What is there now and what is to be, where something is to be changed.
    pub changes: Vec<String>,
    /// Why.
    pub why: Vec<String>,
    /// What to mind before anything is done.
    pub cautions: Vec<String>,
    /// The chain, from the road.
    pub chain: Vec<ChainBox>,
    /// The evidence as bars; none where nothing was measured, or too much for bars.
    pub evidence: Option<Chart>,
    /// The evidence with a line for each piece, where there are too many for bars.
    pub evidence_table: Option<Table>,
    /// How many pieces are not in the table.
    pub evidence_left_out: usize,
    /// The error by speed; none where it is not known.
    pub errors: Option<Chart>,
    /// The same as a table.
    pub error_table: Option<Table>,
    /// The settings around the best.
    pub settings: Option<Table>,
    /// How it is done; none where nothing is to be changed.
    pub doing: Option<Doing>,
    /// The sheet to measure with, where that comes first.
    pub measuring: Vec<Block>,
}

/// Heads of its parts, on every face.
pub const CHAIN: &str = "The truck and its chain";
/// The same.
pub const EVIDENCE: &str = "What was measured, and what changes";
/// The same.
pub const STEPS: &str = "Steps";
/// The same.
pub const CHECK: &str = "The check";
/// The same.
pub const TO_NOTE: &str = "Write down when done";
/// Where there is no evidence.
pub const NOTHING_MEASURED: &str = "Nothing was measured yet.";

impl JobSheet {
    /// From the reports of all stages, and what is measured first where nothing is to be changed yet.
    pub fn new(
        vehicle: &Vehicle,
        parts: &SheetParts,
        evidence: &EvidenceReport,
        measuring: Option<&MeasuringSheet>,
    ) -> Self {
        let choice = parts.choice;
        let steps = parts.steps.filter(|steps| steps.nothing_to_do.is_none());
        let too_many = evidence.pieces.len() > MOST_BARS;
        let (lines, left_out) = evidence.table(MOST_LINES);
        let another = steps.and_then(|steps| steps.another.as_ref()).map(|another| another.text.clone());
        let despite = steps.and_then(|steps| steps.despite.as_ref()).map(|reason| stored_despite(reason));
        let changes = steps.map_or(&[][..], |steps| steps.changes.as_slice());
        Self {
            vehicle: choice.vehicle.clone(),
            last_day: last_day(vehicle).map(|day| day.to_string()),
            headline: match changes.is_empty() {
                true => choice.headline(),
                false => each(vehicle, changes, |it, _, to| adjusters::order(it, to)).join(" "),
            },
            changes: each(vehicle, changes, |it, from, to| {
                let words = adjusters::before(it);
                let [from, to] = [from, to].map(|setting| adjusters::setting(it, setting));
                format!("{}: {from}. {}: {to}.", words.now, words.then)
            }),
            why: another
                .into_iter()
                .chain(choice.reasons.iter().map(|one| one.brief.clone().unwrap_or_else(|| one.text.clone())))
                .collect(),
            cautions: despite.into_iter().chain(cautions::of_faults(&choice.open_faults)).collect(),
            chain: boxes(vehicle, parts.description),
            evidence: evidence.chart().filter(|_| !too_many),
            evidence_table: too_many.then_some(lines),
            evidence_left_out: if too_many { left_out } else { 0 },
            errors: error_chart(choice),
            error_table: error_table(choice),
            settings: settings(choice),
            doing: steps.map(|steps| doing(vehicle, parts, steps)),
            measuring: match (steps, measuring) {
                (None, Some(sheet)) => sheet.blocks(),
                _ => Vec::new(),
            },
        }
    }

    /// How many pieces of evidence stand nowhere on it, in words.
    pub fn left_out(&self) -> Option<String> {
        let count = self.evidence_left_out;
        (count > 0)
            .then(|| format!("{count} more weigh less than these; the page Measure lists all of them."))
    }

    /// The same for a person, in the order of the paper.
    pub fn document(&self) -> Document {
        let mut document = Document::new(self.vehicle.clone());
        document.push(Block::Answer(self.headline.clone()));
        self.changes.iter().chain(&self.why).for_each(|text| {
            document.sentence(text.clone());
        });
        self.cautions.iter().for_each(|text| {
            document.caution(text.clone());
        });
        document.heading(CHAIN).push(Block::Chain(self.chain.clone()));
        document.heading(EVIDENCE);
        self.push_evidence(&mut document);
        if let Some(doing) = &self.doing {
            doing.push(&mut document);
        }
        document.blocks.extend(self.measuring.iter().cloned());
        document
    }

    fn push_evidence(&self, document: &mut Document) {
        if self.evidence.is_none() && self.evidence_table.is_none() {
            document.sentence(NOTHING_MEASURED);
        }
        self.evidence_table.iter().for_each(|table| {
            document.push(Block::Table(table.clone()));
        });
        self.left_out().into_iter().for_each(|more| {
            document.sentence(more);
        });
        let charts = self.evidence.iter().chain(&self.errors).cloned().map(Block::Chart);
        let tables = self.error_table.iter().chain(&self.settings).cloned().map(Block::Table);
        document.blocks.extend(charts.chain(tables));
    }
}

impl Doing {
    fn push(&self, document: &mut Document) {
        document.heading(STEPS);
        self.cautions.iter().for_each(|text| {
            document.caution(text.clone());
        });
        self.before.iter().for_each(|text| {
            document.sentence(text.clone());
        });
        document.blocks.extend(self.steps.iter().cloned());
        document.heading(CHECK);
        self.check.iter().for_each(|text| {
            document.sentence(text.clone());
        });
        document.blocks.extend(self.afterwards.iter().cloned());
        document.heading(TO_NOTE).push(Block::Lines(self.to_note.clone()));
    }
}

fn doing(vehicle: &Vehicle, parts: &SheetParts, steps: &StepsReport) -> Doing {
    let mut procedure = Document::new("");
    steps.push_steps(&mut procedure);
    let is_check = |note: &String| steps.check.as_ref() == Some(note);
    let another = |note: &String| steps.another.as_ref().is_some_and(|another| another.text == *note);
    let counted = vehicle.adjusters.iter().any(|one| {
        one.writes_left.is_some() && steps.changes.iter().any(|change| change.adjuster == one.called())
    });
    let value = if steps.runs.is_empty() { "What is set now" } else { "Value stored" };
    let left = counted.then_some("Writes left");
    let to_note = ["Odometer", "Date", "Done by", value].into_iter().chain(left).chain(["Remarks"]);
    Doing {
        cautions: feeds_caution(&parts.description.also_feeds).into_iter().collect(),
        before: steps.in_short().into_iter().filter(|note| !is_check(note) && !another(note)).collect(),
        steps: procedure.blocks,
        check: steps.check.clone(),
        afterwards: afterwards(&parts.choice.open_faults),
        to_note: to_note.map(String::from).collect(),
    }
}

fn stored_despite(reason: &str) -> String {
    format!(
        "The advice is to check first. It is done all the same because: {reason}. Keep that reason in the record with the write."
    )
}

/// Each change with its adjuster, in words.
fn each(
    vehicle: &Vehicle,
    changes: &[ChangeReport],
    words: impl Fn(&Adjuster, &Setting, &Setting) -> String,
) -> Vec<String> {
    let one = |change: &ChangeReport| {
        let adjuster = vehicle.adjusters.iter().find(|one| one.called() == change.adjuster)?;
        Some(words(adjuster, &Setting::parse(&change.from), &Setting::parse(&change.to)))
    };
    changes.iter().filter_map(one).collect()
}

/// What every adjuster is set to, in words: "Stored now: 8.20."
pub(super) fn set_now(vehicle: &Vehicle) -> Option<String> {
    let one = |adjuster: &Adjuster| {
        let present = adjuster.present()?;
        Some(format!("{}: {}.", adjusters::before(adjuster).now, adjusters::setting(adjuster, &present)))
    };
    let all: Vec<String> = vehicle.adjusters.iter().filter_map(one).collect();
    (!all.is_empty()).then(|| all.join(" "))
}

/// The last day of evidence and writes in a file; none where no day is said.
pub fn last_day(vehicle: &Vehicle) -> Option<Date> {
    let seen = vehicle.evidence.iter().filter_map(|evidence| evidence.date);
    seen.chain(vehicle.written.iter().map(|write| write.date)).max()
}

/// The picture of the advice, in the words of before and after.
fn error_chart(choice: &ChoiceReport) -> Option<Chart> {
    let mut chart = choice.errors_chart();
    for series in &mut chart.series {
        if let Some(rest) = series.label.strip_prefix("best") {
            series.label = format!("afterwards{rest}");
        }
    }
    (!chart.series.is_empty()).then(|| Chart {
        title: "Error of the reading before and after".into(),
        description: format!("What is shown beyond the true speed, by true speed. {}", error_words(choice)),
        y_label: format!("shown minus true, {}", choice.units.speed_word()),
        ..chart
    })
}

fn error_words(choice: &ChoiceReport) -> String {
    let say = |error: &ErrorReport| {
        let cell = |error: Option<f64>| error.map_or("not known".to_string(), |e| signed(e, 1));
        let [at, now, best] = error.in_units(choice.units);
        let (at, word) = (at.unwrap_or_default(), choice.units.speed_word());
        format!("At {at:.0} {word}: now {}, with the best setting {}.", cell(now), cell(best))
    };
    choice.errors.iter().map(say).collect::<Vec<_>>().join(" ")
}

fn error_table(choice: &ChoiceReport) -> Option<Table> {
    choice.present.as_ref().or(choice.best.as_ref())?;
    let word = choice.units.speed_word();
    let row = |error: &ErrorReport| {
        let [at, now, best] = error.in_units(choice.units);
        let at = at.unwrap_or_default();
        let shown = |off: Option<f64>| off.map_or("not known".to_string(), |off| format!("{:.1}", at + off));
        vec![format!("{at:.0} {word}"), shown(now), shown(best)]
    };
    let head = ["true speed", "now", "with the best setting"];
    let rows = choice.errors.iter().map(row).collect();
    Some(Table::new(None, &format!("What is shown, {word}"), &head, rows))
}

/// The truest few, and what is stored now.
fn settings(choice: &ChoiceReport) -> Option<Table> {
    let nearest = choice.options.iter().take(MOST_SETTINGS);
    let present = choice.options.iter().skip(MOST_SETTINGS).filter(|option| option.is_present);
    let row = |option: &OptionReport| {
        let off = |ratio: f64| format!("{} %", signed(100.0 * (ratio - 1.0), 2));
        let label = if option.is_present { format!("{} (now)", option.label) } else { option.label.clone() };
        let ratio = &option.expected_ratio;
        vec![label, off(ratio.value), format!("{} to {}", off(ratio.low_95), off(ratio.high_95))]
    };
    let head = ["setting", "would read", "95 % interval"];
    let rows = nearest.chain(present).map(row).collect();
    (!choice.options.is_empty()).then(|| Table::new(None, "Settings around it", &head, rows))
}

/// What is to be minded on the first drive; open faults are said again where it is advised.
fn afterwards(faults: &[OpenFault]) -> Vec<Block> {
    let held = cautions::of_faults(faults).map(Block::Caution);
    let more = [
        Block::Caution("A second person reads the instruments; the driver looks at the road and keeps to the limit by a true speed, not by the dial, until it is proved.".into()),
        Block::Sentence("Prove it: drive with a track running, at steady speeds, and judge that drive.".into()),
    ];
    held.into_iter().chain(more).collect()
}
