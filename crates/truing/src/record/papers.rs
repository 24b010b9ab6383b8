//! Facts for papers about the odometer. Not legal advice: local law and whoever hands out the form come first.
//!
//! Sources: 49 USC 32704 (adjusting to zero and the notice on the door frame; read in a copy of the Code, release 119-84 of April 2026,
//! at lexbuild.dev), 49 CFR 580.5(c) and (e) (what a seller states), 49 CFR 580.17
//! (who need not), with the examples of the rule as amended at 84 FR 52704. Nothing here proposes to alter what an odometer
//! shows.

use super::chain::Entry;
use super::correction::{Corrections, Fields};
use super::event::EventKind;
use super::mileage::Mileage;
use super::odometer::{self, Reading};
use super::times::time_of_entry;
use jiff::Timestamp;
use jiff::civil::Date;

/// What a seller states about the reading, 49 CFR 580.5(e): exactly three kinds.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum StatementKind {
    /// (e)(1): to the best of the seller's knowledge the reading is the actual mileage.
    Actual,
    /// (e)(2): the mileage is in excess of the odometer's mechanical limits.
    ExceedsLimits,
    /// (e)(3): the reading does not reflect the actual mileage and should not be relied on.
    NotActual,
}

impl StatementKind {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::Actual, Self::ExceedsLimits, Self::NotActual];

    /// What it states, in our words.
    pub fn says(self) -> &'static str {
        match self {
            Self::Actual => "To the best of my knowledge, the odometer shows the actual mileage.",
            Self::ExceedsLimits => {
                "To the best of my knowledge, the mileage is beyond what the odometer can show: it rolled over."
            }
            Self::NotActual => {
                "The odometer reading does not reflect the actual mileage, and should not be relied upon. WARNING: ODOMETER \
                 DISCREPANCY."
            }
        }
    }
}

/// The words of 49 CFR 580.5(e)(3), as of the edition of 2002 and known from memory: whoever signs reads today's text. That there are
/// these three kinds, and the warning of the third, stand in the form of 49 CFR 580, appendix C (as published on 2015-10-01).
pub const NOT_ACTUAL_RULE: &str = "If the transferor knows that the odometer reading differs from the mileage and that \
                                   the difference is greater than that caused by odometer calibration error, he shall \
                                   include a statement that the odometer reading does not reflect the actual mileage, \
                                   and should not be relied upon. This statement shall also include a warning notice to \
                                   alert the transferee that a discrepancy exists between the odometer reading and the \
                                   actual mileage.";

/// Facts in the record that bear on which kind of statement is true; the owner decides.
pub fn statement_facts(entries: &[Entry]) -> Vec<(StatementKind, String)> {
    let corrections = Corrections::among(entries.iter());
    let noticed: Vec<u64> = notices(entries).iter().map(|notice| notice.entry).collect();
    let mut facts = Vec::new();
    for entry in entries {
        let fields = corrections.over(entry);
        let part = fields.get("part").map_or("", String::as_str);
        let number = entry.sequence;
        match entry.event.kind {
            EventKind::RollOver => {
                facts.push((
                    StatementKind::ExceedsLimits,
                    format!("Entry {number}: the odometer rolled over."),
                ));
            }
            EventKind::Equipment if noticed.contains(&number) => {
                let says = format!("Entry {number}: the {part} was replaced, and its total was not kept.");
                facts.push((StatementKind::NotActual, says));
            }
            EventKind::Equipment if part.trim().eq_ignore_ascii_case("odometer") => {
                facts.push((StatementKind::NotActual, format!("Entry {number}: the odometer was replaced.")));
            }
            EventKind::Equipment if part == "tires" => {
                let says = format!(
                    "Entry {number}: tires were changed. Miles counted with a wrong setting differ from those driven; \
                     kind (3) is for a difference greater than that of odometer calibration."
                );
                facts.push((StatementKind::NotActual, says));
            }
            _ => {}
        }
    }
    facts
}

/// What 49 USC 32704(a) asks to be written on a notice at the left door frame where the total could not be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// The entry of the repair.
    pub entry: u64,
    /// The mileage before the repair.
    pub mileage_before: String,
    /// The day of the repair.
    pub date: Timestamp,
}

/// Notices that the record gives rise to.
pub fn notices(entries: &[Entry]) -> Vec<Notice> {
    let corrections = Corrections::among(entries.iter());
    let readings = Mileage::from_entries(entries).readings;
    let last = |number: u64| readings.iter().rev().find(|reading| reading.sequence < number);
    let of = |entry: &Entry| notice(entry, &corrections.over(entry), last(entry.sequence));
    entries.iter().filter_map(of).collect()
}

/// A replaced odometer or module whose total before is known and is not what it shows after.
/// Where nobody noted the total before, it is the record's last reading, where the new one shows less than that or is
/// called an odometer and shows nothing that is known.
fn notice(entry: &Entry, fields: &Fields, last: Option<&Reading>) -> Option<Notice> {
    let part = fields.get("part").filter(|_| entry.event.kind == EventKind::Equipment)?;
    let shown = odometer::read(fields, "odometer").ok().flatten();
    let is_odometer = part.trim().eq_ignore_ascii_case("odometer");
    let is_lost = |last: &&Reading| shown.as_ref().map_or(is_odometer, |shown| shown.value < last.at);
    let mileage_before = match fields.get("odometer_before").filter(|_| odometer::shows_miles(part)) {
        Some(before) => (fields.get("odometer") != Some(before)).then(|| before.clone())?,
        None => {
            let last = last.filter(|_| odometer::shows_miles(part)).filter(is_lost)?;
            format!("{:.0} mi or more", last.at.mi().floor())
        }
    };
    let date = time_of_entry(entry.event.time, fields);
    Some(Notice { entry: entry.sequence, mileage_before, date })
}

/// Gross vehicle weight rating, in pounds, over which no statement is asked, 49 CFR 580.17(a)(1).
const MOST_GVWR_LB: u32 = 16_000;
/// The last model year under the old ten years, 49 CFR 580.17(a)(3).
const LAST_OF_TEN_YEARS: i16 = 2010;

/// Why no statement is asked, if none is.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Exemption {
    /// Rated over 16 000 lb.
    Weight,
    /// Model year 2010 or earlier, ten years after the January of its model year.
    TenYears,
    /// Model year 2011 or later, twenty years after.
    TwentyYears,
}

/// Whether a transfer on a day is exempt by weight or age, 49 CFR 580.17.
///
/// ```
/// use truing::record::{Exemption, exemption};
/// // The rule's own examples: from 2020 on for model year 2010, from 2031 on for 2011.
/// assert_eq!(exemption(2010, "2020-01-01".parse()?, None), Some(Exemption::TenYears));
/// assert_eq!(exemption(2011, "2030-12-31".parse()?, None), None);
/// assert_eq!(exemption(2011, "2031-01-01".parse()?, None), Some(Exemption::TwentyYears));
/// # Ok::<(), jiff::Error>(())
/// ```
pub fn exemption(model_year: i16, transfer: Date, gvwr_lb: Option<u32>) -> Option<Exemption> {
    if gvwr_lb.is_some_and(|weight| weight > MOST_GVWR_LB) {
        return Some(Exemption::Weight);
    }
    let years = i32::from(transfer.year()) - i32::from(model_year);
    match model_year <= LAST_OF_TEN_YEARS {
        true => (years >= 10).then_some(Exemption::TenYears),
        false => (years >= 20).then_some(Exemption::TwentyYears),
    }
}
