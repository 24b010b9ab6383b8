//! The job sheet: everything about one job on one or two pages, to hang on the garage wall.

use crate::choose::Advice;
use crate::report::answers::choice::ChoiceReport;
use crate::report::answers::description::{DescriptionReport, feeds_caution};
use crate::report::answers::steps::StepsReport;
use crate::report::answers::vehicle::VehicleReport;
use crate::report::document::{Block, Document};
use crate::report::words::cautions;

/// What the sheet is made of. Steps are there only where something is to be stored.
pub struct SheetParts<'a> {
    /// What is on the truck.
    pub description: &'a DescriptionReport,
    /// What is known of it.
    pub estimate: &'a VehicleReport,
    /// What to set.
    pub choice: &'a ChoiceReport,
    /// How to set it.
    pub steps: Option<&'a StepsReport>,
}

/// The sheet as a document.
pub fn sheet(parts: &SheetParts) -> Document {
    let mut document = Document::new(parts.choice.vehicle.clone());
    document.sentence(parts.choice.headline());
    for sentence in &parts.choice.why {
        document.sentence(sentence.clone());
    }
    if let Some(caution) = cautions::of_faults(&parts.choice.open_faults) {
        document.caution(caution);
    }
    take(&mut document, "The truck", parts.description.document());
    if let Some(steps) = parts.steps.filter(|_| parts.choice.advice == Advice::Write) {
        document.heading("Steps");
        if let Some(caution) = feeds_caution(&parts.description.also_feeds) {
            document.caution(caution);
        }
        steps.notes.iter().for_each(|note| {
            document.sentence(note.clone());
        });
        steps.push_steps(&mut document);
        document.heading("Afterwards");
        document.caution("A second person reads the instruments; the driver looks at the road and keeps to the limit by a true speed, not by the dial, until it is proved.");
        document.sentence(
            "Prove it: drive with a track running, at steady speeds, and judge that drive (waywiser prove).",
        );
    }
    document.heading("How it is known");
    for block in parts.estimate.document().blocks {
        if matches!(block, Block::Table(_)) {
            document.push(block);
        }
    }
    document.push(Block::Chart(parts.choice.errors_chart()));
    document
}

/// Takes the tables of another document under a heading of its own.
fn take(document: &mut Document, heading: &str, other: Document) {
    document.heading(heading);
    for block in other.blocks {
        if matches!(block, Block::Table(_)) {
            document.push(block);
        }
    }
}
