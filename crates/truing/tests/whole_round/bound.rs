//! The least standard uncertainty that any unbiased estimate of the ratio can have on a simulated drive (Cramér & Rao).
//!
//! **Model.** Along the road, one step a second. Unknown: the ratio `R` at the usual speed, the offset `a`, the growth, the lag, where the road begins,
//! and the speed in every second, of which nothing is assumed. Positions read the road with a slow error (first-order
//! Gauss-Markov, 60 s) and a white one; reported speeds and the vehicle's channel read the speed with white errors, the
//! channel's being that of its step, `q²/12`. Fisher's information of all of it, the speeds eliminated: in linear time by a
//! Kalman filter (Anderson & Moore 1979, Optimal Filtering, ch. 5), and for its check by Schur's complement of dense matrices. Source:
//! Kay 1993, Fundamentals of Statistical Signal Processing I, ch. 3 and 15.
//!
//! **Which of two offsets.** The offset is zero (rounded) or half a step down (truncated), nobody knows which. What a drive alone shows of it
//! is normal about either, `d` deviations apart. With `e` the mean weight that the wrong one gets, the mean posterior variance is `e/2` of the
//! squared distance, and the posterior mean is drawn toward the wrong one by `e` of it whichever is true. The best estimate that is drawn to
//! neither is the posterior weight stretched about one half by `1/(1 - 2e)` (Lagrange's conditions of least variance under both);
//! its variance is `(e/2 - e²)/(1 - 2e)²` of the squared distance.
//!
//! Rounding errors are taken as white here; in the drives they last as long as a speed is held, so that the bound is a
//! little low.

use super::scenario::{GROWTH_U, REST_M_PER_S, SPAN_M_PER_S, Scenario, plan_of, true_speeds};
use nalgebra::{DMatrix, DVector, Matrix5, Vector5};
use truing::measure::drive::MOVING_M_PER_S;
use truing::simulate::{Plan, Steps};

/// Time constant of the simulator's slow position error (s).
const SLOW_S: f64 = 60.0;
/// The usual speed of a mixed drive (m/s): the mean over its distance is near this in most.
const USUAL_M_PER_S: f64 = 20.0;
/// A step of the channel (m/s): 1 km/h.
const STEP_M_PER_S: f64 = 1.0 / 3.6;
/// A channel without steps is written with three decimals of m/s; its error is next to nothing, not zero.
const STEPLESS_M_PER_S: f64 = 0.001;

/// Bounds of one drive, relative to the ratio.
#[derive(Copy, Clone, Debug)]
pub struct Bound {
    /// Of the offset no more than [`REST_M_PER_S`] is unknown.
    pub known: f64,
    /// Beside that, the offset is zero or half a step down, nobody knows which: the root of the mean posterior variance.
    pub either: f64,
    /// By how much that estimate, the posterior mean, is off on average when one of the two is true.
    pub drawn: f64,
    /// The least that an estimate can have which is right on average under either.
    pub undrawn: f64,
    /// Nothing is known of the offset.
    pub free: f64,
}

pub fn bound(scenario: &Scenario, seed: u64) -> Bound {
    let (plan, _) = plan_of(scenario, seed);
    let speed = true_speeds(&plan);
    let q = if plan.steps == Steps::None { STEPLESS_M_PER_S } else { STEP_M_PER_S / 12f64.sqrt() };
    let ratio = plan.reading_ratio;
    let information = information(&plan, &speed, q);
    let cut = |offset_u: f64| {
        let mut information = information;
        information[(1, 1)] += offset_u.powi(-2);
        information[(3, 3)] += (GROWTH_U / SPAN_M_PER_S).powi(-2);
        information.try_inverse().unwrap()
    };
    let (known, free) = (cut(REST_M_PER_S), cut(1e3));
    let offset_u = free[(1, 1)].sqrt();
    // How far the ratio moves when the offset is taken for half a step less.
    let moved = free[(0, 1)] / free[(1, 1)] * STEP_M_PER_S / 2.0;
    let apart = STEP_M_PER_S / 2.0 / offset_u.hypot(REST_M_PER_S);
    let doubt = if plan.steps == Steps::None { 0.0 } else { mean_doubt(apart) };
    let drawn = 2.0 * doubt;
    let undrawn = (doubt - drawn * drawn) / (1.0 - 2.0 * drawn).powi(2);
    Bound {
        known: known[(0, 0)].sqrt() / ratio,
        either: (known[(0, 0)] + moved * moved * doubt).sqrt() / ratio,
        drawn: (moved * drawn).abs() / ratio,
        undrawn: (known[(0, 0)] + moved * moved * undrawn).sqrt() / ratio,
        free: free[(0, 0)].sqrt() / ratio,
    }
}

/// What the channel adds to the information where the vehicle moves: by ratio, offset, lag and growth, for one unit of its error.
fn row(plan: &Plan, speed: &[f64], k: usize) -> Option<[f64; 4]> {
    let rate = 0.5 * (speed[(k + 1).min(speed.len() - 1)] - speed[k.saturating_sub(1)]);
    let growth = plan.reading_ratio * speed[k] * (speed[k] - USUAL_M_PER_S);
    (speed[k] > MOVING_M_PER_S).then(|| [speed[k], 1.0, -plan.reading_ratio * rate, growth])
}

/// A road of which a second is not known at all may have gone this far (m²).
const UNKNOWN_M2: f64 = 1e8;

/// Fisher's information on ratio, offset, lag, growth and start of the road.
///
/// The speeds as channel and receiver have them, added up, are the road but for a walk at random and what the unknowns make of it; a
/// Kalman filter of that walk and of the slow error makes the positions beside it independent.
fn information(plan: &Plan, speed: &[f64], q: f64) -> Matrix5<f64> {
    let (slow, white) = (plan.slow_error.m().powi(2), plan.white_error.m().powi(2));
    let keep = (-1.0 / SLOW_S).exp();
    let reported = plan.reported_speed_error.map_or(0.0, |u| u.m_per_s().powi(-2));
    let to_speed = plan.reading_ratio / q;
    let mut information = Matrix5::zeros();
    let mut road = Vector5::new(0.0, 0.0, 0.0, 0.0, 1.0);
    // Means by column, and variances, of the walk and the slow error.
    let (mut walk, mut drift) = (Vector5::zeros(), Vector5::zeros());
    let (mut ww, mut wd, mut dd) = (0.0, 0.0, slow);
    for k in 0..speed.len() {
        let row = row(plan, speed, k).map(|[v, one, lag, growth]| Vector5::new(v, one, lag, growth, 0.0));
        let known = reported + row.map_or(0.0, |_| to_speed * to_speed);
        if let Some(row) = row {
            road -= row * (to_speed / q / known);
            if reported > 0.0 {
                information += row * row.transpose() / (q * q + plan.reading_ratio.powi(2) / reported);
            }
        }
        ww += if known > 0.0 { 1.0 / known } else { UNKNOWN_M2 };
        if k > 0 {
            drift *= keep;
            (wd, dd) = (keep * wd, keep * keep * dd + slow * (1.0 - keep * keep));
        }
        let seen = ww + 2.0 * wd + dd + white;
        let innovation = road - walk - drift;
        information += innovation * innovation.transpose() / seen;
        let (to_walk, to_drift) = ((ww + wd) / seen, (wd + dd) / seen);
        walk += innovation * to_walk;
        drift += innovation * to_drift;
        (ww, wd, dd) = (ww - to_walk * (ww + wd), wd - to_walk * (wd + dd), dd - to_drift * (wd + dd));
    }
    information
}

/// The obvious way: one dense matrix of all speeds.
fn dense_information(plan: &Plan, speed: &[f64], q: f64) -> Matrix5<f64> {
    let n = speed.len();
    let (slow, white) = (plan.slow_error.m(), plan.white_error.m());
    let error = DMatrix::from_fn(n, n, |i, j| {
        let slow = slow * slow * (-(i.abs_diff(j) as f64) / SLOW_S).exp();
        slow + if i == j { white * white } else { 0.0 }
    });
    let positions = error.try_inverse().unwrap();
    // Sums from the end: the transpose of adding speeds up to a road.
    let summed = |column: &[f64]| {
        let mut sums: Vec<f64> = Vec::with_capacity(column.len());
        column.iter().rev().for_each(|x| sums.push(x + sums.last().copied().unwrap_or(0.0)));
        sums.reverse();
        DVector::from_vec(sums)
    };
    let half: Vec<DVector<f64>> = positions.column_iter().map(|c| summed(c.as_slice())).collect();
    let half = DMatrix::from_columns(&half).transpose();
    let mut of_speeds =
        DMatrix::from_columns(&half.column_iter().map(|c| summed(c.as_slice())).collect::<Vec<_>>());
    let mut to_speeds = DMatrix::zeros(n, 5);
    to_speeds.set_column(4, &half.transpose().column_sum());
    let mut inner = Matrix5::zeros();
    inner[(4, 4)] = positions.sum();
    let reported = plan.reported_speed_error.map_or(0.0, |u| u.m_per_s().powi(-2));
    for k in 0..n {
        of_speeds[(k, k)] += reported;
        if let Some([v, one, lag, growth]) = row(plan, speed, k) {
            let row = Vector5::new(v, one, lag, growth, 0.0) / q;
            let to_speed = plan.reading_ratio / q;
            inner += row * row.transpose();
            of_speeds[(k, k)] += to_speed * to_speed;
            (0..4).for_each(|p| to_speeds[(k, p)] += row[p] * to_speed);
        }
    }
    let eliminated = of_speeds.cholesky().unwrap().solve(&to_speeds);
    inner - (to_speeds.transpose() * eliminated).fixed_view::<5, 5>(0, 0)
}

/// The filter and the dense matrix say the same, for positions alone and with reported speeds.
pub fn check_against_dense(scenario: &Scenario) {
    // A second that is taken to go up to ten kilometres is not quite unknown, and leaves eight digits of the others.
    const WITHIN: f64 = 1e-4;
    let (plan, _) = plan_of(scenario, 3);
    let speed = &true_speeds(&plan)[..240];
    let q = STEP_M_PER_S / 12f64.sqrt();
    let (quick, dense) = (information(&plan, speed, q), dense_information(&plan, speed, q));
    for (quick, dense) in quick.iter().zip(dense.iter()) {
        assert!((quick - dense).abs() < WITHIN * dense.abs().max(1.0), "{quick} {dense}");
    }
}

/// Mean of `w (1 - w)` over what a drive may show, `w` the weight of one of two offsets that are `apart` standard
/// uncertainties of each other.
fn mean_doubt(apart: f64) -> f64 {
    const STEPS: i32 = 4000;
    (-STEPS..=STEPS)
        .map(|k| {
            let z = f64::from(k) * 8.0 / f64::from(STEPS);
            let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
            let weight = 1.0 / (1.0 + (apart * (z - 0.5 * apart)).exp());
            density * weight * (1.0 - weight) * 8.0 / f64::from(STEPS)
        })
        .sum()
}
