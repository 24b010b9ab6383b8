//! What is done to each kind of adjuster, in the words of its own: a gear is fitted, a switch is switched, a number is stored.

use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::{Adjuster, AdjusterKind};
use crate::describe::file::fraction::Fraction;
use crate::report::words::doing::Doing;

/// What stands before a setting.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Before {
    /// Before what is there now.
    pub now: &'static str,
    /// Before what is to be there.
    pub then: &'static str,
}

/// What stands before the settings of an adjuster.
pub fn before(adjuster: &Adjuster) -> Before {
    let of = |now, then| Before { now, then };
    match Doing::to(&adjuster.kind) {
        Doing::Store => of("Stored now", "To be stored"),
        Doing::Declare => of("Declared now", "To be declared"),
        Doing::Set | Doing::Change => of("Set now", "To be set"),
        Doing::FitGears | Doing::FitAdapter | Doing::FitRing | Doing::FitTires => {
            of("Fitted now", "To be fitted")
        }
    }
}

/// A setting as one says it.
pub fn setting(adjuster: &Adjuster, setting: &Setting) -> String {
    match (&adjuster.kind, setting) {
        (AdjusterKind::GearPair(_), Setting::Pair(pair)) => {
            format!("drive gear {}, driven gear {} teeth", pair.numerator(), pair.denominator())
        }
        (AdjusterKind::CableAdapter(_), Setting::Pair(pair)) if is_none(pair) => "no adapter".into(),
        (AdjusterKind::CableAdapter(_), Setting::Pair(pair)) => format!("the adapter {pair}"),
        (AdjusterKind::PulseRatio(_), Setting::Pair(pair)) => {
            format!("{} out for {} in", pair.numerator(), pair.denominator())
        }
        (AdjusterKind::ToneRing(_), Setting::Number(teeth)) => format!("a ring of {teeth} teeth"),
        (AdjusterKind::DeclaredTireAxle(_), Setting::Declared(told)) => {
            let axle = told.axle_ratio.as_ref().map(|axle| format!(", axle {axle}")).unwrap_or_default();
            format!("{} revolutions per mile{axle}", told.revs_per_mile)
        }
        (AdjusterKind::DeclaredTireAxle(_), Setting::Number(revs)) => {
            format!("{revs} revolutions per mile")
        }
        _ => setting.to_string(),
    }
}

/// As many turns out as in: no adapter at all.
fn is_none(pair: &Fraction) -> bool {
    pair.numerator() == pair.denominator()
}

/// What is done for a setting, as an order: "Fit the gears 8/19 (drive/driven)."
pub fn order(adjuster: &Adjuster, target: &Setting) -> String {
    match (&adjuster.kind, target) {
        (AdjusterKind::CableAdapter(_), Setting::Pair(pair)) if is_none(pair) => {
            "Take the cable adapter out.".into()
        }
        _ => format!("{}.", Doing::to(&adjuster.kind).order(&target.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::vehicle::Vehicle;

    #[test]
    fn each_kind_is_changed_in_its_own_words() {
        let check = |text: &str, target: &str, expected: &str| {
            let (vehicle, problems) = Vehicle::read("test", &format!("[adjuster]\n{text}"));
            let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
            assert_eq!(order(&vehicle.adjusters[0], &Setting::parse(target)), expected);
        };
        let gears = "kind = \"gear-pair\"\ndrive_gears = [8]\ndriven_gears = [18, 19]\npresent = \"8/18\"\n";
        check(gears, "8/19", "Fit the gears 8/19 (drive/driven).");
        let adapter = "kind = \"cable-adapter\"\nratios = [\"1/1\", \"16/15\"]\npresent = \"1/1\"\n";
        check(adapter, "16/15", "Fit the adapter 16/15.");
        check(adapter, "1/1", "Take the cable adapter out.");
        check("kind = \"tone-ring\"\nteeth = [92, 96]\npresent = 96\n", "92", "Fit the ring with 92 teeth.");
        check("kind = \"tires\"\nsizes = [\"235/75R15\"]\n", "235/75R15", "Fit tires 235/75R15.");
        let ratio = "kind = \"pulse-ratio\"\nnumerator_max = 99\ndenominator_max = 99\npresent = \"1/1\"\n";
        check(ratio, "44/45", "Set the conditioner to 44/45.");
        let constant =
            "kind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1\nmax = 90000\npresent = 20000\n";
        check(constant, "20500", "Store 20500.");
    }
}
