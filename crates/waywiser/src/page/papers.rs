//! Papers to print (PDF), each at the stages where somebody wants it in the hand.

use super::routes::truck as under;
use super::{Answer, App, PageError, Shared, answers, blocks, work};
use crate::cli::sheet::{SOFTWARE, job_of, sizes_of, written};
use crate::garage::{Known, Truck, Units};
use crate::paper::pdf::{About, Code, Paper};
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use axum::routing::get;
use jiff::civil::Date;
use maud::{Markup, html};
use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::Deserialize;
use truing::choose::compare_tires;
use truing::problem::Problem;
use truing::record::Expected;
use truing::report::door_frame::DoorFrameNote;
use truing::report::job::last_day;
use truing::report::life::LifeReport;
use truing::report::speed_card::SpeedCard;
use truing::report::tire_choice::TireChoice;

/// Its address.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/papers", get(give_chosen))
        .route("/trucks/{slug}/papers/{file}", get(give))
}

/// A paper.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// What to set, why and how.
    Job,
    /// How fast it goes for what is shown.
    SpeedCard,
    /// Which of these tires.
    Tires,
    /// What was done when.
    History,
    /// What is set since when, as a label.
    DoorFrame,
}

impl Kind {
    const ALL: [Self; 5] = [Self::Job, Self::SpeedCard, Self::Tires, Self::History, Self::DoorFrame];

    /// Its file.
    fn file(self) -> &'static str {
        match self {
            Self::Job => "job-sheet.pdf",
            Self::SpeedCard => "speed-card.pdf",
            Self::Tires => "tires.pdf",
            Self::History => "history.pdf",
            Self::DoorFrame => "door-frame.pdf",
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::Job => crate::paper::JOB_SHEET,
            Self::SpeedCard => "Speed card",
            Self::Tires => "Which of these tires",
            Self::History => "History",
            Self::DoorFrame => "Door-frame note",
        }
    }

    /// What it is for.
    fn says(self) -> &'static str {
        match self {
            Self::Job => "what to set and how, to take to the truck",
            Self::SpeedCard => "true speeds for the sun visor",
            Self::Tires => "the tires of the file, compared",
            Self::History => "everything in the record, for a buyer",
            Self::DoorFrame => "what is set since when, to stick on",
        }
    }
}

/// Buttons for some papers.
pub fn buttons(truck: &Truck, kinds: &[Kind]) -> Markup {
    html! {
        @if !kinds.is_empty() {
            section class="papers" aria-labelledby="papers" {
                h2 id="papers" { "On paper" }
                ul {
                    @for kind in kinds {
                        li {
                            a class="button plain" href=(under(&truck.slug, &format!("papers/{}", kind.file()))) { (kind.name()) " (PDF)" }
                            " " span class="said" { (kind.says()) }
                        }
                    }
                }
                (chosen_form(truck, kinds))
            }
        }
    }
}

/// A paper as it is wanted.
#[derive(Clone, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Wanted {
    /// Which: `job-sheet.pdf`, `speed-card.pdf`, `tires.pdf`, `history.pdf` or `door-frame.pdf`.
    pub document: String,
    /// Size of the sheets: `letter` or `a4`; that of the owner's units when left out.
    pub paper: Option<String>,
    /// The day on it; the last day of which the input speaks when left out.
    pub date: Option<String>,
    /// Gear ratios for the engine speeds on the speed card: `2.50, 1.50, 1.00`.
    pub gears: Option<String>,
    /// Sizes for the comparison of tires beside those in the file, a comma between them.
    pub tires: Option<String>,
    /// An address for the code on the job sheet, instead of the vehicle file itself.
    pub link: Option<String>,
}

/// The same, read.
#[derive(Default)]
struct Choice {
    paper: Option<Paper>,
    date: Option<Date>,
    gears: Vec<Decimal>,
    tires: Vec<String>,
    link: Option<String>,
}

impl Wanted {
    fn choice(&self) -> Result<Choice, Vec<Problem>> {
        fn said(text: &Option<String>) -> Option<&str> {
            text.as_deref().and_then(answers::given)
        }
        fn listed(text: &Option<String>) -> impl Iterator<Item = &str> {
            said(text).unwrap_or_default().split([',', ';']).map(str::trim).filter(|part| !part.is_empty())
        }
        let wrong = |field: &str, expected: &str, found: &str| {
            vec![Problem::error(field, expected, format!("`{found}`"))]
        };
        let gear = |text: &str| text.parse().map_err(|_| wrong("gears", "ratios such as 2.50, 1.50", text));
        let day = |text: &str| text.parse().map_err(|_| wrong("date", "a day such as 2026-05-02", text));
        let paper = |text: &str| match text {
            "letter" => Ok(Paper::Letter),
            "a4" => Ok(Paper::A4),
            other => Err(wrong("paper", "letter or a4", other)),
        };
        Ok(Choice {
            paper: said(&self.paper).map(paper).transpose()?,
            date: said(&self.date).map(day).transpose()?,
            gears: listed(&self.gears).map(gear).collect::<Result<_, _>>()?,
            tires: listed(&self.tires).map(str::to_string).collect(),
            link: said(&self.link).map(str::to_string),
        })
    }
}

/// What few need of a paper: its size, another day, gears, other tires, an address for the code.
fn chosen_form(truck: &Truck, kinds: &[Kind]) -> Markup {
    let line = |name: &str, label: &str, example: &str| {
        html! {
            label for={ "paper-" (name) } { (label) }
            input id={ "paper-" (name) } type="text" name=(name) placeholder=(example) autocomplete="off";
        }
    };
    let form = html! {
        form method="get" action=(under(&truck.slug, "papers")) class="asks" {
            label for="paper-document" { "Which paper" }
            select id="paper-document" name="document" { @for kind in kinds { option value=(kind.file()) { (kind.name()) } } }
            label for="paper-paper" { "Size of the sheets" }
            select id="paper-paper" name="paper" {
                option value="" { "As usual where you are" }
                option value="letter" { "US Letter" }
                option value="a4" { "A4" }
            }
            (line("date", "Another day on it", "2026-05-02"))
            @if kinds.contains(&Kind::SpeedCard) { (line("gears", "Gear ratios, for engine speeds on the card", "2.50, 1.50, 1.00")) }
            @if kinds.contains(&Kind::Tires) { (line("tires", "Other sizes of tires to compare", "235/75R15, 31x10.50R15LT")) }
            @if kinds.contains(&Kind::Job) { (line("link", "An address for the code, instead of the vehicle file", "")) }
            button class="plain" { "Make it so" }
        }
    };
    blocks::opens("Another size, another day, and more", &form)
}

async fn give_chosen(
    State(app): State<Shared>,
    Path(slug): Path<String>,
    Query(wanted): Query<Wanted>,
) -> Answer {
    work(&app, move |app| made(app, &slug, &wanted)).await
}

/// A paper as it is wanted.
pub fn made(app: &App, slug: &str, wanted: &Wanted) -> Answer {
    let kind = Kind::ALL.into_iter().find(|kind| kind.file() == wanted.document).ok_or_else(|| {
        let says =
            "There are a job sheet, a speed card, a comparison of tires, a history and a door-frame note.";
        PageError::new(StatusCode::NOT_FOUND, "There is no such paper", says)
    })?;
    let known = app.known(slug)?;
    let choice = wanted.choice()?;
    let bytes = Maker { app, known: &known, units: app.garage.settings().units, choice }.make(kind)?;
    let shown = format!("inline; filename=\"{}-{}\"", known.truck.slug, kind.file());
    let headers =
        [(header::CONTENT_TYPE, "application/pdf".to_string()), (header::CONTENT_DISPOSITION, shown)];
    Ok((headers, bytes).into_response())
}

async fn give(State(app): State<Shared>, Path((slug, file)): Path<(String, String)>) -> Answer {
    work(&app, move |app| made(app, &slug, &Wanted { document: file, ..Wanted::default() })).await
}

/// What a paper is made of.
struct Maker<'a> {
    app: &'a App,
    known: &'a Known,
    units: Units,
    choice: Choice,
}

type Bytes = Result<Vec<u8>, Vec<Problem>>;

impl Maker<'_> {
    fn make(&self, kind: Kind) -> Bytes {
        match kind {
            Kind::Job => self.job(),
            Kind::SpeedCard => self.speed_card(),
            Kind::Tires => self.tires(),
            Kind::History => self.history(),
            Kind::DoorFrame => self.door_frame(),
        }
    }

    fn job(&self) -> Bytes {
        let Known { truck, loaded, estimate, .. } = self.known;
        let choice = self.known.choice().clone()?;
        let sheet = job_of(loaded, estimate, &choice, self.units)?;
        let code = match &self.choice.link {
            Some(link) => Code::Link(link.clone()),
            None => Code::File(truck.text.clone()),
        };
        let about = self.about(Kind::Job, last_day(&loaded.vehicle));
        written(|press| press.job(&sheet, Some(&code), self.paper(), &about))
    }

    fn speed_card(&self) -> Bytes {
        let Known { loaded, estimate, .. } = self.known;
        let card = SpeedCard::new(&loaded.vehicle, estimate, &self.choice.gears, self.units);
        let about = self.about(Kind::SpeedCard, last_day(&loaded.vehicle));
        written(|press| press.speed_card(&card, Some(self.paper()), &about))
    }

    fn tires(&self) -> Bytes {
        let Known { loaded, estimate, .. } = self.known;
        let vehicle = &loaded.vehicle;
        let sizes = [sizes_of(vehicle), self.choice.tires.clone()].concat();
        let compared = compare_tires(&loaded.source, vehicle, estimate, &sizes);
        let compared = compared.map_err(|problem| vec![problem])?;
        let setting = vehicle.adjusters.first().and_then(|one| one.present()).map(|set| set.to_string());
        let report = TireChoice::new(&vehicle.name, setting, &compared, self.units);
        let about = self.about(Kind::Tires, last_day(vehicle));
        written(|press| press.document(&report.document(), self.paper(), &about))
    }

    fn history(&self) -> Bytes {
        let entries = answers::entries(self.app, &self.known.truck)?;
        let checked = answers::check_report(self.app, &Expected::default())?;
        let whole = (checked.entries, checked.head.as_str(), checked.ok);
        let report = LifeReport::new(&self.known.truck.name, &entries, whole, self.units);
        let about = self.about(Kind::History, day(report.last_day.as_deref()));
        written(|press| press.document(&report.document(), self.paper(), &about))
    }

    fn door_frame(&self) -> Bytes {
        let entries = answers::entries(self.app, &self.known.truck)?;
        let note = DoorFrameNote::new(&self.known.truck.name, &entries);
        let about = self.about(Kind::DoorFrame, day(note.last_day.as_deref()));
        written(|press| press.door_frame(&note, Some(self.paper()), &about))
    }

    /// Who thinks in kilometres has A4 in the printer.
    fn paper(&self) -> Paper {
        let usual = if self.units == Units::Metric { Paper::A4 } else { Paper::Letter };
        self.choice.paper.unwrap_or(usual)
    }

    fn about(&self, kind: Kind, date: Option<Date>) -> About {
        About {
            title: format!("{}: {}", self.known.truck.name, kind.name().to_lowercase()),
            kind: kind.name().into(),
            date: self.choice.date.or(date),
            software: SOFTWARE.into(),
        }
    }
}

fn day(text: Option<&str>) -> Option<Date> {
    text.and_then(|text| text.parse().ok())
}
