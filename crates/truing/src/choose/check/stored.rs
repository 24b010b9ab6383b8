//! A drive that does not fit what is said to be stored, and fits another value: one that was stored before, or the one that
//! would make the truck read true.

use super::{Check, Checked, Odd, Settle};
use crate::choose::offers::{Offer, pick};
use crate::choose::options::{bears_on, made_true};
use crate::describe::adjuster::Adjuster;
use crate::describe::adjuster::setting::Setting;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{Conflict, PieceId, VehicleEstimate, slip_odds};
use metrology::measured::Measured;
use metrology::quantity::Ratio;

/// A value that fits better than the one said to be stored.
#[derive(Clone, Debug, PartialEq)]
pub struct StoredInstead {
    /// What was said.
    pub said: Setting,
    /// What fits.
    pub fits: Setting,
    /// Odds of that.
    pub odds: f64,
    /// What fits is not what the file says is stored today.
    pub is_news: bool,
}

/// Odds within this of one another decide nothing (judgement).
const ABOUT_AS_LIKELY: f64 = 20.0;

/// How far something indicated lies off the rest.
#[derive(Copy, Clone)]
struct Off {
    /// ln of what it says over what the rest says.
    ln: f64,
    /// The same in standard deviations.
    deviations: f64,
    /// ln of what the truck reads by the rest, with the setting that was said.
    ln_rest: f64,
}

/// The piece of a disagreement that another stored value explains better than any slip, whose odds are at most these.
pub(super) fn instead(
    vehicle: &Vehicle,
    estimate: &VehicleEstimate,
    conflict: &Conflict,
    slip_odds: f64,
) -> Option<Check> {
    let (pieces, off, deviations) = match conflict {
        Conflict::OnePiece { piece, off, deviations, .. } => (vec![piece], *off, *deviations),
        Conflict::Among { pieces, off, deviations, .. } if pieces.len() == 2 => {
            (pieces.iter().collect(), *off, *deviations)
        }
        _ => return None,
    };
    // Of two that disagree the second lies as far to the other side.
    let sides = [1.0, -1.0];
    let each = pieces.into_iter().zip(sides).filter_map(|(piece, side)| {
        let PieceId::Evidence(index) = piece else { return None };
        let off = (side * off.plain().ln(), deviations.abs().copysign(side * off.plain().ln()));
        Some((piece, of_piece(vehicle, estimate, *index, off)?))
    });
    let all: Vec<(&PieceId, StoredInstead)> = each.collect();
    let most = all.iter().map(|(_, found)| found.odds).fold(0.0, f64::max);
    // Of two that are about as likely the later one: a file is added to at its end.
    let (piece, found) = all.into_iter().rfind(|(_, found)| found.odds >= most / ABOUT_AS_LIKELY)?;
    if found.odds < slip_odds {
        return None;
    }
    Some(Check {
        what: Checked::Pieces(vec![piece.clone()]),
        odd: Odd::FitsAnotherSetting {
            said: found.said,
            fits: found.fits,
            odds: found.odds,
            is_news: found.is_news,
        },
        slip: None,
        settle: Settle::LookWhatIsStored,
    })
}

fn of_piece(
    vehicle: &Vehicle,
    estimate: &VehicleEstimate,
    index: usize,
    (ln, deviations): (f64, f64),
) -> Option<StoredInstead> {
    let evidence = vehicle.evidence.get(index).filter(|evidence| evidence.kind.shows_indicated())?;
    let piece = estimate.evidence.iter().find(|piece| piece.id == PieceId::Evidence(index))?;
    let ln_rest_now = piece.leave_one_out?.plain().ln() - ln;
    likeliest(vehicle, |adjuster| {
        let said = vehicle.setting_then(evidence, adjuster)?;
        let moved = effect(vehicle, adjuster, &said)? - effect(vehicle, adjuster, &adjuster.present()?)?;
        Some((said, Off { ln, deviations, ln_rest: ln_rest_now + moved }))
    })
}

/// From so many standard deviations on a drive contradicts what is held to be stored.
const CONTRADICTS: f64 = 3.0;

/// What may be stored now, where a drive after all other evidence contradicts what the file says.
pub fn stored_now(
    vehicle: &Vehicle,
    believed: &Measured<Ratio>,
    shown: &Measured<Ratio>,
) -> Option<StoredInstead> {
    let ln = (shown.value.plain() / believed.value.plain()).ln();
    let u = shown.relative_uncertainty().plain().hypot(believed.relative_uncertainty().plain());
    let deviations = ln / u;
    if !deviations.is_finite() || deviations.abs() < CONTRADICTS {
        return None;
    }
    let ln_rest = believed.value.plain().ln();
    likeliest(vehicle, |adjuster| Some((adjuster.present()?, Off { ln, deviations, ln_rest })))
}

/// The value with the best odds over all adjusters that bear on what is to be true.
fn likeliest(vehicle: &Vehicle, off: impl Fn(&Adjuster) -> Option<(Setting, Off)>) -> Option<StoredInstead> {
    let bearing = vehicle.adjusters.iter().filter(|adjuster| bears_on(adjuster, made_true(vehicle)));
    let each = bearing.filter_map(|adjuster| {
        let (said, off) = off(adjuster)?;
        let fits = candidates(vehicle, adjuster, &said, off)?;
        let odds = |other: &Setting| {
            let moves = effect(vehicle, adjuster, other)? - effect(vehicle, adjuster, &said)?;
            slip_odds(Ratio::from_plain(off.ln.exp()), off.deviations, moves.exp(), fits.len())
        };
        let likely = fits.iter().filter_map(|other| Some((other, odds(other)?)));
        let (fits, odds) = likely.max_by(|a, b| a.1.total_cmp(&b.1))?;
        let is_news = adjuster.present().is_none_or(|present| !present.same_as(fits));
        Some(StoredInstead { said, fits: fits.clone(), odds, is_news })
    });
    each.max_by(|a, b| a.odds.total_cmp(&b.odds))
}

fn effect(vehicle: &Vehicle, adjuster: &Adjuster, setting: &Setting) -> Option<f64> {
    Some(pick(adjuster, vehicle, setting)?.ln_effect)
}

/// What else may have been stored: what the writes name, and what would make the truck read true by the rest.
fn candidates(vehicle: &Vehicle, adjuster: &Adjuster, said: &Setting, off: Off) -> Option<Vec<Setting>> {
    let theirs =
        vehicle.written.iter().filter(|write| vehicle.adjuster(write.adjuster.as_deref()) == Some(adjuster));
    let mut all: Vec<Setting> = theirs.flat_map(|write| [write.from.clone(), write.to.clone()]).collect();
    all.extend(adjuster.present());
    let wanted = effect(vehicle, adjuster, said)? - off.ln_rest;
    let near = Offer::new(adjuster, vehicle)?.around(wanted, 1).into_iter();
    let true_by_the_rest =
        near.min_by(|a, b| (a.ln_effect - wanted).abs().total_cmp(&(b.ln_effect - wanted).abs()));
    all.extend(true_by_the_rest.map(|pick| pick.setting));
    let mut different: Vec<Setting> = Vec::new();
    for one in all {
        if !one.same_as(said) && !different.iter().any(|other| other.same_as(&one)) {
            different.push(one);
        }
    }
    Some(different)
}

#[cfg(test)]
mod tests {
    use super::*;
    use metrology::quantity::Quantity;

    /// What is found of a drive that shows so much, where the truck is believed to read 4 % slow with 8.20.
    fn check(written: &str, present: &str, shown: f64, expected: Option<(&str, &str, bool)>) {
        let text = format!(
            "[adjuster]\nkind = \"stepped-constant\"\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.01\"\nbuttons = [\"up\", \"down\"]\n\
             present = \"{present}\"\nwrites_left = 3\n{written}"
        );
        let (vehicle, problems) = Vehicle::read("test", &text);
        let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
        let ratio =
            |value: f64| Measured::symmetric(Ratio::from_plain(value), Ratio::from_si(0.002), f64::INFINITY);
        let believed = ratio(0.96 * 8.20 / present.parse::<f64>().unwrap());
        let found = stored_now(&vehicle, &believed, &ratio(shown));
        let said = found.as_ref().map(|it| (it.said.to_string(), it.fits.to_string(), it.is_news));
        let expected = expected.map(|(said, fits, news)| (said.to_string(), fits.to_string(), news));
        assert_eq!(said, expected, "{present} {shown}: {found:?}");
    }

    #[test]
    fn a_drive_that_fits_another_value_asks() {
        // 8.20 x 0.96 = 7.872: with 7.87 it would read true.
        check("", "8.20", 1.0, Some(("8.20", "7.87", true)));
        // Within chance of what is believed; and nothing that anybody stores explains 20 % fast.
        check("", "8.20", 0.962, None);
        check("", "8.20", 1.2, None);
        // A write that was recorded and not taken by the module.
        let write = "[[written]]\ndate = 2026-05-02\nfrom = \"8.20\"\nto = \"7.87\"\n";
        check(write, "7.87", 0.96, Some(("7.87", "8.20", true)));
        check(write, "7.87", 1.0, None);
    }
}
