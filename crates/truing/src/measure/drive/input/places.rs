//! Places that were never passed: zero north and zero east, the last known place of an earlier drive, a second and coarser source.

use super::rows::Row;
use super::stream::{Stream, apart};
use metrology::geodesy::Position;
use metrology::order::quantile;

/// Mean radius of the earth (m) (IUGG, R1).
const EARTH_M: f64 = 6_371_008.8;
/// A coordinate nearer to zero than this (rad) was not known: 6 m, and no road leads along the equator and the first meridian at once.
const ZERO_RAD: f64 = 1e-6;
/// The first places, no more than so many, are an earlier drive's where the way from them is so many times as fast as the fastest of the
/// next ways, and no less than so far (m).
const STALE_AT_MOST: usize = 3;
const STALE_TIMES: f64 = 3.0;
const STALE_NEXT: usize = 10;
const STALE_M: f64 = 100.0;
const STALE_M_PER_S: f64 = 5.0;
/// Of two sources each has at least this share of the places.
const SOURCE_SHARE: f64 = 0.04;
/// The second is coarser where its places lie so far off the way of the first (m), and so many times as far as those do themselves.
const COARSE_M: f64 = 8.0;
const COARSE_TIMES: f64 = 4.0;

/// Whether a place is that of a receiver that knows none.
pub fn is_zero(place: Position) -> bool {
    place.latitude.rad().abs() < ZERO_RAD && place.longitude.rad().abs() < ZERO_RAD
}

/// A flat map about the first place (m), good enough to tell places that are far off; nothing is measured on it.
pub struct FlatMap {
    origin: [f64; 2],
    parallel_m: f64,
}

impl FlatMap {
    pub fn about(place: Position) -> FlatMap {
        let origin = [place.latitude.rad(), place.longitude.rad()];
        FlatMap { origin, parallel_m: EARTH_M * origin[0].cos().abs() }
    }

    pub fn place_m(&self, place: Position) -> [f64; 2] {
        let turn = std::f64::consts::TAU;
        let east = place.longitude.rad() - self.origin[1];
        let east = east - turn * (east / turn).round();
        [self.parallel_m * east, EARTH_M * (place.latitude.rad() - self.origin[0])]
    }
}

/// Leaves out the first places where they are those of an earlier drive; how many.
pub fn drop_stale(places: &mut Stream<2>) -> usize {
    let leg = |from: usize| {
        let far_m = apart(places.value[from], places.value[from + 1]);
        (far_m, far_m / (places.time_s[from + 1] - places.time_s[from]).max(f64::MIN_POSITIVE))
    };
    let stale = |first: &usize| {
        let (far_m, fast) = leg(*first);
        let next = (first + 1..places.len() - 1).take(STALE_NEXT).map(|from| leg(from).1);
        let fastest = next.fold(STALE_M_PER_S, f64::max);
        far_m > STALE_M && fast > STALE_TIMES * fastest
    };
    let looked_at = STALE_AT_MOST.min(places.len().saturating_sub(3));
    let Some(last) = (0..looked_at).rev().find(stale) else { return 0 };
    let keep: Vec<bool> = (0..places.len()).map(|index| index > last).collect();
    places.retain(&keep)
}

/// Two sources of places in one log, of which the coarser was left out.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct TwoSources {
    /// Places of the coarser.
    pub dropped: usize,
    /// How far they lie off the way of the better (m, median).
    pub off_m: f64,
}

/// Leaves out the places of a coarser or later source among those of a better one. Sources say different things beside their places:
/// what says more is the better one. One that says a speed of zero with each place is told from a stop by how far off it is.
pub fn drop_coarser(places: &mut Stream<2>, rows: &[Row]) -> Option<TwoSources> {
    let least = SOURCE_SHARE * places.len() as f64;
    let mut counts = [0_usize; 256];
    places.row.iter().for_each(|row| counts[usize::from(rows[*row].said)] += 1);
    let sources = (0..=u8::MAX).filter(|said| counts[usize::from(*said)] as f64 > least);
    let better = sources.max_by_key(|said| (said.count_ones(), counts[usize::from(*said)]))?;
    let by_said: Vec<bool> = places.row.iter().map(|row| rows[*row].said == better).collect();
    let moves: Vec<bool> = places.row.iter().map(|row| rows[*row].speed_m_per_s != Some(0.0)).collect();
    let far = far_off(places, &by_said, least, true).or_else(|| far_off(places, &moves, least, false))?;
    let off_m = quantile(&mut far.iter().map(|(_, off_m)| *off_m).collect::<Vec<f64>>(), 0.5);
    let mut keep = vec![true; places.len()];
    far.iter().for_each(|(index, _)| keep[*index] = false);
    Some(TwoSources { dropped: places.retain(&keep), off_m })
}

/// The places that are not kept, with how far they lie off the way of those that are (m); nothing where they are few or not far. `all` of
/// them, where they are as a rule, or only those far off.
fn far_off(places: &Stream<2>, keep: &[bool], least: f64, all: bool) -> Option<Vec<(usize, f64)>> {
    let (own_m, mut others) = off_way(places, keep)?;
    let is_far = |other: &(usize, f64)| other.1 > COARSE_M && other.1 > COARSE_TIMES * own_m;
    let far = others.iter().filter(|other| is_far(other)).count();
    if !all {
        others.retain(is_far);
    }
    (far as f64 > least && 2 * far > others.len()).then_some(others)
}

/// How far places lie off the way of the kept ones beside them (m): the kept themselves (median), and the others that do not repeat the
/// one before.
fn off_way(places: &Stream<2>, keep: &[bool]) -> Option<(f64, Vec<(usize, f64)>)> {
    let kept: Vec<usize> = (0..places.len()).filter(|index| keep[*index]).collect();
    let off_m = |index: usize, before: usize, after: usize| {
        let [from_s, at_s, to_s] = [before, index, after].map(|k| places.time_s[k]);
        let share = (at_s - from_s) / (to_s - from_s).max(f64::MIN_POSITIVE);
        let on_way = std::array::from_fn(|axis| {
            let (from, to) = (places.value[before][axis], places.value[after][axis]);
            from + share * (to - from)
        });
        apart(places.value[index], on_way)
    };
    let mut own: Vec<f64> = kept.windows(3).map(|three| off_m(three[1], three[0], three[2])).collect();
    let repeats = |index: &usize| places.value[*index] == places.value[index - 1];
    let between = |pair: &[usize]| (pair[0] + 1..pair[1], pair[0], pair[1]);
    let others = kept.windows(2).map(between).flat_map(|(inside, before, after)| {
        inside.filter(|index| !repeats(index)).map(move |index| (index, off_m(index, before, after)))
    });
    (own.len() > 2).then(|| (quantile(&mut own, 0.5), others.collect()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places(of: impl Iterator<Item = (f64, [f64; 2])>) -> Stream<2> {
        Stream::new(of.map(|(time_s, place)| (time_s, Some(place))))
    }

    fn check_stale(first: &[(f64, f64)], dropped: usize) {
        let along = (0..60).map(|k| (f64::from(k), [12.0 * f64::from(k), 0.0]));
        let first = first.iter().map(|(time_s, away_m)| (*time_s, [0.0, *away_m]));
        let mut places = places(first.chain(along));
        assert_eq!(drop_stale(&mut places), dropped);
    }

    #[test]
    fn places_of_an_earlier_drive() {
        check_stale(&[], 0);
        check_stale(&[(-1.0, 3000.0)], 1);
        check_stale(&[(-90.0, 9000.0)], 1);
        check_stale(&[(-3.0, 3000.0), (-2.0, 3001.0), (-1.0, 3002.0)], 3);
        check_stale(&[(-1.0, 12.0)], 0);
    }

    /// A bend at 15 m/s each second, and each five seconds a place `late_s` old and `off_m` off; sources say different things.
    fn check_sources(late_s: f64, off_m: f64, says_zero: bool, coarser: bool) {
        let way = |t: f64| [900.0 * (t / 60.0).cos(), 900.0 * (t / 60.0).sin()];
        let mut rows: Vec<(f64, [f64; 2], u8)> =
            (0..300).map(|k| (f64::from(k), way(f64::from(k)), 3)).collect();
        rows.extend((0..58).map(|k| {
            let at = 5.0 * f64::from(k) + 2.4;
            let [east, north] = way(at - late_s);
            (at, [east + off_m, north], 1)
        }));
        rows.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut places = places(rows.iter().map(|row| (row.0, row.1)));
        let row = |row: &(f64, [f64; 2], u8)| Row {
            time_s: row.0,
            place: None,
            speed_m_per_s: (row.2 == 3).then_some(15.0).or(says_zero.then_some(0.0)),
            height_m: None,
            said: if says_zero { 0 } else { row.2 },
            starts: false,
        };
        let found = drop_coarser(&mut places, &rows.iter().map(row).collect::<Vec<Row>>());
        assert_eq!(found.is_some(), coarser, "{late_s} {off_m} {found:?}");
        assert_eq!(places.len(), if coarser { 300 } else { 358 });
    }

    #[test]
    fn two_sources() {
        for says_zero in [false, true] {
            check_sources(0.0, 0.0, says_zero, false);
            check_sources(0.0, 3.0, says_zero, false);
            check_sources(0.0, 30.0, says_zero, true);
            check_sources(4.0, 0.0, says_zero, true);
        }
    }
}
