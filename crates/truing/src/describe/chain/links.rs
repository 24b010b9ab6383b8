//! The chain from road to needle as a list to be shown.

use super::hypotheses::{Factor, Link};
use super::{Assumption, Basis, assumed_by};
use crate::describe::chain::reader::{Needle, Reader, Role};
use crate::describe::file::candidates::Candidates;
use crate::describe::vehicle::Vehicle;
use metrology::quantity::{PerLength, Ratio};
use schemars::JsonSchema;
use serde::Serialize;

/// Which link of the chain one is, whatever it is called.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum LinkId {
    /// The mounted tire.
    Tire,
    /// What turns or counts between the tire and the last wire or cable.
    Between(Link),
    /// What a reader assumes for a mile, by its place among the readers; none where the file has no reader.
    Assumed(Option<usize>),
    /// The pointer of a reader, by the same place.
    Needle(usize),
}

/// How a link acts on what comes to it.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Effect {
    /// What goes out is what comes in times the factor.
    Multiplies,
    /// What goes out is what comes in over the factor.
    Divides,
}

/// How well a factor is known.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Standing {
    /// It stands in the file as one value.
    Known,
    /// It is a figure from a data sheet, common practice, or one of several candidates.
    Assumed,
    /// It was measured.
    Measured,
    /// Nothing is said of it.
    Unknown,
}

impl Effect {
    /// For a person.
    pub fn word(self) -> &'static str {
        match self {
            Self::Multiplies => "multiplies",
            Self::Divides => "divides",
        }
    }
}

impl Standing {
    /// For a person.
    pub fn word(self) -> &'static str {
        match self {
            Self::Known => "known",
            Self::Assumed => "assumed",
            Self::Measured => "measured",
            Self::Unknown => "unknown",
        }
    }
}

/// A factor of the chain.
#[derive(Clone, Debug, PartialEq)]
pub enum Amount {
    /// Turns or counts per length of road.
    PerLength(PerLength),
    /// A plain factor.
    Plain(Factor),
}

/// One link of the chain.
#[derive(Clone, Debug, PartialEq)]
pub struct ChainLink {
    /// Which one it is.
    pub id: LinkId,
    /// Its name for a person.
    pub name: String,
    /// What it multiplies or divides by.
    pub factor: Candidates<Amount>,
    /// Which of the two.
    pub effect: Effect,
    /// How well it is known.
    pub standing: Standing,
}

/// The links from road to needle: the tire, what the chain multiplies, and for each reader what it assumes and the
/// gain of its pointer.
pub fn links(vehicle: &Vehicle) -> Vec<ChainLink> {
    let mut links = vec![tire(vehicle)];
    for link in vehicle.chain.links() {
        let factor = vehicle.chain.factors(link).map(|factor| Amount::Plain(factor.clone()));
        let standing = standing(&factor);
        let (id, name) = (LinkId::Between(link), link.name().into());
        links.push(ChainLink { id, name, factor, effect: Effect::Multiplies, standing });
    }
    if vehicle.readers.is_empty() {
        links.push(assumed(vehicle, None));
    }
    for (place, reader) in vehicle.readers.iter().enumerate() {
        links.push(assumed(vehicle, Some((place, reader))));
        links.extend(gain(place, reader));
    }
    links
}

fn standing(factor: &Candidates<Amount>) -> Standing {
    match factor.all().len() {
        0 => Standing::Unknown,
        1 => Standing::Known,
        _ => Standing::Assumed,
    }
}

fn tire(vehicle: &Vehicle) -> ChainLink {
    let published = vehicle.mounted().and_then(|set| set.published_revs);
    let factor = published.map_or_else(Candidates::absent, |revs| Candidates::known(Amount::PerLength(revs)));
    let standing = if factor.is_absent() { Standing::Unknown } else { Standing::Assumed };
    ChainLink { id: LinkId::Tire, name: "tire".into(), factor, effect: Effect::Multiplies, standing }
}

fn assumed(vehicle: &Vehicle, place_and_reader: Option<(usize, &Reader)>) -> ChainLink {
    let (place, reader) = place_and_reader.unzip();
    let assumption = assumed_by(reader, &vehicle.adjusters, vehicle.chain.transport);
    let (factor, standing) = match assumption {
        Assumption::PerLength { per_length, basis } => {
            let standing = if basis == Basis::Declared { Standing::Known } else { Standing::Assumed };
            (Candidates::known(Amount::PerLength(per_length)), standing)
        }
        Assumption::Constant(_) | Assumption::Declared(_) | Assumption::Unknown => {
            (Candidates::absent(), Standing::Unknown)
        }
    };
    let name = format!("{} assumes", reader.map_or("reader", |reader| &reader.name));
    ChainLink { id: LinkId::Assumed(place), name, factor, effect: Effect::Divides, standing }
}

/// The gain of a dial: exactly 1 with digits, about 1 with a pointer. Odometers have none.
fn gain(place: usize, reader: &Reader) -> Option<ChainLink> {
    if !reader.roles.contains(&Role::Dial) && reader.needle.is_none() {
        return None;
    }
    let one = Ratio::from_plain(1.0);
    let factor = Candidates::known(Amount::Plain(Factor { text: "1".into(), value: one, share: one }));
    let standing = if reader.needle == Some(Needle::Digital) { Standing::Known } else { Standing::Assumed };
    Some(ChainLink {
        id: LinkId::Needle(place),
        name: format!("needle of {}", reader.name),
        factor,
        effect: Effect::Multiplies,
        standing,
    })
}
