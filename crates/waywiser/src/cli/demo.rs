//! `waywiser demo`: a sample truck of our own through all six stages.

use super::answer::{Answer, Outcome};
use super::over::Over;
use super::owner::Owner;
use crate::paper::SheetInfo;
use crate::paper::sheet::Paper;
use crate::work::choose::chosen;
use crate::work::entry::computed::mark;
use crate::work::load::{self, Loaded};
use crate::work::logs;
use crate::work::paper::{JobWish, Kind, about, job_of, written};
use crate::work::sample::FILES;
use crate::work::set::{Hands, advised, report};
use crate::world;
use crate::world::version::software;
use clap::Args;
use serde_json::json;
use std::path::{Path, PathBuf};
use truing::choose::{Choice, rule_of};
use truing::describe::vehicle::Vehicle;
use truing::logs::can::CanOptions;
use truing::logs::csv::CsvOptions;
use truing::measure::drive::{Indicated, estimate};
use truing::measure::fusion::{VehicleEstimate, fuse};
use truing::problem::Problems;
use truing::prove::prove;
use truing::record::{Chain, Draft, EventKind, Expected, Fields, export};
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::description::DescriptionReport;
use truing::report::answers::keep::{self, Kept};
use truing::report::answers::proof::ProofReport;
use truing::report::answers::record::RecordReport;
use truing::report::answers::steps::StepsReport;
use truing::report::answers::vehicle::VehicleReport;
use truing::report::document::Document;
use truing::report::papers::door_frame::DoorFrameNote;
use truing::report::papers::job::last_day;
use truing::report::papers::life::LifeReport;
use truing::report::papers::speed_card::SpeedCard;

/// What the sample truck's odometer said at first, at the write, and after the proof.
const ODOMETER: [&str; 3] = ["128371.0 mi", "128406.3 mi", "128430.1 mi"];

/// A sample truck of our own through all six stages.
#[derive(Args)]
#[command(after_help = "Example:\n  waywiser demo --out demo")]
pub struct Demo {
    /// The folder for its files, the sheet and the record; nothing else is touched
    #[arg(long, value_name = "DIR", default_value = "waywiser-demo")]
    out: PathBuf,
    #[command(flatten)]
    over: Over,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

impl Demo {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        // All are looked at before the first is written.
        for (name, bytes) in FILES.iter().filter(|(name, bytes)| !self.holds(name, bytes)) {
            self.over.may(&self.out.join(name), &[]).map(|()| bytes)?;
        }
        for (name, bytes) in FILES {
            self.write(name, bytes)?;
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
        let mut computed = [choice_report.kept(), vec![proof.kept(&[])]];
        let text = String::from_utf8_lossy(FILES[0].1);
        let described = Vehicle::read("truck.toml", &text).0.unwrap_or_else(|| loaded.vehicle.clone());
        computed.iter_mut().for_each(|kept| mark(kept, &text, &described, &self.out));
        let chain = self.record(entries(&loaded, &steps, computed))?;
        let record = RecordReport::new(&chain);
        self.papers(&loaded, &estimate, &choice, &chain)?;
        let sheet = self.out.join("sheet.html");
        let job = job_of(&loaded, &estimate, &choice, &JobWish::default(), units)?;
        let info = SheetInfo { as_of: job.last_day.clone(), software: software(), record: None };
        self.write("sheet.html", crate::paper::html(&job.document(), &info).as_bytes())?;
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
    fn proof(&self, loaded: &Loaded) -> Result<ProofReport, Problems> {
        let (track, _) = logs::track(&self.out.join("after.gpx"), CsvOptions::default())?;
        let (log, _) =
            logs::vehicle_log(&self.out.join("after-log.csv"), CsvOptions::default(), CanOptions::default())?;
        let (drive, problems) = estimate("after.gpx", &track, &Indicated::Log(log));
        let drive = drive.ok_or(problems)?;
        let rule = rule_of(&loaded.vehicle.usage, Some("us-393.82"))?;
        let proof = prove(&loaded.vehicle, &drive, rule)?;
        Ok(ProofReport::new(&loaded.vehicle, &drive, &proof, Vec::new(), self.owner.units()))
    }

    /// What was done, as a chain of entries, written out and checked.
    fn record(&self, drafts: Vec<Draft>) -> Result<Chain, Problems> {
        let mut chain = Chain::default();
        for draft in drafts {
            chain.append(draft)?;
        }
        let problems = chain.check(&Expected::default());
        if !problems.is_empty() {
            return Err(problems.into());
        }
        self.write("record.jsonl", export(&chain).as_bytes())?;
        Ok(chain)
    }

    /// The papers that come out of it, to print; none in a program that makes no PDF.
    fn papers(
        &self,
        loaded: &Loaded,
        estimate: &VehicleEstimate,
        choice: &Choice,
        chain: &Chain,
    ) -> Result<(), Problems> {
        if !cfg!(feature = "paper") {
            return Ok(());
        }
        let (name, units) = (loaded.vehicle.name.as_str(), self.owner.units());
        let paper = units.by_road(Paper::Letter, Paper::A4);
        let sheet = job_of(loaded, estimate, choice, &JobWish::default(), units)?;
        let measured = last_day(&loaded.vehicle);
        let job = about(Kind::Job, name, measured);
        self.write("sheet.pdf", &written(|press| press.job(&sheet, None, paper, &job))?)?;
        let card = SpeedCard::new(&loaded.vehicle, estimate, &[], units);
        let about_card = about(Kind::SpeedCard, name, measured);
        self.write("speed-card.pdf", &written(|press| press.speed_card(&card, None, &about_card))?)?;
        let (entries, head) = (chain.entries(), chain.head().to_string());
        let life = LifeReport::new(name, entries, (entries.len() as u64, &head, true), units).document();
        let recorded = entries.last().map(|entry| jiff::tz::Offset::UTC.to_datetime(entry.event.time).date());
        let history = about(Kind::History, name, recorded);
        self.write("history.pdf", &written(|press| press.document(&life, paper, &history))?)?;
        let label = DoorFrameNote::new(name, entries);
        let about_label = about(Kind::DoorFrame, name, recorded);
        self.write("door-frame.pdf", &written(|press| press.door_frame(&label, None, &about_label))?)
    }

    fn write(&self, name: &str, bytes: &[u8]) -> Result<(), Problems> {
        if self.holds(name, bytes) { Ok(()) } else { self.over.write(&self.out.join(name), &[], bytes) }
    }

    /// Whether a file of an earlier run is there and says the same.
    fn holds(&self, name: &str, bytes: &[u8]) -> bool {
        let mut found = Vec::new();
        let read =
            world::feed_some(&self.out.join(name), bytes.len() + 1, |piece| found.extend_from_slice(piece));
        read.is_ok() && found == bytes
    }
}

/// The entries of the story, on the days of its files.
fn entries(loaded: &Loaded, steps: &StepsReport, [choice, proof]: [Vec<Kept>; 2]) -> Vec<Draft> {
    let vehicle = &loaded.vehicle;
    let draft = |day: &str, (kind, fields): Kept| {
        let time = format!("{day}T16:00:00Z").parse().unwrap_or(jiff::Timestamp::UNIX_EPOCH);
        Draft { time, vehicle: vehicle.name.clone(), kind, fields }
    };
    let field = |name: &str, value: &str| Fields::from([(name.to_string(), value.to_string())]);
    let mut all = vec![
        draft("2026-05-01", (EventKind::Vehicle, field("name", &vehicle.name))),
        draft("2026-05-01", (EventKind::Odometer, field("odometer", ODOMETER[0]))),
    ];
    all.extend(choice.into_iter().map(|kept| draft("2026-05-02", kept)));
    let written = vehicle
        .adjusters
        .first()
        .map(|adjuster| keep::write(adjuster, &steps.from, &steps.to, Some(ODOMETER[1]), None));
    all.extend(written.map(|fields| draft("2026-05-03", (EventKind::Write, fields))));
    all.extend(proof.into_iter().map(|kept| draft("2026-05-04", kept)));
    all.push(draft("2026-05-04", (EventKind::Odometer, field("odometer", ODOMETER[2]))));
    all
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
        "Everything stands in {}: print sheet.pdf and take it to the truck; sheet.html is the same for a phone, speed-card.pdf is for the sun visor, door-frame.pdf for the door frame, history.pdf for the glove box.",
        out.display()
    ));
    story
}
