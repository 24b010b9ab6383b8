//! `waywiser demo`: a sample truck of our own through all six stages.

use super::choose::chosen;
use super::load::{self, Loaded};
use super::set::{Hands, advised, report};
use super::sheet::{sheet_of, write_sheet};
use super::{Answer, Outcome, Owner};
use clap::Args;
use serde_json::json;
use std::path::{Path, PathBuf};
use truing::choose::{Choice, rule_of};
use truing::logs::can::CanOptions;
use truing::logs::csv::CsvOptions;
use truing::measure::drive::{Indicated, estimate};
use truing::measure::fusion::{VehicleEstimate, fuse};
use truing::problem::Problem;
use truing::prove::prove;
use truing::record::{Chain, Draft, EventKind, Expected, export};
use truing::report::choice::ChoiceReport;
use truing::report::description::DescriptionReport;
use truing::report::document::Document;
use truing::report::proof::ProofReport;
use truing::report::record::RecordReport;
use truing::report::steps::StepsReport;
use truing::report::vehicle::VehicleReport;

/// The files of the sample truck, the vehicle file first.
pub const FILES: [(&str, &[u8]); 5] = [
    ("truck.toml", include_bytes!("../../../../examples/demo/truck.toml")),
    ("drive.gpx", include_bytes!("../../../../examples/demo/drive.gpx")),
    ("drive-log.csv", include_bytes!("../../../../examples/demo/drive-log.csv")),
    ("after.gpx", include_bytes!("../../../../examples/demo/after.gpx")),
    ("after-log.csv", include_bytes!("../../../../examples/demo/after-log.csv")),
];
/// What the sample truck's odometer said at the write.
const ODOMETER: &str = "128406.3 mi";

/// A sample truck of our own through all six stages.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser demo --out demo")]
pub struct Demo {
    /// The folder for its files, the sheet and the record; nothing else is touched
    #[arg(long, value_name = "DIR", default_value = "waywiser-demo")]
    out: PathBuf,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Demo {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        for (name, bytes) in FILES {
            crate::world::write(&self.out.join(name), bytes).map_err(|problem| vec![*problem])?;
        }
        let mut loaded = load::vehicle(&self.out.join("truck.toml"))?;
        let units = self.owner.units();
        let (estimate, choice) = chosen(&mut loaded, None, None)?;
        let (described, _) = fuse(&loaded.source, &loaded.vehicle, Vec::new());
        let description = DescriptionReport::new(&loaded.vehicle, &described, Vec::new(), units);
        let measured = VehicleReport::new(&loaded.vehicle, &estimate, Vec::new(), units);
        let choice_report = ChoiceReport::new(&loaded.vehicle, &choice, Vec::new(), units);
        let steps = report(&loaded, &advised(&loaded, &choice, &Hands::default())?, units);
        let proof = self.proof(&loaded)?;
        let record = self.record(&loaded, &estimate, &choice, &steps, &proof)?;
        let sheet = self.out.join("sheet.html");
        write_sheet(&sheet, &sheet_of(&loaded, &estimate, &choice, units)?)?;
        let json = json!({
            "describe": description, "measure": measured, "choose": choice_report, "set": steps, "prove": proof,
            "record": record, "sheet": sheet.display().to_string(),
        });
        let chapters = [
            ("1. Describe", description.document()),
            ("2. Measure", measured.document()),
            ("3. Choose", choice_report.document()),
            ("4. Set", steps.document()),
            ("5. Prove", proof.document()),
            ("6. Record", record.document()),
        ];
        Answer::new(&json, story(&self.out, chapters), loaded.problems)
    }

    /// The drive after the write, judged.
    fn proof(&self, loaded: &Loaded) -> Result<ProofReport, Vec<Problem>> {
        let (track, _) = load::track(&self.out.join("after.gpx"), CsvOptions::default())?;
        let (log, _) =
            load::vehicle_log(&self.out.join("after-log.csv"), CsvOptions::default(), CanOptions::default())?;
        let (drive, problems) = estimate("after.gpx", &track, &Indicated::Log(log));
        let drive = drive.ok_or(problems)?;
        let rule = rule_of(&loaded.vehicle.usage, Some("us-393.82")).map_err(|problem| vec![problem])?;
        let proof = prove(&loaded.vehicle, &drive, rule).map_err(|problem| vec![problem])?;
        Ok(ProofReport::new(&loaded.vehicle, &drive, &proof, Vec::new(), self.owner.units()))
    }

    /// What was done, as a chain of entries, written out and checked.
    fn record(
        &self,
        loaded: &Loaded,
        estimate: &VehicleEstimate,
        choice: &Choice,
        steps: &StepsReport,
        proof: &ProofReport,
    ) -> Result<RecordReport, Vec<Problem>> {
        let mut chain = Chain::default();
        for draft in entries(loaded, estimate, choice, steps, proof) {
            chain.append(draft)?;
        }
        let problems = chain.check(&Expected::default());
        if !problems.is_empty() {
            return Err(problems);
        }
        let out = self.out.join("record.jsonl");
        crate::world::write(&out, export(&chain).as_bytes()).map_err(|problem| vec![*problem])?;
        Ok(RecordReport::new(&chain))
    }
}

/// The entries of the story, on the days of its files.
fn entries(
    loaded: &Loaded,
    estimate: &VehicleEstimate,
    choice: &Choice,
    steps: &StepsReport,
    proof: &ProofReport,
) -> Vec<Draft> {
    let name = loaded.vehicle.name.as_str();
    let best = choice.best.as_ref();
    let ratio =
        estimate.over_all.distance_ratio.as_ref().map(truing::report::words::reads).unwrap_or_default();
    let left = loaded.vehicle.adjusters.first().and_then(|adjuster| adjuster.writes_left).unwrap_or(0);
    let (before, after) = (left.to_string(), left.saturating_sub(1).to_string());
    let label = best.map_or("", |best| best.label.as_str());
    let verdict = serde_json::to_value(proof.verdict)
        .ok()
        .and_then(|v| v.as_str().map(str::to_owned))
        .unwrap_or_default();
    let at = |day: &str| format!("{day}T16:00:00Z").parse().unwrap_or(jiff::Timestamp::UNIX_EPOCH);
    vec![
        Draft::new(at("2026-05-01"), name, EventKind::Vehicle, &[("name", name)]),
        Draft::new(at("2026-05-02"), name, EventKind::Estimate, &[("what", ratio.as_str())]),
        Draft::new(at("2026-05-02"), name, EventKind::Choice, &[("advice", "write"), ("value", label)]),
        Draft::new(
            at("2026-05-03"),
            name,
            EventKind::Write,
            &[
                ("from", steps.from.as_str()),
                ("to", steps.to.as_str()),
                ("writes_left_before", &before),
                ("writes_left_after", &after),
                ("odometer", ODOMETER),
            ],
        ),
        Draft::new(
            at("2026-05-04"),
            name,
            EventKind::Proof,
            &[("rule", proof.rule.as_str()), ("verdict", &verdict)],
        ),
    ]
}

/// All stages in one document.
fn story(out: &Path, chapters: [(&str, Document); 6]) -> Document {
    let mut story = Document::new("A sample truck through all six stages");
    story.sentence("The green hauler got taller tires; its stored constant was made for the old ones. Truck and drives are invented.");
    for (name, chapter) in chapters {
        story.heading(format!("{name} - {}", chapter.title));
        story.blocks.extend(chapter.blocks);
    }
    story.heading("Files");
    story.sentence(format!(
        "Everything stands in {}: open sheet.html in a browser and print it.",
        out.display()
    ));
    story
}
