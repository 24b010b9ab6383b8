//! The chain from the road to the needle as boxes, with what can be set in its place.

use crate::describe::adjuster::{Adjuster, AdjusterKind};
use crate::describe::chain::{Effect, Link, LinkId, Standing};
use crate::describe::vehicle::Vehicle;
use crate::report::answers::description::{DescriptionReport, LinkReport};
use crate::report::document::ChainBox;
use crate::report::words::adjusters;

/// The link of the chain that an adjuster changes, where it is one of them.
fn link_of(adjuster: &Adjuster) -> Option<LinkId> {
    match adjuster.kind {
        AdjusterKind::GearPair(_) => Some(LinkId::Between(Link::Gears)),
        AdjusterKind::PulseRatio(_) => Some(LinkId::Between(Link::Conditioner)),
        AdjusterKind::CableAdapter(_) => Some(LinkId::Between(Link::Adapter)),
        AdjusterKind::ToneRing(_) => Some(LinkId::Between(Link::Ring)),
        AdjusterKind::Tires(_) => Some(LinkId::Tire),
        AdjusterKind::SteppedConstant(_)
        | AdjusterKind::FreeConstant(_)
        | AdjusterKind::DeclaredTireAxle(_) => None,
    }
}

/// A box for each link; what can be set has its frame in its place. A module that takes its constant for a mile stands
/// where the signal goes into what reads it.
pub(super) fn boxes(vehicle: &Vehicle, description: &DescriptionReport) -> Vec<ChainBox> {
    let link = |link: &LinkReport| {
        let sign = if link.effect == Effect::Divides { '\u{f7}' } else { '\u{d7}' };
        let known = link.standing != Standing::Unknown;
        ChainBox {
            name: link.name.clone(),
            factor: if known { format!("{sign} {}", link.shown) } else { format!("{sign} ?") },
            standing: link.standing.word().into(),
            known: Some(link.standing),
            is_set: false,
        }
    };
    let mut places: Vec<(LinkId, ChainBox)> =
        description.chain.iter().map(|one| (one.id, link(one))).collect();
    for adjuster in &vehicle.adjusters {
        let can = adjuster.writes_left.map_or("can be changed".into(), writes_left);
        let own = link_of(adjuster).and_then(|id| places.iter_mut().find(|(other, _)| *other == id));
        if let Some((_, own)) = own {
            (own.standing, own.is_set) = (can, true);
            continue;
        }
        let present = adjuster.present().map(|setting| adjusters::setting(adjuster, &setting));
        let own = ChainBox {
            name: adjuster.spoken().into(),
            factor: present.unwrap_or("?".into()),
            standing: can,
            known: None,
            is_set: true,
        };
        let reads = |(id, _): &(LinkId, ChainBox)| matches!(id, LinkId::Assumed(_) | LinkId::Needle(_));
        let at = places.iter().position(reads).unwrap_or(places.len());
        let id = link_of(adjuster).unwrap_or(LinkId::Tire);
        places.insert(at, (id, own));
    }
    // What a reader assumes is what the module was given: it does not stand there twice.
    let decides = vehicle.adjusters.iter().any(|adjuster| adjuster.kind.decides_a_mile());
    let told = |(id, shown): &(LinkId, ChainBox)| {
        decides && matches!(id, LinkId::Assumed(_)) && shown.known == Some(Standing::Unknown)
    };
    places.retain(|place| !told(place));
    places.into_iter().map(|(_, shown)| shown).collect()
}

fn writes_left(left: u32) -> String {
    if left == 1 { "1 write left".into() } else { format!("{left} writes left") }
}
