//! `waywiser describe file`.

use crate::cli::answer::{Answer, Outcome};
use crate::cli::over::Over;
use crate::cli::owner::Owner;
use clap::Args;
use std::path::PathBuf;
use truing::report::document::Document;
use truing::report::papers::starting_file::{kinds, starting_file};

/// A vehicle file to start from.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser describe file\n  waywiser describe file stepped-constant --out truck.toml"
)]
pub struct StartFile {
    /// What can be set: a kind of adjuster; without one, the file lists the kinds
    #[arg(value_parser = clap::builder::PossibleValuesParser::new(kinds().map(|(word, _)| word)))]
    kind: Option<String>,
    /// Where to write it; standard output unless said
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    #[command(flatten)]
    over: Over,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl StartFile {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let text = starting_file(self.kind.as_deref(), self.owner.units())?;
        let Some(out) = &self.out else {
            return Ok(Answer::kept(serde_json::json!({ "file": text }), text));
        };
        self.over.write(out, &[], text.as_bytes())?;
        let out = out.display().to_string();
        let mut document = Document::new("A vehicle file to start from");
        document.sentence(format!("Written to {out}. Fill in its lines marked FILL IN."));
        document.sentence(format!("Then check it: waywiser describe vehicle {out}"));
        document.sentence(
            "For a text editor that knows schemas: waywiser describe vehicle --schema > vehicle.schema.json",
        );
        Answer::new(&serde_json::json!({ "file": text, "written_to": out }), document, Vec::new())
    }
}
