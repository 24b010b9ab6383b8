//! Every combination of what may be on the truck, each with the factor from turns of the tire to counts.

use super::{Chain, SensorAt, Transport};
use crate::describe::chain::axle::AxleRatio;
use crate::describe::file::candidates::Candidates;
use crate::describe::file::decimal::to_f64;
use crate::describe::file::fraction::Fraction;
use metrology::quantity::{Frequency, PerLength, Ratio, Speed};

/// Most combinations that are weighed; more say that the file does not know the truck at all.
pub const MOST_HYPOTHESES: usize = 4096;

/// A link between the tire's turns and the last wire or cable.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Link {
    /// Turns of the propeller shaft per turn of the wheels.
    Axle,
    /// Turns of the cable or sensor per turn of the output shaft.
    Gears,
    /// Counts per turn of the tone ring.
    Ring,
    /// Counts per turn of the sensor's own shaft.
    Sensor,
    /// Output counts per input count.
    Conditioner,
    /// Output turns per input turn.
    Adapter,
}

impl Link {
    /// Its name for a person.
    pub fn name(self) -> &'static str {
        match self {
            Self::Axle => "axle",
            Self::Gears => "drive and driven gear",
            Self::Ring => "tone ring",
            Self::Sensor => "sensor",
            Self::Conditioner => "conditioner",
            Self::Adapter => "cable adapter",
        }
    }
}

/// What a link multiplies by.
#[derive(Clone, Debug, PartialEq)]
pub struct Factor {
    /// As it is written: `41/11`, `96`.
    pub text: String,
    /// Its value.
    pub value: Ratio,
    /// The share of belief it has among the candidates for its link.
    pub share: Ratio,
}

/// A link with its factor; `None` is an explicit unknown.
#[derive(Clone, Debug, PartialEq)]
pub struct LinkFactor {
    /// Which link.
    pub link: Link,
    /// What it multiplies by.
    pub factor: Option<Factor>,
}

/// One combination of the candidates.
#[derive(Clone, Debug, PartialEq)]
pub struct Hardware {
    /// What is assumed in it, for a person.
    pub label: String,
    /// The share of belief it has before anything was measured; all of a chain add up to 1.
    pub prior: Ratio,
    /// The links from the tire to the last wire or cable, in order.
    pub parts: Vec<LinkFactor>,
    /// The axle, also where the sensor does not see it.
    pub axle: Option<Factor>,
    /// Low range of the transfer case; in `parts` it is never included, which hold for high range.
    pub low_range: Option<Factor>,
}

/// A place in the chain with what passes there.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// What passes.
    pub name: &'static str,
    /// How many per length of road; unknown when a link before it is.
    pub per_length: Option<PerLength>,
}

impl Point {
    /// How many per time at a speed.
    pub fn frequency(&self, speed: Speed) -> Option<Frequency> {
        self.per_length.map(|events| speed * events)
    }
}

impl Hardware {
    /// The links whose factor is unknown.
    pub fn unknown(&self) -> Vec<Link> {
        self.parts.iter().filter(|part| part.factor.is_none()).map(|part| part.link).collect()
    }

    /// The part of a link, where the chain has it.
    pub fn part(&self, link: Link) -> Option<&LinkFactor> {
        self.parts.iter().find(|part| part.link == link)
    }

    /// What passes at each point of the chain for a tire of so many revolutions per length, high range.
    pub fn points(&self, revs: PerLength) -> Vec<Point> {
        let mut points = vec![Point { name: "turns of the tire", per_length: Some(revs) }];
        let mut passing = Some(revs);
        for part in &self.parts {
            let factor = part.factor.as_ref().map(|factor| factor.value.plain());
            passing = passing.zip(factor).map(|(passing, factor)| passing * factor);
            let name = match part.link {
                Link::Axle => "turns of the propeller shaft",
                Link::Gears => "turns of the cable or sensor",
                Link::Ring | Link::Sensor => "counts at the sensor",
                Link::Conditioner => "counts after the conditioner",
                Link::Adapter => "turns after the cable adapter",
            };
            points.push(Point { name, per_length: passing });
        }
        points
    }
}

impl Chain {
    /// Every combination of the candidates, each with its share of belief; at least one, [`MOST_HYPOTHESES`] at most.
    pub fn hypotheses(&self) -> Vec<Hardware> {
        let nothing = Hardware {
            label: String::new(),
            prior: Ratio::from_plain(1.0),
            parts: Vec::new(),
            axle: None,
            low_range: None,
        };
        let mut all =
            multiply(vec![nothing], &axle_factors(&self.axle_ratio), |hardware, axle| hardware.axle = axle);
        let low = equal_shares(&self.transfer_low_ratio.map(|low| (low.to_string(), to_f64(*low))));
        all = multiply(all, &low, |hardware, low| hardware.low_range = low);
        for link in self.links() {
            if link == Link::Axle {
                all.iter_mut().for_each(|it| it.parts.push(LinkFactor { link, factor: it.axle.clone() }));
                continue;
            }
            all = multiply(all, &self.factors(link), |hardware, factor| {
                hardware.parts.push(LinkFactor { link, factor })
            });
        }
        all.iter_mut().for_each(|hardware| hardware.label = label(hardware));
        all
    }

    /// How many combinations there would be without a limit.
    pub fn count_hypotheses(&self) -> usize {
        let links = self.links().into_iter().filter(|link| *link != Link::Axle);
        let counts = links.map(|link| self.factors(link).all().len());
        let beside = [axle_factors(&self.axle_ratio).all().len(), self.transfer_low_ratio.all().len()];
        counts.chain(beside).fold(1, |product, count| product.saturating_mul(count.max(1)))
    }

    /// The links from the tire to the last wire or cable, in order.
    pub fn links(&self) -> Vec<Link> {
        let counter = match (self.ring_teeth.is_absent(), self.counts_per_turn.is_absent(), self.sensor_at) {
            (false, _, _) | (true, true, Some(SensorAt::AxleRing | SensorAt::WheelRing)) => Link::Ring,
            _ => Link::Sensor,
        };
        let on_shaft =
            matches!(self.sensor_at, Some(SensorAt::TransmissionOutput | SensorAt::TransferCaseOutput));
        let by_cable = self.transport == Transport::Cable;
        let geared = !self.drive_gear.is_absent() || !self.driven_gear.is_absent() || by_cable;
        let counted = !by_cable || !self.ring_teeth.is_absent() || !self.counts_per_turn.is_absent();
        let stands = [
            (Link::Axle, on_shaft),
            (Link::Gears, on_shaft && geared),
            (Link::Adapter, !self.cable_adapter.is_absent()),
            (counter, counted || self.sensor_at.is_none()),
            (Link::Conditioner, !self.conditioner.is_absent()),
        ];
        stands.into_iter().filter(|(_, stands)| *stands).map(|(link, _)| link).collect()
    }

    /// What a link may multiply by; absent where that is unknown.
    pub fn factors(&self, link: Link) -> Candidates<Factor> {
        let teeth = |teeth: &u32| (teeth.to_string(), f64::from(*teeth));
        let ratio = |ratio: &Fraction| (ratio.to_string(), ratio.ratio().plain());
        match link {
            Link::Axle => axle_factors(&self.axle_ratio),
            Link::Gears => equal_shares(&self.gear_pairs().map(ratio)),
            // Without a place of the sensor the teeth of some ring say nothing about the tire.
            Link::Ring | Link::Sensor if self.sensor_at.is_none() => Candidates::absent(),
            Link::Ring => equal_shares(&self.ring_teeth.map(teeth)),
            Link::Sensor => equal_shares(&self.counts_per_turn.map(teeth)),
            Link::Conditioner => equal_shares(&self.conditioner.map(ratio)),
            Link::Adapter => equal_shares(&self.cable_adapter.map(ratio)),
        }
    }

    fn gear_pairs(&self) -> Candidates<Fraction> {
        let driven = self.driven_gear.all();
        let pairs = self.drive_gear.all().iter();
        Candidates::from_values(
            pairs
                .flat_map(|drive| driven.iter().filter_map(|driven| Fraction::new(*drive, *driven)))
                .collect(),
        )
    }
}

/// Each candidate equally likely.
fn equal_shares(candidates: &Candidates<(String, f64)>) -> Candidates<Factor> {
    let share = Ratio::from_plain(1.0 / candidates.all().len().max(1) as f64);
    candidates.map(|(text, value)| Factor { text: text.clone(), value: Ratio::from_plain(*value), share })
}

/// Each declared axle equally likely, and each tooth pair of a decimal equally likely within it. Pairs of the same
/// quotient are one; a decimal to which no plausible pair rounds stands for itself.
fn axle_factors(axles: &Candidates<AxleRatio>) -> Candidates<Factor> {
    let mut factors: Vec<(Option<Fraction>, Factor)> = Vec::new();
    for axle in axles.all() {
        let pairs = axle.tooth_pairs();
        let share = 1.0 / (axles.all().len() * pairs.len().max(1)) as f64;
        if pairs.is_empty() {
            factors.push((
                None,
                Factor { text: axle.to_string(), value: axle.ratio(), share: Ratio::from_plain(share) },
            ));
        }
        for pair in pairs {
            let known =
                factors.iter_mut().find(|(known, _)| known.is_some_and(|known| known.same_value(pair)));
            let share = Ratio::from_plain(share);
            match known {
                Some((_, factor)) => factor.share = factor.share + share,
                None => {
                    factors.push((Some(pair), Factor { text: pair.to_string(), value: pair.ratio(), share }))
                }
            }
        }
    }
    Candidates::from_values(factors.into_iter().map(|(_, factor)| factor).collect())
}

/// Every combination of what there was with every candidate, or with the unknown where there is none.
fn multiply(
    all: Vec<Hardware>,
    candidates: &Candidates<Factor>,
    put: impl Fn(&mut Hardware, Option<Factor>),
) -> Vec<Hardware> {
    let unknown = [None];
    let known: Vec<Option<Factor>> = candidates.all().iter().cloned().map(Some).collect();
    let choices = if known.is_empty() { &unknown[..] } else { &known[..] };
    let pairs = all.iter().flat_map(|hardware| choices.iter().map(move |choice| (hardware, choice)));
    let combined = pairs.take(MOST_HYPOTHESES).map(|(hardware, choice)| {
        let mut hardware = hardware.clone();
        let share = choice.as_ref().map_or(1.0, |factor| factor.share.plain());
        hardware.prior = hardware.prior * share;
        put(&mut hardware, choice.clone());
        hardware
    });
    combined.collect()
}

fn label(hardware: &Hardware) -> String {
    let axle = hardware.axle.as_ref().map(|axle| format!("{} {}", Link::Axle.name(), axle.text));
    let low = hardware.low_range.as_ref().map(|low| format!("low range {}", low.text));
    let others = hardware.parts.iter().filter(|part| part.link != Link::Axle);
    let others =
        others.filter_map(|part| Some(format!("{} {}", part.link.name(), part.factor.as_ref()?.text)));
    let said: Vec<String> = axle.into_iter().chain(others).chain(low).collect();
    if said.is_empty() { "hardware unknown".into() } else { said.join(", ") }
}
