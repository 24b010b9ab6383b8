//! What the reading would be with any one setting, advised or not.

use super::offers::pick;
use super::options::{bears_on, made_true};
use super::{Choice, Scored};
use crate::describe::adjuster::Adjuster;
use crate::describe::adjuster::setting::Setting;
use crate::describe::vehicle::Vehicle;
use metrology::measured::Measured;
use metrology::quantity::Ratio;

/// Indicated over true with another setting of one adjuster, everything else left as it is. None where the reading of
/// today or the present setting is not known, where the adjuster does not bear on what is to be true, and for tires,
/// whose effect is no exact number.
pub fn reading_with(
    vehicle: &Vehicle,
    choice: &Choice,
    adjuster: &Adjuster,
    setting: &Setting,
) -> Option<Measured<Ratio>> {
    let Scored { expected_ratio: now, .. } = choice.present.as_ref()?;
    if !bears_on(adjuster, made_true(vehicle)) {
        return None;
    }
    let effect = |setting: &Setting| Some(pick(adjuster, vehicle, setting)?.ln_effect);
    let factor = (effect(setting)? - effect(&adjuster.present()?)?).exp();
    let times = |ratio: Ratio| Ratio::from_plain(ratio.plain() * factor);
    Some(Measured {
        value: times(now.value),
        standard_uncertainty: times(now.standard_uncertainty),
        low_95: times(now.low_95),
        high_95: times(now.high_95),
        ..*now
    })
}
