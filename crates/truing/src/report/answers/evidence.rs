//! Every piece of evidence with its interval on one axis, and all of them together under it.

use crate::describe::evidence::Evidence;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{Alone, Day, Piece, PieceId, Quantities, UnknownId, VehicleEstimate};
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
    /// Its share in what all together say, of the pieces and of what was believed before them: with what belongs to it alone,
    /// such as the conditions of its day.
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
            let is_own = |piece: &&Piece| belongs_to(vehicle, &piece.id, index);
            estimate.evidence.iter().filter(is_own).map(|piece| piece.weight.plain()).sum()
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
        let unit = if self.by_ratio { " %" } else { "" };
        let interval = |label: &str, v: &V| {
            let points = [v.low_95, v.value, v.high_95].map(|end| (end, 0.0)).to_vec();
            // As wide as the bar, and as the answer says it: half of the 95 % interval.
            let says = words::value_and_uncertainty(v.value, 0.5 * (v.high_95 - v.low_95));
            Series::new(label, points, SeriesKind::Interval).saying(format!("{says}{unit}"))
        };
        let mut series: Vec<Series> = rows.iter().map(|(label, v)| interval(label, v)).collect();
        if series.is_empty() {
            return None;
        }
        series.extend(self.together.as_ref().map(|all| interval("all of it together", all)));
        if self.by_ratio {
            series.push(Series::new("true", vec![(0.0, 0.0)], SeriesKind::Upright));
        }
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
        let all: f64 = self.pieces.iter().map(|piece| piece.weight).sum();
        let shown: Vec<f64> = kept.iter().map(|piece| piece.weight).collect();
        let more = (all - shown.iter().sum::<f64>()).max(0.0);
        let mut shares = in_percent(&[shown, vec![more, (1.0 - all).max(0.0)]].concat()).into_iter();
        let mut share = || format!("{} %", shares.next().unwrap_or(0));
        let mut rows: Vec<Vec<String>> =
            kept.iter().map(|piece| line(&piece.label, piece.says.as_ref(), share())).collect();
        let aside = |label: String, share: String| vec![label, String::new(), String::new(), share];
        let (more, believed) = (share(), share());
        rows.extend((left_out > 0).then(|| aside(format!("{left_out} more pieces"), more)));
        rows.push(aside("what is believed of tires and parts".into(), believed));
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

/// Whether an equation is the piece itself, or what nobody shares with it: the conditions of a day on which only it was taken.
fn belongs_to(vehicle: &Vehicle, id: &PieceId, index: usize) -> bool {
    match id {
        PieceId::Evidence(own) => *own == index,
        PieceId::Nuisance(UnknownId::Conditions(Day::Piece(own))) => *own == index,
        PieceId::Nuisance(UnknownId::Conditions(Day::Date(date))) => {
            let of_day = |one: &Evidence| one.date.as_ref() == Some(date);
            vehicle.evidence.get(index).is_some_and(of_day)
                && vehicle.evidence.iter().filter(|one| of_day(one)).count() == 1
        }
        _ => false,
    }
}

/// Shares of one as whole numbers of per cent that add up to 100: the largest remainders are rounded up.
fn in_percent(shares: &[f64]) -> Vec<usize> {
    let total: f64 = shares.iter().sum();
    let exact: Vec<f64> = shares.iter().map(|share| 100.0 * share / total.max(f64::MIN_POSITIVE)).collect();
    let mut whole: Vec<usize> = exact.iter().map(|percent| percent.floor() as usize).collect();
    let missing = 100_usize.saturating_sub(whole.iter().sum());
    let mut order: Vec<usize> = (0..exact.len()).collect();
    order.sort_by(|a, b| (exact[*b].fract()).total_cmp(&exact[*a].fract()));
    order.into_iter().take(missing).for_each(|place| whole[place] += 1);
    whole
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_shares_add_up_to_a_hundred() {
        let check =
            |shares: &[f64], expected: &[usize]| assert_eq!(in_percent(shares), expected, "{shares:?}");
        check(&[1.0, 1.0, 1.0], &[34, 33, 33]);
        check(&[0.125, 0.125, 0.75], &[13, 12, 75]);
        check(&[0.004, 0.004, 0.992], &[1, 0, 99]);
        check(&[2.0], &[100]);
    }
}
