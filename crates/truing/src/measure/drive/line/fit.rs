//! The line `indicated = a + R v + γ v (v - v_usual)`, `v = true(t - lag)`: robust, with priors on the offset `a` and on the growth
//! `γ`, and an uncertainty that knows that neighbouring residuals go together.
//!
//! **What is wanted** is `R`, the ratio at the usual speed: distance-weighted over the speeds of the owner, or of the drive. Tires
//! grow with speed, slip and filters bend the line as well: `γ = R g`, `R(v) = R (1 + g (v - v_usual))`. On a short range of speeds an
//! offset and a growth look alike; both have priors, neither is free, and what the drive cannot tell stays in the covariance.
//!
//! **Weights.** Each sample's variance is the sum of the channel's step (`q²/12`), the truth's own uncertainty, and
//! `(acceleration · timing)²`: while the speed changes, a sample that is a little late or held says little. Tukey's
//! biweight takes samples beyond 4.7 scaled deviations out.
//!
//! **Correlated residuals.** Time is cut into blocks; residual scores are summed within a block and only the blocks are
//! taken as independent (cluster-robust covariance; Liang & Zeger 1986, Biometrika 73:13; here by leaving out one at a
//! time). The information of the data
//! is deflated by the same inflation before it meets the prior, so that a thousand samples of one rounding error do not
//! outvote it. Degrees of freedom: blocks less parameters.
//!
//! Sources: Huber & Ronchetti 2009, ch. 7; Liang & Zeger 1986.

pub use super::observation::{Normal, Observation, Prior, Shown};
use super::observation::{biweights, robust_scale};
use super::system::{ANY_GROWTH, Free, Known, System};
use metrology::order::quantile;
use nalgebra::{Matrix4, Vector4};

/// Rounds of reweighting; the weights settle well before.
const ROUNDS: usize = 12;
/// Ratio, offset (m/s) and lag (s) that move by less than this from round to round have settled: far below any uncertainty.
const SETTLED: f64 = 1e-7;
/// Shortest and longest block (s): longer than a gear, a bend or a held sample; short enough for ten in a short drive.
const BLOCK_S: (f64, f64) = (15.0, 60.0);
/// Blocks aimed at.
const BLOCKS: f64 = 15.0;
/// Expected deviations are pessimistic; residuals may show this much less variance, not less: few blocks agree by chance.
const LEAST_INFLATION: f64 = 0.2;

/// The fitted line.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Reading ratio R.
    pub ratio: f64,
    /// Offset a (m/s).
    pub offset: f64,
    /// Change of the lag (s) that would fit still better; 0 when the lag is not fitted.
    pub lag_step: f64,
    /// Change of the ratio with speed `γ` (s/m).
    pub growth: f64,
    /// Covariance of ratio, offset, lag and growth.
    pub covariance: Matrix4<f64>,
    /// Blocks taken as independent.
    pub blocks: usize,
    /// Blocks that tell the lag, counted by how much each tells.
    pub lag_blocks: f64,
    /// Biweight of each observation, 0 to 1.
    pub weights: Vec<f64>,
    /// By how much more than independent samples the residuals vary.
    pub inflation: f64,
    /// Root of the weighted mean square of residual over expected deviation.
    pub scale: f64,
    /// Ratio, offset and standard uncertainty of the offset without its prior, where the speeds differ enough; the growth keeps its own.
    pub free: Option<(f64, f64, f64)>,
    /// Offset and growth without either prior.
    pub shown: Option<Shown>,
}

/// What the residuals do not show: errors that many blocks share do not scatter.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Unseen {
    /// How much more the line varies for them than independent errors would make it.
    pub inflation: f64,
    /// What they make of the offset without the prior (m/s), a standard uncertainty.
    pub offset_u: f64,
}

impl Unseen {
    /// Blocks share nothing.
    pub const NOTHING: Unseen = Unseen { inflation: 0.0, offset_u: 0.0 };
}

/// Fits the line; `None` with fewer than three observations.
pub fn fit(observations: &[Observation], prior: Prior, with_lag: bool) -> Option<Fit> {
    fit_near(observations, prior, with_lag, None)
}

/// The same where blocks share errors.
pub fn fit_shared(observations: &[Observation], prior: Prior, unseen: Unseen) -> Option<Fit> {
    fit_beside(observations, prior, false, None, unseen)
}

/// The same from a line that is near already, which saves rounds.
pub fn fit_near(
    observations: &[Observation],
    prior: Prior,
    with_lag: bool,
    near: Option<&Fit>,
) -> Option<Fit> {
    fit_beside(observations, prior, with_lag, near, Unseen::NOTHING)
}

fn fit_beside(
    observations: &[Observation],
    prior: Prior,
    with_lag: bool,
    near: Option<&Fit>,
    unseen: Unseen,
) -> Option<Fit> {
    if observations.len() < 3 {
        return None;
    }
    let blocks = block_of(observations);
    let mut inflation = near.map_or(1.0, |near| near.inflation);
    let mut solution = match near {
        Some(near) => Vector4::new(near.ratio, near.offset, 0.0, near.growth),
        None => {
            let ratio = initial_ratio(observations);
            Vector4::new(ratio, prior.offset.mean, 0.0, ratio * prior.growth.mean)
        }
    };
    let mut sizes = Vec::with_capacity(observations.len());
    let mut scale = near.map_or(1.0, |_| robust_scale(observations, solution, &mut sizes));
    let mut weights = match near {
        Some(_) => biweights(observations, solution, scale),
        None => vec![1.0; observations.len()],
    };
    for _ in 0..ROUNDS {
        let system = System::new(observations, &weights, solution[0], with_lag);
        let before = std::mem::replace(&mut solution, system.solve(Known::new(prior, inflation))?);
        scale = robust_scale(observations, solution, &mut sizes);
        weights = biweights(observations, solution, scale);
        let shown = system.inflation(observations, &weights, solution, &blocks, prior)?;
        inflation = shown.max(LEAST_INFLATION) + unseen.inflation;
        if (solution - before).amax() < SETTLED {
            break;
        }
    }
    let system = System::new(observations, &weights, solution[0], with_lag);
    let scores = system.scores(observations, &weights, solution, &blocks);
    let covariance = system.covariance(&scores, Known::new(prior, inflation))?;
    let shown = system.free(observations, &blocks, Normal { mean: 0.0, u: ANY_GROWTH }, &mut sizes);
    Some(Fit {
        shown: shown.and_then(|free| free.shown(unseen.offset_u)),
        ratio: solution[0],
        offset: solution[1],
        lag_step: solution[2],
        growth: solution[3],
        covariance,
        blocks: scores.len(),
        lag_blocks: system.lag_blocks(observations, &weights, &blocks),
        weights,
        inflation,
        scale,
        free: system.free(observations, &blocks, prior.growth, &mut sizes).map(
            |Free { solution, covariance }| {
                (solution[0], solution[1], covariance[(1, 1)].sqrt().hypot(unseen.offset_u))
            },
        ),
    })
}

fn initial_ratio(observations: &[Observation]) -> f64 {
    let ratios = observations.iter().map(|o| o.indicated / o.truth);
    let mut ratios: Vec<f64> = ratios.filter(|r| r.is_finite()).collect();
    if ratios.is_empty() {
        return 1.0;
    }
    quantile(&mut ratios, 0.5)
}

/// The number of the block of each observation.
pub fn block_of(observations: &[Observation]) -> Vec<usize> {
    let (Some(first), Some(last)) = (observations.first(), observations.last()) else { return Vec::new() };
    let block = block_at(first.time_s, last.time_s);
    observations.iter().map(|o| block(o.time_s)).collect()
}

/// The number of the block at a time (s), between the first and the last of all.
pub fn block_at(first_s: f64, last_s: f64) -> impl Fn(f64) -> usize {
    let block_s = ((last_s - first_s) / BLOCKS).clamp(BLOCK_S.0, BLOCK_S.1);
    move |time_s| ((time_s - first_s) / block_s) as usize
}

#[cfg(test)]
#[path = "fit_tests.rs"]
mod tests;
