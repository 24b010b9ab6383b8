//! How sure we are of what is indicated at a true speed.

use metrology::measured::{Measured, student_cdf, student_density};
use metrology::quantity::{Ratio, Speed};

/// The indicated speed at true speed `v` is `offset + R v`. Both are known only so well: `ln R` and the
/// offset are jointly normal, or jointly Student's t where the uncertainties rest on few observations.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct ReadingModel {
    /// Natural logarithm of the reading ratio R = indicated / true; no unit.
    pub ln_ratio: f64,
    /// Standard uncertainty of `ln_ratio`, which is the relative one of R; no unit, not negative.
    pub u_ln_ratio: f64,
    /// Degrees of freedom of both standard uncertainties; infinite where they are not estimated. Below 1 is
    /// taken as 1.
    pub dof: f64,
    /// Offset of the indication, in m/s; zero for anything that counts distance.
    pub offset_m_per_s: f64,
    /// Standard uncertainty of the offset, in m/s; not negative.
    pub u_offset_m_per_s: f64,
    /// Covariance of `ln R` and the offset, in m/s. Taken back to full correlation where it is larger than
    /// the two uncertainties allow.
    pub covariance_m_per_s: f64,
}

impl ReadingModel {
    /// A reading without offset.
    pub fn of_ratio(ln_ratio: f64, u_ln_ratio: f64, dof: f64) -> Self {
        Self {
            ln_ratio,
            u_ln_ratio,
            dof,
            offset_m_per_s: 0.0,
            u_offset_m_per_s: 0.0,
            covariance_m_per_s: 0.0,
        }
    }

    /// The same reading after a setting by which it indicates `factor` times as much.
    pub fn times(self, factor: Ratio) -> Self {
        Self { ln_ratio: self.ln_ratio + factor.plain().ln(), ..self }
    }

    /// What is indicated at a true speed. By the law of propagation (JCGM 100:2008, 5.2.2) for `offset + R v`, whose
    /// derivatives are 1 to the offset and `R v` to `ln R`.
    ///
    /// ```
    /// use metrology::quantity::Speed;
    /// use truing::rules::ReadingModel;
    /// // 10 m/s read 2 % fast, known to 0.5 %: 10.2 +/- 0.051 m/s
    /// let shown = ReadingModel::of_ratio(1.02_f64.ln(), 0.005, f64::INFINITY).indicated_at(Speed::from_m_per_s(10.0));
    /// assert!((shown.value.m_per_s() - 10.2).abs() < 1e-12);
    /// assert!((shown.standard_uncertainty.m_per_s() - 0.051).abs() < 1e-12);
    /// ```
    pub fn indicated_at(&self, speed: Speed) -> Measured<Speed> {
        let counted = self.ln_ratio.exp() * speed.m_per_s();
        let of_ratio = counted * self.u_ln_ratio;
        let variance = of_ratio * of_ratio
            + self.u_offset_m_per_s * self.u_offset_m_per_s
            + 2.0 * self.correlation() * of_ratio * self.u_offset_m_per_s;
        let shown = Speed::from_m_per_s(self.offset_m_per_s + counted);
        Measured::symmetric(shown, Speed::from_m_per_s(variance.max(0.0).sqrt()), self.dof)
    }

    /// Whether all of it is finite and no uncertainty is negative; of anything else no probability is known.
    pub fn is_usable(&self) -> bool {
        let numbers = [self.ln_ratio, self.offset_m_per_s, self.covariance_m_per_s];
        let uncertainties = [self.u_ln_ratio, self.u_offset_m_per_s];
        numbers.iter().all(|n| n.is_finite())
            && uncertainties.iter().all(|u| u.is_finite() && *u >= 0.0)
            && !self.dof.is_nan()
    }

    /// Correlation of `ln R` and the offset; zero where one of them is exact.
    pub(super) fn correlation(&self) -> f64 {
        let product = self.u_ln_ratio * self.u_offset_m_per_s;
        if product > 0.0 { (self.covariance_m_per_s / product).clamp(-1.0, 1.0) } else { 0.0 }
    }

    /// `ln R` when the offset is `z` standard uncertainties above its best value.
    pub(super) fn given_offset(&self, z: f64) -> LogRatio {
        let correlation = self.correlation();
        let rest = (1.0 - correlation * correlation).max(0.0).sqrt();
        let spread = if self.dof > 1e6 { 1.0 } else { self.spread_at(z) };
        LogRatio {
            mean: self.ln_ratio + correlation * self.u_ln_ratio * z,
            scale: self.u_ln_ratio * rest * spread,
            dof: self.effective_dof() + 1.0,
        }
    }

    /// `ln R` whatever the offset is.
    pub(super) fn whatever_offset(&self) -> LogRatio {
        LogRatio { mean: self.ln_ratio, scale: self.u_ln_ratio, dof: self.effective_dof() }
    }

    /// Density of the offset, per standard uncertainty.
    pub(super) fn offset_density(&self, z: f64) -> f64 {
        student_density(z, self.effective_dof())
    }

    /// How much wider the conditional distribution of a bivariate t is at `z` (Kotz and Nadarajah 2004,
    /// 1.11).
    fn spread_at(&self, z: f64) -> f64 {
        ((self.effective_dof() + z * z) / (self.effective_dof() + 1.0)).sqrt()
    }

    pub(super) fn effective_dof(&self) -> f64 {
        self.dof.max(1.0)
    }
}

/// A distribution of `ln R`.
#[derive(Copy, Clone, Debug)]
pub(super) struct LogRatio {
    pub mean: f64,
    pub scale: f64,
    pub dof: f64,
}

/// A reading that lies exactly on the edge of a band conforms; this much of `ln R` is rounding of our
/// arithmetic.
const EDGE_ROUNDING: f64 = 1e-12;

impl LogRatio {
    /// Probability that R lies between two limits, which may be zero, negative or infinite.
    pub fn between(&self, low: f64, high: f64) -> f64 {
        if high <= 0.0 || low > high * (1.0 + EDGE_ROUNDING) {
            return 0.0;
        }
        let low = if low > 0.0 { low.ln() } else { f64::NEG_INFINITY };
        (self.below(high.ln() + EDGE_ROUNDING) - self.below(low - EDGE_ROUNDING)).clamp(0.0, 1.0)
    }

    fn below(&self, limit: f64) -> f64 {
        if limit == f64::INFINITY {
            1.0
        } else if limit == f64::NEG_INFINITY {
            0.0
        } else if self.scale <= 0.0 {
            f64::from(u8::from(self.mean <= limit))
        } else {
            student_cdf((limit - self.mean) / self.scale, self.dof)
        }
    }
}
