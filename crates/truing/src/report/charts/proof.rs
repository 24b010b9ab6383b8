//! The picture of a proof: the band of what was measured against the permitted band.

use crate::describe::vehicle::Vehicle;
use crate::prove::Proof;
use crate::report::document::{Chart, Series, SeriesKind};
use crate::rules::{Edge, TestPoint};
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Ratio, Speed};

/// Speeds drawn where the rule and the vehicle name none (mph).
const DRAWN_MPH: (f64, f64) = (20.0, 75.0);
/// The picture reaches this much beyond the outer test speeds (mph), so that none lies on its edge.
const BESIDE_MPH: f64 = 5.0;
/// Points along the speeds: the edges are straight or nearly so.
const POINTS: usize = 12;

/// Of a proof: error by speed, or the ratio alone where the rule is about distance.
pub fn chart(vehicle: &Vehicle, proof: &Proof, units: Units) -> Chart {
    match proof.rule.band.is_ratio_only()
        && proof.conformity.points.iter().all(|p| p.point == TestPoint::Ratio)
    {
        true => of_ratio(proof),
        false => of_speeds(proof, &speeds(vehicle, proof), units),
    }
}

/// The true speeds at which the picture is drawn, ascending.
fn speeds(vehicle: &Vehicle, proof: &Proof) -> Vec<Speed> {
    let tested = proof.conformity.points.iter().filter_map(|judged| match judged.point {
        TestPoint::True(speed) | TestPoint::Indicated(speed) => Some(speed.mi_per_h()),
        TestPoint::Ratio => None,
    });
    let used = vehicle.usage.speeds.map_or(DRAWN_MPH, |(low, high)| (low.mi_per_h(), high.mi_per_h()));
    let (low, high) =
        tested.fold(used, |(low, high), mph| (low.min(mph - BESIDE_MPH), high.max(mph + BESIDE_MPH)));
    let at = |k: usize| low.max(0.0) + (high - low.max(0.0)) * k as f64 / POINTS as f64;
    (0..=POINTS).map(|k| Speed::from_mi_per_h(at(k))).collect()
}

fn of_speeds(proof: &Proof, speeds: &[Speed], units: Units) -> Chart {
    let error = |indicated: Speed, speed: Speed| (units.of_speed(speed), units.of_speed(indicated - speed));
    let measured: Vec<(Speed, Measured<Speed>)> =
        speeds.iter().map(|speed| (*speed, proof.model.indicated_at(*speed))).collect();
    let low = |speed: &Speed| error(proof.rule.band.indicated_at(*speed).low, *speed);
    let high = |speed: &Speed| error(proof.rule.band.indicated_at(*speed).high, *speed);
    let permitted = speeds.iter().map(high).chain(speeds.iter().rev().map(low)).collect();
    let upper = measured.iter().map(|(speed, m)| error(m.high_95, *speed));
    let lower = measured.iter().rev().map(|(speed, m)| error(m.low_95, *speed));
    let drive = upper.chain(lower).collect();
    let middle = measured.iter().map(|(speed, m)| error(m.value, *speed)).collect();
    let series = |label: &str, points, kind| Series { label: label.into(), points, kind };
    Chart {
        title: "Error of the reading against what is permitted".into(),
        description: format!(
            "The wide area is what {} permits; the darker one is what the drive showed, with 95 % probability, around the line of its best value.",
            proof.rule.id
        ),
        x_label: format!("true speed, {}", units.speed_word()),
        y_label: format!("shown beyond true, {}", units.speed_word()),
        series: vec![
            series("permitted", permitted, SeriesKind::Band),
            series("measured, 95 %", drive, SeriesKind::Band),
            series("measured", middle, SeriesKind::Line),
        ],
    }
}

fn of_ratio(proof: &Proof) -> Chart {
    let off = |ratio: Ratio| 100.0 * (ratio - Ratio::from_plain(1.0)).plain();
    let ratio: Measured<Ratio> =
        Measured::from_log(proof.model.ln_ratio, proof.model.u_ln_ratio, proof.model.dof);
    let measured = [ratio.low_95, ratio.value, ratio.high_95].map(|end| (off(end), 0.0)).to_vec();
    let edge = |label: &str, edge: Edge| Series {
        label: label.into(),
        points: vec![(off(edge.slope), 0.0)],
        kind: SeriesKind::Upright,
    };
    let (low, high) = (proof.rule.band.low(), proof.rule.band.high());
    Chart {
        title: "The distance counted against what is permitted".into(),
        description: format!(
            "The bar is what the drive showed, with 95 % probability; {} permits what lies between the two lines.",
            proof.rule.id
        ),
        x_label: "counted beyond true, %".into(),
        y_label: String::new(),
        series: vec![
            Series { label: "measured, 95 %".into(), points: measured, kind: SeriesKind::Interval },
            edge("permitted from", low),
            edge("permitted to", high),
        ],
    }
}
