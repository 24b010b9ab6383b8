//! The reports of the last four stages for a truck of the garage: the page shows them, the programming interface gives
//! them out as JSON. The command line makes the same from files.

use super::app::App;
use super::error::PageError;
use crate::garage::{Known, PATIENCE, Slug, Truck, checked, kept_name};
use crate::ledger::Ledger;
use crate::work::asked::Inputs;
use crate::work::drive::MEASURE_DRIVE;
use crate::work::set::{self, Hands};
use crate::work::trial::Trial;
use crate::work::typed::given;
use crate::world;
use schemars::JsonSchema;
use serde::Deserialize;
use truing::choose::{Choice, choose, rule_of};
use truing::problem::{Problem, Problems};
use truing::prove::prove;
use truing::record::{Entry, Expected, Mileage};
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::mileage::{DistanceReport, End, place};
use truing::report::answers::proof::ProofReport;
use truing::report::answers::record::CheckReport;
use truing::report::answers::steps::StepsReport;
use truing::report::answers::vehicle::VehicleReport;
use truing::report::explanation::distance::of_distance;
use truing::report::explanation::origin::{Origin, of_choice};
use truing::report::explanation::target::of_target;
use truing::report::papers::history::HistoryReport;
use truing::report::papers::odometer::PapersReport;
use truing::set::Repeat;
use truing::units::Units;

/// An answer, or what made the input unusable.
pub type Outcome<T> = Result<T, Problems>;

/// By which rule and reserve to choose, where not by the truck's own.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wish {
    /// The rule to keep.
    pub rule: Option<String>,
    /// Writes to keep.
    pub reserve: Option<u32>,
}

/// What to store.
pub fn choice(known: &Known, wish: &Wish) -> Outcome<Choice> {
    let loaded = &known.loaded;
    if *wish == Wish::default() {
        return known.choice().clone();
    }
    let chosen = choose(&loaded.source, &loaded.vehicle, &known.estimate, wish.rule.as_deref(), wish.reserve);
    chosen.map_err(Problems::from)
}

/// The same as a report.
pub fn choice_report(known: &Known, wish: &Wish, units: Units) -> Outcome<ChoiceReport> {
    let loaded = &known.loaded;
    let problems = loaded.problems.clone();
    choice(known, wish).map(|choice| ChoiceReport::new(&loaded.vehicle, &choice, problems, units))
}

/// Which steps are asked for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Steps<'a> {
    /// The value to store instead of the advised one.
    pub to: Option<&'a str>,
    /// Which adjuster that is for.
    pub adjuster: Option<&'a str>,
    /// What the display shows by now.
    pub shows: Option<&'a str>,
    /// How a held button goes on.
    pub repeat: Option<Repeat>,
    /// Why it is stored although something is to be checked first.
    pub despite: Option<&'a str>,
    /// By which rule and reserve it is chosen.
    pub wish: Wish,
}

/// How to store it, by the owner's own routine where one was written.
pub fn steps_report(app: &App, known: &Known, asked: &Steps) -> Outcome<StepsReport> {
    let (procedure, more) = app.garage.procedure(&known.truck.slug)?;
    let hands = Hands {
        procedure: procedure.as_ref(),
        shows: asked.shows,
        repeat: asked.repeat,
        despite: asked.despite,
    };
    let units = app.garage.settings().units;
    let mut report = match asked.to {
        Some(to) => {
            let outcome = set::typed(&known.loaded, to, asked.adjuster, &hands)?;
            set::typed_report(&known.loaded, choice(known, &asked.wish).as_ref().ok(), &outcome, units)
        }
        None => {
            let outcome = set::advised(&known.loaded, &choice(known, &asked.wish)?, &hands)?;
            set::report(&known.loaded, &outcome, units)
        }
    };
    report.problems.extend(more);
    Ok(report)
}

/// Where the value that the steps lead to comes from, where they lead to one, and what was chosen by.
pub fn target_origins(known: &Known, wish: &Wish, steps: &StepsReport, units: Units) -> Vec<Origin> {
    let Ok(choice) = choice_report(known, wish, units) else { return Vec::new() };
    let estimate = VehicleReport::new(&known.loaded.vehicle, &known.estimate, Vec::new(), units);
    let is_led_to = steps.nothing_to_do.is_none();
    let mut origins: Vec<Origin> = is_led_to.then(|| of_target(&choice, &steps.to)).into_iter().collect();
    origins.extend(of_choice(&choice, &estimate));
    origins
}

/// Whether a drive shows that a rule is kept.
pub fn proof_report(app: &App, slug: &Slug, known: &Known, trial: &Trial) -> Outcome<ProofReport> {
    let loaded = &known.loaded;
    let rule = rule_of(&loaded.vehicle.usage, trial.rule.as_deref())?;
    let folder = app.garage.truck_folder(slug);
    // Only what lies beside the truck's own file is ever read.
    let judged =
        known.judged.or_judge(trial.drive.clone().lying(|name| folder.join(kept_name(name))), |drive| {
            app.garage.tried(&drive.words(&MEASURE_DRIVE), &drive.files())
        });
    let (drive, more) = judged.as_ref().as_ref().map_err(|problems| app.garage.shown(problems.clone()))?;
    let mut problems = loaded.problems.clone();
    problems.extend(app.garage.shown(more.clone()));
    let proof = prove(&loaded.vehicle, drive, rule)?;
    let report = ProofReport::new(&loaded.vehicle, drive, &proof, problems, app.garage.settings().units);
    Ok(report.beside(&loaded.vehicle, &known.estimate, drive))
}

/// The record, where there is one.
pub fn ledger(app: &App) -> Outcome<Option<Ledger>> {
    match app.garage.has_record() {
        true => Ledger::open_to_read(app.garage.folder(), PATIENCE)
            .map(Some)
            .map_err(|problems| app.garage.shown(problems)),
        false => Ok(None),
    }
}

/// Every entry of a truck.
pub fn entries(app: &App, truck: &Truck) -> Outcome<Vec<Entry>> {
    let name = app.garage.recorded_as(truck);
    ledger(app)?.map_or(Ok(Vec::new()), |ledger| ledger.of_vehicle(&name))
}

/// What was done to a truck.
pub fn history_report(vehicle: &str, entries: &[Entry], units: Units) -> HistoryReport {
    HistoryReport::new(vehicle, entries, units)
}

/// How far a truck truly went between two days or readings; from the first to the last reading where none are named.
pub fn distance_report(
    vehicle: &str,
    entries: &[Entry],
    from: Option<&str>,
    to: Option<&str>,
    units: Units,
) -> Outcome<DistanceReport> {
    let mileage = Mileage::from_entries(entries);
    let one = |problem| Problems::from(problem);
    let from = place(&mileage, End::Start, from).map_err(one)?;
    let to = place(&mileage, End::Finish, to).map_err(one)?;
    let found = from.zip(to).map(|(from, to)| mileage.distance(from, to)).transpose().map_err(one)?;
    Ok(DistanceReport::new(vehicle, found.as_ref(), &mileage, units))
}

/// Where that distance comes from.
pub fn distance_origin(entries: &[Entry], distance: &DistanceReport, units: Units) -> Option<Origin> {
    of_distance(distance, &Mileage::from_entries(entries), units)
}

/// For which papers.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct PapersAsked {
    /// The model year.
    pub model_year: Option<i16>,
    /// The day of the transfer; today when left out.
    pub transfer: Option<String>,
    /// The gross vehicle weight rating in pounds.
    pub gvwr_lb: Option<u32>,
}

/// Facts for papers.
pub fn papers_report(
    app: &App,
    vehicle: &str,
    entries: &[Entry],
    asked: &PapersAsked,
    units: Units,
) -> Outcome<PapersReport> {
    let day = match asked.transfer.as_deref().and_then(given) {
        None => today(),
        Some(text) => text.parse().map_err(|_| {
            Problems::from(Problem::error("transfer", "a day such as 2026-11-25", format!("`{text}`")))
        })?,
    };
    let report = PapersReport::new(vehicle, entries, asked.model_year, Some(day), asked.gvwr_lb, units);
    Ok(report.with_record(ledger(app)?.map_or(Ok(None), |ledger| ledger.reaches())?))
}

/// The day it is.
pub fn today() -> jiff::civil::Date {
    jiff::tz::Offset::UTC.to_datetime(world::now()).date()
}

/// Whether the record is whole, and agrees with what stands on paper; computed again where that is asked for.
pub fn check_report(app: &App, expected: &Expected, recomputes: bool) -> Outcome<CheckReport> {
    if !app.garage.has_record() {
        return Ok(CheckReport::of_none());
    }
    let mut report = checked(&app.garage, expected, PATIENCE, recomputes)?;
    report.problems = app.garage.shown(report.problems).into();
    Ok(report)
}

/// A whole number that may be left out.
pub fn number<N: std::str::FromStr>(name: &str, text: Option<&str>) -> Result<Option<N>, PageError> {
    let Some(text) = text.and_then(given) else { return Ok(None) };
    let wrong = |_| PageError::unusable(Problem::error(name, "a whole number", format!("`{text}`")));
    text.parse().map(Some).map_err(wrong)
}
