//! What a robust script of sixty lines makes of the same two files: the least that an estimate has to better. The same in
//! Python is `compare/robust.py`.

use super::motion::radii_m;
use truing::logs::Track;
use truing::measure::drive::Indicated;

/// Answer of the script.
#[derive(Copy, Clone, Debug, Default)]
pub struct Answer {
    pub ratio: Option<f64>,
    pub length_m: f64,
    pub lag_s: Option<f64>,
}

/// Nothing is known over gaps of this length (s).
const GAP_S: f64 = 10.0;
/// Places are compared over at least so long (s), and not beyond.
const APART_S: (f64, f64) = (5.0, 30.0);
/// Length of the moving windows and their step (s), and the least speed in them (m/s).
const WINDOW: (usize, usize) = (45, 15);
const LEAST_M_PER_S: f64 = 5.0;
/// Lags tried (s), and windows needed.
const LAGS_S: i64 = 60;
const WINDOWS_NEEDED: usize = 3;

/// Time (s), latitude and longitude (degrees) and speed (m/s) of a row.
type Row = (f64, Option<(f64, f64)>, Option<f64>);

/// The track's own speeds where it has any, else those between places.
fn speeds(track: &Track) -> Vec<(f64, f64)> {
    let mut rows: Vec<Row> = Vec::new();
    for fix in track.fixes.iter() {
        let place = fix.latitude.zip(fix.longitude).map(|(north, east)| (north.deg(), east.deg()));
        let (Some(time), speed) = (fix.time, fix.speed.map(|speed| speed.m_per_s())) else { continue };
        let last = rows.last();
        if last.is_none_or(|last| time.s() > last.0 && (place != last.1 || speed != last.2)) {
            rows.push((time.s(), place, speed));
        }
    }
    if 2 * rows.iter().filter(|row| row.2.is_some()).count() > rows.len() {
        return rows.iter().filter_map(|row| Some((row.0, row.2?))).collect();
    }
    let mut speeds = Vec::new();
    let mut next = 0;
    for (time, place, _) in &rows {
        while next + 1 < rows.len() && rows[next].0 < time + APART_S.0 {
            next += 1;
        }
        let span_s = rows[next].0 - time;
        if let (Some(here), Some(there), true) =
            (place, rows[next].1, span_s >= APART_S.0 && span_s < APART_S.1)
        {
            let (meridian_m, across_m) = radii_m(here.0);
            let north_m = (there.0 - here.0).to_radians() * meridian_m;
            let east_m = (there.1 - here.1).to_radians() * across_m * here.0.to_radians().cos();
            speeds.push((time + 0.5 * span_s, north_m.hypot(east_m) / span_s));
        }
    }
    speeds
}

/// Every second from `start_s`; no number in gaps.
fn every_second(samples: &[(f64, f64)], start_s: f64, count: usize) -> Vec<f64> {
    let mut next = 0;
    let at = |second: usize| {
        let time = start_s + second as f64;
        while next + 1 < samples.len() && samples[next].0 < time {
            next += 1;
        }
        let (one, other) = (samples[next.saturating_sub(1)], samples[next]);
        let inside = one.0 <= time && time <= other.0 && other.0 - one.0 < GAP_S && other.0 > one.0;
        let share = (time - one.0) / (other.0 - one.0);
        if inside { one.1 + share * (other.1 - one.1) } else { f64::NAN }
    };
    (0..count).map(at).collect()
}

/// Pairs of the same second, the second series `lag` seconds later.
fn pairs(one: &[f64], other: &[f64], lag: i64) -> Vec<(f64, f64)> {
    let there = |k: usize| usize::try_from(k as i64 + lag).ok().and_then(|at| other.get(at)).copied();
    (0..one.len()).map(|k| (one[k], there(k).unwrap_or(f64::NAN))).collect()
}

fn correlation(pairs: &[(f64, f64)]) -> f64 {
    let whole: Vec<_> = pairs.iter().filter(|(x, y)| (x + y).is_finite()).collect();
    if whole.len() < 60 {
        return f64::NEG_INFINITY;
    }
    let n = whole.len() as f64;
    let (sx, sy) = whole.iter().fold((0.0, 0.0), |s, (x, y)| (s.0 + x, s.1 + y));
    let (mx, my) = (sx / n, sy / n);
    let (xx, yy, xy) = whole.iter().fold((0.0, 0.0, 0.0), |s, (x, y)| {
        (s.0 + (x - mx).powi(2), s.1 + (y - my).powi(2), s.2 + (x - mx) * (y - my))
    });
    xy / (xx * yy).sqrt().max(1e-12)
}

/// What the script says.
pub fn robust(track: &Track, indicated: &Indicated) -> Answer {
    let truth = speeds(track);
    let Some((&(first_s, _), &(last_s, _))) = truth.first().zip(truth.last()) else {
        return Answer::default();
    };
    let steps = truth.windows(2).map(|pair| (pair[1].0 - pair[0].0, 0.5 * (pair[0].1 + pair[1].1)));
    let length_m = steps.filter(|(span_s, _)| *span_s < GAP_S).map(|(span_s, speed)| span_s * speed).sum();
    let answer = Answer { length_m, ..Answer::default() };
    let log = match indicated {
        Indicated::Odometer(readings) => {
            let ratio = (readings.end.value.m() - readings.start.value.m()) / length_m;
            return Answer { ratio: Some(ratio).filter(|ratio| ratio.is_finite()), ..answer };
        }
        Indicated::Log(log) if log.samples.len() > 1 => log,
        _ => return answer,
    };
    let samples: Vec<(f64, f64)> =
        log.samples.iter().map(|sample| (sample.time.s(), sample.speed.m_per_s())).collect();
    // Another clock: begin together.
    let start_s = if (samples[0].0 - first_s).abs() > 86_400.0 { samples[0].0 } else { first_s };
    let count = (last_s - first_s) as usize + 1;
    let truth = every_second(&truth, first_s, count);
    let shown = every_second(&samples, start_s - LAGS_S as f64, count + 2 * LAGS_S as usize);
    let lags = (0..=2 * LAGS_S).map(|lag| (lag, correlation(&pairs(&truth, &shown, lag))));
    let Some((lag, _)) = lags.max_by(|one, other| one.1.total_cmp(&other.1)) else { return answer };
    let pairs = pairs(&truth, &shown, lag);
    let window = |window: &[(f64, f64)]| {
        let whole = window.iter().filter(|(x, y)| (x + y).is_finite());
        let (n, x, y) = whole.fold((0, 0.0, 0.0), |s, (x, y)| (s.0 + 1, s.1 + x, s.2 + y));
        (10 * n >= 8 * WINDOW.0 && x > LEAST_M_PER_S * f64::from(n as u32)).then_some(y / x)
    };
    let mut ratios: Vec<f64> = pairs.windows(WINDOW.0).step_by(WINDOW.1).filter_map(window).collect();
    ratios.sort_by(f64::total_cmp);
    let middle = ratios.get(ratios.len() / 2).copied();
    let ratio = middle.filter(|_| ratios.len() >= WINDOWS_NEEDED);
    Answer { ratio, lag_s: Some((lag - LAGS_S) as f64 + start_s - first_s), ..answer }
}
