//! Every piece of evidence with its interval on one axis, and all of them together under it.

use super::document::{Chart, Series, SeriesKind};
use super::value::V;
use super::words;
use crate::measure::fusion::{Alone, Quantities, VehicleEstimate};
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
}

/// A piece and its interval.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PieceAlone {
    /// What a person calls it.
    pub label: String,
    /// What it says alone.
    pub says: Option<V>,
}

const OFF: &str = "per cent by which the odometer reads off";
/// Turns of the tire, in miles and in kilometres.
const REVS: (&str, &str) = ("revolutions per mile", "revolutions per km");

impl EvidenceReport {
    /// Of the pieces, and of all together. The axis is the error of the odometer where that is known, else the turns of
    /// the tire.
    pub fn new(estimate: &VehicleEstimate, alone: &[Alone], units: Units) -> Self {
        let by_ratio = estimate.over_all.distance_ratio.is_some();
        let says = |quantities: &Quantities| match by_ratio {
            true => quantities.distance_ratio.as_ref().map(off),
            false => V::maybe(quantities.revs.as_ref(), |revs| units.of_per_length(revs)),
        };
        let piece = |one: &Alone| PieceAlone { label: one.label.clone(), says: says(&one.quantities) };
        Self {
            quantity: if by_ratio { OFF } else { units.by_road(REVS.0, REVS.1) },
            pieces: alone.iter().map(piece).collect(),
            together: says(&estimate.over_all),
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
            x_label: format!(
                "{}{}",
                self.quantity,
                if self.quantity == OFF { " (- slow, + fast)" } else { "" }
            ),
            y_label: String::new(),
            series,
        })
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
