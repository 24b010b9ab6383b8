//! A drive against steady speeds called out by a passenger: find the steady stretches and match them in order.

use super::diagnose;
use crate::describe::evidence::ReadFrom;
use crate::measure::drive::line::fit::{Normal, Observation, Prior, fit};
use crate::measure::drive::line::growth;
use crate::measure::drive::line::offset_mixture::ChannelPrior;
use crate::measure::drive::study::Study;
use crate::measure::drive::types::{DriveEstimate, Hold, Reads};
use crate::measure::fusion::{PARALLAX_EACH_MPH, PARALLAX_SHARED_MPH};
use crate::problem::Problem;
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::{Duration, Length, Ratio, Speed};

/// A stretch is steady while the speed stays within this (m/s) of its own middle: a driver holds 1 to 2 mph.
const STEADY_M_PER_S: f64 = 0.7;
/// Shortest hold (s).
const HOLD_S: f64 = 8.0;
/// Left out at both ends of a longer hold (s).
const ENDS_S: f64 = 2.0;
/// Reading a dial at a glance, one standard uncertainty (m/s): 0.6 mph, a quarter of a usual division (judgement).
const READING_U_M_PER_S: f64 = 0.27;
/// The needle's offset: within 1 mph, evenly likely (GUM 4.3.7: 1 mph / sqrt 3).
const NEEDLE_U_M_PER_S: f64 = 0.258;
/// Offset of the needle and reading of it, one standard uncertainty each (m/s), by where whoever called out sat.
fn reading_u(read_from: ReadFrom) -> (f64, f64) {
    match read_from {
        ReadFrom::Driver => (NEEDLE_U_M_PER_S, READING_U_M_PER_S),
        ReadFrom::Passenger => {
            let m_per_s = |mph| Speed::from_mi_per_h(mph).m_per_s();
            let (shared, each) = (m_per_s(PARALLAX_SHARED_MPH), m_per_s(PARALLAX_EACH_MPH));
            (NEEDLE_U_M_PER_S.hypot(shared), READING_U_M_PER_S.hypot(each))
        }
    }
}

/// How far the ratio may differ between two holds of one drive (relative), besides reading: enough for an offset.
const BETWEEN_HOLDS: f64 = 0.04;
/// Ratios tried when matching.
const RATIOS: (f64, f64, usize) = (0.6, 1.6, 101);
/// A truck is usually off by no more than this (relative): among matchings that fit alike, the nearer to true.
const USUALLY_WITHIN: f64 = 0.1;
/// A matching whose cost is within this of the best fits about as well (twice the logarithm of odds of about 7).
const AS_WELL_WITHIN: f64 = 4.0;
/// What a second of steadiness is worth when two matchings fit alike.
const PER_SECOND: f64 = 0.01;

/// A stretch of the track with a steady speed.
#[derive(Copy, Clone, Debug)]
pub struct Stretch {
    from: usize,
    to: usize,
    start_s: f64,
    end_s: f64,
    mean: f64,
    u: f64,
}

pub fn against_holds(study: &mut Study, called: &[Speed]) -> Option<DriveEstimate> {
    let stretches = steady(study);
    let Some((matched, rival)) = match_in_order(&stretches, called) else {
        study.problems.push(
            Problem::error(
                study.source,
                format!(
                    "at least {} steady stretches of {HOLD_S:.0} s or more, one for each called-out speed",
                    called.len()
                ),
                format!("{} ({})", stretches.len(), listed(&stretches, Units::of_called_out(called))),
            )
            .hint("hold each speed for ten seconds or more; leave out called-out speeds that were not held"),
        );
        return None;
    };
    if let Some(ratio) = rival {
        study.problems.push(
            Problem::warning(
                study.source,
                "one way to match the called-out speeds with steady stretches",
                format!("another that fits about as well, with a ratio near {ratio:.2}"),
            )
            .hint("see whether the times of the holds are right; call out every speed that was held"),
        );
    }
    against_stretches(study, &matched, called)
}

/// The estimate from stretches, each with the speed that was shown on it.
pub fn against_stretches(study: &mut Study, matched: &[Stretch], called: &[Speed]) -> Option<DriveEstimate> {
    let start_s = study.truth.time_s[0];
    let holds: Vec<Hold> = matched
        .iter()
        .zip(called)
        .map(|(s, indicated)| Hold {
            indicated: *indicated,
            truth: Measured::symmetric(Speed::from_m_per_s(s.mean), Speed::from_m_per_s(s.u), f64::INFINITY),
            start: Duration::from_s(s.start_s - start_s),
            end: Duration::from_s(s.end_s - start_s),
        })
        .collect();
    study.points.used = matched.iter().map(|s| s.to - s.from + 1).sum();
    fitted(study, matched, called, holds)
}

fn fitted(
    study: &mut Study,
    matched: &[Stretch],
    called: &[Speed],
    holds: Vec<Hold>,
) -> Option<DriveEstimate> {
    let usual = study.usual_speed().m_per_s();
    let (needle_u, reading_u) = reading_u(study.conditions.read_from);
    let observations: Vec<Observation> = matched
        .iter()
        .zip(called)
        .map(|(s, indicated)| Observation {
            time_s: s.start_s,
            indicated: indicated.m_per_s(),
            truth: s.mean,
            one: 1.0,
            growth: s.mean * (s.mean - usual),
            truth_rate: 0.0,
            sigma: f64::hypot(reading_u, s.u),
            own: reading_u,
            share_s: s.end_s - s.start_s,
        })
        .collect();
    let (ratio, offset, covariance) = line(&observations, needle_u);
    let mut estimate = study.finish(Reads::Needle);
    estimate.reading_ratio = Some(Measured::symmetric(
        Ratio::from_plain(ratio),
        Ratio::from_plain(covariance.0.sqrt()),
        f64::INFINITY,
    ));
    estimate.offset = Some(Measured::symmetric(
        Speed::from_m_per_s(offset),
        Speed::from_m_per_s(covariance.1.sqrt()),
        f64::INFINITY,
    ));
    estimate.ratio_offset_correlation = covariance.2 / (covariance.0 * covariance.1).sqrt();
    let distance: f64 = observations.iter().map(|o| o.truth * o.share_s).sum();
    let indicated: f64 = observations.iter().map(|o| o.indicated * o.share_s).sum();
    let by_distance = indicated / distance;
    let u = f64::hypot(needle_u, reading_u / (observations.len() as f64).sqrt())
        * observations.iter().map(|o| o.share_s).sum::<f64>()
        / distance;
    estimate.ratio_by_distance =
        Some(Measured::symmetric(Ratio::from_plain(by_distance), Ratio::from_plain(u), f64::INFINITY));
    estimate.compared_distance = Length::from_m(distance);
    let growths = growth::priors(study.conditions.construction);
    let offset = Normal { mean: 0.0, u: needle_u };
    let prior = Prior { offset, ..ChannelPrior::of_channel(0.0, &growths).together() };
    if let Some(line) = fit(&observations, prior, false) {
        estimate.diagnosis = diagnose::diagnose(&observations, &line, &observations, 0.0);
    }
    estimate.holds = holds;
    Some(estimate)
}

/// Ratio, offset, and (variance of ratio, of offset, covariance): the few holds carry stated errors, so theirs count, not
/// a scatter that three numbers cannot show.
fn line(observations: &[Observation], needle_u: f64) -> (f64, f64, (f64, f64, f64)) {
    let (mut sxx, mut sx, mut s, mut sxy, mut sy) = (0.0, 0.0, 1.0 / needle_u.powi(2), 0.0, 0.0);
    for o in observations {
        let w = 1.0 / (o.sigma * o.sigma);
        sxx += w * o.truth * o.truth;
        sx += w * o.truth;
        s += w;
        sxy += w * o.truth * o.indicated;
        sy += w * o.indicated;
    }
    let determinant = sxx * s - sx * sx;
    let ratio = (sxy * s - sy * sx) / determinant;
    let offset = (sy * sxx - sxy * sx) / determinant;
    // Scatter beyond the stated errors widens (Birge); agreement never shrinks.
    let chi_square: f64 =
        observations.iter().map(|o| ((o.indicated - offset - ratio * o.truth) / o.sigma).powi(2)).sum();
    let widening = (chi_square / (observations.len() as f64 - 1.0).max(1.0)).max(1.0);
    let scaled = widening / determinant;
    (ratio, offset, (s * scaled, sxx * scaled, -sx * scaled))
}

/// In the units in which the speeds were called out: whoever compares the two has those in mind.
fn listed(stretches: &[Stretch], units: Units) -> String {
    let one = |s: &Stretch| {
        format!("{} for {:.0} s", units.say_speed(Speed::from_m_per_s(s.mean), 1), s.end_s - s.start_s)
    };
    let all: Vec<String> = stretches.iter().map(one).collect();
    if all.is_empty() { "none".into() } else { all.join(", ") }
}

/// Longest steady stretches, none overlapping another.
fn steady(study: &Study) -> Vec<Stretch> {
    let truth = &study.truth;
    let mut found = Vec::new();
    let mut from = 0;
    while from < truth.time_s.len() {
        let to = steady_until(study, from);
        if truth.time_s[to] - truth.time_s[from] >= HOLD_S
            && truth.speed_m_per_s[from] > crate::measure::drive::types::MOVING_M_PER_S
        {
            found.push(stretch(study, from, to));
            from = to + 1;
        } else {
            from += 1;
        }
    }
    found
}

fn steady_until(study: &Study, from: usize) -> usize {
    let truth = &study.truth;
    let (mut low, mut high) = (truth.speed_m_per_s[from], truth.speed_m_per_s[from]);
    let mut to = from;
    while to + 1 < truth.time_s.len() && !truth.breaks[to + 1] {
        low = low.min(truth.speed_m_per_s[to + 1]);
        high = high.max(truth.speed_m_per_s[to + 1]);
        if high - low > 2.0 * STEADY_M_PER_S {
            break;
        }
        to += 1;
    }
    to
}

/// The stretch between two fixes, its first and last moments left out where it is long enough.
pub fn stretch(study: &Study, from: usize, to: usize) -> Stretch {
    let truth = &study.truth;
    // The first and last moments belong to the changes before and after, as far as the band of steadiness lets them in.
    let enough = truth.time_s[to] - truth.time_s[from] >= HOLD_S + 2.0 * ENDS_S;
    let ends_s = if enough { ENDS_S } else { 0.0 };
    let (first_s, last_s) = (truth.time_s[from] + ends_s, truth.time_s[to] - ends_s);
    let from = from + truth.time_s[from..=to].partition_point(|t| *t < first_s);
    let to = to - truth.time_s[from..=to].iter().rev().take_while(|t| **t > last_s).count();
    let speeds = &truth.speed_m_per_s[from..=to];
    let n = speeds.len() as f64;
    let mean = speeds.iter().sum::<f64>() / n;
    let spread = (speeds.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt();
    // When in the hold it was called out is unknown, so the spread stays; the truth's own error goes together in time.
    let own = truth.u_m_per_s[from..=to].iter().sum::<f64>() / n;
    Stretch {
        from,
        to,
        start_s: truth.time_s[from],
        end_s: truth.time_s[to],
        mean,
        u: f64::hypot(0.5 * spread, 0.5 * own),
    }
}

/// One way to match: what it costs, the ratio it supposes, and the stretches chosen.
struct Matching {
    cost: f64,
    ratio: f64,
    chosen: Vec<Stretch>,
}

/// Chooses one stretch for each called-out speed, in order, so that all agree on one ratio; ties go to the longer. With it
/// comes the ratio of another matching that fits about as well, where there is one.
fn match_in_order(stretches: &[Stretch], called: &[Speed]) -> Option<(Vec<Stretch>, Option<f64>)> {
    if called.is_empty() || stretches.len() < called.len() {
        return None;
    }
    let (low, high, count) = RATIOS;
    let matchings: Vec<Matching> = (0..count)
        .map(|k| low + (high - low) * k as f64 / (count - 1) as f64)
        .filter_map(|ratio| {
            let (cost, indices) = best_for(ratio, stretches, called)?;
            let cost = cost + (ratio.ln() / USUALLY_WITHIN).powi(2);
            Some(Matching {
                cost,
                ratio,
                chosen: indices.into_iter().map(|index| stretches[index]).collect(),
            })
        })
        .collect();
    let best = matchings.iter().min_by(|a, b| a.cost.total_cmp(&b.cost))?;
    let another = |m: &&Matching| {
        (m.ratio / best.ratio).ln().abs() > 2.0 * BETWEEN_HOLDS && m.cost < best.cost + AS_WELL_WITHIN
    };
    let rival = matchings.iter().filter(another).min_by(|a, b| a.cost.total_cmp(&b.cost)).map(|m| m.ratio);
    Some((best.chosen.clone(), rival))
}

/// Dynamic programme: cost of the best choice for the first `k` called-out speeds that ends at each stretch.
fn best_for(ratio: f64, stretches: &[Stretch], called: &[Speed]) -> Option<(f64, Vec<usize>)> {
    let cost = |s: &Stretch, c: &Speed| {
        ((c.m_per_s() / s.mean / ratio).ln() / BETWEEN_HOLDS).powi(2)
            - PER_SECOND * (s.end_s - s.start_s).min(60.0)
    };
    let mut rows: Vec<Vec<(f64, usize)>> = Vec::with_capacity(called.len());
    for c in called {
        let mut best_before = if rows.is_empty() { (0.0, usize::MAX) } else { (f64::INFINITY, usize::MAX) };
        let mut row = Vec::with_capacity(stretches.len());
        for (index, s) in stretches.iter().enumerate() {
            row.push((best_before.0 + cost(s, c), best_before.1));
            if let Some(before) = rows.last().filter(|before| before[index].0 < best_before.0) {
                best_before = (before[index].0, index);
            }
        }
        rows.push(row);
    }
    let last = rows.last()?;
    let end = (0..last.len()).min_by(|a, b| last[*a].0.total_cmp(&last[*b].0))?;
    if !last[end].0.is_finite() {
        return None;
    }
    let mut chosen = vec![end];
    for row in rows.iter().skip(1).rev() {
        chosen.push(row[*chosen.last()?].1);
    }
    chosen.reverse();
    Some((last[end].0, chosen))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::{Fix, Track};
    use crate::measure::drive::{Indicated, estimate};
    use metrology::quantity::Instant;

    /// A track of speeds only: each (mph, s) held, 10 s of change between.
    fn track(held: &[(f64, usize)]) -> Track {
        let mut speeds: Vec<f64> = vec![0.0];
        for (mph, seconds) in held {
            let (from, to) = (speeds[speeds.len() - 1], Speed::from_mi_per_h(*mph).m_per_s());
            speeds.extend((1..10).map(|k| from + (to - from) * f64::from(k) / 10.0));
            speeds.extend(std::iter::repeat_n(to, *seconds));
        }
        let fix = |(k, v): (usize, &f64)| Fix {
            time: Some(Instant::from_s(k as f64)),
            speed: Some(Speed::from_m_per_s(*v)),
            ..Fix::default()
        };
        Track { fixes: speeds.iter().enumerate().map(fix).collect(), ..Track::default() }
    }

    fn check(held: &[(f64, usize)], called: &[f64], expected_mph: &[f64]) {
        let called = called.iter().map(|mph| Speed::from_mi_per_h(*mph)).collect();
        let found = estimate("drive", &track(held), &Indicated::Holds(called)).0.unwrap();
        let mph: Vec<f64> = found.holds.iter().map(|h| h.truth.value.mi_per_h()).collect();
        // What the trimmed ends leave of the changes.
        assert_eq!(mph.len(), expected_mph.len());
        assert!(mph.iter().zip(expected_mph).all(|(found, held)| (found - held).abs() < 0.1), "{mph:?}");
    }

    #[test]
    fn stretches_are_matched_in_order() {
        check(&[(29.0, 30), (43.5, 30), (58.0, 30)], &[30.0, 45.0, 60.0], &[29.0, 43.5, 58.0]);
        // A stretch that nobody called out is left out.
        check(&[(29.0, 30), (36.0, 20), (43.5, 30), (58.0, 30)], &[30.0, 45.0, 60.0], &[29.0, 43.5, 58.0]);
        // The same speed twice.
        check(&[(29.0, 30), (58.0, 30), (29.0, 30)], &[30.0, 60.0, 30.0], &[29.0, 58.0, 29.0]);
    }

    /// The weighted line with a prior on the offset, by hand: offset row 0 = a with u of the needle.
    #[test]
    fn three_holds_say_little_of_the_offset() {
        let called = [30.0, 45.0, 60.0].map(Speed::from_mi_per_h).to_vec();
        let track = track(&[(29.0, 30), (43.5, 30), (58.0, 30)]);
        let found = estimate("drive", &track, &Indicated::Holds(called)).0.unwrap();
        let (ratio, offset) = (found.reading_ratio.unwrap(), found.offset.unwrap());
        assert!(ratio.low_95.plain() < 30.0 / 29.0 && 30.0 / 29.0 < ratio.high_95.plain());
        let (needle_u, _) = reading_u(ReadFrom::Passenger);
        assert!(offset.standard_uncertainty.m_per_s() > 0.7 * needle_u, "{offset:?}");
    }
}
