//! A dial that reads slow.

use crate::choose::SlowDial;
use crate::report::words::came::tires_in_words;
use crate::report::words::dial::hold_at;
use crate::units::Units;
use metrology::quantity::Ratio;

/// The speed at which it is shown: in mph and in km/h.
const SHOWN_AT: (f64, f64) = (50.0, 80.0);

/// What it shows, what that is, and where to hold the needle to go no faster than that.
fn at(dial: &SlowDial, units: Units) -> String {
    let shown = units.by_road(SHOWN_AT.0, SHOWN_AT.1);
    let (is_true, hold) = (shown / dial.shown_over_true.plain(), hold_at(shown, dial.low_95));
    format!(
        "shown {shown:.0} is a true {is_true:.0}: hold the needle at {hold:.0} to keep to {shown:.0} {}",
        units.speed_word()
    )
}

/// The tires it speaks of, where these are to be told from others.
fn with(tires: Option<&str>) -> String {
    tires.map_or(String::new(), |tires| format!(" with {} on", tires_in_words(tires)))
}

pub(super) fn now(dial: &SlowDial, units: Units) -> String {
    format!(
        "Careful, the dial reads slow{}: {}, rounded to the safe side. The speed card for the sun visor has every speed.",
        with(dial.tires.as_deref()),
        at(dial, units)
    )
}

pub(super) fn then(setting: &str, dial: &SlowDial, units: Units) -> String {
    format!("With {setting} the dial still reads slow{}: {}.", with(dial.tires.as_deref()), at(dial, units))
}

pub(super) fn preferred(setting: &str, instead_of: &str, difference: Ratio) -> String {
    format!(
        "{instead_of} would be as true but reads slow; {setting} is taken for {:.2} percentage points more.",
        difference.percent().max(0.0)
    )
}
