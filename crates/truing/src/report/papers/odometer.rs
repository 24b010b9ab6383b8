//! Facts for papers about the odometer: the door frame, a sale. Facts and prompts, not legal advice.

use crate::record::{
    Entry, Exemption, Mileage, NOT_ACTUAL_RULE, Notice, StatementKind, TrueDistance, day_of, exemption,
    notices, statement_facts,
};
use crate::report::answers::record_head::RecordHead;
use crate::report::document::Document;
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
    /// The day of the transfer.
    pub transfer: String,
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
        transfer: Date,
        gvwr_lb: Option<u32>,
        units: Units,
    ) -> Self {
        let facts = statement_facts(entries);
        let (miscount, miscount_says) = miscount(entries, units);
        let about = |kind| facts.iter().filter(|(of, _)| *of == kind).map(|(_, fact)| fact.clone()).collect();
        let statements = StatementKind::ALL.into_iter().enumerate();
        let last = Mileage::from_entries(entries).ends().map(|(_, last)| last.at);
        let exempt = match model_year {
            Some(year) => exemption(year, transfer, gvwr_lb),
            None => None,
        };
        Self {
            vehicle: vehicle.to_string(),
            // Whole miles, rounded down as an odometer does.
            reading_mi: last.map(|last| last.mi() as u64),
            reading: last.map(|last| whole(last, units)),
            transfer: transfer.to_string(),
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

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("Papers: {}", self.vehicle));
        document.sentence("Facts from the record and questions to ask, not legal advice. Local law and the form you are given come first.");
        document.heading("Statement on a sale (49 CFR 580.5)");
        if let Some(reading) = &self.reading {
            document.sentence(format!("Last reading in the record, without tenths: {reading}."));
        }
        match self.exempt {
            Some(why) => {
                document.sentence(format!("On {} no federal statement is asked: {why}.", self.transfer))
            }
            None => document
                .sentence(format!("On {} no exemption by age or weight is known here.", self.transfer)),
        };
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
