//! How an answer moves with every equation: the same for all hypotheses, since they differ in constants only.

use super::model::{Model, Sum};
use metrology::adjust::{Equation, LinearEstimate, Solution};

/// An answer as a linear function of what was observed.
pub(super) struct Response {
    sum: Sum,
    /// Its unknown part where `observed` was seen.
    estimate: LinearEstimate,
    observed: Vec<f64>,
    /// How far it moves for each unit of each equation.
    pub weights: Vec<f64>,
}

impl Response {
    /// None where the equations do not determine it.
    pub fn new(equations: &[Equation], solution: &Solution, sum: &Sum) -> Option<Response> {
        let observed = equations.iter().map(|equation| equation.observed).collect();
        Some(Response {
            sum: sum.clone(),
            estimate: solution.estimate(&sum.terms)?,
            observed,
            weights: solution.weights(&sum.terms)?,
        })
    }

    /// The answer with these values of the beliefs.
    pub fn at(&self, model: &Model, beliefs: &[f64]) -> LinearEstimate {
        let observed = model.observed(beliefs);
        let apart = observed.iter().zip(&self.observed).map(|(now, then)| now - then);
        let moved: f64 = self.weights.iter().zip(apart).map(|(weight, apart)| weight * apart).sum();
        LinearEstimate { value: self.estimate.value + moved + self.sum.known(beliefs), ..self.estimate }
    }

    /// How far it moves for each unit by which a belief is off.
    pub fn to_belief(&self, model: &Model, belief: usize) -> f64 {
        let mut off = vec![0.0; model.beliefs.len()];
        off[belief] = 1.0;
        let seen: f64 =
            self.weights.iter().enumerate().map(|(row, weight)| weight * model.known_in(row, &off)).sum();
        self.sum.known(&off) - self.sum.constant - seen
    }
}
