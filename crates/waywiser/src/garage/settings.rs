//! The owner's choices, kept beside the trucks.

use super::folder::Garage;
use crate::world;
use truing::problem::Problems;
pub use truing::units::Units;

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
    pub fn choose_settings(&self, settings: Settings) -> Result<(), Problems> {
        let text = format!("units = \"{}\"\n", settings.units.word());
        self.alone(|| world::replace(&self.folder().join(FILE), text.as_bytes()).map_err(Problems::from))
    }
}
