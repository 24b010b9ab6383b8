//! The job sheet as paper lays it out: what to do, on what, why, and how, each in words.

use crate::choose::Advice;
use crate::describe::chain::{Effect, Standing};
use crate::describe::vehicle::Vehicle;
use crate::report::answers::choice::{ChoiceReport, OptionReport};
use crate::report::answers::description::{DescriptionReport, LinkReport, feeds_caution};
use crate::report::answers::errors::ErrorReport;
use crate::report::answers::evidence::EvidenceReport;
use crate::report::document::{Block, Chart, Document, Table};
use crate::report::papers::sheet::SheetParts;
use crate::report::words::{cautions, counted, signed};
use jiff::civil::Date;
use serde::Serialize;

/// More bars than these would fill the first page (judgement).
const MOST_BARS: usize = 6;
/// More lines than these would, too; what weighs least is left out, and that is said.
const MOST_LINES: usize = 12;

/// Settings shown on the sheet: the best and two to either side of it. All in reach stand in the advice itself.
const MOST_SETTINGS: usize = 5;

/// Everything on a job sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JobSheet {
    /// The truck.
    pub vehicle: String,
    /// The last day of which its file speaks.
    pub last_day: Option<String>,
    /// What to do, in one line.
    pub headline: String,
    /// What is stored now and what is to be stored, where something is.
    pub change: Option<[String; 2]>,
    /// Why.
    pub why: Vec<String>,
    /// What to mind before anything is done.
    pub cautions: Vec<String>,
    /// The chain, from the road.
    pub chain: Vec<ChainBox>,
    /// The same in one sentence.
    pub chain_words: String,
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
    /// What to do: steps with the cautions between them. Empty where nothing is to be stored.
    pub steps: Vec<Block>,
    /// What the dial is to show afterwards, and what else to know.
    pub notes: Vec<String>,
    /// What to mind while it is proved.
    pub afterwards: Vec<Block>,
    /// What is to be written down.
    pub to_note: Vec<&'static str>,
}

/// A link of the chain as a box.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ChainBox {
    /// What it is.
    pub name: String,
    /// What it does to what comes to it.
    pub factor: String,
    /// How well that is known, or how often it can still be set.
    pub standing: String,
    /// How well it is known; none of what can be set.
    #[serde(skip)]
    pub known: Option<Standing>,
}

impl JobSheet {
    /// From the reports of all stages.
    pub fn new(vehicle: &Vehicle, parts: &SheetParts, evidence: &EvidenceReport) -> Self {
        let choice = parts.choice;
        let steps = parts.steps.filter(|_| choice.advice == Advice::Write);
        let mut procedure = Document::new("");
        if let Some(steps) = steps {
            steps.push_steps(&mut procedure);
        }
        let mut cautions: Vec<String> = cautions::of_faults(&choice.open_faults).into_iter().collect();
        cautions.extend(steps.and_then(|_| feeds_caution(&parts.description.also_feeds)));
        let chain = boxes(parts.description);
        let too_many = evidence.pieces.len() > MOST_BARS;
        let (lines, left_out) = evidence.table(MOST_LINES);
        Self {
            vehicle: choice.vehicle.clone(),
            last_day: last_day(vehicle).map(|day| day.to_string()),
            headline: choice.headline(),
            change: steps.map(|steps| [steps.from.clone(), steps.to.clone()]),
            why: choice.why.clone(),
            cautions,
            chain_words: chain_words(&chain),
            chain,
            evidence: evidence.chart().filter(|_| !too_many),
            evidence_table: too_many.then_some(lines),
            evidence_left_out: if too_many { left_out } else { 0 },
            errors: error_chart(choice),
            error_table: error_table(choice),
            settings: settings(choice),
            steps: procedure.blocks,
            notes: steps.map(|steps| steps.notes.clone()).unwrap_or_default(),
            afterwards: steps.map(|_| afterwards()).unwrap_or_default(),
            to_note: vec!["Odometer", "Date", "Done by", "Value stored", "Writes left", "Remarks"],
        }
    }
}

/// The last day of evidence and writes in a file; none where no day is said.
pub fn last_day(vehicle: &Vehicle) -> Option<Date> {
    let seen = vehicle.evidence.iter().filter_map(|evidence| evidence.date);
    seen.chain(vehicle.written.iter().map(|write| write.date)).max()
}

fn boxes(description: &DescriptionReport) -> Vec<ChainBox> {
    let link = |link: &LinkReport| {
        let sign = if link.effect == Effect::Divides { '\u{f7}' } else { '\u{d7}' };
        let known = link.standing != Standing::Unknown;
        ChainBox {
            name: link.name.clone(),
            factor: if known { format!("{sign} {}", link.shown) } else { format!("{sign} ?") },
            standing: link.standing.word().into(),
            known: Some(link.standing),
        }
    };
    let mut boxes: Vec<ChainBox> = description.chain.iter().map(link).collect();
    boxes.extend(description.adjusters.iter().map(|adjuster| {
        ChainBox {
            name: adjuster.name.clone(),
            factor: format!("set to {}", adjuster.present.as_deref().unwrap_or("?")),
            standing: adjuster
                .writes_left
                .map_or("can be set".into(), |left| format!("{} left", counted(left, "write"))),
            known: None,
        }
    }));
    boxes
}

fn chain_words(chain: &[ChainBox]) -> String {
    let each: Vec<String> =
        chain.iter().map(|link| format!("{} {} ({})", link.name, link.factor, link.standing)).collect();
    format!("The truck, and its chain from the road to the needle: {}.", each.join(", then "))
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

fn afterwards() -> Vec<Block> {
    vec![
        Block::Caution("A second person reads the instruments; the driver looks at the road and keeps to the limit by a true speed, not by the dial, until it is proved.".into()),
        Block::Sentence("Prove it: drive with a track running, at steady speeds, and judge that drive.".into()),
    ]
}
