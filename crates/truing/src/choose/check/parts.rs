//! Parts of a chain that do not go together.

use super::{Check, Checked, Odd, Settle, Transport};
use crate::describe::adjuster::AdjusterKind;
use crate::describe::chain::reader::Takes;
use crate::describe::chain::{Link, Transport as Travels};
use crate::describe::vehicle::Vehicle;

/// A ring or a conditioner where a cable turns the head, or an adapter for a cable on a wire.
pub(super) fn that_do_not_go_together(vehicle: &Vehicle) -> Vec<Check> {
    let has = |is: &dyn Fn(&AdjusterKind) -> bool| vehicle.adjusters.iter().any(|one| is(&one.kind));
    let heads_turn = vehicle.readers.iter().any(|reader| matches!(reader.takes, Some(Takes::Turns(_))));
    let on_cable = vehicle.chain.transport == Travels::Cable || heads_turn;
    let ring =
        !vehicle.chain.ring_teeth.is_absent() || has(&|kind| matches!(kind, AdjusterKind::ToneRing(_)));
    let conditioner =
        !vehicle.chain.conditioner.is_absent() || has(&|kind| matches!(kind, AdjusterKind::PulseRatio(_)));
    let sensor = !vehicle.chain.counts_per_turn.is_absent();
    let adapter = has(&|kind| matches!(kind, AdjusterKind::CableAdapter(_)));
    let odd = [
        (on_cable && ring, Link::Ring, Transport::Cable),
        (on_cable && conditioner, Link::Conditioner, Transport::Cable),
        (!on_cable && adapter && (ring || sensor), Link::Adapter, Transport::Wire),
    ];
    let odd = odd.into_iter().filter(|(is_odd, ..)| *is_odd);
    odd.map(|(_, link, with)| Check {
        what: Checked::Part(link),
        odd: Odd::DoesNotGoWith { with },
        slip: None,
        settle: Settle::LookAtThePart,
    })
    .collect()
}
