//! What else may be on the truck than the owner believes: real axle ratios, other rings.

use super::model::{Model, PartOf};
use crate::describe::chain::axle::tooth_pairs;
use crate::describe::chain::{Factor, Hardware, Link, MOST_HYPOTHESES};
use crate::describe::file::decimal::to_f64;
use metrology::quantity::Ratio;
use rust_decimal::Decimal;

/// Belief that one part is not what the owner believes, all alternatives of the truck together (judgement).
pub const DOUBT: f64 = 0.03;

/// Axle ratios in hundredths with the number of rows of the US EPA test car list 2004-2023 that have it (US government work,
/// as reduced in the public repository NREL/vehicle-data at commit c48aa4c5): those of 150 rows and more from 2.40 up, and
/// four lower ones of trucks from common practice, no source, with a weight of 60.
const AXLES: [(i64, u32); 45] = [
    (256, 163),
    (265, 310),
    (277, 160),
    (281, 398),
    (282, 192),
    (285, 150),
    (294, 355),
    (306, 153),
    (307, 297),
    (308, 416),
    (313, 195),
    (315, 415),
    (316, 170),
    (320, 295),
    (321, 209),
    (323, 576),
    (327, 409),
    (331, 387),
    (333, 286),
    (336, 448),
    (339, 216),
    (342, 530),
    (344, 343),
    (345, 177),
    (346, 338),
    (351, 169),
    (353, 157),
    (354, 412),
    (355, 524),
    (365, 224),
    (369, 285),
    (370, 276),
    (373, 1092),
    (390, 210),
    (391, 398),
    (394, 180),
    (406, 207),
    (410, 506),
    (411, 284),
    (430, 249),
    (444, 226),
    (456, 60),
    (488, 60),
    (513, 60),
    (529, 60),
];

/// Rings of sensors that are commonly met. Common practice, no source.
const RINGS: [u32; 18] = [12, 16, 20, 24, 36, 40, 44, 48, 52, 60, 72, 80, 92, 96, 100, 104, 108, 120];

/// Rings near the believed one are as likely: somebody counted wrongly.
const MISCOUNTED: u32 = 4;

/// Counts per turn of a sensor's own shaft. Common practice, no source.
const SENSORS: [u32; 7] = [2, 4, 6, 8, 16, 30, 40];

/// A hypothesis the owner did not name.
pub(super) struct Alternative {
    pub hardware: Hardware,
    pub link: Link,
    /// The part in it, and what the owner believes, as a person writes them.
    pub instead: (String, String),
    pub prior: f64,
}

/// Alternatives to every part that the file gives as one value and that some evidence sees; their priors add up to
/// [`DOUBT`], shared among the parts.
pub(super) fn alternatives(model: &Model, hypotheses: &[Hardware]) -> Vec<Alternative> {
    let seen = |link: &Link| model.uses(PartOf::Link(*link));
    let believed = |link: &Link| believed(model, *link).is_some();
    let links: Vec<Link> = [Link::Axle, Link::Ring, Link::Sensor]
        .into_iter()
        .filter(|link| seen(link) && believed(link))
        .collect();
    let doubt = DOUBT / links.len().max(1) as f64;
    links.into_iter().flat_map(|link| instead_of(model, hypotheses, link, doubt)).collect()
}

/// What the file says of a link, where that is one value.
fn believed(model: &Model, link: Link) -> Option<String> {
    let chain = &model.vehicle.chain;
    match link {
        Link::Axle => chain.axle_ratio.single().map(ToString::to_string),
        Link::Ring => chain.ring_teeth.single().map(ToString::to_string),
        Link::Sensor => chain.counts_per_turn.single().map(ToString::to_string),
        _ => None,
    }
}

fn instead_of(model: &Model, hypotheses: &[Hardware], link: Link, doubt: f64) -> Vec<Alternative> {
    let Some(belief) = believed(model, link) else { return Vec::new() };
    let factors = catalogue(model, hypotheses, link);
    let text = |hardware: &Hardware| factor(hardware, link).map(|factor| factor.text.clone());
    let first = hypotheses.first().and_then(text);
    let bases: Vec<&Hardware> = hypotheses.iter().filter(|hardware| text(hardware) == first).collect();
    if bases.len().saturating_mul(factors.len()) > MOST_HYPOTHESES {
        return Vec::new();
    }
    let total: f64 = bases.iter().map(|hardware| hardware.prior.plain()).sum();
    let weight: f64 = factors.iter().map(|factor| factor.share.plain()).sum();
    let pairs = bases.iter().flat_map(|base| factors.iter().map(move |factor| (*base, factor)));
    let made = pairs.map(|(base, factor)| {
        let prior = doubt * base.prior.plain() / total * factor.share.plain() / weight;
        let hardware = with(base, link, factor);
        Alternative { hardware, link, instead: (factor.text.clone(), belief.clone()), prior }
    });
    made.collect()
}

fn factor(hardware: &Hardware, link: Link) -> Option<&Factor> {
    match link {
        Link::Axle => hardware.axle.as_ref(),
        _ => hardware.part(link)?.factor.as_ref(),
    }
}

/// The same truck with another part.
fn with(base: &Hardware, link: Link, factor: &Factor) -> Hardware {
    let mut hardware = base.clone();
    if link == Link::Axle {
        hardware.axle = Some(factor.clone());
    }
    for part in hardware.parts.iter_mut().filter(|part| part.link == link) {
        part.factor = Some(factor.clone());
    }
    hardware.label = format!("{} {} instead", link.name(), factor.text);
    hardware
}

/// What may stand in place of the believed part, each with its weight; never what rounds to the belief.
fn catalogue(model: &Model, hypotheses: &[Hardware], link: Link) -> Vec<Factor> {
    let known = |value: f64| {
        let mut values =
            hypotheses.iter().filter_map(|hardware| factor(hardware, link)).map(|it| it.value.plain());
        values.any(|believed| (believed / value).ln().abs() < SAME)
    };
    let made: Vec<Factor> = match link {
        Link::Axle => AXLES.iter().map(|(hundredths, rows)| axle(*hundredths, *rows)).collect(),
        Link::Ring => {
            let believed = model.vehicle.chain.ring_teeth.single().copied().unwrap_or(0);
            let near = believed.saturating_sub(MISCOUNTED).max(1)..=believed.saturating_add(MISCOUNTED);
            let far = RINGS.into_iter().filter(|teeth| !near.contains(teeth));
            near.clone().chain(far).map(teeth).collect()
        }
        _ => SENSORS.into_iter().map(teeth).collect(),
    };
    made.into_iter().filter(|factor| !known(factor.value.plain())).collect()
}

/// Axles that differ by less than half a hundredth in three are the same to any evidence (logarithm).
const SAME: f64 = 0.0017;

fn teeth(teeth: u32) -> Factor {
    Factor {
        text: teeth.to_string(),
        value: Ratio::from_plain(f64::from(teeth)),
        share: Ratio::from_plain(1.0),
    }
}

/// An axle by its tooth pair where only one rounds to it.
fn axle(hundredths: i64, rows: u32) -> Factor {
    let decimal = Decimal::new(hundredths, 2);
    let share = Ratio::from_plain(f64::from(rows));
    match tooth_pairs(decimal)[..] {
        [pair] => Factor { text: format!("{decimal} ({pair})"), value: pair.ratio(), share },
        _ => Factor { text: decimal.to_string(), value: Ratio::from_plain(to_f64(decimal)), share },
    }
}
