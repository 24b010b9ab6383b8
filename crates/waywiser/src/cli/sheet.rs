//! `waywiser sheet`.

use super::choose::chosen;
use super::load::{self, Loaded};
use super::set::{Hands, advised, report};
use super::{Answer, Outcome};
use crate::paper;
use clap::Args;
use std::path::{Path, PathBuf};
use truing::choose::{Advice, Choice};
use truing::measure::fusion::{VehicleEstimate, fuse};
use truing::problem::Problem;
use truing::report::choice::ChoiceReport;
use truing::report::description::DescriptionReport;
use truing::report::document::Document;
use truing::report::sheet::{SheetParts, sheet};
use truing::report::vehicle::VehicleReport;

/// The job sheet, to print.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser sheet truck.toml --out sheet.html")]
pub struct Sheet {
    /// The vehicle file
    file: PathBuf,
    /// Where to write it; the ending tells the format: .html
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Sheet {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        check_format(&self.out)?;
        let mut loaded = load::vehicle(&self.file)?;
        let (estimate, choice) = chosen(&mut loaded, None, None)?;
        let document = sheet_of(&loaded, &estimate, &choice)?;
        write_sheet(&self.out, &document)?;
        let mut said = Document::new("Job sheet");
        said.sentence(format!("Written to {}.", self.out.display()));
        Answer::new(&serde_json::json!({ "written": self.out.display().to_string() }), said, loaded.problems)
    }
}

fn check_format(out: &Path) -> Result<(), Vec<Problem>> {
    match out.extension().and_then(|ending| ending.to_str()) {
        Some("html" | "htm") => Ok(()),
        other => Err(vec![
            Problem::error(
                "--out",
                "a name that ends in .html",
                other.map_or("no ending".into(), |e| format!(".{e}")),
            )
            .hint("a browser prints the HTML sheet to paper or PDF"),
        ]),
    }
}

/// The sheet of a vehicle and what was chosen for it.
pub fn sheet_of(
    loaded: &Loaded,
    estimate: &VehicleEstimate,
    choice: &Choice,
) -> Result<Document, Vec<Problem>> {
    let steps = match choice.advice {
        Advice::Write => Some(report(loaded, &advised(loaded, choice, &Hands::default())?)),
        _ => None,
    };
    let (described, _) = fuse(&loaded.source, &loaded.vehicle, Vec::new());
    Ok(sheet(&SheetParts {
        description: &DescriptionReport::new(&loaded.vehicle, &described, Vec::new()),
        estimate: &VehicleReport::new(&loaded.vehicle, estimate, Vec::new()),
        choice: &ChoiceReport::new(&loaded.vehicle, choice, Vec::new()),
        steps: steps.as_ref(),
    }))
}

/// Writes the sheet as one HTML file.
pub fn write_sheet(out: &Path, document: &Document) -> Result<(), Vec<Problem>> {
    let made_on: String = crate::world::now().to_string().chars().take(10).collect();
    let info = paper::SheetInfo { made_on, software: concat!("waywiser ", env!("CARGO_PKG_VERSION")).into() };
    crate::world::write(out, paper::html(document, &info).as_bytes()).map_err(|problem| vec![*problem])
}
