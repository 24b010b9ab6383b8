//! `waywiser sheet`.

use super::answer::{Answer, Outcome};
use super::over::Over;
use super::owner::Owner;
use super::record::garage::Garage;
use crate::ledger::FILE;
use crate::paper::sheet::{About, Code, Paper};
use crate::paper::{self, SheetInfo};
use crate::work::choose::chosen;
use crate::work::load::{self, Loaded, files_of};
use crate::work::paper::{Kind, SOFTWARE, about, day_of, job_of, sheet_of, sizes_of, today, written};
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
use truing::report::papers::speed_card::SpeedCard;
use truing::units::Units;

/// A paper to print: the job sheet, or another one.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  waywiser sheet truck.toml --out sheet.pdf\n  waywiser sheet truck.toml --document speed-card --gears 2.50,1.50,1.00,0.70 --out card.pdf\n  waywiser sheet truck.toml --document tires --tire 235/75R15 --tire 31x10.50R15LT --out tires.html"
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
    /// An address for the code on the job sheet, instead of the vehicle file itself
    #[arg(long, value_name = "ADDRESS")]
    link: Option<String>,
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
            Kind::History => self.history(&mut loaded, format)?,
            Kind::DoorFrame => self.door_frame(&loaded, format)?,
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
        let (estimate, choice) = chosen(loaded, None, None)?;
        if format == Format::Html {
            let document = sheet_of(loaded, &estimate, &choice, self.units())?;
            let info = SheetInfo { record: self.record(&loaded.vehicle.name), ..self.info(None) };
            return Ok(paper::html(&document, &info).into_bytes());
        }
        let sheet = job_of(loaded, &estimate, &choice, self.units())?;
        let code = match &self.link {
            Some(link) => Code::Link(link.clone()),
            None => Code::File(crate::world::read_text(&self.file)?),
        };
        let about = self.about(&loaded.vehicle.name, last_day(&loaded.vehicle));
        written(|press| press.job(&sheet, Some(&code), self.sheets(), &about))
    }

    fn history(&self, loaded: &mut Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let name = &loaded.vehicle.name;
        let entries = self.entries(name)?;
        let checked = self.garage.open_to_read()?.check(&Expected::default());
        let in_order = !any_error(&checked.problems);
        let report =
            LifeReport::new(name, &entries, (checked.entries, &checked.head, in_order), self.units());
        loaded.problems.extend(checked.problems);
        let mut document = report.document();
        if let Some(record) = self.record(name) {
            record.put_on(&mut document);
        }
        self.document(&document, day_of(report.last_day.as_deref()), format)
    }

    fn door_frame(&self, loaded: &Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let name = &loaded.vehicle.name;
        let note = DoorFrameNote::new(name, &self.entries(name)?);
        let day = day_of(note.last_day.as_deref());
        if format == Format::Html {
            return self.document(&note.document(), day, format);
        }
        written(|press| press.door_frame(&note, self.cut_from(), &self.about(name, day)))
    }

    fn speed_card(&self, loaded: &mut Loaded, format: Format) -> Result<Vec<u8>, Problems> {
        let estimate = loaded.fused()?;
        let card = SpeedCard::new(&loaded.vehicle, &estimate, &self.gears, self.units());
        let day = last_day(&loaded.vehicle);
        if format == Format::Html {
            return self.document(&card.document(), day, format);
        }
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
        self.document(&report.document(), last_day(vehicle), format)
    }

    fn entries(&self, vehicle: &str) -> Result<Vec<Entry>, Problems> {
        self.garage.entries_of(&self.garage.open_to_read()?, vehicle)
    }

    /// A document on sheets, or as HTML.
    fn document(&self, document: &Document, day: Option<Date>, format: Format) -> Result<Vec<u8>, Problems> {
        if format == Format::Html {
            return Ok(paper::html_of(document, self.document.name(), &self.info(day)).into_bytes());
        }
        written(|press| press.document(document, self.sheets(), &self.about(&document.title, day)))
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

    fn info(&self, day: Option<Date>) -> SheetInfo {
        let day = self.date.or(day).map(|day| day.to_string());
        SheetInfo { made_on: day.unwrap_or_else(today), software: SOFTWARE.into(), record: None }
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
