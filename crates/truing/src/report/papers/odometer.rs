//! Facts for papers about the odometer: the door frame, a sale. Facts and prompts, not legal advice.

use crate::record::{
    Entry, Exemption, Mileage, NOT_ACTUAL_RULE, Notice, Proved, StatementKind, TrueDistance, VehicleState,
    day_of, exemption, notices, statement_facts,
};
use crate::report::answers::record_head::RecordHead;
use crate::report::document::{Block, Document};
use crate::report::words::{owners_word_mark, reads, value_and_uncertainty};
use crate::units::Units;
use jiff::civil::Date;
use metrology::quantity::Length;
use schemars::JsonSchema;
use serde::Serialize;

/// Facts for papers.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PapersReport {
    /// The vehicle.
    pub vehicle: String,
    /// Last reading in the record, without tenths as 49 CFR 580.5(c) asks, in miles.
    pub reading_mi: Option<u64>,
    /// The day of the transfer; null where it was not said.
    pub transfer: Option<String>,
    /// Why no statement is asked by federal rule, if none is; null also where the model year was not said.
    pub exempt: Option<&'static str>,
    /// The three kinds of statement, each with the facts in the record that bear on it.
    pub statements: Vec<Statement>,
    /// By how much the odometer is known to have miscounted, first reading to last; null where that is not known.
    pub miscount: Option<Miscount>,
    /// What to write on a notice at the left door frame.
    pub door_frame: Vec<DoorFrame>,
    /// What else to look at.
    pub prompts: Vec<String>,
    /// How far the record went, to hold these facts against an export of it.
    pub record: Option<RecordHead>,
    /// What is known of the miscount, in words.
    #[serde(skip)]
    miscount_says: Option<String>,
    #[serde(skip)]
    reading: Option<String>,
    /// What the record knows, name and figure.
    #[serde(skip)]
    known: Vec<Vec<String>>,
}

/// A kind of statement.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Statement {
    /// Its number in 49 CFR 580.5(e).
    pub number: usize,
    /// What it states.
    pub says: &'static str,
    /// What in the record bears on it.
    pub facts: Vec<String>,
}

/// What the odometer counted beside what was driven.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Miscount {
    /// What the odometer counted, in miles.
    pub counted_mi: f64,
    /// What was truly driven, in miles.
    pub driven_mi: f64,
    /// Standard uncertainty of that, in miles.
    pub standard_uncertainty_mi: f64,
}

impl Miscount {
    fn new(gone: &TrueDistance) -> Option<Self> {
        let driven = gone.distance?;
        let (driven_mi, standard_uncertainty_mi) = (driven.value.mi(), driven.standard_uncertainty.mi());
        Some(Self { counted_mi: gone.indicated.mi(), driven_mi, standard_uncertainty_mi })
    }

    fn says(&self, units: Units) -> String {
        let miles = |value_mi: f64| match units.in_miles() {
            true => format!("{value_mi:.0} mi"),
            false => format!("{:.0} km", Length::from_mi(value_mi).km()),
        };
        let missing = self.driven_mi - self.counted_mi;
        let way = if missing >= 0.0 { "too few" } else { "too many" };
        format!(
            "Known miscount: the odometer counted {}, and {} were driven (give or take {}, 95 %): {} {way}, {:.1} % of what \
             was driven.",
            miles(self.counted_mi),
            miles(self.driven_mi),
            miles(1.96 * self.standard_uncertainty_mi),
            miles(missing.abs()),
            100.0 * missing.abs() / self.driven_mi,
        )
    }
}

/// Of a whole record, and in words also where it is not known.
fn miscount(entries: &[Entry], units: Units) -> (Option<Miscount>, Option<String>) {
    let mileage = Mileage::from_entries(entries);
    let Some((first, last)) = mileage.ends().filter(|(first, last)| first != last) else {
        return (None, None);
    };
    let Ok(gone) = mileage.distance(first, last) else { return (None, None) };
    match Miscount::new(&gone) {
        Some(known) => (Some(known), Some(known.says(units))),
        None => (None, Some(format!("The miscount is not known in numbers. {}", gone.unknowable.join(" ")))),
    }
}

/// A notice.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DoorFrame {
    /// The entry of the repair.
    pub entry: u64,
    /// The mileage before it.
    pub mileage_before: String,
    /// Its day.
    pub date: String,
}

impl PapersReport {
    /// Of the entries of one vehicle.
    pub fn new(
        vehicle: &str,
        entries: &[Entry],
        model_year: Option<i16>,
        transfer: Option<Date>,
        gvwr_lb: Option<u32>,
        units: Units,
    ) -> Self {
        let facts = statement_facts(entries);
        let (miscount, miscount_says) = miscount(entries, units);
        let about = |kind| facts.iter().filter(|(of, _)| *of == kind).map(|(_, fact)| fact.clone()).collect();
        let statements = StatementKind::ALL.into_iter().enumerate();
        let last = Mileage::from_entries(entries).ends().map(|(_, last)| last.at);
        let exempt = model_year.zip(transfer).and_then(|(year, transfer)| exemption(year, transfer, gvwr_lb));
        Self {
            vehicle: vehicle.to_string(),
            // Whole miles, rounded down as an odometer does.
            reading_mi: last.map(|last| last.mi() as u64),
            reading: last.map(|last| whole(last, units)),
            transfer: transfer.map(|day| day.to_string()),
            known: known(entries, units),
            exempt: exempt.map(words),
            statements: statements
                .map(|(index, kind)| Statement { number: index + 1, says: kind.says(), facts: about(kind) })
                .collect(),
            door_frame: notices(entries).iter().map(door_frame).collect(),
            prompts: prompts(model_year),
            record: None,
            miscount,
            miscount_says,
        }
    }

    /// The same with how far the record went.
    #[must_use]
    pub fn with_record(self, record: Option<RecordHead>) -> Self {
        Self { record, ..self }
    }

    /// The sheet for a sale: the figures of the record, the facts, and lines for both sides.
    pub fn sheet(&self) -> Document {
        let Document { blocks, .. } = self.document();
        let mut sheet = Document::new(self.vehicle.clone());
        sheet.heading("What the record knows");
        match self.known.is_empty() {
            true => sheet.sentence("The record holds no entry of this truck yet."),
            false => sheet.table("Figures of the record", &["what", "figure"], self.known.clone()),
        };
        sheet.blocks.extend(blocks);
        sheet.heading("To write down at the sale").push(Block::Lines(AT_A_SALE.map(String::from).to_vec()));
        sheet
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("Papers: {}", self.vehicle));
        document.sentence("Facts from the record and questions to ask, not legal advice. Local law and the form you are given come first.");
        document.heading("Statement on a sale (49 CFR 580.5)");
        if let Some(reading) = &self.reading {
            document.sentence(format!("Last reading in the record, without tenths: {reading}."));
        }
        document.sentence(match (&self.transfer, self.exempt) {
            (Some(day), Some(why)) => format!("On {day} no federal statement is asked: {why}."),
            (Some(day), None) => format!("On {day} no exemption by age or weight is known here."),
            (None, _) => "Whether a statement is asked depends on the day of the transfer and the model year (49 CFR 580.17).".into(),
        });
        for statement in &self.statements {
            document.sentence(format!("({}) {}", statement.number, statement.says));
            statement.facts.iter().for_each(|fact| {
                document.sentence(format!("- {fact}"));
            });
        }
        document.sentence(format!("The words of 49 CFR 580.5(e)(3), quoted from memory after the edition of 2002; hold them against today's text before you sign: \"{NOT_ACTUAL_RULE}\""));
        self.miscount_says.iter().for_each(|says| {
            document.sentence(says.clone());
        });
        document.heading("Notice at the left door frame (49 USC 32704)");
        if self.door_frame.is_empty() {
            document.sentence("The record holds no repair after which the total could not be kept.");
        }
        if !self.door_frame.is_empty() {
            document.sentence(TO_ZERO);
        }
        for notice in &self.door_frame {
            document.sentence(format!(
                "Mileage before repair: {}. Date of repair: {}. (entry {})",
                notice.mileage_before, notice.date, notice.entry
            ));
        }
        self.prompts.iter().for_each(|prompt| {
            document.sentence(prompt.clone());
        });
        if let Some(record) = &self.record {
            record.put_on(&mut document);
        }
        document
    }
}

/// What the law asks beside the notice, and how that is known.
pub(crate) const TO_ZERO: &str = "Where the total cannot stay the same, the odometer is to be adjusted to read zero, and the notice attached \
    to the left door frame (49 USC 32704(a), as read in a copy of the Code of April 2026; today's text decides).";

/// What both sides of a sale write down.
const AT_A_SALE: [&str; 6] = [
    "Day of the transfer",
    "Odometer, without tenths",
    "Identification number",
    "Seller",
    "Buyer",
    "Remarks",
];

/// What the record knows of a truck, in figures.
fn known(entries: &[Entry], units: Units) -> Vec<Vec<String>> {
    let Some((first, last)) = entries.first().zip(entries.last()) else { return Vec::new() };
    let state = VehicleState::from_entries(entries);
    let mileage = Mileage::from_entries(entries);
    let day = |entry: &Entry| day_of(entry.event.time).to_string();
    let mut rows = vec![["The record begins".to_string(), day(first)], ["Its last entry".into(), day(last)]];
    let mut add = |name: &str, figure: Option<String>| rows.extend(figure.map(|one| [name.into(), one]));
    let ends = mileage.ends().filter(|(from, to)| from != to);
    add("First reading", ends.map(|(from, _)| units.say_road(from.at, 1)));
    add("Last reading", mileage.ends().map(|(_, to)| units.say_road(to.at, 1)));
    let gone = ends.and_then(|(from, to)| mileage.distance(from, to).ok());
    add("Counted between", gone.as_ref().map(|gone| units.say_road(gone.indicated, 1)));
    let driven = gone.and_then(|gone| gone.distance).map(|driven| {
        let number = |length: Length| units.of_road(length);
        let says = value_and_uncertainty(number(driven.value), number(driven.standard_uncertainty));
        format!("{says} {}", units.road_word())
    });
    add("Truly driven", driven);
    add("Reads now", state.ratio.as_ref().map(reads));
    add("Set now", state.setting.as_ref().map(|(setting, _)| setting.clone()));
    add("Writes made", Some(state.writes_made.to_string()));
    add("Writes left", state.writes_left.map(|left| left.to_string()));
    add(
        "Proved",
        Some(match &state.proved {
            Proved::No => "not since the last change".to_string(),
            Proved::Yes { rule, verdict, owners_word, .. } => {
                format!("{} against {rule}{}", verdict.replace('-', " "), owners_word_mark(*owners_word))
            }
        }),
    );
    let faults = state.open_faults.iter().map(|(_, touches, note)| format!("{touches}: {note}"));
    let faults: Vec<String> = faults.collect();
    add("Open faults", Some(if faults.is_empty() { "none recorded".into() } else { faults.join("; ") }));
    rows.into_iter().map(|row| row.to_vec()).collect()
}

/// A reading without tenths, rounded down as an odometer does; in kilometres with the miles that the form asks for.
fn whole(reading: Length, units: Units) -> String {
    let miles = reading.mi() as u64;
    match units.in_miles() {
        true => format!("{miles} mi"),
        false => format!("{} km ({miles} mi)", reading.km() as u64),
    }
}

fn words(exemption: Exemption) -> &'static str {
    match exemption {
        Exemption::Weight => "rated over 16 000 lb (49 CFR 580.17)",
        Exemption::TenYears => "model year 2010 or earlier, ten years old or more (49 CFR 580.17)",
        Exemption::TwentyYears => "model year 2011 or later, twenty years old or more (49 CFR 580.17)",
    }
}

fn door_frame(notice: &Notice) -> DoorFrame {
    let date = day_of(notice.date).to_string();
    DoorFrame { entry: notice.entry, mileage_before: notice.mileage_before.clone(), date }
}

fn prompts(model_year: Option<i16>) -> Vec<String> {
    let mut prompts = vec![
        "Was the vehicle driven for long with a setting that counts wrong? The record's true distance says by how much."
            .to_string(),
        "Was an odometer, a cluster or a module changed before this record began?".to_string(),
    ];
    if model_year.is_none() {
        prompts.push("Give the model year to see whether a statement is asked at all.".to_string());
    }
    prompts
}
