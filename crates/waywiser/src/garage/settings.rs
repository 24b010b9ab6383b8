//! The owner's choices, kept beside the trucks.

use super::Garage;
use crate::world;
use truing::problem::Problem;

/// The units that the owner thinks in.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Miles, miles per hour, feet and inches.
    #[default]
    Us,
    /// Kilometres, kilometres per hour, metres.
    Metric,
    /// Miles on the road, metres on the tape.
    Mixed,
}

impl Units {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Us, Self::Metric, Self::Mixed];

    /// As it stands in the file and in forms.
    pub fn word(self) -> &'static str {
        match self {
            Self::Us => "us",
            Self::Metric => "metric",
            Self::Mixed => "mixed",
        }
    }

    /// For a person.
    pub fn says(self) -> &'static str {
        match self {
            Self::Us => "US: miles, mph, feet and inches",
            Self::Metric => "Metric: kilometres, km/h, metres",
            Self::Mixed => "Mixed: miles and mph on the road, metres on the tape",
        }
    }

    /// The choice of a word.
    pub fn read(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|units| units.word() == word)
    }

    /// The units of a paper, which has one kind throughout: that of the dial.
    pub fn on_paper(self) -> truing::report::units::Units {
        match self {
            Self::Us | Self::Mixed => truing::report::units::Units::Us,
            Self::Metric => truing::report::units::Units::Metric,
        }
    }

    /// Whether roads are measured in miles.
    pub fn in_miles(self) -> bool {
        self != Self::Metric
    }

    /// Whether tapes show feet and inches.
    pub fn in_feet(self) -> bool {
        self == Self::Us
    }
}

/// The owner's choices.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// Units.
    pub units: Units,
}

const FILE: &str = "settings.toml";

impl Garage {
    /// The choices; those never made are the usual ones.
    pub fn settings(&self) -> Settings {
        let text = world::read_text(&self.folder().join(FILE)).unwrap_or_default();
        let kept: Option<toml_edit::DocumentMut> = text.parse().ok();
        let units = kept.as_ref().and_then(|kept| kept.get("units")?.as_str().and_then(Units::read));
        Settings { units: units.unwrap_or_default() }
    }

    /// Keeps the choices.
    pub fn choose_settings(&self, settings: Settings) -> Result<(), Vec<Problem>> {
        let text = format!("units = \"{}\"\n", settings.units.word());
        self.alone(|| {
            world::replace(&self.folder().join(FILE), text.as_bytes()).map_err(|problem| vec![*problem])
        })
    }
}
