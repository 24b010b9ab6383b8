//! One round of the line's fit: the normal equations with what is known beforehand, and the covariance that blocks of time show.

use super::observation::{Normal, Observation, Prior, Shown, biweights, residual, robust_scale};
use nalgebra::{Matrix2, Matrix4, Vector2, Vector4};

/// What a true speed errs by, averaged over ten seconds (m/s): receivers report speeds to 0.05 to 0.1 m/s with errors that last for
/// seconds, and positions give speeds as good (judgement; twice it puts the ratio 0.05 to 0.1 % too high in simulated drives, without
/// it it is as much too low).
const TRUTH_NOISE_M_PER_S: f64 = 0.03;

/// The normal matrix and right side of one round: with four unknowns of like size the normal form is safe.
pub struct System {
    pub information: Matrix4<f64>,
    pub right: Vector4<f64>,
    pub ratio: f64,
    pub with_lag: bool,
}

/// A growth (s/m) beyond any that tires, slip and filters make: 5 % from 30 to 70 mph. As a prior it says nothing.
pub const ANY_GROWTH: f64 = 3e-3;

/// The line without a prior on the offset.
pub struct Free {
    pub solution: Vector4<f64>,
    pub covariance: Matrix4<f64>,
}

impl Free {
    /// Offset and relative growth; `offset_u` (m/s) is what residuals do not show of the offset.
    pub fn shown(&self, offset_u: f64) -> Option<Shown> {
        let ratio = self.solution[0];
        let (own, both, growth) = (
            self.covariance[(1, 1)],
            self.covariance[(1, 3)] / ratio,
            self.covariance[(3, 3)] / ratio.powi(2),
        );
        let covariance = Matrix2::new(own + offset_u * offset_u, both, both, growth);
        let value = Vector2::new(self.solution[1], self.solution[3] / ratio);
        (value.iter().chain(covariance.iter()).all(|number| number.is_finite()))
            .then_some(Shown { value, covariance })
    }
}

/// What a round knows beside the data, and by how much the data are deflated before they meet it.
#[derive(Copy, Clone)]
pub struct Known {
    pub offset: Option<Normal>,
    pub growth: Normal,
    pub inflation: f64,
}

impl Known {
    pub fn new(prior: Prior, inflation: f64) -> Known {
        Known { offset: Some(prior.offset), growth: prior.growth, inflation }
    }
}

impl System {
    pub fn new(observations: &[Observation], weights: &[f64], ratio: f64, with_lag: bool) -> System {
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
        system.information[(0, 0)] -= system.by_truth_noise(observations, weights);
        system
    }

    /// What errors of the true speed add to its own information: without taking it off, they flatten the line, and on a narrow range of
    /// speeds an offset is made of them (Fuller 1987, Measurement Error Models, 2.2). No more than half of what the speeds differ by
    /// is taken off: beyond, the line would rest on a difference of two noises.
    pub fn by_truth_noise(&self, observations: &[Observation], weights: &[f64]) -> f64 {
        let of = |o: &Observation, w: f64| w * (TRUTH_NOISE_M_PER_S * o.one / o.sigma).powi(2);
        let noise: f64 = observations.iter().zip(weights).map(|(o, w)| of(o, *w)).sum();
        let information = &self.information;
        let together = information[(0, 1)].powi(2) / information[(1, 1)].max(f64::MIN_POSITIVE);
        noise.min(0.5 * (information[(0, 0)] - together)).max(0.0)
    }

    pub fn row(&self, o: &Observation) -> Vector4<f64> {
        let lag = if self.with_lag { -self.ratio * o.truth_rate } else { 0.0 };
        Vector4::new(o.truth, o.one, lag, o.growth)
    }

    pub fn bread(&self, known: Known) -> Option<Matrix4<f64>> {
        let mut information = self.information / known.inflation;
        for (index, prior) in self.priors(known) {
            information[(index, index)] += prior.precision();
        }
        information.cholesky().map(|c| c.inverse())
    }

    pub fn solve(&self, known: Known) -> Option<Vector4<f64>> {
        let mut right = self.right / known.inflation;
        for (index, prior) in self.priors(known) {
            right[index] += prior.mean * prior.precision();
        }
        Some(self.bread(known)? * right)
    }

    /// The priors by their place in the solution; that of the growth is relative, the solution is not.
    pub fn priors(&self, known: Known) -> impl Iterator<Item = (usize, Normal)> {
        let Normal { mean, u } = known.growth;
        let growth = Normal { mean: self.ratio * mean, u: self.ratio.abs().max(f64::MIN_POSITIVE) * u };
        known.offset.map(|offset| (1, offset)).into_iter().chain([(3, growth)])
    }

    /// Summed scores of each block that has any weight.
    pub fn scores(
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
    pub fn covariance(&self, blocks: &[Block], known: Known) -> Option<Matrix4<f64>> {
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
    pub fn inflation(
        &self,
        observations: &[Observation],
        weights: &[f64],
        solution: Vector4<f64>,
        blocks: &[usize],
        prior: Prior,
    ) -> Option<f64> {
        let scores = self.scores(observations, weights, solution, blocks);
        // The prior holds the offset where the speeds do not.
        let bread = self.bread(Known::new(prior, 1.0))?;
        let squares = scores.iter().map(|b| b.score * b.score.transpose());
        let meat = squares.sum::<Matrix4<f64>>() * small_sample(scores.len());
        let robust = bread * meat * bread;
        let worst = (robust[(0, 0)] / bread[(0, 0)]).max(robust[(1, 1)] / bread[(1, 1)]);
        Some(worst)
    }

    /// A few starts and stops tell the lag, the stretches between them nothing: `(sum g)² / sum g²` over what each block
    /// adds to the information (Bell & McCaffrey 2002, Survey Methodology 28:169, for blocks that differ).
    pub fn lag_blocks(&self, observations: &[Observation], weights: &[f64], blocks: &[usize]) -> f64 {
        let mut parts = vec![0.0; blocks.last().map_or(0, |last| last + 1)];
        for ((o, w), block) in observations.iter().zip(weights).zip(blocks) {
            parts[*block] += w * (self.row(o)[2] / o.sigma).powi(2);
        }
        let (sum, squares) = parts.iter().fold((0.0, 0.0), |(sum, squares), g| (sum + g, squares + g * g));
        if squares > 0.0 { sum * sum / squares } else { 1.0 }
    }

    pub fn free(
        &self,
        observations: &[Observation],
        blocks: &[usize],
        growth: Normal,
        sizes: &mut Vec<f64>,
    ) -> Option<Free> {
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
        (spread.1 > 1.2 * spread.0).then_some(Free { solution, covariance })
    }
}

/// Summed scores of one block and its part of the information.
#[derive(Copy, Clone, Debug, Default)]
pub struct Block {
    pub score: Vector4<f64>,
    pub information: Matrix4<f64>,
}

/// Few blocks underestimate their own variance: the usual n / (n - p) correction.
fn small_sample(blocks: usize) -> f64 {
    let n = blocks as f64;
    n / (n - 2.0).max(0.5)
}
