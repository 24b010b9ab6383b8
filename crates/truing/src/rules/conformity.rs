//! The probability that a reading keeps to a rule, and the verdict.
//!
//! JCGM 106:2012, section 7 (number from memory): with the distribution of the measured quantity in hand, the
//! probability of conformity is the part of it that lies in the permitted band. Here two quantities are
//! measured, the offset `a` and the ratio R, and the band at several test speeds cuts a region out of their
//! plane. Its probability is one integral over the offset: density of `a` times the probability that R, given
//! `a`, lies between the limits at `a`.
//!
//! Accuracy: 1e-7 in the probability, against independent quadrature (tests).

use super::integrate::integrate;
use super::region::{Limit, Region};
use super::{ReadingModel, Rule, TestPoint};
use metrology::measured::student_cdf;
use metrology::quantity::{Ratio, Speed};
use serde::Serialize;

/// From this probability on, a reading is said to conform. JCGM 106 leaves the number to who decides; ours is
/// the usual 95 %.
pub const ACCEPT_FROM: f64 = 0.95;

/// Up to this probability, a reading is said not to conform.
pub const REJECT_UP_TO: f64 = 0.05;

/// What may be said of a reading under a rule.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// It conforms with a probability of 95 % or more.
    Conforms,
    /// It conforms with a probability of 5 % or less.
    DoesNotConform,
    /// It cannot be told yet.
    Undecided,
}

impl Verdict {
    /// The verdict at a probability of conformity.
    pub fn from_probability(probability: Ratio) -> Self {
        if probability.plain() >= ACCEPT_FROM {
            Self::Conforms
        } else if probability.plain() <= REJECT_UP_TO {
            Self::DoesNotConform
        } else {
            Self::Undecided
        }
    }
}

/// How likely a reading keeps to the rule at one test point.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct PointConformity {
    /// Where it is judged.
    pub point: TestPoint,
    /// From 0 to 1.
    pub probability: Ratio,
}

/// How likely a reading keeps to a rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Conformity {
    /// At each test point alone.
    pub points: Vec<PointConformity>,
    /// At all test points together; from 0 to 1.
    pub probability: Ratio,
    /// What follows.
    pub verdict: Verdict,
}

/// Judges a reading by a rule. `maximum_speed` of the vehicle decides the test speeds of some rules. A model
/// that holds no usable numbers gives probabilities that are no number, and `Undecided`.
pub fn conformity(rule: &Rule, model: &ReadingModel, maximum_speed: Option<Speed>) -> Conformity {
    let points = rule.test_speeds.points(maximum_speed);
    let judge =
        |points: &[TestPoint]| Ratio::from_plain(probability(&Region::new(&rule.band, points), model));
    let judged = points.iter().map(|point| PointConformity { point: *point, probability: judge(&[*point]) });
    let probability = judge(&points);
    Conformity { points: judged.collect(), probability, verdict: Verdict::from_probability(probability) }
}

/// The probability that a setting breaks a rule that constrains the choice; zero for one that does not.
pub fn chance_of_breaking(rule: &Rule, model: &ReadingModel, maximum_speed: Option<Speed>) -> Ratio {
    if !rule.constrains_choice {
        return Ratio::from_plain(0.0);
    }
    let region = Region::new(&rule.band, &rule.test_speeds.points(maximum_speed));
    Ratio::from_plain(1.0 - probability(&region, model))
}

/// Absolute, for each piece of the integral; some fifty pieces make 1e-8 together.
const PIECE_TOLERANCE: f64 = 2e-10;

/// Pieces into which the range of the offset is cut before any corner is added.
const PIECES: usize = 24;

/// Probability left out at each end of the range of the offset.
const TAIL_LEFT_OUT: f64 = 1e-10;

fn probability(region: &Region, model: &ReadingModel) -> f64 {
    if !model.is_usable() {
        return f64::NAN;
    }
    if region.is_level() || model.u_offset_m_per_s == 0.0 {
        let (low, high) = region.limits_at(model.offset_m_per_s);
        return model.whatever_offset().between(low, high);
    }
    let offset_at = |z: f64| model.offset_m_per_s + model.u_offset_m_per_s * z;
    // With z = sinh(s) the far tails of Student's t take no more steps than those of the normal.
    let curve = |s: f64| {
        let z = s.sinh();
        let (low, high) = region.limits_at(offset_at(z));
        model.offset_density(z) * s.cosh() * model.given_offset(z).between(low, high)
    };
    integrate(&curve, &nodes(region, model), PIECE_TOLERANCE).clamp(0.0, 1.0)
}

/// Where the integral is cut, in `s = asinh(z)`, `z` being the offset in standard uncertainties from its best
/// value: evenly, at the corners of the region, and where the best ratio at an offset crosses a limit.
fn nodes(region: &Region, model: &ReadingModel) -> Vec<f64> {
    let end = range(model.effective_dof());
    let even: Vec<f64> = (0..=PIECES).map(|i| end * (2.0 * i as f64 / PIECES as f64 - 1.0)).collect();
    let z_of = |offset: f64| (offset - model.offset_m_per_s) / model.u_offset_m_per_s;
    let corners = region.corners().into_iter().map(|offset| z_of(offset).asinh());
    let crossings = region.lines().flat_map(|line| crossings(line, model, &even));
    let mut nodes: Vec<f64> = corners.chain(crossings).filter(|s| s.abs() < end).collect();
    nodes.extend(&even);
    nodes.sort_by(f64::total_cmp);
    nodes.dedup();
    nodes
}

/// Half the range of `s` to integrate over.
fn range(dof: f64) -> f64 {
    let mut z = 4.0;
    while student_cdf(-z, dof) > TAIL_LEFT_OUT {
        z *= 1.5;
    }
    f64::asinh(z)
}

/// Where the best ratio given the offset meets a limit: between each two even nodes of different sign, by
/// halving.
fn crossings(line: Limit, model: &ReadingModel, even: &[f64]) -> Vec<f64> {
    let above = |s: f64| {
        let z = s.sinh();
        let limit = line.at(model.offset_m_per_s + model.u_offset_m_per_s * z);
        limit > 0.0 && limit.ln() > model.given_offset(z).mean
    };
    let halved = |span: &[f64]| {
        let (mut from, mut to) = (span[0], span[1]);
        let start = above(from);
        if start == above(to) {
            return None;
        }
        while to - from > 1e-12 * (1.0 + to.abs()) {
            let middle = 0.5 * (from + to);
            if above(middle) == start { from = middle } else { to = middle }
        }
        Some(0.5 * (from + to))
    };
    even.windows(2).filter_map(halved).collect()
}

#[cfg(test)]
#[path = "conformity_tests.rs"]
mod tests;
