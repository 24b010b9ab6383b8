//! `waywiser sheet`.

use super::answer::{Answer, Outcome};
use super::over::Over;
use super::owner::Owner;
use super::planning::Planning;
use super::record::garage::Garage;
use crate::ledger::FILE;
use crate::paper::sheet::{About, Paper};
use crate::paper::{self, SheetInfo};
use crate::work::choose::chosen;
use crate::work::load::{self, Loaded, files_of};
use crate::work::paper::{
    JobWish, Kind, about, day_of, job_of, letters_lacking, measuring_of, proof_of, sizes_of, written,
};
use crate::world::version::software;
use clap::{Args, ValueEnum};
use jiff::civil::Date;
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};
use truing::choose::compare_tires;
use truing::problem::{Problem, Problems, any_error};
use truing::record::{Entry, Expected};
use truing::report::answers::record_head::RecordHead;
use truing::report::answers::tire_choice::TireChoice;
use truing::report::document::Document;
use truing::report::papers::door_frame::DoorFrameNote;
use truing::report::papers::job::last_day;
use truing::report::papers::life::LifeReport;
use truing::report::papers::odometer::PapersReport;
use truing::report::papers::speed_card::SpeedCard;
use truing::units::Units;

/// A paper to print: the job sheet, or another one.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  waywiser sheet truck.toml --out sheet.pdf\n  waywiser sheet truck.toml --to 8.32 --procedure my-module.txt --out sheet.pdf\n  waywiser sheet truck.toml --document measuring --measurement rollout --out rollout.pdf\n  waywiser sheet truck.toml --document speed-card --gears 2.50,1.50,1.00,0.70 --out card.pdf\n  waywiser sheet truck.toml --document tires --tire 235/75R15 --tire 31x10.50R15LT --out tires.html"
)]
pub struct Sheet {
    /// The vehicle file
    file: PathBuf,
    /// Where to write it; the ending tells the format: .pdf or .html
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    #[command(flatten)]
    over: Over,
    /// Which paper
    #[arg(long, value_enum, default_value_t)]
    document: Kind,
    /// Size of the sheets: letter when left out; a card or a label is cut out of it when given
    #[arg(long, value_enum)]
    paper: Option<PaperSize>,
    /// The day on it; the last day of which the input speaks when left out
    #[arg(long, value_name = "DAY")]
    date: Option<Date>,
    /// An address to print as a code on the job sheet, for a phone
    #[arg(long, value_name = "ADDRESS")]
    link: Option<String>,
    #[command(flatten)]
    planning: Planning,
    /// Which measurement the measuring sheet is for: the one that the advice asks for when left out
    #[arg(long, value_name = "NAME")]
    measurement: Option<String>,
    /// For the sale sheet: the model year
    #[arg(long, value_name = "YEAR")]
    model_year: Option<i16>,
    /// For the sale sheet: the day of the transfer
    #[arg(long, value_name = "DAY")]
    transfer: Option<Date>,
    /// For the sale sheet: the gross vehicle weight rating in pounds
    #[arg(long, value_name = "LB")]
    gvwr_lb: Option<u32>,
    /// Gear ratios for the engine speeds on the speed card
    #[arg(long, value_name = "RATIO", value_delimiter = ',')]
    gears: Vec<Decimal>,
    /// Sizes for the comparison of tires, beside those in the file
    #[arg(long, value_name = "SIZE")]
    tire: Vec<String>,
    #[command(flatten)]
    garage: Garage,
    #[command(flatten)]
    owner: Owner,
    /// One JSON object on standard output
    #[arg(long)]
    pub json: bool,
}

#[derive(Copy, Clone, Debug, PartialEq, Eq, ValueEnum)]
enum PaperSize {
    /// US Letter
    Letter,
    /// ISO A4
    A4,
}

/// What a file can be.
#[derive(Copy, Clone, PartialEq, Eq)]
enum Format {
    Html,
    Pdf,
}

impl Sheet {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let format = format(&self.out)?;
        let mut loaded = load::vehicle(&self.file)?;
        let read = self.read(&loaded);
        self.over.may(&self.out, &read)?;
        let bytes = match self.document {
            Kind::Job => self.job(&mut loaded, format)?,
            Kind::Measuring => self.measuring(&mut loaded, format)?,
            Kind::Proof => self.proof(&mut loaded, format)?,
            Kind::History => self.history(&mut loaded, format)?,
            Kind::DoorFrame => self.door_frame(&mut loaded, format)?,
            Kind::Sale => self.sale(&mut loaded, format)?,
            Kind::SpeedCard => self.speed_card(&mut loaded, format)?,
            Kind::Tires => self.tires(&mut loaded, format)?,
        };
        self.over.write(&self.out, &read, &bytes)?;
        let mut said = Document::new(self.document.name());
        said.sentence(format!("Written to {}.", self.out.display()));
        let json = serde_json::json!({ "written": self.out.display().to_string(), "bytes": bytes.len() });
        Answer::new(&json, said, loaded.problems)
    }

    /// The files that a paper rests on.
    fn read(&self, loaded: &Loaded) -> Vec<PathBuf> {
        let folder = self.file.parent().unwrap_or(Path::new(""));
        let record = self.garage.folder().ok().map(|garage| garage.join(FILE));
        let named = files_of(&loaded.vehicle).map(|name| folder.join(name));
        named.chain([self.file.clone()]).chain(record).collect()
    }

    fn job(&self, loaded: &mut Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let Planning { to, adjuster, even_if_worse, rule, reserve, .. } = &self.planning;
        let routine = self.planning.routine(loaded)?;
        let (estimate, choice) = chosen(loaded, rule.as_deref(), *reserve)?;
        let wish = JobWish {
            to: to.as_deref(),
            adjuster: adjuster.as_deref(),
            even_if_worse: *even_if_worse,
            hands: self.planning.hands(routine.as_ref()),
        };
        let sheet = job_of(loaded, &estimate, &choice, &wish, self.units())?;
        let day = last_day(&loaded.vehicle);
        if format == Format::Html {
            return Ok(self.html(&sheet.document(), day, &loaded.vehicle.name));
        }
        loaded.problems.extend(letters_lacking(&sheet));
        let about = self.about(&loaded.vehicle.name, day);
        written(|press| press.job(&sheet, self.link.as_deref(), self.sheets(), &about))
    }

    fn measuring(&self, loaded: &mut Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let (estimate, choice) = chosen(loaded, self.planning.rule.as_deref(), self.planning.reserve)?;
        let sheet = measuring_of(loaded, &estimate, &choice, self.measurement.as_deref(), self.units())?;
        self.document(&sheet.document(), last_day(&loaded.vehicle), format, loaded)
    }

    fn proof(&self, loaded: &mut Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let estimate = loaded.fused()?;
        let sheet = proof_of(loaded, &estimate, self.planning.rule.as_deref(), self.units())?;
        self.document(&sheet.document(), last_day(&loaded.vehicle), format, loaded)
    }

    fn history(&self, loaded: &mut Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let name = loaded.vehicle.name.clone();
        let entries = self.entries(&name)?;
        let (reaches, checked) = match self.record_is_there()? {
            true => {
                let checked = self.garage.open_to_read()?.check(&Expected::default());
                let in_order = !any_error(&checked.problems);
                ((checked.entries, checked.head, in_order), checked.problems)
            }
            false => ((0, String::new(), true), Vec::new()),
        };
        let (count, head, in_order) = reaches;
        let report = LifeReport::new(&name, &entries, (count, &head, in_order), self.units());
        loaded.problems.extend(checked);
        let mut document = report.document();
        if let Some(record) = self.record(&name) {
            record.put_on(&mut document);
        }
        self.document(&document, day_of(report.last_day.as_deref()), format, loaded)
    }

    fn door_frame(&self, loaded: &mut Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let name = loaded.vehicle.name.clone();
        let note = DoorFrameNote::new(&name, &self.entries(&name)?);
        let day = day_of(note.last_day.as_deref());
        if format == Format::Html {
            return Ok(self.html(&note.document(), day, &name));
        }
        loaded.problems.extend(letters_lacking(&note));
        written(|press| press.door_frame(&note, self.cut_from(), &self.about(&name, day)))
    }

    fn sale(&self, loaded: &mut Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let name = loaded.vehicle.name.clone();
        let entries = self.entries(&name)?;
        let transfer = self.transfer.or(self.date);
        let report =
            PapersReport::new(&name, &entries, self.model_year, transfer, self.gvwr_lb, self.units())
                .with_record(self.record(&name));
        let last = entries.last().map(|entry| entry.event.time.to_string());
        let day = day_of(last.as_deref().and_then(|time| time.get(..10)));
        self.document(&report.sheet(), day, format, loaded)
    }

    fn speed_card(&self, loaded: &mut Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let estimate = loaded.fused()?;
        let card = SpeedCard::new(&loaded.vehicle, &estimate, &self.gears, self.units());
        let day = last_day(&loaded.vehicle);
        if format == Format::Html {
            return Ok(self.html(&card.document(), day, &card.vehicle));
        }
        loaded.problems.extend(letters_lacking(&card));
        written(|press| press.speed_card(&card, self.cut_from(), &self.about(&card.vehicle, day)))
    }

    fn tires(&self, loaded: &mut Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let estimate = loaded.fused()?;
        let vehicle = &loaded.vehicle;
        let mut sizes = sizes_of(vehicle);
        sizes.extend(self.tire.iter().cloned());
        let compared = compare_tires(&loaded.source, vehicle, &estimate, &sizes)?;
        let setting =
            vehicle.adjusters.first().and_then(|one| one.present()).map(|setting| setting.to_string());
        let report = TireChoice::new(&vehicle.name, setting, &compared, self.units());
        self.document(&report.document(), last_day(vehicle), format, loaded)
    }

    /// The truck's entries; none where there is no record yet.
    fn entries(&self, vehicle: &str) -> Result<Vec<Entry>, Problems> {
        match self.record_is_there()? {
            true => self.garage.entries_of(&self.garage.open_to_read()?, vehicle),
            false => Ok(Vec::new()),
        }
    }

    fn record_is_there(&self) -> Result<bool, Problems> {
        Ok(crate::world::is_there(&self.garage.folder()?.join(FILE)))
    }

    /// A document on sheets, or as HTML.
    fn document(
        &self,
        document: &Document,
        day: Option<Date>,
        format: Format,
        loaded: &mut Loaded,
    ) -> Result<Vec<u8>, Problems> {
        if format == Format::Html {
            return Ok(self.html(document, day, &loaded.vehicle.name));
        }
        loaded.problems.extend(letters_lacking(document));
        let about = self.about(&document.title, day);
        written(|press| match self.document.is_one_page() {
            true => press.one_page(document, self.sheets(), &about),
            false => press.document(document, self.sheets(), &about),
        })
    }

    fn html(&self, document: &Document, day: Option<Date>, vehicle: &str) -> Vec<u8> {
        let as_of = self.date.or(day).map(|day| day.to_string());
        let info = SheetInfo { as_of, software: software(), record: self.record(vehicle) };
        paper::html_of(document, self.document.name(), &info).into_bytes()
    }

    fn units(&self) -> Units {
        self.owner.units()
    }

    fn cut_from(&self) -> Option<Paper> {
        self.paper.map(|size| if size == PaperSize::A4 { Paper::A4 } else { Paper::Letter })
    }

    fn sheets(&self) -> Paper {
        self.cut_from().unwrap_or_default()
    }

    fn about(&self, title: &str, day: Option<Date>) -> About {
        About { record: self.record(title), ..about(self.document, title, self.date.or(day)) }
    }

    /// How far the record goes, where there is one that knows the vehicle.
    fn record(&self, vehicle: &str) -> Option<RecordHead> {
        let ledger = self.garage.open_to_read().ok()?;
        self.garage.entries_of(&ledger, vehicle).ok()?;
        ledger.reaches().ok().flatten()
    }
}

fn format(out: &Path) -> Result<Format, Problems> {
    match out.extension().and_then(|ending| ending.to_str()) {
        Some("html" | "htm") => Ok(Format::Html),
        Some("pdf") => Ok(Format::Pdf),
        other => Err(Problem::error(
            "--out",
            "a name that ends in .pdf or .html",
            other.map_or("no ending".into(), |e| format!(".{e}")),
        )
        .hint("the ending tells the format")
        .into()),
    }
}
