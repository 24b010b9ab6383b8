//! Reported speeds that the positions beside them contradict: in another unit than the reader was told, or always zero. And positions
//! that the speeds contradict: with latitude and longitude swapped.

use crate::measure::drive::checks::units::likely_slip;
use crate::measure::drive::input::fixes::{Clean, count};
use crate::measure::drive::rejection::RejectionCause;
use crate::problem::{Field, Problem, Wording};
use metrology::order;
use metrology::smooth::PathFix;

/// Stretches (s) over which both are compared; long beside the error of a position, short beside a bend.
const STRETCH_S: f64 = 10.0;
/// A stretch counts where one of the two says so much (m): several times the error of a position.
const FAR_M: f64 = 50.0;
/// Fewest stretches that can contradict.
const LEAST: usize = 5;
/// Median of the length by speeds over the chord between positions that can still be a road: bends make it larger than 1,
/// hardly anything makes it smaller. Judgement, wide enough for a mountain road and positions 20 m off the path.
const CREDIBLE: std::ops::Range<f64> = 0.9..1.5;
/// No road is so winding that its straightest stretches are longer than this (judgement): knots and miles an hour are 1.15 apart.
const STRAIGHTEST: f64 = 1.08;
/// Share of the stretches that are the straightest.
const STRAIGHT_SHARE: f64 = 0.1;
/// A unit is the same in all stretches: where the tenth with the least lies below this share of the median, zeros, repetitions or outliers
/// are the cause, and no unit is blamed. (At 0.4 two fifths of zeros that were not told pass for a unit, at 0.8 a mountain road does not.)
const ALIKE: f64 = 0.6;

/// Positions that go farther one way than the other by more than this, for the same speeds, are no places on this globe
/// (judgement; swapped coordinates of 20 degrees are off by 6 % one way, of 45 by 40 %).
const ONE_WAY: f64 = 0.12;

/// Leaves out the reported speeds where the positions contradict them, and says so: then the positions remain. Positions that the
/// speeds contradict in one direction only are left out themselves.
pub fn leave_out_inconsistent(source: &str, clean: &mut Clean) -> Option<Problem> {
    let stretches = by_speeds_over_chord(&clean.fixes);
    let quantile_of = |share| quantile(stretches.iter().map(|stretch| stretch.ratio).collect(), share);
    let (straight, ratio) = (quantile_of(STRAIGHT_SHARE)?, quantile_of(0.5)?);
    if straight < ALIKE * ratio {
        return (!CREDIBLE.contains(&ratio)).then(|| differ(source, straight, ratio));
    }
    if let Some(stretched_one_way) = stretched_one_way(&stretches) {
        let before = clean.fixes.len();
        clean.drop_positions();
        count(&mut clean.rejected, RejectionCause::NoCrediblePosition, before - clean.fixes.len());
        let found = format!("{:.0} % more to the north than to the east", 100.0 * stretched_one_way);
        let expected = "positions that go as far as the speeds beside them say, whatever the direction";
        let hint = exchange_them("the speeds alone are used; this looks like latitude and longitude swapped");
        return Some(Problem::warning(source, expected, found).hint(hint));
    }
    if CREDIBLE.contains(&ratio) && straight < STRAIGHTEST {
        return None;
    }
    let before = clean.fixes.len();
    clean.drop_speeds();
    count(&mut clean.rejected, RejectionCause::NoCredibleSpeed, before - clean.fixes.len());
    let guess = likely_slip(ratio)
        .map_or(String::new(), |(is, taken)| format!(", which looks like {is} taken for {taken}"));
    let found = format!("speeds that are {ratio:.2} times as much (median of stretches of 10 s){guess}");
    let problem =
        Problem::warning(source, "reported speeds that agree with the positions beside them", found);
    Some(problem.hint("the positions alone are used; correct the unit of the speeds to use them too"))
}

/// What to do about swapped coordinates: only a table has columns that can be named.
pub fn exchange_them(what: &str) -> Wording {
    Wording::from(format!("{what}: exchange the two in what recorded the track and export it again, or for a table name the columns "))
        .field(Field::TrackColumns.such_as("lat=..., lon=..."))
}

/// What is said where speeds and positions differ, and not alike everywhere: both are left to the smoother.
fn differ(source: &str, straight: f64, ratio: f64) -> Problem {
    let found = format!("speeds that are {straight:.2} to {ratio:.2} times as much, stretch by stretch");
    Problem::warning(source, "reported speeds that agree with the positions beside them", found)
        .hint("some of either are wrong; that is no unit; check what the logger writes while it has no fix")
}

/// A stretch: length by speeds over the chord between positions, and whether that goes rather north or south than east or west.
struct Stretch {
    ratio: f64,
    northward: bool,
}

/// By how much positions go too far to the north and south, beside east and west: only where that is far more than bends and
/// chance make of it.
fn stretched_one_way(stretches: &[Stretch]) -> Option<f64> {
    let way = |northward: bool| {
        let own =
            stretches.iter().filter(|stretch| stretch.northward == northward).map(|stretch| stretch.ratio);
        own.collect::<Vec<f64>>()
    };
    let (north, east) = (quantile(way(true), 0.5)?, quantile(way(false), 0.5)?);
    // Bends make chords shorter, never longer: a ratio well below 1 is no bend.
    let short = north.min(east) < 1.0 - 0.5 * ONE_WAY;
    let stretched_one_way = east / north - 1.0;
    (short && stretched_one_way.abs() > ONE_WAY).then_some(stretched_one_way)
}

/// What so large a share of them is below, where there are enough of them.
fn quantile(mut ratios: Vec<f64>, share: f64) -> Option<f64> {
    (ratios.len() >= LEAST).then(|| order::quantile(&mut ratios, share))
}

fn by_speeds_over_chord(fixes: &[PathFix]) -> Vec<Stretch> {
    let (mut stretches, mut begin) = (Vec::new(), None::<([f64; 2], f64)>);
    let (mut length_m, mut last) = (0.0, None::<(f64, f64)>);
    for fix in fixes {
        let Some(speed) = fix.speed_m_per_s else { continue };
        let before = last.filter(|_| !fix.starts);
        length_m += before.map_or(0.0, |(time_s, before)| 0.5 * (before + speed) * (fix.time_s - time_s));
        last = Some((fix.time_s, speed));
        let Some(position) = fix.position_m else { continue };
        match begin.filter(|_| before.is_some()) {
            Some((_, since_s)) if fix.time_s - since_s < STRETCH_S => continue,
            Some((from, _)) => {
                let [east_m, north_m] = [position[0] - from[0], position[1] - from[1]];
                let chord_m = east_m.hypot(north_m);
                if length_m.max(chord_m) > FAR_M {
                    stretches
                        .push(Stretch { ratio: length_m / chord_m, northward: north_m.abs() > east_m.abs() });
                }
            }
            None => (),
        }
        (begin, length_m) = (Some((position, fix.time_s)), 0.0);
    }
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A minute at 20 m/s along a circle of 300 m, with speeds as this makes them.
    fn check(reported: impl Fn(usize) -> Option<f64>, expected: Option<&str>) {
        let fix = |k: usize| {
            let angle = 20.0 * k as f64 / 300.0;
            let position_m = Some([300.0 * angle.cos(), 300.0 * angle.sin()]);
            PathFix {
                time_s: k as f64,
                position_m,
                speed_m_per_s: reported(k),
                starts: k == 0,
                ..PathFix::default()
            }
        };
        let mut clean = Clean { fixes: (0..70).map(fix).collect(), ..Clean::default() };
        let said = leave_out_inconsistent("track", &mut clean).map(|problem| problem.to_string());
        assert_eq!(said.is_some(), expected.is_some(), "{said:?}");
        assert!(said.iter().zip(expected).all(|(said, part)| said.contains(part)), "{said:?}");
        let left = clean.fixes.iter().any(|fix| fix.speed_m_per_s.is_some());
        assert_eq!((clean.fixes.len(), left), (70, expected.is_none() && reported(1).is_some()));
    }

    #[test]
    fn speeds_against_positions() {
        check(|_| Some(20.0), None);
        check(|_| None, None);
        // A tenth of the speeds lost is for the smoother, which sets them aside one by one.
        check(|k| Some(if k % 10 == 0 { 0.0 } else { 20.0 }), None);
        check(|_| Some(72.0), Some("looks like km/h taken for m/s"));
        check(|_| Some(20.0 / 0.44704), Some("looks like mph taken for m/s"));
        // 1852 / 1609.344 = 1.1508.
        check(|_| Some(20.0 * 1.1508), Some("looks like mph taken for knots"));
        check(|_| Some(20.0 / 1.1508), Some("looks like knots taken for mph"));
        check(|_| Some(0.0), Some("0.00 times"));
    }

    /// Zeros that nobody told, or half of the drive in another unit: no unit is blamed, and nothing is left out.
    #[test]
    fn what_differs_from_stretch_to_stretch_is_no_unit() {
        let fix = |k: usize| PathFix {
            time_s: k as f64,
            position_m: Some([20.0 * k as f64, 0.0]),
            speed_m_per_s: Some(if (k / 30).is_multiple_of(2) { 0.0 } else { 20.0 }),
            starts: k == 0,
            ..PathFix::default()
        };
        let mut clean = Clean { fixes: (0..300).map(fix).collect(), ..Clean::default() };
        let said = leave_out_inconsistent("track", &mut clean).map_or(String::new(), |said| said.to_string());
        assert!(said.contains("that is no unit") && !said.contains("taken for"), "{said}");
        assert!(clean.fixes.iter().all(|fix| fix.position_m.is_some() && fix.speed_m_per_s.is_some()));
    }

    /// A circle on which a degree of longitude was taken for one of latitude at 45 degrees: 1.41 times too far one way.
    #[test]
    fn positions_askew() {
        let fix = |k: usize| {
            let angle = 20.0 * k as f64 / 900.0;
            let position_m = Some([900.0 * angle.cos(), 1.41 * 900.0 * angle.sin()]);
            PathFix {
                time_s: k as f64,
                position_m,
                speed_m_per_s: Some(20.0),
                starts: k == 0,
                ..PathFix::default()
            }
        };
        let mut clean = Clean { fixes: (0..300).map(fix).collect(), ..Clean::default() };
        let said = leave_out_inconsistent("track", &mut clean).unwrap().to_string();
        assert!(said.contains("latitude and longitude swapped"), "{said}");
        assert!(clean.fixes.iter().all(|fix| fix.position_m.is_none() && fix.speed_m_per_s.is_some()));
    }

    #[test]
    fn too_little_belies_nothing() {
        let fix = |k: usize| PathFix {
            time_s: k as f64,
            position_m: Some([20.0 * k as f64, 0.0]),
            speed_m_per_s: Some(0.0),
            starts: k == 0,
            ..PathFix::default()
        };
        let mut clean = Clean { fixes: (0..40).map(fix).collect(), ..Clean::default() };
        assert_eq!(leave_out_inconsistent("track", &mut clean), None);
    }
}
