//! A channel's offset has a prior of several components: a whole step is rounded, or truncated, or the channel has an offset of
//! its own. Each component gets its own fit; they are joined by how well each predicted the offset that the drive shows.

use crate::measure::drive::line::balance::{Shown, stretched};
use crate::measure::drive::line::fit::{Fit, Observation, OffsetPrior, Unseen, fit_shared};
use metrology::measured::{student_cdf, student_quantile};
use nalgebra::Matrix3;

/// What any channel's offset has beside its rounding (m/s). Pieces of one recorded drive differ by so much (`docs/drive.md`):
/// how long each value is shown, and when the module samples, leave a little of the rounding.
pub const REST_M_PER_S: f64 = 0.02;
/// A channel with an offset of its own, by a filter, held samples or on purpose: how far off (m/s) and how often that is
/// expected (judgement).
const OWN_M_PER_S: f64 = 0.15;
const OWN_SHARE: f64 = 0.1;

/// One way the offset may come about.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Component {
    /// Where the offset lies then.
    pub prior: OffsetPrior,
    /// How likely this way is before the drive.
    pub weight: f64,
}

/// The offset of a channel in whole steps of `step` (m/s); 0 when no step is seen.
pub fn of_channel(step: f64) -> Vec<Component> {
    let known = 0.5 * (1.0 - OWN_SHARE);
    let component = |mean, u, weight| Component { prior: OffsetPrior { mean, u }, weight };
    if step <= 0.0 {
        return vec![component(0.0, REST_M_PER_S, 1.0 - OWN_SHARE), component(0.0, OWN_M_PER_S, OWN_SHARE)];
    }
    vec![
        component(0.0, REST_M_PER_S, known),
        component(-step / 2.0, REST_M_PER_S, known),
        component(-step / 4.0, f64::hypot(step / 4.0, OWN_M_PER_S), OWN_SHARE),
    ]
}

/// Mean and standard deviation of all components together.
pub fn together(components: &[Component]) -> OffsetPrior {
    let mean = components.iter().map(|h| h.weight * h.prior.mean).sum::<f64>();
    let square = |h: &Component| h.weight * (h.prior.u.powi(2) + (h.prior.mean - mean).powi(2));
    OffsetPrior { mean, u: components.iter().map(square).sum::<f64>().sqrt() }
}

/// The ratio under one component: how likely the component is after the drive, the ratio and its standard uncertainty.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Part {
    /// Share of this component; the shares of all add up to 1.
    pub weight: f64,
    /// The ratio.
    pub ratio: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// Its degrees of freedom.
    pub dof: f64,
    /// Standard uncertainty of the offset beforehand (m/s).
    pub offset_u: f64,
}

impl Part {
    /// With what is known of other causes beside its own scatter. Degrees of freedom after Welch and Satterthwaite (JCGM 100:2008, G.4.1):
    /// only the scatter is found from few blocks.
    pub fn wider(self, by: f64) -> Part {
        let u = self.u.hypot(by);
        Part { u, dof: self.dof * (u / self.u).powi(4), ..self }
    }
}

/// Both ends of the interval that leaves 2.5 % on either side of all parts together; each part is Student's t.
pub fn interval_95(parts: &[Part]) -> (f64, f64) {
    let below =
        |x: f64| parts.iter().map(|p| p.weight * student_cdf((x - p.ratio) / p.u, p.dof)).sum::<f64>();
    let end = |probability: f64| {
        let reach = |p: &Part| student_quantile(probability, p.dof) * p.u;
        let ends = parts.iter().map(|p| p.ratio + reach(p));
        let (mut low, mut high) = (ends.clone().fold(f64::MAX, f64::min), ends.fold(f64::MIN, f64::max));
        // Each halving is a binary digit: 50 leave nothing.
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if below(middle) < probability { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    };
    (end(0.025), end(0.975))
}

/// The line under all components. The evidence of each is the density of Student's t, with the drive's degrees of freedom, of
/// the offset that the drive alone shows; a drive that shows none leaves the components as they were.
pub fn fit_mixture(
    observations: &[Observation],
    components: &[Component],
    unseen: Unseen,
) -> Option<(Fit, Vec<Part>)> {
    let whole = fit_shared(observations, together(components), unseen)?;
    let dof = whole.blocks.saturating_sub(2).max(1) as f64;
    let shown = whole.free.map(|(_, offset, u)| Shown { offset, u, dof });
    let evidence = |component: &Component| shown.map_or(component.weight, |shown| shown.evidence(component));
    let weights: Vec<f64> = components.iter().map(evidence).collect();
    let total: f64 = weights.iter().sum();
    let fits: Vec<(f64, Fit)> = components
        .iter()
        .zip(weights)
        .filter_map(|(component, weight)| {
            Some((weight / total, fit_shared(observations, component.prior, unseen)?))
        })
        .collect();
    // All or none of them can be fitted: they differ by their prior alone.
    let offsets_u: Vec<f64> = components.iter().map(|component| component.prior.u).collect();
    let offset = fits.iter().map(|(w, f)| w * f.offset).sum::<f64>();
    let stretched = shown.map_or(offset, |shown| stretched(offset, shown, components));
    join(whole, &fits, &offsets_u, stretched - offset, dof)
}

/// All fits together, the mean offset moved by so much (m/s) and the ratio with it.
fn join(
    whole: Fit,
    fits: &[(f64, Fit)],
    offsets_u: &[f64],
    moved: f64,
    dof: f64,
) -> Option<(Fit, Vec<Part>)> {
    let apart = |get: fn(&Fit) -> f64| Some(get(&fits.first()?.1) - get(&fits.get(1)?.1));
    let with_offset = match apart(|fit| fit.ratio).zip(apart(|fit| fit.offset)) {
        Some((ratio, offset)) if offset != 0.0 => ratio / offset,
        _ => 0.0,
    };
    let ratio = fits.iter().map(|(w, f)| w * f.ratio).sum::<f64>() + moved * with_offset;
    let offset = fits.iter().map(|(w, f)| w * f.offset).sum::<f64>() + moved;
    let mut covariance = Matrix3::zeros();
    for (weight, fit) in fits {
        let apart = nalgebra::Vector3::new(fit.ratio - ratio, fit.offset - offset, 0.0);
        covariance += (fit.covariance + apart * apart.transpose()) * *weight;
    }
    let part = |((weight, fit), offset_u): (&(f64, Fit), &f64)| Part {
        weight: *weight,
        ratio: fit.ratio,
        u: fit.covariance[(0, 0)].sqrt(),
        dof,
        offset_u: *offset_u,
    };
    let parts = fits.iter().zip(offsets_u).map(part).collect();
    (ratio.is_finite() && offset.is_finite()).then_some((Fit { ratio, offset, covariance, ..whole }, parts))
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEP: f64 = 1.0 / 3.6;

    fn observations(offset: f64, speeds: (f64, f64)) -> Vec<Observation> {
        let wave = |k: usize| 0.5 * (1.0 + (k as f64 / 7.0).sin());
        // Errors that repeat every few observations and sum to nothing.
        let error = |k: usize| 0.05 * [1.0, -1.0, 0.5, -0.5, 0.0][k % 5];
        (0..400)
            .map(|k| {
                let truth = speeds.0 + (speeds.1 - speeds.0) * wave(k);
                let indicated = 1.02 * truth + offset + error(k);
                Observation {
                    time_s: 3.0 * k as f64,
                    indicated,
                    truth,
                    one: 1.0,
                    truth_rate: 0.0,
                    sigma: 0.1,
                    own: 0.1,
                    share_s: 3.0,
                }
            })
            .collect()
    }

    fn check(offset: f64, speeds: (f64, f64), expected: (f64, f64)) {
        let found = fit_mixture(&observations(offset, speeds), &of_channel(STEP), Unseen::NOTHING).unwrap().0;
        assert!(
            (found.offset - expected.0).abs() < expected.1,
            "{offset}: {} {:?}",
            found.offset,
            found.covariance
        );
    }

    #[test]
    fn the_drive_chooses_the_hump() {
        check(0.0, (8.0, 30.0), (0.0, 0.01));
        check(-STEP / 2.0, (8.0, 30.0), (-STEP / 2.0, 0.01));
        check(0.4, (8.0, 30.0), (0.4, 0.05));
    }

    /// One part is plain Student's t; two far apart leave their outer 2.5 % of all, which is 5 % of each.
    #[test]
    fn interval_of_parts() {
        let part = |weight, ratio| Part { weight, ratio, u: 0.01, dof: 9.0, offset_u: 0.02 };
        let check = |parts: &[Part], expected: (f64, f64)| {
            let found = interval_95(parts);
            assert!((found.0 - expected.0).abs() < 1e-5 && (found.1 - expected.1).abs() < 1e-5, "{found:?}");
        };
        // Table G.2 of JCGM 100: 2.262 for 9 degrees of freedom at 95 %, 1.833 at 90 %.
        check(&[part(1.0, 1.0)], (1.0 - 0.02262, 1.0 + 0.02262));
        // What is known as well as nothing else makes it surer: 1.96 for many degrees of freedom.
        check(&[part(1.0, 1.0).wider(1.0)], (1.0 - 1.96006, 1.0 + 1.96006));
        check(&[part(0.5, 1.0), part(0.5, 2.0)], (1.0 - 0.01833, 2.0 + 0.01833));
    }

    /// At one speed nothing tells rounded from truncated: the middle, and the whole width as uncertainty.
    #[test]
    fn one_speed_leaves_the_components_as_they_were() {
        check(0.0, (25.0, 25.0), (-STEP / 4.0, 1e-3));
        let found =
            fit_mixture(&observations(0.0, (25.0, 25.0)), &of_channel(STEP), Unseen::NOTHING).unwrap().0;
        let expected = together(&of_channel(STEP)).u;
        assert!((found.covariance[(1, 1)].sqrt() / expected - 1.0).abs() < 0.05, "{:?}", found.covariance);
    }
}
