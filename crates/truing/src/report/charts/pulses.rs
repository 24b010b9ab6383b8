//! Pictures of a recording: the wave with its edges, frequency over time, the ring around the circle.

use crate::measure::pulses::PulseEstimate;
use crate::report::document::{Chart, Series, SeriesKind};
use metrology::cycle::Ring;
use std::f64::consts::PI;

/// Points drawn of the frequency at most.
const DRAWN_MOST: usize = 600;
/// Points of the even circle.
const CIRCLE_POINTS: usize = 120;
/// The largest departure is drawn as this share of the radius.
const DEPARTURE_DRAWN: f64 = 0.3;
/// Departures are never drawn larger than this many times: or a sound ring looks damaged.
const LARGEST_SCALE: f64 = 20.0;

/// Those that can be drawn.
pub(crate) fn charts(estimate: &PulseEstimate) -> Vec<Chart> {
    let ring = estimate.ring.as_ref().ok().map(circle);
    [wave(estimate), frequency(estimate), ring].into_iter().flatten().collect()
}

fn series(label: &str, points: Vec<(f64, f64)>, kind: SeriesKind) -> Series {
    Series::new(label, points, kind)
}

fn wave(estimate: &PulseEstimate) -> Option<Chart> {
    let wave = estimate.wave.as_ref()?;
    let start_s = wave.samples.first()?.0.s();
    let points = |of: &[(metrology::quantity::Duration, f64)]| {
        of.iter().map(|(time, value)| (1000.0 * (time.s() - start_s), *value)).collect()
    };
    Some(Chart {
        title: "The signal and its pulses".into(),
        description: format!("{} pulses as found in the wave, from {start_s:.2} s on.", wave.edges.len()),
        x_label: "time, ms".into(),
        y_label: "signal, full scale 1".into(),
        series: vec![
            series("signal", points(&wave.samples), SeriesKind::Line),
            series("pulses", points(&wave.edges), SeriesKind::Points),
        ],
    })
}

fn frequency(estimate: &PulseEstimate) -> Option<Chart> {
    let range = estimate.frequency?;
    let every = estimate.over_time.len().div_ceil(DRAWN_MOST).max(1);
    let points = estimate.over_time.iter().step_by(every).map(|(time, f)| (time.s(), f.hz())).collect();
    Some(Chart {
        title: "Frequency over time".into(),
        description: format!("Pulses per second, from {:.1} to {:.1}.", range.min.hz(), range.max.hz()),
        x_label: "time, s".into(),
        y_label: "frequency, Hz".into(),
        series: vec![series("frequency", points, SeriesKind::Line)],
    })
}

/// Each tooth at its angle, farther out where the space before it is too wide.
fn circle(ring: &Ring) -> Chart {
    let departures: Vec<Option<f64>> =
        ring.spacing.iter().map(|space| space.map(|space| space - 1.0)).collect();
    let largest = departures.iter().flatten().fold(0.0_f64, |a, b| a.max(b.abs()));
    let scale = (DEPARTURE_DRAWN / largest.max(f64::MIN_POSITIVE)).min(LARGEST_SCALE);
    let at = |angle: f64, radius: f64| (radius * angle.sin(), radius * angle.cos());
    let angle = |tooth: usize| 2.0 * PI * tooth as f64 / ring.marks as f64;
    let place = |tooth: usize| at(angle(tooth), 1.0 + scale * departures[tooth].unwrap_or(0.0));
    let even = (0..=CIRCLE_POINTS).map(|k| at(2.0 * PI * k as f64 / CIRCLE_POINTS as f64, 1.0)).collect();
    let teeth = (0..ring.marks).filter(|tooth| departures[*tooth].is_some()).map(place).collect();
    let mut all =
        vec![series("even ring", even, SeriesKind::Round), series("teeth", teeth, SeriesKind::Points)];
    if !ring.faults.is_empty() {
        let faulty = ring.faults.iter().map(|fault| place(fault.mark)).collect();
        all.push(series("with a fault", faulty, SeriesKind::Points));
    }
    Chart {
        title: "The ring, tooth by tooth".into(),
        description: format!(
            "{} teeth clockwise from the top, spacing departures drawn {scale:.0} times as large; the largest is {:.1} % of a \
             pitch; {} with a fault.",
            ring.marks,
            100.0 * largest,
            ring.faults.len()
        ),
        x_label: "across, radius 1".into(),
        y_label: "up, radius 1".into(),
        series: all,
    }
}
