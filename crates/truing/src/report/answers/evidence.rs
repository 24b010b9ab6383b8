//! Every piece of evidence with its interval on one axis, and all of them together under it.

use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{Alone, Piece, PieceId, Quantities, VehicleEstimate};
use crate::report::document::{Chart, Series, SeriesKind, Table};
use crate::report::words;
use crate::report::words::labels;
use crate::report::words::value::V;
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::Ratio;
use serde::Serialize;

/// What every piece says alone.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EvidenceReport {
    /// What the intervals are of.
    pub quantity: &'static str,
    /// Each piece; null where it cannot tell this alone.
    pub pieces: Vec<PieceAlone>,
    /// All of them, weighed together.
    pub together: Option<V>,
    #[serde(skip)]
    by_ratio: bool,
}

/// A piece and its interval.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PieceAlone {
    /// What a person calls it.
    pub label: String,
    /// What it says alone.
    pub says: Option<V>,
    /// Its share in the variance of all together.
    pub weight: f64,
}

const OFF: &str = "how far the odometer is off, %";
/// Turns of the tire, in miles and in kilometres.
const REVS: (&str, &str) = ("revolutions per mile", "revolutions per km");

impl EvidenceReport {
    /// Of the pieces, and of all together. The axis is the error of the odometer where that is known, else the turns of
    /// the tire.
    pub fn new(vehicle: &Vehicle, estimate: &VehicleEstimate, alone: &[Alone], units: Units) -> Self {
        let by_ratio = estimate.over_all.distance_ratio.is_some();
        let says = |quantities: &Quantities| match by_ratio {
            true => quantities.distance_ratio.as_ref().map(off),
            false => V::maybe(quantities.revs.as_ref(), |revs| units.of_per_length(revs)),
        };
        let weight = |index: usize| {
            let of = |piece: &&Piece| piece.id == PieceId::Evidence(index);
            estimate.evidence.iter().find(of).map_or(0.0, |piece| piece.weight.plain())
        };
        let piece = |one: &Alone| PieceAlone {
            label: labels::evidence(vehicle, one.index),
            says: says(&one.quantities),
            weight: weight(one.index),
        };
        Self {
            quantity: if by_ratio { OFF } else { units.by_road(REVS.0, REVS.1) },
            pieces: alone.iter().map(piece).collect(),
            together: says(&estimate.over_all),
            by_ratio,
        }
    }

    /// The picture; none where nothing was measured.
    pub fn chart(&self) -> Option<Chart> {
        let rows: Vec<(&str, &V)> = self
            .pieces
            .iter()
            .filter_map(|piece| Some((piece.label.as_str(), piece.says.as_ref()?)))
            .collect();
        let interval = |label: &str, v: &V| Series {
            label: label.into(),
            points: vec![(v.low_95, 0.0), (v.value, 0.0), (v.high_95, 0.0)],
            kind: SeriesKind::Interval,
        };
        let mut series: Vec<Series> = rows.iter().map(|(label, v)| interval(label, v)).collect();
        if series.is_empty() {
            return None;
        }
        series.extend(self.together.as_ref().map(|all| interval("all of it together", all)));
        Some(Chart {
            title: "What each piece of evidence says alone (bars: 95 %)".into(),
            description: self.in_words(&rows),
            x_label: self.axis(),
            y_label: String::new(),
            series,
        })
    }

    /// The same as a table with a line for each piece, at most so many: those that weigh most. With how many are not in it.
    pub fn table(&self, most: usize) -> (Table, usize) {
        let mut kept: Vec<&PieceAlone> = self.pieces.iter().collect();
        kept.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        let left_out = kept.len().saturating_sub(most);
        kept.truncate(most);
        let line = |label: &str, says: Option<&V>, weight: String| {
            let cells = says.map_or(["cannot tell it alone".into(), String::new()], |v| {
                [
                    words::value_and_uncertainty(v.value, v.standard_uncertainty),
                    words::interval(v.low_95, v.high_95, v.standard_uncertainty),
                ]
            });
            [vec![label.to_string()], cells.to_vec(), vec![weight]].concat()
        };
        let share = |weight: f64| format!("{:.0} %", 100.0 * weight);
        let mut rows: Vec<Vec<String>> =
            kept.iter().map(|piece| line(&piece.label, piece.says.as_ref(), share(piece.weight))).collect();
        rows.extend(self.together.as_ref().map(|v| line("all of it together", Some(v), String::new())));
        let head = ["piece of evidence", "says alone", "95 % interval", "weight"];
        let caption = format!("What each piece of evidence says alone: {}", self.axis());
        (Table::new(None, &caption, &head, rows), left_out)
    }

    /// What the numbers are of.
    fn axis(&self) -> String {
        format!("{}{}", self.quantity, if self.by_ratio { " (- slow, + fast)" } else { "" })
    }

    fn in_words(&self, rows: &[(&str, &V)]) -> String {
        let say = |label: &str, v: &V| {
            format!("{label}: {}", words::interval(v.low_95, v.high_95, v.standard_uncertainty))
        };
        let all = self.together.as_ref().map(|v| say("all of it together", v));
        let each: Vec<String> = rows.iter().map(|(label, v)| say(label, v)).chain(all).collect();
        format!("Intervals of 95 % for {}. {}.", self.quantity, each.join("; "))
    }
}

fn off(ratio: &Measured<Ratio>) -> V {
    let percent = |ratio: Ratio| 100.0 * (ratio.plain() - 1.0);
    V {
        value: percent(ratio.value),
        standard_uncertainty: ratio.standard_uncertainty.percent(),
        low_95: percent(ratio.low_95),
        high_95: percent(ratio.high_95),
    }
}
