//! Under which the tires rolled when something was measured, beside those in use: day, pressure and load, by construction.

use super::error_model::{DAY_U, TireErrors, tire_errors};
use super::id::{Day, TireSetId, UnknownId};
use super::model::{Model, Sum};
use crate::describe::evidence::Evidence;
use crate::describe::tire::circumference::{load_effect, load_share, pressure_effect};
use crate::describe::tire::set::TireSet;
use crate::describe::tire::size::Construction;
use crate::measure::drive::construction;
use metrology::quantity::Ratio;

impl Model<'_> {
    /// How a set of tires is built, where its size says it.
    fn construction(&self, tires: Option<&str>) -> Option<Construction> {
        construction(self.vehicle, tires)
    }

    /// How far off what is measured on a set of tires may be.
    pub fn tire_errors(&self, tires: Option<&str>) -> TireErrors {
        tire_errors(self.construction(tires))
    }

    /// The pressure that answers hold for: the usual one; where it is not said, that of the first piece that names one.
    fn usual_pressure(&self, set: TireSetId) -> Option<Ratio> {
        self.vehicle.usage.tire_pressure.or_else(|| self.first_said(set, |evidence| evidence.tire_pressure))
    }

    /// The load, likewise.
    fn usual_load(&self, set: TireSetId) -> Option<Ratio> {
        self.vehicle.usage.tire_load.or_else(|| self.first_said(set, |evidence| evidence.tire_load))
    }

    fn first_said(&self, set: TireSetId, said: impl Fn(&Evidence) -> Option<Ratio>) -> Option<Ratio> {
        let theirs = |evidence: &&Evidence| self.set(evidence.tires.as_deref()) == set;
        self.vehicle.evidence.iter().filter(theirs).find_map(said)
    }

    /// ln of how much more often tires turn at another pressure than at the usual one.
    fn at_pressure(&mut self, tires: Option<&str>, then: Option<Ratio>, usual: Option<Ratio>) -> Sum {
        let (Some(then), Some(usual)) = (then, usual) else { return Sum::default() };
        let (set, construction) = (self.set(tires), self.construction(tires).unwrap_or(Construction::Radial));
        let (value, u) = pressure_effect(construction);
        let effect = self.nuisance_at(UnknownId::PressureEffect(set), value, u);
        Sum::default().plus_times(&effect, -(then.plain() / usual.plain()).ln())
    }

    /// ln of how much more often they turn under another load than under the usual one.
    fn at_load(&mut self, tires: Option<&str>, then: Option<Ratio>, usual: Option<Ratio>) -> Sum {
        let (Some(then), Some(usual)) = (then, usual) else { return Sum::default() };
        let (set, construction) = (self.set(tires), self.construction(tires).unwrap_or(Construction::Radial));
        let (value, u) = load_effect(construction);
        let effect = self.nuisance_at(UnknownId::LoadEffect(set), value, u);
        let more = load_share(construction, then) - load_share(construction, usual);
        Sum::default().plus_times(&effect, more)
    }
}

/// Adds what the pressure and load of a measurement made of the turns, as far as they are told.
pub(super) fn as_it_rolled(model: &mut Model, sum: Sum, evidence: &Evidence) -> Sum {
    let tires = evidence.tires.as_deref();
    let set = model.set(tires);
    let (pressure, load) = (model.usual_pressure(set), model.usual_load(set));
    let by_pressure = model.at_pressure(tires, evidence.tire_pressure, pressure);
    let by_load = model.at_load(tires, evidence.tire_load, load);
    sum.plus(&by_pressure).plus(&by_load)
}

/// Adds the conditions of the day: warm and loaded tires turn otherwise than on another day.
pub(super) fn on_day(model: &mut Model, sum: Sum, evidence: &Evidence, day: Day) -> Sum {
    let errors = model.tire_errors(evidence.tires.as_deref());
    let told = evidence.tire_pressure.is_some() && evidence.tire_load.is_some();
    let u = if told { errors.day_told } else { errors.day };
    let conditions = model.nuisance(UnknownId::Conditions(day), DAY_U);
    as_it_rolled(model, sum, evidence).plus_times(&conditions, u / DAY_U)
}

/// What size and book promise, at the rated pressure and load, beside those in use: adds what that makes of the turns, and says
/// whether pressure and load were told.
pub(super) fn as_rated(model: &mut Model, sum: Sum, set: &TireSet) -> (Sum, (bool, bool)) {
    let tires = set.name.as_deref();
    let (pressure, load) = (model.vehicle.usage.tire_pressure, model.vehicle.usage.tire_load);
    let by_pressure = model.at_pressure(tires, set.rated_pressure, pressure);
    let by_load = model.at_load(tires, Some(Ratio::from_plain(1.0)), load);
    let told = (set.rated_pressure.is_some() && pressure.is_some(), load.is_some());
    (sum.plus(&by_pressure).plus(&by_load), told)
}
