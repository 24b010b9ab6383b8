//! The picture of a proof: the band of what was measured against the permitted band.

use crate::describe::vehicle::Vehicle;
use crate::prove::Proof;
use crate::report::document::{Chart, Series, SeriesKind};
use crate::report::words::signed;
use crate::rules::{Edge, TestPoint};
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Ratio, Speed};

/// Speeds drawn where the rule and the vehicle name none (mph).
const DRAWN_MPH: (f64, f64) = (20.0, 75.0);
/// The picture reaches this much beyond the outer test speeds (mph), so that none lies on its edge.
const BESIDE_MPH: f64 = 5.0;
/// An error of this many mph to either side is drawn at least.
const LEAST_DRAWN_MPH: f64 = 1.0;
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

/// A rule that speaks of one speed alone is drawn this far to both sides of it (mph), so that it can be seen.
const AROUND_ONE_SPEED_MPH: f64 = 0.75;

/// The speeds from the lowest at which the rule speaks to the highest, and those drawn between them.
fn of_rule(proof: &Proof, speeds: &[Speed]) -> Vec<Speed> {
    let tested = proof.conformity.points.iter().filter_map(|judged| match judged.point {
        TestPoint::True(speed) | TestPoint::Indicated(speed) => Some(speed.mi_per_h()),
        TestPoint::Ratio => None,
    });
    let (low, high) =
        tested.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), mph| (low.min(mph), high.max(mph)));
    if low > high {
        return speeds.to_vec();
    }
    let beside = if low < high { 0.0 } else { AROUND_ONE_SPEED_MPH };
    let (low, high) = (low - beside, high + beside);
    let between = speeds.iter().map(|speed| speed.mi_per_h()).filter(|mph| low < *mph && *mph < high);
    let all = std::iter::once(low).chain(between).chain([high]);
    all.map(Speed::from_mi_per_h).collect()
}

fn of_speeds(proof: &Proof, speeds: &[Speed], units: Units) -> Chart {
    let error = |indicated: Speed, speed: Speed| (units.of_speed(speed), units.of_speed(indicated - speed));
    let measured: Vec<(Speed, Measured<Speed>)> =
        speeds.iter().map(|speed| (*speed, proof.model.indicated_at(*speed))).collect();
    let ruled = of_rule(proof, speeds);
    let low = |speed: &Speed| error(proof.rule.band.indicated_at(*speed).low, *speed);
    let high = |speed: &Speed| error(proof.rule.band.indicated_at(*speed).high, *speed);
    let permitted = ruled.iter().map(high).chain(ruled.iter().rev().map(low)).collect();
    let upper = measured.iter().map(|(speed, m)| error(m.high_95, *speed));
    let lower = measured.iter().rev().map(|(speed, m)| error(m.low_95, *speed));
    let drive = upper.chain(lower).collect();
    let middle = measured.iter().map(|(speed, m)| error(m.value, *speed)).collect();
    let least = units.of_speed(Speed::from_mi_per_h(LEAST_DRAWN_MPH));
    let at = speeds.first().map_or(0.0, |speed| units.of_speed(*speed));
    Chart {
        title: "Error of the reading against what is permitted".into(),
        description: format!(
            "The wide area is what {} permits where it speaks; the line is what the drive showed, in the band that holds it with 95 % probability. {}",
            proof.rule.id,
            in_numbers(proof, units)
        ),
        x_label: format!("true speed, {}", units.speed_word()),
        y_label: format!("shown beyond true, {}", units.speed_word()),
        series: vec![
            Series::new("permitted", permitted, SeriesKind::Band),
            Series::new("", drive, SeriesKind::Around),
            Series::new("measured, 95 %", middle, SeriesKind::Line),
            Series::new("", vec![(at, -least), (at, least)], SeriesKind::Room),
            Series::new("true", vec![(0.0, 0.0)], SeriesKind::Level),
        ],
    }
}

/// What was measured at each speed at which the rule speaks, and what it permits there.
fn in_numbers(proof: &Proof, units: Units) -> String {
    let word = units.speed_word();
    let say = |speed: Speed| {
        let beyond = |indicated: Speed| signed(units.of_speed(indicated - speed), 1);
        let (measured, permitted) = (proof.model.indicated_at(speed), proof.rule.band.indicated_at(speed));
        format!(
            "At {:.0} {word}: {} to {} measured, {} to {} permitted.",
            units.of_speed(speed),
            beyond(measured.low_95),
            beyond(measured.high_95),
            beyond(permitted.low),
            beyond(permitted.high)
        )
    };
    let said = proof.conformity.points.iter().filter_map(|judged| match judged.point {
        TestPoint::True(speed) | TestPoint::Indicated(speed) => Some(say(speed)),
        TestPoint::Ratio => None,
    });
    said.collect::<Vec<_>>().join(" ")
}

fn of_ratio(proof: &Proof) -> Chart {
    let off = |ratio: Ratio| 100.0 * (ratio - Ratio::from_plain(1.0)).plain();
    let ratio: Measured<Ratio> =
        Measured::from_log(proof.model.ln_ratio, proof.model.u_ln_ratio, proof.model.dof);
    let measured = [ratio.low_95, ratio.value, ratio.high_95].map(|end| (off(end), 0.0)).to_vec();
    let edge =
        |label: &str, edge: Edge| Series::new(label, vec![(off(edge.slope), 0.0)], SeriesKind::Upright);
    let said = format!("{} to {} %", signed(off(ratio.low_95), 2), signed(off(ratio.high_95), 2));
    let (low, high) = (proof.rule.band.low(), proof.rule.band.high());
    Chart {
        title: "The distance counted against what is permitted".into(),
        description: format!(
            "The bar is what the drive showed, {said} with 95 % probability; {} permits what lies between the two lines, {:+.1} to {:+.1} %.",
            proof.rule.id,
            off(low.slope),
            off(high.slope)
        ),
        x_label: "counted beyond true, %".into(),
        y_label: String::new(),
        series: vec![
            Series::new("measured, 95 %", measured, SeriesKind::Interval).saying(said.clone()),
            Series::new("true", vec![(0.0, 0.0)], SeriesKind::Upright),
            edge("permitted from", low),
            edge("permitted to", high),
        ],
    }
}
