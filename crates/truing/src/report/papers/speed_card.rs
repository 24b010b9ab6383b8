//! The speed card for the sun visor: how fast it truly goes for what is shown, with the present setting.

use crate::describe::chain::Link;
use crate::describe::evidence::EvidenceKind;
use crate::describe::file::decimal::to_f64;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::VehicleEstimate;
use crate::report::document::Document;
use crate::report::papers::job::last_day;
use crate::report::words;
use crate::report::words::dial::hold_at;
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Frequency, PerLength, Ratio, Speed};
use rust_decimal::Decimal;
use serde::Serialize;

/// The greatest speed shown where the file says none, in mph.
const GREATEST_MPH: f64 = 85.0;
/// The least speed shown, in mph.
const LEAST_MPH: f64 = 12.0;
/// Most rows; a faster truck has larger steps.
const MOST_ROWS: usize = 20;
/// Most gears; more do not fit on a card.
const MOST_GEARS: usize = 6;
/// Turns per minute at which an engine of such a truck runs at all, at the most (judgement); others are left out.
const RUNS_AT: (f64, f64) = (600.0, 5000.0);
/// A dial that reads slow by less than this is not worth a warning (0.1 %).
const HARDLY_SLOW: f64 = 0.999;
/// The speed at which the warning gives an example, in mph and in km/h.
const EXAMPLE: (f64, f64) = (60.0, 100.0);

/// A speed card.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpeedCard {
    /// The truck.
    pub vehicle: String,
    /// What is stored now.
    pub setting: Option<String>,
    /// The tires on it.
    pub tires: Option<String>,
    /// The last day of which its file speaks.
    pub last_day: Option<String>,
    /// What speeds are in.
    pub unit: &'static str,
    /// The gears whose engine speed is given, as turns of the engine per turn of the output shaft.
    pub gears: Vec<String>,
    /// The rows, the slowest first; empty where the reading ratio is not known.
    pub rows: Vec<CardRow>,
    /// While the dial reads slow: how fast it truly goes.
    pub warning: Option<String>,
    /// How far the true speeds may be off, 95 %.
    pub give_or_take: Option<String>,
    /// What the numbers rest on, and why some are missing.
    pub notes: Vec<String>,
}

/// A row of the card, each number in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct CardRow {
    /// What is shown.
    pub shown: String,
    /// How fast it goes.
    pub truly: String,
    /// The same to the nearest whole number, as one reads in passing.
    pub nearest: String,
    /// Where to hold the needle to keep to what is shown here as a limit.
    pub hold: String,
    /// Turns of the engine per minute in each gear, to the next ten.
    pub rpm: Vec<String>,
}

impl SpeedCard {
    /// Of what is known of a truck. `gears` are ratios the owner names beside those in the file.
    pub fn new(vehicle: &Vehicle, estimate: &VehicleEstimate, gears: &[Decimal], units: Units) -> Self {
        let needle = estimate.over_all.needle_ratio;
        let ratio = needle.or(estimate.over_all.distance_ratio);
        let turning = turning(vehicle, estimate);
        let gears = if turning.is_some() { all_gears(vehicle, gears) } else { Vec::new() };
        let mut notes = Vec::new();
        match (&ratio, needle.is_some()) {
            (None, _) => notes.push("How far the dial is off is not known yet: measure first.".to_string()),
            (Some(_), true) => {
                notes.push("By the needle's own reading ratio; what a needle adds is in the interval.".into())
            }
            (Some(_), false) => {
                notes.push("By the odometer's ratio; what the needle adds of its own is not known.".into())
            }
        }
        if gears.is_empty() {
            let missing = if turning.is_none() { "axle ratio or turns of the tire" } else { "gears" };
            notes.push(format!("Engine speed is left out: {missing} not known."));
        } else {
            notes.push(
                "Engine speed with the converter or clutch locked; an unlocked converter turns faster."
                    .into(),
            );
        }
        Self {
            vehicle: vehicle.name.clone(),
            setting: vehicle
                .adjusters
                .first()
                .and_then(|adjuster| adjuster.present())
                .map(|setting| setting.to_string()),
            tires: vehicle.mounted().and_then(|set| set.size.clone().or(set.name.clone())),
            last_day: last_day(vehicle).map(|day| day.to_string()),
            unit: units.speed_word(),
            rows: ratio.map_or(Vec::new(), |ratio| rows(vehicle, &ratio, turning, &gears, units)),
            warning: ratio.and_then(|ratio| warning(&ratio, units)),
            give_or_take: ratio.map(|ratio| give_or_take(&ratio)),
            gears: gears.iter().map(|gear| gear.to_string()).collect(),
            notes,
        }
    }

    /// The same as a document.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("{}: speed card", self.vehicle));
        if let Some(warning) = &self.warning {
            document.caution(warning.clone());
        }
        document.sentence(self.holds_for());
        for (caption, head, rows) in [self.speeds(), self.engine()].into_iter().flatten() {
            let head: Vec<&str> = head.iter().map(String::as_str).collect();
            document.table(&caption, &head, rows);
        }
        self.give_or_take.iter().for_each(|says| {
            document.sentence(says.clone());
        });
        self.notes.iter().for_each(|note| {
            document.sentence(note.clone());
        });
        document
    }

    /// For which setting and tires it holds.
    pub fn holds_for(&self) -> String {
        let setting = self.setting.as_ref().map(|setting| format!("setting {setting}"));
        let tires = self.tires.as_ref().map(|tires| format!("tires {tires}"));
        let parts: Vec<String> = setting.into_iter().chain(tires).collect();
        match parts.is_empty() {
            true => "Holds while nothing is changed.".into(),
            false => format!("Holds for {}; after a change, print a new one.", parts.join(", ")),
        }
    }

    /// The speeds, to be read at a glance: caption, heads and rows; none where nothing is known.
    pub fn speeds(&self) -> Option<CardTable> {
        let head = ["shown", "truly", "limit", "hold at"].map(String::from).to_vec();
        let row =
            |row: &CardRow| vec![row.shown.clone(), row.nearest.clone(), row.shown.clone(), row.hold.clone()];
        let rows: Vec<Vec<String>> = self.rows.iter().map(row).collect();
        (!rows.is_empty()).then(|| (format!("Speeds, {}", self.unit), head, rows))
    }

    /// The engine speeds, where any is in range.
    pub fn engine(&self) -> Option<CardTable> {
        let head = [vec!["shown".to_string()], self.gears.clone()].concat();
        let is_in_range = |row: &&CardRow| row.rpm.iter().any(|rpm| !rpm.is_empty());
        let row = |row: &CardRow| [vec![row.shown.clone()], row.rpm.clone()].concat();
        let rows: Vec<Vec<String>> = self.rows.iter().filter(is_in_range).map(row).collect();
        let caption = format!("Engine turns per minute, by what is shown in {} and by gear", self.unit);
        (!rows.is_empty()).then_some((caption, head, rows))
    }
}

/// Caption, heads and rows.
pub type CardTable = (String, Vec<String>, Vec<Vec<String>>);

/// Turns of the output shaft per length: those of the tire times the axle's ratio, where both are known.
fn turning(vehicle: &Vehicle, estimate: &VehicleEstimate) -> Option<PerLength> {
    let axle = vehicle.chain.factors(Link::Axle).single()?.value;
    Some(axle.plain() * estimate.over_all.revs?.value)
}

/// The gears of the file and those named, each once, the lowest gear first.
fn all_gears(vehicle: &Vehicle, named: &[Decimal]) -> Vec<Decimal> {
    let in_file = vehicle.evidence.iter().filter_map(|evidence| match evidence.kind {
        EvidenceKind::EngineSpeed { gear_ratio, .. } => Some(gear_ratio),
        _ => None,
    });
    let in_file = vehicle.chain.gear_ratios.iter().copied().chain(in_file);
    let mut gears: Vec<Decimal> =
        in_file.chain(named.iter().copied()).filter(|gear| *gear > Decimal::ZERO).collect();
    gears.sort_by(|a, b| b.cmp(a));
    gears.dedup();
    let surplus = gears.len().saturating_sub(MOST_GEARS);
    gears.drain(..surplus);
    gears
}

fn rows(
    vehicle: &Vehicle,
    ratio: &Measured<Ratio>,
    turning: Option<PerLength>,
    gears: &[Decimal],
    units: Units,
) -> Vec<CardRow> {
    let usage = &vehicle.usage;
    let greatest = usage.top_speed.or(usage.speeds.map(|(_, high)| high * 1.2));
    let greatest = greatest.unwrap_or(Speed::from_mi_per_h(GREATEST_MPH));
    let step = units.speed_step();
    let needed = (greatest / step).ceil().max(1.0);
    let step = step * (needed / MOST_ROWS as f64).ceil();
    let count = (greatest / step).ceil() as usize;
    // Below that nobody reads a card.
    let least = (LEAST_MPH / step.mi_per_h()).ceil().max(1.0) as usize;
    (least..=count.max(least)).map(|k| row(step * k as f64, ratio, turning, gears, units)).collect()
}

fn row(
    shown: Speed,
    ratio: &Measured<Ratio>,
    turning: Option<PerLength>,
    gears: &[Decimal],
    units: Units,
) -> CardRow {
    let truly = |ratio: Ratio| shown / ratio.plain();
    let number = |speed: Speed| units.of_speed(speed);
    let rpm = |gear: &Decimal| {
        let turns: Option<Frequency> = turning.map(|turning| truly(ratio.value) * turning * to_f64(*gear));
        let runs = turns.map(|turns| turns.per_min()).filter(|rpm| (RUNS_AT.0..=RUNS_AT.1).contains(rpm));
        runs.map_or(String::new(), |rpm| format!("{:.0}", (rpm / 10.0).round() * 10.0))
    };
    let hold = hold_at(number(shown), ratio.low_95);
    CardRow {
        shown: format!("{:.0}", number(shown)),
        truly: format!("{:.1}", number(truly(ratio.value))),
        nearest: format!("{:.0}", number(truly(ratio.value))),
        hold: format!("{hold:.0}"),
        rpm: gears.iter().map(rpm).collect(),
    }
}

fn give_or_take(ratio: &Measured<Ratio>) -> String {
    let half = 50.0 * (ratio.high_95.plain() - ratio.low_95.plain());
    format!(
        "True speeds give or take {half:.1} % (95 %), to the nearest whole number; where to hold the needle is by the low end and rounded down, so that the limit is kept."
    )
}

fn warning(ratio: &Measured<Ratio>, units: Units) -> Option<String> {
    if ratio.value.plain() >= HARDLY_SLOW {
        return None;
    }
    let shown = units.by_road(EXAMPLE.0, EXAMPLE.1);
    let truly = units.of_speed(units.speed(shown) / ratio.value.plain());
    let word = units.speed_word();
    Some(format!(
        "THE DIAL {} At {shown:.0} {word} shown it goes {truly:.0} {word}. Keep to the limit by the true speed.",
        words::reads(ratio).to_uppercase().split(',').next().unwrap_or("READS SLOW").to_string() + "."
    ))
}
