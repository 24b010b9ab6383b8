//! What several drives of one truck share: its channel rounds or truncates in all of them alike.
//!
//! One drive may not tell the two apart, and leaves both in its interval; another may. The evidence of all drives is multiplied for each
//! kind, and every drive's ratio is joined again under the weights that come out. Drives of different trucks, or a truck whose logger
//! was changed, must not be given here together.

use super::line::offset_mixture::joined;
use super::types::{ComponentFit, DriveEstimate, OffsetKind};
use metrology::measured::Measured;

/// Decides the kind of the channel's offset, and how its tires grow, from all drives together, and joins each drive's ratio again.
pub fn share_offset_kind<'a>(drives: impl IntoIterator<Item = &'a mut DriveEstimate>) {
    // A drive that cannot be told may be another truck's, or none: what is left out has no voice here either.
    let has_voice = |drive: &&mut DriveEstimate| drive.can_be_told() && drive.by_offset_kind.len() > 1;
    let mut drives: Vec<&mut DriveEstimate> = drives.into_iter().filter(has_voice).collect();
    // A channel with another step, or other tires, has other kinds.
    let Some(kinds) = drives.first().map(|first| kinds(first)) else { return };
    drives.retain(|drive| kinds == self::kinds(drive));
    if drives.len() < 2 {
        return;
    }
    // Each drive's evidence holds the weight the kind had before: it must count once.
    let likelihood = |fit: &ComponentFit| (fit.evidence / fit.prior_weight).max(f64::MIN_POSITIVE).ln();
    let log = |at: usize| -> f64 {
        kinds[at].1.ln() + drives.iter().map(|drive| likelihood(&drive.by_offset_kind[at])).sum::<f64>()
    };
    let logs: Vec<f64> = (0..kinds.len()).map(log).collect();
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = logs.iter().map(|log| (log - most).exp()).sum();
    for drive in &mut drives {
        for (fit, log) in drive.by_offset_kind.iter_mut().zip(&logs) {
            fit.weight = (log - most).exp() / total;
        }
        let Some(own) = drive.reading_ratio else { continue };
        let value = drive.by_offset_kind.iter().map(|fit| fit.weight * fit.ratio).sum();
        drive.reading_ratio = Some(Measured { dof: own.dof, ..joined(value, &drive.by_offset_kind) });
    }
}

/// The kinds a drive's channel may be of, with how likely each was before.
fn kinds(drive: &DriveEstimate) -> Vec<(OffsetKind, f64)> {
    drive.by_offset_kind.iter().map(|fit| (fit.kind, fit.prior_weight)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::drive::{Indicated, estimate};
    use crate::simulate::{Plan, Steps, drive};
    use metrology::quantity::Duration;

    /// Ten short drives of one truck whose channel truncates: together they are surer than each was, and nearer.
    #[test]
    fn drives_share_the_kind() {
        let plan = |seed| Plan {
            steps: Steps::Truncated,
            duration: Duration::from_min(8.0),
            ..Plan::mixed(seed, 1.03, Duration::from_s(2.0))
        };
        let one = |seed| {
            let simulated = drive(&plan(seed));
            estimate("drive", &simulated.track, &Indicated::Log(simulated.vehicle)).0
        };
        let alone: Vec<DriveEstimate> =
            (0..10).filter_map(one).filter(|d| d.reading_ratio.is_some()).collect();
        let mut together = alone.clone();
        share_offset_kind(&mut together);
        let error = |drives: &[DriveEstimate]| -> f64 {
            let ratios = drives.iter().filter_map(|d| d.reading_ratio);
            ratios.map(|ratio| (ratio.value.plain() - 1.03).powi(2)).sum::<f64>().sqrt()
        };
        let width = |drives: &[DriveEstimate]| -> f64 {
            let ratios = drives.iter().filter_map(|d| d.reading_ratio);
            ratios.map(|ratio| ratio.high_95.plain() - ratio.low_95.plain()).sum()
        };
        assert!(alone.len() > 8, "{}", alone.len());
        assert!(error(&together) < error(&alone), "{} {}", error(&together), error(&alone));
        assert!(width(&together) < width(&alone), "{} {}", width(&together), width(&alone));
        for drive in &together {
            let of_kind = drive.by_offset_kind.iter().filter(|fit| fit.kind == OffsetKind::Truncated);
            let weight: f64 = of_kind.map(|fit| fit.weight).sum();
            assert!(weight > 0.9, "{weight}");
        }
    }

    /// A drive that cannot be told, as its unit is suspected, changes no other.
    #[test]
    fn what_is_left_out_has_no_voice() {
        let one = |seed, ratio| {
            let simulated = drive(&Plan::mixed(seed, ratio, Duration::from_s(2.0)));
            estimate("drive", &simulated.track, &Indicated::Log(simulated.vehicle)).0
        };
        let mut drives: Vec<DriveEstimate> = [one(3, 1.03), one(4, 0.6214)].into_iter().flatten().collect();
        assert!(drives[0].can_be_told() && !drives[1].can_be_told(), "{:?}", drives[1].doubts);
        let before = drives.clone();
        share_offset_kind(&mut drives);
        assert_eq!(drives, before);
    }

    #[test]
    fn one_drive_is_left_as_it_is() {
        let simulated = drive(&Plan::mixed(3, 1.03, Duration::from_s(2.0)));
        let alone = estimate("drive", &simulated.track, &Indicated::Log(simulated.vehicle)).0.into_iter();
        let mut same: Vec<DriveEstimate> = alone.collect();
        let before = same.clone();
        share_offset_kind(&mut same);
        assert_eq!(same, before);
    }
}
