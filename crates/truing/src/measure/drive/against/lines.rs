//! The line through single samples, which tells the lag and the samples that are off, and the line through averages, which counts.

use crate::measure::drive::line::averages::Averages;
use crate::measure::drive::line::fit::{Fit, Observation};
use crate::measure::drive::line::offset_mixture::{REST_M_PER_S, joined};
use crate::measure::drive::line::rounding::Rounding;
use crate::measure::drive::types::{ComponentFit, OffsetKind};
use metrology::measured::Measured;
use metrology::quantity::Ratio;

/// Degrees of freedom that so many blocks leave beside the parameters; never less than 1.
pub fn dof(blocks: usize, parameters: usize) -> f64 {
    (blocks.saturating_sub(parameters)).max(1) as f64
}

/// The line through single samples, which tells the lag and the samples that are off, and the line that counts.
pub struct Lines {
    pub observations: Vec<Observation>,
    pub samples_line: Fit,
    pub rounding: Rounding,
    pub averages: Averages,
    pub line: Fit,
    /// The line's ratio under each way the offset may come about.
    pub parts: Vec<ComponentFit>,
    pub dof: f64,
}

impl Lines {
    /// Where there are too few averages: the line through the samples counts.
    pub fn without_averages(
        samples_line: Fit,
        observations: Vec<Observation>,
        rounding: Rounding,
        parameters: usize,
    ) -> Lines {
        let dof = dof(samples_line.blocks, parameters);
        let line = samples_line.clone();
        let averages = Averages { rows: observations.clone(), shared: rounding.shared.clone() };
        let parts = vec![ComponentFit {
            kind: OffsetKind::Rounded,
            evidence: 1.0,
            prior_weight: 1.0,
            weight: 1.0,
            ratio: line.ratio,
            u: line.covariance[(0, 0)].sqrt(),
            dof,
            offset_u: REST_M_PER_S,
        }];
        Lines { dof, line, parts, averages, samples_line, rounding, observations }
    }

    /// The ratio with its interval, and the same under each way the offset may come about; `extra` and what long stretches share are
    /// added to every part.
    pub fn ratio(&self, extra: f64) -> (Measured<Ratio>, Vec<ComponentFit>) {
        let widen = |part: &ComponentFit| {
            let shared = self.rounding.of_slope(&self.averages, self.line.inflation, part.offset_u);
            part.wider(shared.hypot(extra))
        };
        let parts: Vec<ComponentFit> = self.parts.iter().map(widen).collect();
        let scatter = self.parts.iter().map(|p| p.weight * p.u.powi(2)).sum::<f64>().sqrt();
        let joined = joined(self.line.ratio, &parts);
        let u = joined.standard_uncertainty.plain();
        (Measured { dof: self.dof * (u / scatter).powi(4), ..joined }, parts)
    }
}
