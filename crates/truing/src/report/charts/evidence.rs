//! Every piece of evidence as a bar on one axis, and what all of it comes to.

use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{Piece, VehicleEstimate};
use crate::report::document::{Chart, Series, SeriesKind};
use crate::report::words::{interval, labels};
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Quantity, Ratio};

/// Pieces wider than this many widths of the answer would squeeze all others; they are named, not drawn.
const WIDEST_DRAWN: f64 = 40.0;

/// A piece with a smaller share in the answer has nothing to do with it.
const LEAST_WEIGHT: f64 = 1e-3;

/// What is drawn along: the answer with its interval, and how a piece's figure is put there.
struct Scale {
    label: &'static str,
    /// What stands after its numbers in a sentence.
    unit: &'static str,
    answer: [f64; 3],
    deviation: f64,
    plain: f64,
    of: fn(f64) -> f64,
}

/// The evidence of a truck; none while nothing can be told from it.
pub fn evidence_chart(vehicle: &Vehicle, estimate: &VehicleEstimate, units: Units) -> Option<Chart> {
    let scale = scale(estimate, units)?;
    let width = scale.answer[2] - scale.answer[0];
    let (mut drawn, mut left_out) = (Vec::new(), 0);
    // What only disturbs a measurement is counted in the answer and says nothing of its own.
    for piece in estimate.evidence.iter().filter(|piece| !piece.is_nuisance) {
        match ends(piece, &scale) {
            Some(ends) if ends[2] - ends[0] <= WIDEST_DRAWN * width => {
                drawn.push(bar(&labels::piece(vehicle, &piece.id), ends))
            }
            Some(_) => left_out += 1,
            None => {}
        }
    }
    drawn.push(bar("all of it together", scale.answer));
    drawn.push(Series {
        label: String::new(),
        points: vec![(scale.answer[1], 0.0)],
        kind: SeriesKind::Upright,
    });
    let together = interval(scale.answer[0], scale.answer[2], scale.deviation);
    let unit = scale.unit;
    let beside = match left_out {
        0 => String::new(),
        1 => " One piece says too little to be drawn here.".into(),
        many => format!(" {many} pieces say too little to be drawn here."),
    };
    Some(Chart {
        title: "What each piece of evidence says".into(),
        description: format!(
            "Each bar is what one piece says beside the best of the rest, with its 95 % interval. Together: {together}{unit}.{beside}"
        ),
        x_label: scale.label.into(),
        y_label: String::new(),
        series: drawn,
    })
}

fn scale(estimate: &VehicleEstimate, units: Units) -> Option<Scale> {
    let percent = |ratio: Ratio| 100.0 * (ratio.plain() - 1.0);
    let over_all = &estimate.over_all;
    if let Some(ratio) = &over_all.distance_ratio {
        return Some(Scale {
            label: "odometer against the truth, % (below 0 is slow)",
            unit: " %",
            answer: [ratio.low_95, ratio.value, ratio.high_95].map(percent),
            deviation: 100.0 * ratio.standard_uncertainty.plain(),
            plain: ratio.value.plain(),
            of: |plain| 100.0 * (plain - 1.0),
        });
    }
    let revs = over_all.revs.as_ref()?;
    Some(Scale {
        label: units.by_road("tire turns per mile", "tire turns per km"),
        unit: "",
        answer: [revs.low_95, revs.value, revs.high_95].map(|revs| units.of_per_length(revs)),
        deviation: units.of_per_length(revs.standard_uncertainty),
        plain: units.of_per_length(revs.value),
        of: |plain| plain,
    })
}

/// Low end, value and high end of a piece alone. Where nothing else speaks of what it measures, the answer is what it says.
fn ends(piece: &Piece, scale: &Scale) -> Option<[f64; 3]> {
    let only = (!piece.is_prior && piece.weight.plain() > LEAST_WEIGHT).then_some(scale.plain);
    let value = piece.leave_one_out.map(Ratio::plain).or(only)?;
    let u = value * piece.own_uncertainty.plain();
    let alone = Measured::symmetric(Ratio::from_plain(value), Ratio::from_si(u), f64::INFINITY);
    let ends = [alone.low_95, alone.value, alone.high_95].map(|end| (scale.of)(end.plain()));
    ends.iter().all(|end| end.is_finite()).then_some(ends)
}

fn bar(label: &str, [low, value, high]: [f64; 3]) -> Series {
    Series {
        label: label.into(),
        points: vec![(low, 0.0), (value, 0.0), (high, 0.0)],
        kind: SeriesKind::Interval,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::fusion::fuse;

    fn chart_of(text: &str) -> Option<Chart> {
        let (vehicle, problems) = Vehicle::read("test", text);
        let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
        evidence_chart(&vehicle, &fuse("test", &vehicle, Vec::new()).0, Units::Us)
    }

    const ROLLOUT: &str =
        "[[evidence]]\nkind = \"rollout\"\nturns = 5\nlengths = [\"42 ft 11 in\", \"42 ft 10 1/2 in\"]\n";

    #[test]
    fn a_bar_for_each_piece_and_one_for_all() {
        let chart = chart_of(&format!("[tire]\nsize = \"LT275/75R17\"\n{ROLLOUT}")).unwrap();
        let labels: Vec<&str> = chart.series.iter().map(|series| series.label.as_str()).collect();
        assert!(labels.iter().any(|label| label.starts_with("rollout")), "{labels:?}");
        assert!(labels.contains(&"all of it together"), "{labels:?}");
        assert!(!labels.iter().any(|label| label.contains("tape")), "what disturbs is not drawn: {labels:?}");
        // Five turns over 42 ft 10 3/4 in: 5280 ft / 42.896 ft x 5 = 615.4 turns a mile.
        let rollout = chart.series.iter().find(|series| series.label.starts_with("rollout")).unwrap();
        let [low, value, high] = [0, 1, 2].map(|at| rollout.points[at].0);
        assert!(low < value && value < high, "{low} {value} {high}");
        // Slip and speed growth make a rolling tire on the road differ from a slow roll by up to a few per cent.
        assert!((value / 615.4 - 1.0).abs() < 0.03, "{value}");
        assert_eq!(chart.x_label, "tire turns per mile");
    }

    #[test]
    fn nothing_known_is_not_drawn() {
        assert_eq!(chart_of("[use]\nmake_true = \"distance\"\n"), None);
    }
}
