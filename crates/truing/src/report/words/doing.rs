//! What is done to set an adjuster, in its own verb: a constant is stored, a gear is fitted.

use crate::describe::adjuster::AdjusterKind;
use crate::describe::adjuster::setting::Setting;
use crate::describe::vehicle::Vehicle;

/// What is done.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Doing {
    /// A number is stored in a module.
    Store,
    /// A tire and an axle are declared to one.
    Declare,
    /// A conditioner is set.
    Set,
    /// A pair of gears is fitted.
    FitGears,
    /// An adapter is fitted.
    FitAdapter,
    /// A ring is fitted.
    FitRing,
    /// Tires are fitted.
    FitTires,
    /// Several adjusters are set, each in its way.
    Change,
}

impl Doing {
    /// On a truck.
    pub fn on(vehicle: &Vehicle) -> Self {
        match vehicle.adjusters.as_slice() {
            [only] => Self::to(&only.kind),
            [] => Self::Store,
            _ => Self::Change,
        }
    }

    /// To one kind of adjuster.
    pub fn to(kind: &AdjusterKind) -> Self {
        match kind {
            AdjusterKind::SteppedConstant(_) | AdjusterKind::FreeConstant(_) => Self::Store,
            AdjusterKind::DeclaredTireAxle(_) => Self::Declare,
            AdjusterKind::PulseRatio(_) => Self::Set,
            AdjusterKind::GearPair(_) => Self::FitGears,
            AdjusterKind::CableAdapter(_) => Self::FitAdapter,
            AdjusterKind::ToneRing(_) => Self::FitRing,
            AdjusterKind::Tires(_) => Self::FitTires,
        }
    }

    /// What is done to get to a setting of several adjusters at once: only what changes.
    pub fn order_of(vehicle: &Vehicle, settings: &[(usize, Setting)]) -> String {
        let order = |(place, setting): &(usize, Setting)| {
            let adjuster = vehicle.adjusters.get(*place)?;
            let order = Self::to(&adjuster.kind).order(&setting.to_string());
            Some(match (&adjuster.name, vehicle.adjusters.len()) {
                (Some(name), 2..) => format!("{name}: {order}"),
                _ => order,
            })
        };
        settings.iter().filter_map(order).collect::<Vec<_>>().join("; ")
    }

    /// "Store 1416", "Fit the gears 7/18".
    pub fn order(self, setting: &str) -> String {
        let verb = match self {
            Self::Store => "Store",
            Self::Declare => "Declare",
            Self::Set => "Set",
            Self::Change => "Change to",
            _ => "Fit",
        };
        format!("{verb} {}", self.thing(setting))
    }

    /// "Storing 1416", "Fitting the gears 7/18".
    pub fn act(self, setting: &str) -> String {
        let verb = match self {
            Self::Store => "Storing",
            Self::Declare => "Declaring",
            Self::Set => "Setting",
            Self::Change => "Changing to",
            _ => "Fitting",
        };
        format!("{verb} {}", self.thing(setting))
    }

    /// "1416 is stored", "the gears 7/18 are fitted", with a word such as "already" behind it.
    pub fn state(self, setting: &str, word: &str) -> String {
        let (is, done) = match self {
            Self::Store => ("is", "stored"),
            Self::Declare => ("is", "declared"),
            Self::Set | Self::Change => ("is", "set"),
            Self::FitGears | Self::FitTires => ("are", "fitted"),
            Self::FitAdapter | Self::FitRing => ("is", "fitted"),
        };
        let word = if word.is_empty() { String::new() } else { format!(" {word}") };
        if self == Self::Set {
            return format!("the conditioner is set to {setting}{word}");
        }
        format!("{} {is} {done}{word}", self.thing(setting))
    }

    /// What a change has to be worth.
    pub fn price(self) -> &'static str {
        match self {
            Self::Store | Self::Declare => "a write",
            _ => "the change",
        }
    }

    /// What is not done where nothing is to be done.
    pub fn nothing(self) -> &'static str {
        match self {
            Self::Store | Self::Declare => "press nothing and spend no write",
            _ => "change nothing",
        }
    }

    fn thing(self, setting: &str) -> String {
        match self {
            Self::FitGears => format!("the gears {setting} (drive/driven)"),
            Self::FitAdapter => format!("the adapter {setting}"),
            Self::FitRing => format!("the ring with {setting} teeth"),
            Self::FitTires => format!("tires {setting}"),
            Self::Set => format!("the conditioner to {setting}"),
            Self::Store | Self::Declare | Self::Change => setting.into(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_in_its_own_verb() {
        let check = |doing: Doing, setting: &str, expected: [&str; 3]| {
            let said = [doing.order(setting), doing.act(setting), doing.state(setting, "already")];
            assert_eq!(said, expected);
        };
        check(Doing::Store, "1416", ["Store 1416", "Storing 1416", "1416 is stored already"]);
        check(
            Doing::Declare,
            "700 x 3.55",
            ["Declare 700 x 3.55", "Declaring 700 x 3.55", "700 x 3.55 is declared already"],
        );
        check(
            Doing::FitGears,
            "7/18",
            [
                "Fit the gears 7/18 (drive/driven)",
                "Fitting the gears 7/18 (drive/driven)",
                "the gears 7/18 (drive/driven) are fitted already",
            ],
        );
        check(
            Doing::FitRing,
            "92",
            [
                "Fit the ring with 92 teeth",
                "Fitting the ring with 92 teeth",
                "the ring with 92 teeth is fitted already",
            ],
        );
        check(
            Doing::Set,
            "16/15",
            [
                "Set the conditioner to 16/15",
                "Setting the conditioner to 16/15",
                "the conditioner is set to 16/15 already",
            ],
        );
        check(
            Doing::FitAdapter,
            "16/15",
            ["Fit the adapter 16/15", "Fitting the adapter 16/15", "the adapter 16/15 is fitted already"],
        );
        check(
            Doing::FitTires,
            "235/75R15",
            ["Fit tires 235/75R15", "Fitting tires 235/75R15", "tires 235/75R15 are fitted already"],
        );
    }
}
