//! What the model is made of, each by an id of its own. What a person calls them is for the report.

use crate::describe::adjuster::setting::Setting;
use crate::describe::chain::Link;
use crate::describe::vehicle::Vehicle;
use jiff::civil::Date;
use rust_decimal::Decimal;

/// The quantities that are asked of a truck, in the order of [`super::Quantities`].
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum QuantityId {
    /// Revolutions per mile of the mounted tires.
    Revs,
    /// Counts per mile at the wire.
    Counts,
    /// Odometer over true distance.
    DistanceRatio,
    /// Needle over true speed.
    NeedleRatio,
    /// Turns per mile of the propeller shaft.
    ShaftTurns,
}

impl QuantityId {
    /// All of them.
    pub const ALL: [QuantityId; 5] = [
        QuantityId::Revs,
        QuantityId::Counts,
        QuantityId::DistanceRatio,
        QuantityId::NeedleRatio,
        QuantityId::ShaftTurns,
    ];
}

/// A set of tires: its place in [`tire_sets`].
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct TireSetId(pub usize);

/// The names of all sets of tires that a vehicle file speaks of, each once; a set without a name has an empty one.
pub fn tire_sets(vehicle: &Vehicle) -> Vec<&str> {
    let declared = vehicle.tires.iter().map(|set| set.name.as_deref());
    let named = vehicle.evidence.iter().map(|evidence| evidence.tires.as_deref());
    let mut sets: Vec<&str> = Vec::new();
    for set in std::iter::once(None).chain(declared).chain(named).map(|name| set_called(vehicle, name)) {
        if !sets.contains(&set) {
            sets.push(set);
        }
    }
    sets
}

/// The set of tires that a name means: among sets without names there is only one.
pub(super) fn set_called<'v>(vehicle: &'v Vehicle, tires: Option<&'v str>) -> &'v str {
    let mounted = || vehicle.mounted().and_then(|set| set.name.as_deref()).unwrap_or_default();
    let Some(tires) = tires else { return mounted() };
    let named = vehicle.tires.iter().any(|set| set.name.is_some());
    let mut others = vehicle.evidence.iter().filter_map(|evidence| evidence.tires.as_deref());
    if !named && others.all(|other| other == tires) { mounted() } else { tires }
}

/// Conditions that all share which were measured on one day.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Day {
    /// The day.
    Date(Date),
    /// This piece of evidence alone, which has no date.
    Piece(usize),
}

/// An unknown of the model.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum UnknownId {
    /// Revolutions per mile of a set of tires.
    Revs(TireSetId),
    /// What a link multiplies by.
    Link(Link),
    /// Low range of the transfer case.
    LowRange,
    /// Counts per mile for each unit of a stored constant.
    CountsPerUnit,
    /// Counts per mile that a reader assumes, by its place in the file; none is whatever shows miles.
    Assumed(Option<usize>),
    /// Wear of a set of tires beside new ones.
    Wear(TireSetId),
    /// How a set of tires differs from those of any book.
    BesideBooks(TireSetId),
    /// How the pressure of a set of tires bears on its circumference.
    PressureEffect(TireSetId),
    /// How the load on a set of tires bears on its circumference.
    LoadEffect(TireSetId),
    /// Slip of the driven wheels.
    Slip,
    /// Gain of the needle.
    NeedleGain,
    /// Pressure, load and warmth of a day.
    Conditions(Day),
    /// A wheel pushed beside the same on the road.
    SlowRoll,
    /// Scale of the tape.
    Tape,
    /// Rolling radius over loaded radius.
    LoadedRadius,
    /// How the dial is read and set.
    DialHabit,
    /// How the dial is read from the passenger's seat.
    Parallax,
}

/// Something taken as exactly known.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum BeliefId {
    /// What a link multiplies by today.
    Link(Link),
    /// Low range of the transfer case.
    LowRange,
    /// What a link was set to multiply by when something was measured.
    LinkThen {
        /// The link.
        link: Link,
        /// Its setting then.
        setting: Setting,
    },
    /// Counts that a reader takes for a mile, by its place in the file.
    Takes(usize),
    /// Turns of a speedometer cable per mile.
    CableTurns,
    /// Counts per mile for each unit of a stored constant, as this adjuster has them.
    CountsPerUnit(usize),
    /// What an adjuster, by its place in the file, is or was set to.
    Setting {
        /// The adjuster.
        adjuster: usize,
        /// Its setting.
        setting: Setting,
    },
    /// The axle that such a setting declares.
    DeclaredAxle {
        /// The adjuster.
        adjuster: usize,
        /// Its setting.
        setting: Setting,
    },
    /// Counts per mile that an adjuster, by its place in the file, puts out.
    PutOut(usize),
    /// The log shows what a reader, by its place in the file, computes.
    LogShows(usize),
    /// The log and the odometer count alike.
    LogAndOdometer,
    /// The ratio of a gear.
    Gear(Decimal),
}

/// What an equation of the model states.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum PieceId {
    /// A piece of evidence, by its place in the file.
    Evidence(usize),
    /// What the size of a set of tires promises.
    Size(TireSetId),
    /// What the maker of a set of tires published.
    Published(TireSetId),
    /// That something which disturbs a measurement is about zero.
    Nuisance(UnknownId),
}

/// Something an answer hangs on.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Assumption {
    /// Taken as exactly known.
    Belief(BeliefId),
    /// Believed before anything was measured.
    Prior(PieceId),
}
