//! The vehicles of the record: their state, and what was done to one.

use crate::problem::Problem;
use crate::record::{
    Due, Entry, Mileage, Proved, REQUEST, REQUESTED, Tank, VehicleState, day_of, is_owners_word, tanks,
};
use crate::report::answers::state_line::StateLine;
use crate::report::document::{Document, TableId};
use crate::report::words;
use crate::report::words::capital;
use crate::report::words::value::V;
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Length, Volume};
use schemars::JsonSchema;
use serde::Serialize;

/// The state of every vehicle.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct StatesReport {
    /// The vehicles, in the order in which they came in.
    pub vehicles: Vec<StateReport>,
}

/// The state of one vehicle.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct StateReport {
    /// Its name.
    pub vehicle: String,
    /// What is stored now.
    pub setting: Option<String>,
    /// Writes left.
    pub writes_left: Option<u64>,
    /// Writes made.
    pub writes_made: usize,
    /// Indicated over true, now.
    pub reading_ratio: Option<V>,
    /// The rule and the verdict of the last proof since the last change.
    pub proved: Option<[String; 2]>,
    /// Whether that proof was typed by hand, so that it is the owner's word.
    pub proof_is_owners_word: bool,
    /// Whether the reading ratio rests on an estimate that was typed by hand.
    pub ratio_is_owners_word: bool,
    /// The last reading of the odometer with its roll-overs, in metres.
    pub odometer_m: Option<f64>,
    /// Faults not repaired: entry, what they touch, what they are.
    pub open_faults: Vec<(u64, String, String)>,
    /// What is due again.
    pub due: Vec<DueReport>,
    /// All in one line.
    pub line: String,
    #[serde(skip)]
    units: Units,
}

/// Something that is due again.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DueReport {
    /// What.
    pub what: String,
    /// True distance since it was done, in metres.
    pub since_m: Option<V>,
    /// True distance left, in metres; negative when it is past.
    pub left_m: Option<V>,
    /// The same in words.
    pub says: String,
}

impl StatesReport {
    /// Of the entries of each vehicle, with its name.
    pub fn new(vehicles: &[(Vec<Entry>, String)], units: Units) -> Self {
        let state = |(entries, name): &(Vec<Entry>, String)| StateReport::new(name, entries, units);
        Self { vehicles: vehicles.iter().map(state).collect() }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new("The garage");
        if self.vehicles.is_empty() {
            document.sentence("The record holds no entry yet.");
        }
        for state in &self.vehicles {
            state.write(&mut document);
        }
        document
    }
}

impl StateReport {
    /// Of the entries of one vehicle.
    pub fn new(vehicle: &str, entries: &[Entry], units: Units) -> Self {
        let state = VehicleState::from_entries(entries);
        let proved = match &state.proved {
            Proved::No => None,
            Proved::Yes { rule, verdict, .. } => Some([rule.clone(), verdict.clone()]),
        };
        let proof_is_word = matches!(state.proved, Proved::Yes { owners_word: true, .. });
        Self {
            vehicle: vehicle.to_string(),
            setting: state.setting.as_ref().map(|(setting, _)| setting.clone()),
            writes_left: state.writes_left,
            writes_made: state.writes_made,
            reading_ratio: V::maybe(state.ratio.as_ref(), |ratio| ratio.plain()),
            proved,
            proof_is_owners_word: proof_is_word,
            ratio_is_owners_word: state.ratio_is_owners_word,
            odometer_m: state.odometer.map(|reading| reading.at.m()),
            due: state.due.iter().map(|one| due(one, units)).collect(),
            line: capital(&StateLine::new(None, entries).line),
            open_faults: state.open_faults,
            units,
        }
    }

    fn write(&self, document: &mut Document) {
        document.heading(self.vehicle.clone());
        document.sentence(self.line.clone());
        if let Some(odometer) = self.odometer_m {
            document.sentence(format!("Odometer: {}.", self.units.say_road(Length::from_m(odometer), 1)));
        }
        for (entry, touches, note) in &self.open_faults {
            document.caution(format!("Open fault, entry {entry}: {touches}. {note}"));
        }
        for due in &self.due {
            document.sentence(due.says.clone());
        }
    }
}

fn due(due: &Due, units: Units) -> DueReport {
    let since = due.since.as_ref().and_then(|since| since.distance);
    let left = due.left();
    let word = units.road_words();
    let number = |length: Length| units.of_road(length);
    let rounded = |length: &Measured<Length>| {
        words::value_and_uncertainty(number(length.value), number(length.standard_uncertainty))
    };
    let says = match (&since, &left) {
        (_, Some(left)) => {
            let text = rounded(left);
            let state = if left.value <= Length::default() { "due" } else { "due later" };
            format!("{}: {state}; {text} true {word} left.", capital(&due.what))
        }
        (Some(since), None) => {
            format!("{}: done {} true {word} ago.", due.what, rounded(since))
        }
        (None, None) => {
            let why = due.since.as_ref().and_then(|since| since.unknowable.first().cloned());
            format!("{}: {}", due.what, why.unwrap_or("no reading of the odometer to tell from.".to_string()))
        }
    };
    let what = due.what.clone();
    DueReport {
        what,
        since_m: V::maybe(since.as_ref(), |length| length.m()),
        left_m: V::maybe(left.as_ref(), |length| length.m()),
        says,
    }
}

/// What was done to one vehicle, from its first entry.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct HistoryReport {
    /// Its state.
    pub state: StateReport,
    /// Its entries: number, day, kind, what it says.
    pub entries: Vec<[String; 4]>,
    /// Its tanks of fuel.
    pub fuel: Vec<FuelReport>,
    /// What cannot be used.
    pub problems: Vec<Problem>,
    #[serde(skip)]
    units: Units,
}

/// One tank of fuel.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FuelReport {
    /// The entry of the fill.
    pub entry: u64,
    /// What went in, in litres.
    pub volume_l: f64,
    /// Miles per US gallon as the odometer has it.
    pub indicated_mi_per_us_gal: f64,
    /// Miles per US gallon truly driven, whose uncertainty is that of the distance.
    pub true_mi_per_us_gal: Option<V>,
}

impl HistoryReport {
    /// Of the entries of one vehicle.
    pub fn new(vehicle: &str, entries: &[Entry], units: Units) -> Self {
        let (tanks, mut problems) = tanks(entries);
        problems.extend(Mileage::from_entries(entries).problems);
        Self {
            state: StateReport::new(vehicle, entries, units),
            entries: entries.iter().map(row).collect(),
            fuel: tanks.iter().filter(|tank| tank.volume > Volume::default()).map(FuelReport::new).collect(),
            problems,
            units,
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("The record of {}", self.state.vehicle));
        self.state.write(&mut document);
        let rows = self.entries.iter().map(|row| row.to_vec()).collect();
        document.table("Entries", &["no.", "day", "what", "says"], rows);
        self.push_fuel(&mut document);
        document
    }

    /// The tanks of fuel, where there are some.
    pub(crate) fn push_fuel(&self, document: &mut Document) {
        if self.fuel.is_empty() {
            return;
        }
        let rows = self.fuel.iter().map(|fuel| fuel.row(self.units).to_vec()).collect();
        let caption = self.units.by_road("Fuel, miles per US gallon", "Fuel, litres per 100 km");
        document.table_of(TableId::Fuel, caption, &["no.", "by the odometer", "truly"], rows);
    }
}

impl FuelReport {
    /// Of one tank.
    pub(crate) fn new(tank: &Tank) -> Self {
        let gallons = tank.volume.us_gal();
        Self {
            entry: tank.entry,
            volume_l: tank.volume.l(),
            indicated_mi_per_us_gal: tank.gone.indicated.mi() / gallons,
            true_mi_per_us_gal: V::maybe(tank.gone.distance.as_ref(), |length| length.mi() / gallons),
        }
    }

    /// Its entry, the figure by the odometer and the true one, in the owner's units.
    pub(crate) fn row(&self, units: Units) -> [String; 3] {
        let shown = |mi_per_us_gal: f64| units.by_road(mi_per_us_gal, litres_per_100_km(mi_per_us_gal));
        let truly = self.true_mi_per_us_gal.as_ref().map_or("not known".to_string(), |v| {
            // The relative uncertainty of a quotient is that of its inverse.
            let value = shown(v.value);
            words::value_and_uncertainty(value, value * v.standard_uncertainty / v.value)
        });
        [self.entry.to_string(), format!("{:.1}", shown(self.indicated_mi_per_us_gal)), truly]
    }
}

fn litres_per_100_km(mi_per_us_gal: f64) -> f64 {
    100.0 * Volume::from_us_gal(1.0).l() / Length::from_mi(mi_per_us_gal).km()
}

/// Longest text of a field in a table; a whole vehicle file would fill pages.
const LONGEST: usize = 60;

fn row(entry: &Entry) -> [String; 4] {
    let short = |value: &str| {
        let one_line = value.split_whitespace().collect::<Vec<_>>().join(" ");
        let cut: String = one_line.chars().take(LONGEST).collect();
        if cut.len() < one_line.len() { cut + " ..." } else { cut }
    };
    let shown = entry.event.fields.iter().filter(|(name, _)| ![REQUEST, REQUESTED].contains(&name.as_str()));
    let says = shown.map(|(name, value)| format!("{} {}", name.replace('_', " "), short(value)));
    let word = is_owners_word(entry.event.kind, &entry.event.fields).then(|| "the owner's word".to_string());
    let says: Vec<String> = word.into_iter().chain(says).collect();
    let day = day_of(entry.event.time).to_string();
    [entry.sequence.to_string(), day, entry.event.kind.word().to_string(), says.join(", ")]
}
