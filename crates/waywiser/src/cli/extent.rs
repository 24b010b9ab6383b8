//! How much of an answer is told: what it comes to and what to do next, or every table.

use clap::Args;
use std::path::Path;
use truing::choose::Advice;
use truing::report::document::{Block, Document, TableId};

/// How much is told.
#[derive(Args, Clone, Copy)]
pub struct Extent {
    /// Tell everything: every table beside the answer
    #[arg(long)]
    all: bool,
}

impl Extent {
    /// As much of an answer as is asked for, with what to do next.
    pub fn of(self, whole: Document, next: &[String], again: &str) -> Document {
        let mut told = whole;
        if !self.all {
            told.blocks.retain(is_the_answer);
        }
        for command in next {
            told.sentence(format!("Next: {command}"));
        }
        if !self.all {
            told.sentence(format!("Every table: {again} --all"));
        }
        told
    }
}

/// What is told in any case: sentences, and the few numbers that are asked of every truck.
fn is_the_answer(block: &Block) -> bool {
    match block {
        Block::Sentence(_) | Block::Caution(_) => true,
        Block::Table(table) => table.id == Some(TableId::Quantities),
        _ => false,
    }
}

/// What to do after a choice.
pub fn after_choice(advice: Advice, file: &Path) -> Vec<String> {
    let file = typed(file);
    match advice {
        Advice::Write => vec![
            format!("waywiser set {file}"),
            format!("waywiser sheet {file} --out sheet.pdf, for the paper to take to the truck"),
        ],
        Advice::Leave => Vec::new(),
        Advice::MeasureFirst => vec![format!(
            "measure, add it to {file} as [[evidence]] (waywiser describe keys evidence), and choose again"
        )],
        Advice::CheckFirst => vec![format!("check it, correct {file}, and choose again")],
    }
}

/// A file as it is typed into a shell.
pub fn typed(file: &Path) -> String {
    let name = file.display().to_string();
    if name.contains(char::is_whitespace) { format!("\"{name}\"") } else { name }
}
