//! The sets of tires as declared: the size as printed, and figures from a data sheet or a tape.

use crate::describe::file::document::Entry;
use crate::describe::file::keys::{TIRE, tire as keys};
use crate::problem::KeyPlace;
use metrology::quantity::{Length, PerLength, Ratio};
use metrology::text::Typed;

/// One set of tires.
#[derive(Clone, Debug, PartialEq)]
pub struct TireSet {
    /// Which set, where there are several.
    pub name: Option<String>,
    /// The size as printed on the sidewall.
    pub size: Option<String>,
    /// Revolutions per length from the data sheet.
    pub published_revs: Option<PerLength>,
    /// Outside diameter.
    pub diameter: Option<Typed<Length>>,
    /// Depth of the tread when it was new.
    pub tread_depth_new: Option<Typed<Length>>,
    /// Depth of the tread now.
    pub tread_depth: Option<Typed<Length>>,
    /// Pressure at which its load is rated, over 1 psi.
    pub rated_pressure: Option<Ratio>,
    /// Whether it is said to be on now.
    pub mounted: bool,
    /// Line in the file, counted from 1.
    pub line: usize,
}

impl TireSet {
    /// What a plan names it by: its name, else its size.
    pub fn called(&self) -> Option<&str> {
        self.name.as_deref().or(self.size.as_deref())
    }
}

/// Where the file says the size of a set.
pub fn place_of_size(index: usize) -> KeyPlace {
    KeyPlace { key: keys::SIZE.name.to_string(), ..KeyPlace::new(TIRE.name, index) }
}

/// Reads one `[tire]`.
pub(crate) fn read(entry: &Entry<'_>) -> Option<TireSet> {
    let set = TireSet {
        name: entry.get(&keys::NAME),
        size: entry.get(&keys::SIZE),
        published_revs: entry.either(&keys::PUBLISHED_REVS_PER_MILE, &keys::PUBLISHED_REVS_PER_KM),
        diameter: entry.get(&keys::DIAMETER),
        tread_depth_new: entry.get(&keys::TREAD_DEPTH_NEW),
        tread_depth: entry.get(&keys::TREAD_DEPTH),
        rated_pressure: entry.either(&keys::RATED_PRESSURE_PSI, &keys::RATED_PRESSURE_KPA),
        mounted: entry.get(&keys::MOUNTED).unwrap_or(false),
        line: entry.line(),
    };
    let published = entry.has(&keys::PUBLISHED_REVS_PER_MILE) || entry.has(&keys::PUBLISHED_REVS_PER_KM);
    let told = entry.has(&keys::SIZE) || entry.has(&keys::DIAMETER) || published;
    if told || entry.has(&keys::NAME) {
        return Some(set);
    }
    entry.itself().wrong(
        "a size, a diameter, revolutions per mile or a name",
        "none of them",
        "Add `size = \"...\"`",
    )
}
