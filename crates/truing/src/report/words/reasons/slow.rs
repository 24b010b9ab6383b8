//! A dial that reads slow.

use crate::units::Units;
use metrology::quantity::Ratio;

/// The speed at which it is shown: in mph and in km/h.
const SHOWN_AT: (f64, f64) = (50.0, 80.0);

/// What it shows, what that is, and where to hold the needle for the same true speed.
fn at(dial: Ratio, units: Units) -> String {
    let shown = units.by_road(SHOWN_AT.0, SHOWN_AT.1);
    let (is_true, hold) = (shown / dial.plain(), shown * dial.plain());
    format!(
        "shown {shown:.0} is a true {is_true:.0}: hold the needle at {hold:.0} for {shown:.0} {}",
        units.speed_word()
    )
}

pub(super) fn now(dial: Ratio, units: Units) -> String {
    format!(
        "Careful, the dial reads slow: {}. The speed card for the sun visor has every speed.",
        at(dial, units)
    )
}

pub(super) fn then(setting: &str, dial: Ratio, units: Units) -> String {
    format!("With {setting} the dial still reads slow: {}.", at(dial, units))
}

pub(super) fn preferred(setting: &str, instead_of: &str, difference: Ratio) -> String {
    format!(
        "{instead_of} would be as true but reads slow; {setting} is taken for {:.2} percentage points more.",
        difference.percent().max(0.0)
    )
}
