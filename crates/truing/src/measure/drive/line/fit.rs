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

use nalgebra::{Matrix4, Vector4};

/// Tukey's constant for 95 % efficiency under normal errors (Huber & Ronchetti 2009).
const BIWEIGHT: f64 = 4.685;
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

/// One sample of the vehicle's channel beside the truth at the same moment.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Observation {
    /// Time (s).
    pub time_s: f64,
    /// Indicated speed (m/s).
    pub indicated: f64,
    /// True speed (m/s).
    pub truth: f64,
    /// What the offset counts for: 1, but for rows that were made independent of one another.
    pub one: f64,
    /// What the growth counts for: true speed times what it is above the usual one (m²/s²).
    pub growth: f64,
    /// Rate of change of the true speed (m/s²).
    pub truth_rate: f64,
    /// Standard deviation expected of this sample (m/s).
    pub sigma: f64,
    /// The same without what the truth errs (m/s).
    pub own: f64,
    /// Time this sample stands for (s).
    pub share_s: f64,
}

/// A normal distribution: what is known of one parameter before the drive.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Normal {
    /// Expected value.
    pub mean: f64,
    /// Standard uncertainty.
    pub u: f64,
}

impl Normal {
    /// Precision, one over the variance.
    fn precision(self) -> f64 {
        1.0 / (self.u * self.u)
    }
}

/// What is known of the line before the drive.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Prior {
    /// Of the offset (m/s).
    pub offset: Normal,
    /// Of the growth: relative change of the ratio with speed (s/m).
    pub growth: Normal,
}

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
        let before = std::mem::replace(&mut solution, system.solve(Known::of(prior, inflation))?);
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
    let covariance = system.covariance(&scores, Known::of(prior, inflation))?;
    Some(Fit {
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
        free: system
            .free(observations, &blocks, prior.growth, &mut sizes)
            .map(|(ratio, offset, u)| (ratio, offset, u.hypot(unseen.offset_u))),
    })
}

fn initial_ratio(observations: &[Observation]) -> f64 {
    let ratios = observations.iter().map(|o| o.indicated / o.truth);
    let mut ratios: Vec<f64> = ratios.filter(|r| r.is_finite()).collect();
    if ratios.is_empty() {
        return 1.0;
    }
    let middle = ratios.len() / 2;
    *ratios.select_nth_unstable_by(middle, f64::total_cmp).1
}

fn residual(o: &Observation, solution: Vector4<f64>) -> f64 {
    let shown = solution[1] * o.one + solution[3] * o.growth;
    o.indicated - shown - solution[0] * (o.truth - o.truth_rate * solution[2])
}

/// Median absolute residual in units of the expected deviation, made a standard deviation; at least 1, because the
/// expected deviation is a floor. `sizes` is room to work in.
fn robust_scale(observations: &[Observation], solution: Vector4<f64>, sizes: &mut Vec<f64>) -> f64 {
    sizes.clear();
    sizes.extend(observations.iter().map(|o| (residual(o, solution) / o.sigma).abs()));
    let middle = sizes.len() / 2;
    (1.4826 * *sizes.select_nth_unstable_by(middle, f64::total_cmp).1).max(1.0)
}

fn biweights(observations: &[Observation], solution: Vector4<f64>, scale: f64) -> Vec<f64> {
    let weight = |o: &Observation| {
        let u = residual(o, solution) / (BIWEIGHT * scale * o.sigma);
        if u.abs() < 1.0 { (1.0 - u * u).powi(2) } else { 0.0 }
    };
    observations.iter().map(weight).collect()
}

/// The number of the block of each observation.
pub fn block_of(observations: &[Observation]) -> Vec<usize> {
    let block = block_at(observations[0].time_s, observations[observations.len() - 1].time_s);
    observations.iter().map(|o| block(o.time_s)).collect()
}

/// The number of the block at a time (s), between the first and the last of all.
pub fn block_at(first_s: f64, last_s: f64) -> impl Fn(f64) -> usize {
    let block_s = ((last_s - first_s) / BLOCKS).clamp(BLOCK_S.0, BLOCK_S.1);
    move |time_s| ((time_s - first_s) / block_s) as usize
}

/// The normal matrix and right side of one round: with four unknowns of like size the normal form is safe.
struct System {
    information: Matrix4<f64>,
    right: Vector4<f64>,
    ratio: f64,
    with_lag: bool,
}

/// What a round knows beside the data, and by how much the data are deflated before they meet it.
#[derive(Copy, Clone)]
struct Known {
    offset: Option<Normal>,
    growth: Normal,
    inflation: f64,
}

impl Known {
    fn of(prior: Prior, inflation: f64) -> Known {
        Known { offset: Some(prior.offset), growth: prior.growth, inflation }
    }
}

impl System {
    fn new(observations: &[Observation], weights: &[f64], ratio: f64, with_lag: bool) -> System {
        let mut system = System { information: Matrix4::zeros(), right: Vector4::zeros(), ratio, with_lag };
        for (o, w) in observations.iter().zip(weights) {
            let row = system.row(o);
            let w = w / (o.sigma * o.sigma);
            system.information += row * row.transpose() * w;
            system.right += row * (o.indicated * w);
        }
        if !with_lag {
            system.information[(2, 2)] = 1.0;
        }
        system
    }

    fn row(&self, o: &Observation) -> Vector4<f64> {
        let lag = if self.with_lag { -self.ratio * o.truth_rate } else { 0.0 };
        Vector4::new(o.truth, o.one, lag, o.growth)
    }

    fn bread(&self, known: Known) -> Option<Matrix4<f64>> {
        let mut information = self.information / known.inflation;
        for (index, prior) in self.priors(known) {
            information[(index, index)] += prior.precision();
        }
        information.cholesky().map(|c| c.inverse())
    }

    fn solve(&self, known: Known) -> Option<Vector4<f64>> {
        let mut right = self.right / known.inflation;
        for (index, prior) in self.priors(known) {
            right[index] += prior.mean * prior.precision();
        }
        Some(self.bread(known)? * right)
    }

    /// The priors by their place in the solution; that of the growth is relative, the solution is not.
    fn priors(&self, known: Known) -> impl Iterator<Item = (usize, Normal)> {
        let Normal { mean, u } = known.growth;
        let growth = Normal { mean: self.ratio * mean, u: self.ratio.abs().max(f64::MIN_POSITIVE) * u };
        known.offset.map(|offset| (1, offset)).into_iter().chain([(3, growth)])
    }

    /// Summed scores of each block that has any weight.
    fn scores(
        &self,
        observations: &[Observation],
        weights: &[f64],
        solution: Vector4<f64>,
        blocks: &[usize],
    ) -> Vec<Block> {
        let mut scores = vec![None; blocks.last().map_or(0, |last| last + 1)];
        for ((o, w), block) in observations.iter().zip(weights).zip(blocks) {
            if *w > 0.0 {
                let (row, w) = (self.row(o), w / (o.sigma * o.sigma));
                let sum: &mut Block = scores[*block].get_or_insert_default();
                sum.score += row * (residual(o, solution) * w);
                sum.information += row * row.transpose() * w;
            }
        }
        scores.into_iter().flatten().collect()
    }

    /// From what the solution moves when one block at a time is left out (jackknife; MacKinnon & White 1985, J. Econometrics
    /// 29:305): the residuals of a block that pulls the line toward itself look smaller than its errors are.
    fn covariance(&self, blocks: &[Block], known: Known) -> Option<Matrix4<f64>> {
        let bread = self.bread(known)?;
        let whole = bread.try_inverse()?;
        let inflation = known.inflation;
        let moved = |block: &Block| {
            let rest = (whole - block.information / inflation).cholesky();
            rest.map_or(bread, |rest| rest.inverse()) * block.score / inflation
        };
        let n = blocks.len() as f64;
        let mut covariance = blocks.iter().map(moved).map(|m| m * m.transpose()).sum::<Matrix4<f64>>();
        covariance *= (n - 1.0).max(0.5) / n;
        for (index, prior) in self.priors(known) {
            let pull = bread.column(index) / prior.u;
            covariance += pull * pull.transpose();
        }
        Some(covariance)
    }

    /// How much more the ratio varies than independent samples would make it.
    fn inflation(
        &self,
        observations: &[Observation],
        weights: &[f64],
        solution: Vector4<f64>,
        blocks: &[usize],
        prior: Prior,
    ) -> Option<f64> {
        let scores = self.scores(observations, weights, solution, blocks);
        // The prior holds the offset where the speeds do not.
        let bread = self.bread(Known::of(prior, 1.0))?;
        let squares = scores.iter().map(|b| b.score * b.score.transpose());
        let meat = squares.sum::<Matrix4<f64>>() * small_sample(scores.len());
        let robust = bread * meat * bread;
        let worst = (robust[(0, 0)] / bread[(0, 0)]).max(robust[(1, 1)] / bread[(1, 1)]);
        Some(worst)
    }

    /// A few starts and stops tell the lag, the stretches between them nothing: `(sum g)² / sum g²` over what each block
    /// adds to the information (Bell & McCaffrey 2002, Survey Methodology 28:169, for blocks that differ).
    fn lag_blocks(&self, observations: &[Observation], weights: &[f64], blocks: &[usize]) -> f64 {
        let mut parts = vec![0.0; blocks.last().map_or(0, |last| last + 1)];
        for ((o, w), block) in observations.iter().zip(weights).zip(blocks) {
            parts[*block] += w * (self.row(o)[2] / o.sigma).powi(2);
        }
        let (sum, squares) = parts.iter().fold((0.0, 0.0), |(sum, squares), g| (sum + g, squares + g * g));
        if squares > 0.0 { sum * sum / squares } else { 1.0 }
    }

    fn free(
        &self,
        observations: &[Observation],
        blocks: &[usize],
        growth: Normal,
        sizes: &mut Vec<f64>,
    ) -> Option<(f64, f64, f64)> {
        let known = Known { offset: None, growth, inflation: 1.0 };
        let solution = self.solve(known)?;
        let weights = biweights(observations, solution, robust_scale(observations, solution, sizes));
        let scores = self.scores(observations, &weights, solution, blocks);
        let covariance = self.covariance(&scores, known)?;
        let spread = observations
            .iter()
            .map(|o| o.truth / o.one)
            .fold((f64::MAX, f64::MIN), |(low, high), speed| (low.min(speed), high.max(speed)));
        // Speeds within a few per cent of one another leave the offset to chance.
        (spread.1 > 1.2 * spread.0).then(|| (solution[0], solution[1], covariance[(1, 1)].sqrt()))
    }
}

/// Summed scores of one block and its part of the information.
#[derive(Copy, Clone, Debug, Default)]
struct Block {
    score: Vector4<f64>,
    information: Matrix4<f64>,
}

/// Few blocks underestimate their own variance: the usual n / (n - p) correction.
fn small_sample(blocks: usize) -> f64 {
    let n = blocks as f64;
    n / (n - 2.0).max(0.5)
}

#[cfg(test)]
#[path = "fit_tests.rs"]
mod tests;
