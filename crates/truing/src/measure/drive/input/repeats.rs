//! Which rows repeat what an earlier one measured.

use super::interpolated::lines;
use super::refresh::refresh;
use super::stream::{Run, Stream, apart};

/// A value that stands is measured again once this share of the time has passed for which nearly all stand, and a row: sooner it may be the
/// old one still.
const AGAIN: f64 = 1.1;
/// While it stands a place may have been carried so far (m, m/s) before it counts as repeated: a receiver at rest errs by that.
const CARRIED_M: f64 = 3.0;
const CARRIED_M_PER_S: f64 = 1.0;
/// A place that stood and then leapt, this far (m) and this fast (m/s) over the time it stood, was under way, even if the speed says it was
/// not; a little less where no speed is known. Receivers that hold the place of a parked vehicle let go of it within 10 m (judgement).
const LEAPT_M: f64 = 20.0;
const LEAPT_M_PER_S: f64 = 3.0;
const LEAPT_UNSEEN_M_PER_S: f64 = 1.5;
/// A speed that stands as long as its place, and longer than this (s), is the last one a receiver without reception had.
const LOST_S: f64 = 4.0;
/// A change of more steps than this is no rounding.
const STEPS: f64 = 1.5;

/// How a stream is refreshed.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Refreshed {
    /// The refresh interval (s).
    pub every_s: f64,
    /// The time between rows (s).
    pub row_s: f64,
    /// The rows between lie on straight lines.
    pub on_lines: bool,
    /// Rows left out.
    pub repeated: usize,
}

/// Leaves the measurements of a stream: the first row that shows a value, and others while it stands. Holds shorter than `least_s` stay.
pub fn leave_measurements<const N: usize>(stream: &mut Stream<N>, least_s: f64) -> Option<Refreshed> {
    let row_s = stream.interval_s();
    let (keep, every_s, on_lines) = if let Some(stand) = refresh(stream).filter(|s| s.every_s >= least_s) {
        let mut new = vec![false; stream.len()];
        stream.runs().iter().for_each(|run| new[run.from] = true);
        (spaced(stream, &new, AGAIN * stand.longest_s + 0.5 * row_s), stand.every_s, false)
    } else {
        let lines = lines(stream)?;
        let mut knot = vec![false; stream.len()];
        lines.knots.iter().for_each(|index| knot[*index] = true);
        // Nothing bends at the last row, but a line can only end where something was measured.
        knot.last_mut().into_iter().for_each(|last| *last = true);
        (spaced(stream, &knot, AGAIN * lines.every_s + 0.5 * row_s), lines.every_s, true)
    };
    let repeated = stream.retain(&keep);
    Some(Refreshed { every_s, row_s, on_lines, repeated })
}

/// Those that are new, and those so long after the last kept.
fn spaced<const N: usize>(stream: &Stream<N>, new: &[bool], again_s: f64) -> Vec<bool> {
    let mut last_s = f64::NEG_INFINITY;
    let kept = stream.time_s.iter().zip(new).map(|(time_s, new)| {
        let kept = *new || time_s - last_s >= again_s;
        if kept {
            last_s = *time_s;
        }
        kept
    });
    kept.collect()
}

/// Leaves out places that stand while the vehicle moves, as its speeds say or the leap afterwards, and the speeds that a receiver without
/// reception repeats with its last place; how many of each.
pub fn drop_standing(places: &mut Stream<2>, speeds: &mut Stream<1>) -> [usize; 2] {
    let runs = places.runs();
    let step = places.step(&runs);
    let step_m = step[0].hypot(step[1]);
    let way = Way::new(speeds);
    let mut keep = vec![true; places.len()];
    let (mut near, mut lost_s) = (0, Vec::new());
    for (index, run) in runs.iter().enumerate().filter(|(_, run)| run.rows() > 1) {
        let next = runs.get(index + 1);
        let until_s = next.map_or(places.time_s[run.to - 1], |next| places.time_s[next.from]);
        let stood_s = until_s - places.time_s[run.from];
        let carried_m = way.length_m(speeds, (places.time_s[run.from], until_s), &mut near);
        let leapt = next.is_some_and(|next| leapt(places, *run, *next, step, carried_m.is_some()));
        let carried =
            carried_m.is_some_and(|m| m > (CARRIED_M_PER_S * stood_s).max(CARRIED_M).max(STEPS * step_m));
        if leapt || carried {
            keep[run.from + 1..run.to].fill(false);
            lost_s.push((places.time_s[run.from], places.time_s[run.to - 1]));
        }
    }
    [places.retain(&keep), drop_repeated_in(speeds, &lost_s)]
}

/// Leaves out speeds that stand just as long as a place did, from and to these times: one that stands on both sides as well is a steady one.
fn drop_repeated_in(speeds: &mut Stream<1>, lost_s: &[(f64, f64)]) -> usize {
    let mut keep = vec![true; speeds.len()];
    let about_s = 2.0 * speeds.interval_s();
    let mut next = lost_s.iter().peekable();
    for run in speeds.runs() {
        let (from_s, to_s) = (speeds.time_s[run.from], speeds.time_s[run.to - 1]);
        while next.next_if(|lost| lost.1 < from_s).is_some() {}
        let alike = next.peek().is_some_and(|lost| {
            (from_s - lost.0).abs() <= about_s && (to_s - lost.1).abs() <= about_s && to_s - from_s > LOST_S
        });
        if alike && speeds.value[run.from][0] > 0.0 {
            keep[run.from + 1..run.to].fill(false);
        }
    }
    speeds.retain(&keep)
}

fn leapt(places: &Stream<2>, run: Run, next: Run, step: [f64; 2], seen: bool) -> bool {
    let change = places.change(next.from);
    let far_m = apart(places.value[run.from], places.value[next.from]);
    let stood_s = places.time_s[next.from] - places.time_s[run.from];
    let rounding = (0..2).all(|axis| change[axis].abs() <= STEPS * step[axis]);
    let (least_m, least_m_per_s) =
        if seen { (LEAPT_M, LEAPT_M_PER_S) } else { (CARRIED_M, LEAPT_UNSEEN_M_PER_S) };
    !rounding && far_m > least_m && far_m > least_m_per_s * stood_s
}

/// The length that speeds add up to.
struct Way {
    sums_m: Vec<f64>,
}

/// Speeds farther apart than this (s) say nothing of what is between.
const SEEN_S: f64 = 10.0;

impl Way {
    fn new(speeds: &Stream<1>) -> Way {
        let mut sum_m = 0.0;
        let step = |index: usize| {
            if index > 0 {
                let span_s = speeds.time_s[index] - speeds.time_s[index - 1];
                let ends = speeds.value[index - 1][0] + speeds.value[index][0];
                sum_m += if span_s <= SEEN_S { 0.5 * span_s * ends } else { 0.0 };
            }
            sum_m
        };
        Way { sums_m: (0..speeds.len()).map(step).collect() }
    }

    /// The length between two times (m), nothing where hardly any speeds are known there. `near` is where the times before were found.
    fn length_m(&self, speeds: &Stream<1>, (from_s, to_s): (f64, f64), near: &mut usize) -> Option<f64> {
        while speeds.time_s.get(*near).is_some_and(|time_s| *time_s < from_s) {
            *near += 1;
        }
        let upper = *near + speeds.time_s[*near..].partition_point(|time_s| *time_s < to_s);
        let (lower, upper) = (near.saturating_sub(1), upper.min(speeds.len().checked_sub(1)?));
        let span_s = speeds.time_s[upper] - speeds.time_s[lower];
        let known = upper > lower && span_s < SEEN_S + 2.0 * (to_s - from_s);
        known.then(|| (self.sums_m[upper] - self.sums_m[lower]) * ((to_s - from_s) / span_s).min(1.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten minutes along a bend in rows of a second, the place new every `hold_s`; `speed` over time is both true and reported, if it is.
    /// Which share of the places is left.
    fn check(speed: impl Fn(f64) -> f64, hold_s: f64, reported: bool, left: std::ops::Range<f64>) {
        let mut along_m = vec![0.0];
        (0..600).for_each(|k| along_m.push(along_m[k] + speed(k as f64)));
        let place = |k: usize| {
            let m = along_m[(k as f64 / hold_s) as usize * hold_s as usize];
            [800.0 * (m / 800.0).cos(), 800.0 * (m / 800.0).sin()]
        };
        let mut places = Stream::new((0..600).map(|k| (k as f64, Some(place(k)))));
        let mut speeds = Stream::new((0..600).map(|k| (k as f64, reported.then(|| [speed(k as f64)]))));
        let refreshed = leave_measurements(&mut places, 0.0);
        drop_standing(&mut places, &mut speeds);
        let share = places.len() as f64 / 600.0;
        assert!(left.contains(&share), "{hold_s} {reported}: {share}, {refreshed:?}");
        let every_s = refreshed.map_or(1.0, |refreshed| refreshed.every_s);
        assert!((every_s - hold_s).abs() < 0.5, "{hold_s}: {every_s}");
    }

    #[test]
    fn places_that_stand() {
        // Half a minute under way, half a minute parked, where a receiver holds the place.
        let stops = |t: f64| (14.0 * (3.0 * (t / 14.0).sin() + (t / 5.3).sin()).clamp(0.0, 1.0)).max(0.0);
        for reported in [false, true] {
            check(|_| 15.0, 1.0, reported, 0.99..1.01);
            check(|_| 15.0, 5.0, reported, 0.19..0.21);
            check(|_| 15.0, 10.0, reported, 0.09..0.11);
            check(stops, 1.0, reported, 0.94..1.01);
            check(stops, 5.0, reported, 0.12..0.24);
        }
    }

    /// A receiver that loses its place for half a minute, and one that has no rule.
    #[test]
    fn places_without_a_rule() {
        let lost = |k: usize| if (200..230).contains(&k) { 200 } else { k };
        let jump = |k: usize| [0, 1, 2, 2, 2, 5, 6, 6, 8, 8][k % 10] + k / 10 * 10;
        let left = |held: &dyn Fn(usize) -> usize, reported: bool| {
            let mut places = Stream::new((0..400).map(|k| (k as f64, Some([15.0 * held(k) as f64, 3.0]))));
            let mut speeds = Stream::new((0..400).map(|k| (k as f64, reported.then_some([15.0]))));
            leave_measurements(&mut places, 0.0);
            drop_standing(&mut places, &mut speeds);
            assert_eq!(speeds.len(), if reported { 400 } else { 0 });
            places.len()
        };
        for reported in [false, true] {
            assert_eq!(left(&lost, reported), 371);
            assert_eq!(left(&jump, reported), 240);
        }
    }

    /// A receiver that repeats place and speed for half a minute.
    #[test]
    fn speeds_repeated_with_their_place() {
        let last = |k: usize| if (200..230).contains(&k) { 200 } else { k };
        let along = |k: usize| 15.0 * k as f64 + 30.0 * (k as f64 / 10.0).sin();
        let speed = |k: usize| 15.0 + 3.0 * (k as f64 / 10.0).cos();
        let mut places = Stream::new((0..400).map(|k| (k as f64, Some([along(last(k)), 3.0]))));
        let mut speeds = Stream::new((0..400).map(|k| (k as f64, Some([speed(last(k))]))));
        assert_eq!(drop_standing(&mut places, &mut speeds), [29, 29]);
    }

    /// Whole km/h that stand because nothing changes are measured again each time.
    #[test]
    fn a_constant_speed_is_measured_again() {
        let wave = |t: f64| (3.6 * (18.0 + 8.0 * (t / 8.0).sin())).round() / 3.6;
        let speed = |t: f64| if t < 300.0 { wave((t / 5.0).floor() * 5.0) } else { 20.0 };
        let mut speeds = Stream::new((0..600).map(|k| (k as f64, Some([speed(k as f64)]))));
        let refreshed = leave_measurements(&mut speeds, 0.0).unwrap();
        assert!(
            (refreshed.every_s - 5.0).abs() < 0.1 && (100..=122).contains(&speeds.len()),
            "{refreshed:?}"
        );
    }
}
