//! Where what can be set ends short of what is needed, and what would help then.

use super::Scored;
use super::study::Study;
use crate::describe::adjuster::AdjusterKind;
use crate::describe::adjuster::Button;
use crate::describe::adjuster::setting::Setting;
use crate::describe::chain::reader::Takes;
use crate::describe::chain::{SensorAt, Transport};
use crate::describe::vehicle::Vehicle;
use metrology::quantity::Ratio;
use schemars::JsonSchema;
use serde::Serialize;

/// What else sets a truck right.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Help {
    /// A conditioner in the sensor's wire.
    Conditioner,
    /// Other drive and driven gears.
    Gears,
    /// A ring with other teeth.
    Ring,
    /// A small gearbox in the cable.
    Adapter,
    /// Another size of tires.
    Tires,
}

/// What helps on a truck beside what it can set already.
pub(super) fn helps(vehicle: &Vehicle) -> Vec<Help> {
    let turns = vehicle.readers.iter().any(|reader| matches!(reader.takes, Some(Takes::Turns(_))));
    let on_cable = vehicle.chain.transport == Transport::Cable || turns;
    let has = |is: &dyn Fn(&AdjusterKind) -> bool| vehicle.adjusters.iter().any(|one| is(&one.kind));
    let ring = !vehicle.chain.ring_teeth.is_absent();
    let on_shaft = matches!(
        vehicle.chain.sensor_at,
        Some(SensorAt::TransmissionOutput | SensorAt::TransferCaseOutput) | None
    );
    let all = [
        (!on_cable && !has(&|kind| matches!(kind, AdjusterKind::PulseRatio(_))), Help::Conditioner),
        (on_cable && !has(&|kind| matches!(kind, AdjusterKind::CableAdapter(_))), Help::Adapter),
        (on_shaft && !ring && !has(&|kind| matches!(kind, AdjusterKind::GearPair(_))), Help::Gears),
        (ring && !has(&|kind| matches!(kind, AdjusterKind::ToneRing(_))), Help::Ring),
        (!has(&|kind| matches!(kind, AdjusterKind::Tires(_))), Help::Tires),
    ];
    all.into_iter().filter(|(helps, _)| *helps).map(|(_, help)| help).collect()
}

/// How far what can be set ends short of the truth, where that is more than a write must bring.
pub(super) fn ends_short(study: &Study, best: &Scored) -> Option<Ratio> {
    let ends = study.parts.all.iter().map(|part| part.offer.ends());
    let (low, high) = ends.fold((0.0, 0.0), |(low, high), (least, most)| (low + least, high + most));
    let least = study.thresholds.worth_a_write.plain();
    let (lowest, highest) = (study.base + low, study.base + high);
    let left = if lowest > least {
        lowest
    } else if highest < -least {
        highest
    } else {
        return None;
    };
    let best = best.expected_ratio.value.plain().ln();
    // What a declared axle or a part set beside would cost may keep the best from the very end.
    Some(Ratio::from_plain(if best.abs() > left.abs() { best.exp() } else { left.exp() }))
}

/// The value nearest to the truth that the buttons do not lead to, with the only button there is.
pub(super) fn barred(study: &Study, best: &Scored) -> Option<(Setting, Button)> {
    let [part] = study.parts.all.as_slice() else { return None };
    let AdjusterKind::SteppedConstant(it) = &part.adjuster.kind else { return None };
    let ([button], false) = (it.buttons.as_slice(), it.wraps) else { return None };
    let place = it.grid.index_of(it.grid.nearest(Ratio::from_plain(study.base.exp())))?;
    let present = it.grid.index_of(it.present?)?;
    let is_barred = if *button == Button::Up { place < present } else { place > present };
    let nearest = Setting::Number(it.grid.value(place)?);
    (is_barred && best.label != nearest.to_string()).then_some((nearest, *button))
}
