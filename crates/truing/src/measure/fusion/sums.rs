//! The quantities of a truck as sums of unknowns and beliefs, each bound to the tires and settings of its day.

use super::error_model::{NEEDLE_U, SLIP};
use super::id::{BeliefId, UnknownId};
use super::model::{Model, PartOf, Refusal, Sum};
use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::{Adjuster, AdjusterKind, ConstantUnit};
use crate::describe::chain::reader::{Branch, Needle, Role};
use crate::describe::chain::{CABLE_TURNS_PER_MILE, Link, SensorAt, Transport};
use crate::describe::evidence::Evidence;
use crate::describe::file::decimal::to_f64;
use crate::describe::vehicle::Vehicle;
use metrology::quantity::{METRES_PER_MILE, PerLength, Ratio};

/// Whether the wheels that the sensor follows are driven.
fn follows_driven_wheels(vehicle: &Vehicle) -> bool {
    vehicle.chain.sensor_at != Some(SensorAt::WheelRing)
}

/// By how much the wheels that the sensor follows turn more often than wheels that drive nothing.
pub fn followed_slip(vehicle: &Vehicle) -> Ratio {
    Ratio::from_plain(if follows_driven_wheels(vehicle) { SLIP.0 } else { 0.0 })
}

impl Model<'_> {
    /// ln N: turns per mile on the road of the wheels that the sensor follows.
    pub fn revs(&mut self, tires: Option<&str>) -> Sum {
        let set = self.set(tires);
        self.unknown(UnknownId::Revs(set))
    }

    /// ln N of a wheel that drives nothing: what a tape, a book or a ruler sees.
    pub fn free_revs(&mut self, tires: Option<&str>) -> Sum {
        let revs = self.revs(tires);
        if !follows_driven_wheels(self.vehicle) {
            return revs;
        }
        let slip = self.nuisance_at(UnknownId::Slip, SLIP.0, SLIP.1);
        revs.minus(&slip)
    }

    /// ln N of the driven wheels: what a propeller shaft or the engine sees.
    pub fn driven_revs(&mut self, tires: Option<&str>) -> Sum {
        let revs = self.revs(tires);
        if follows_driven_wheels(self.vehicle) {
            return revs;
        }
        let slip = self.nuisance_at(UnknownId::Slip, SLIP.0, SLIP.1);
        revs.plus(&slip)
    }

    /// ln of one link's factor today.
    pub fn link(&mut self, link: Link) -> Sum {
        let factor = match link {
            Link::Axle => self.hardware.axle.as_ref(),
            _ => self.hardware.part(link).and_then(|part| part.factor.as_ref()),
        };
        match factor {
            Some(factor) => {
                self.belief(BeliefId::Link(link), factor.value.plain().ln(), Some(PartOf::Link(link)))
            }
            None => self.unknown(UnknownId::Link(link)),
        }
    }

    /// ln of the transfer case's low range, wherever it acts.
    pub fn low_range(&mut self) -> Sum {
        match &self.hardware.low_range {
            Some(low) => self.belief(BeliefId::LowRange, low.value.plain().ln(), Some(PartOf::LowRange)),
            None => self.unknown(UnknownId::LowRange),
        }
    }

    /// ln of what low range does to the counts: it turns a sensor before the transfer case faster.
    pub fn low_range_at_sensor(&mut self, evidence: Option<&Evidence>) -> Sum {
        let before = self.vehicle.chain.sensor_at == Some(SensorAt::TransmissionOutput);
        if before && evidence.is_some_and(|evidence| evidence.low_range) {
            self.low_range()
        } else {
            Sum::default()
        }
    }

    /// ln T in high range over the links that `wanted` lets through, with what was fitted on the day of `evidence`.
    pub fn counts_per_turn(
        &mut self,
        evidence: Option<&Evidence>,
        wanted: impl Fn(Link) -> bool,
    ) -> Result<Sum, Refusal> {
        let mut links: Vec<Link> = self.hardware.parts.iter().map(|part| part.link).collect();
        // One that is not fitted any more, or not yet said to be, may still have been fitted then.
        for link in [Link::Conditioner, Link::Adapter] {
            if !links.contains(&link) {
                links.push(link);
            }
        }
        let mut sum = Sum::default();
        for link in links.into_iter().filter(|link| wanted(*link)) {
            sum = sum.plus(&self.link_then(link, evidence)?);
        }
        Ok(sum)
    }

    fn link_then(&mut self, link: Link, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        let today = |model: &mut Self| match model.hardware.part(link) {
            Some(_) => model.link(link),
            None => Sum::default(),
        };
        let vehicle = self.vehicle;
        let adjuster = vehicle.adjusters.iter().find(|adjuster| acts_on(&adjuster.kind) == Some(link));
        let (Some(evidence), Some(adjuster)) = (evidence, adjuster) else { return Ok(today(self)) };
        match (vehicle.setting_then(evidence, adjuster), adjuster.present()) {
            (None, Some(_)) => Err(unsaid(adjuster)),
            (Some(then), now) if now.as_ref().is_none_or(|now| !now.same_as(&then)) => match ln_factor(&then)
            {
                Some(ln) => Ok(self.belief(BeliefId::LinkThen { link, setting: then }, ln, None)),
                None => Ok(today(self)),
            },
            _ => Ok(today(self)),
        }
    }

    /// ln A of a reader, by its place in the file, with the settings of the day of `evidence`, or today's.
    pub fn assumed(&mut self, reader: Option<usize>, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        let vehicle = self.vehicle;
        let takes = reader.and_then(|index| Some((index, vehicle.readers.get(index)?.takes?)));
        if let Some((index, takes)) = takes {
            let per_mile = takes.per_length().per_mi();
            return Ok(self.belief(BeliefId::Takes(index), per_mile.ln(), None));
        }
        let Some((index, adjuster)) = decides_a_mile(vehicle) else {
            if vehicle.chain.transport == Transport::Cable {
                return Ok(self.belief(BeliefId::CableTurns, CABLE_TURNS_PER_MILE.ln(), None));
            }
            return Ok(self.unknown(UnknownId::Assumed(reader)));
        };
        let setting = match evidence {
            None => adjuster.present(),
            Some(evidence) => match (vehicle.setting_then(evidence, adjuster), adjuster.present()) {
                (None, Some(_)) => return Err(unsaid(adjuster)),
                (then, _) => then,
            },
        };
        match setting {
            Some(setting) => Ok(self.assumed_at(index, adjuster, setting)),
            None => Ok(self.unknown(UnknownId::Assumed(reader))),
        }
    }

    fn assumed_at(&mut self, index: usize, adjuster: &Adjuster, setting: Setting) -> Sum {
        let id = BeliefId::Setting { adjuster: index, setting: setting.clone() };
        match (&adjuster.kind, &setting) {
            (AdjusterKind::SteppedConstant(constant), Setting::Number(value)) => {
                let per_unit = match constant.per_unit {
                    Some(per_unit) => {
                        let ln = per_unit.per_length().per_mi().ln();
                        self.belief(BeliefId::CountsPerUnit(index), ln, None)
                    }
                    None => self.unknown(UnknownId::CountsPerUnit),
                };
                self.belief(id, to_f64(*value).ln(), None).plus(&per_unit)
            }
            (AdjusterKind::FreeConstant(constant), Setting::Number(value)) => {
                let per_mile = match constant.unit {
                    ConstantUnit::PulsesPerMile => 1.0,
                    ConstantUnit::PulsesPerKm => METRES_PER_MILE / 1e3,
                };
                self.belief(id, to_f64(*value).ln(), None).plus(&Sum::number(f64::ln(per_mile)))
            }
            (AdjusterKind::DeclaredTireAxle(_), Setting::Declared(declared)) => {
                let axle = declared.axle_ratio.as_ref().map(|axle| axle.ratio().plain().ln());
                let axle =
                    axle.map(|ln| (BeliefId::DeclaredAxle { adjuster: index, setting: setting.clone() }, ln));
                self.declared(id, to_f64(declared.revs_per_mile), axle)
            }
            (AdjusterKind::DeclaredTireAxle(_), Setting::Number(revs)) => {
                self.declared(id, to_f64(*revs), None)
            }
            _ => self.unknown(UnknownId::Assumed(None)),
        }
    }

    /// ln A of a module that is told a tire and an axle and takes the rest of the chain as it is. Behind the axle the
    /// declared one drops out.
    fn declared(&mut self, tire: BeliefId, revs_per_mile: f64, axle: Option<(BeliefId, f64)>) -> Sum {
        let links: Vec<Link> = self.hardware.parts.iter().map(|part| part.link).collect();
        let mut sum = self.belief(tire, revs_per_mile.ln(), None);
        for link in links {
            sum = match (link, &axle) {
                (Link::Axle, Some((axle, ln))) => sum.plus(&self.belief(axle.clone(), *ln, None)),
                _ => sum.plus(&self.link(link)),
            };
        }
        sum
    }

    /// ln of what a module puts out for each count it takes in. One that holds a constant reckons miles by it and puts out
    /// so many for each; any other multiplies as a link of the chain does.
    pub fn put_out(&mut self, evidence: &Evidence) -> Result<Sum, Refusal> {
        let Some((index, module)) = decides_a_mile(self.vehicle) else {
            return Ok(Sum::default());
        };
        let Some(puts_out) = module.puts_out.map(PerLength::per_mi) else {
            let found = "none, so counts at the module's output tell nothing";
            return Err((format!("`puts_out_per_mile` of the {}", module.spoken()), found.into()));
        };
        let puts_out = self.belief(BeliefId::PutOut(index), puts_out.ln(), None);
        Ok(puts_out.minus(&self.assumed(None, Some(evidence))?))
    }

    /// The reader with a role, where one is declared, by its place in the file.
    fn reader(&self, role: Role) -> Option<usize> {
        self.vehicle.readers.iter().position(|reader| reader.roles.contains(&role))
    }

    /// ln of the distance ratio: odometer over true.
    pub fn distance_ratio(&mut self, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        let reader = self.reader(Role::Odometer);
        self.ratio(reader, evidence)
    }

    /// ln of the needle's ratio; an analog needle has a gain of its own.
    pub fn needle_ratio(&mut self, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        let reader = self.reader(Role::Dial);
        let sum = self.ratio(reader, evidence)?;
        if self.dial_is_digital() {
            return Ok(sum);
        }
        let gain = self.nuisance(UnknownId::NeedleGain, NEEDLE_U);
        Ok(sum.plus(&gain))
    }

    pub fn dial_is_digital(&self) -> bool {
        let dial = self.reader(Role::Dial).map(|index| &self.vehicle.readers[index]);
        dial.and_then(|reader| reader.needle) == Some(Needle::Digital)
    }

    /// The computer whose speed is on the bus, where one is declared beside dial and odometer.
    fn computer(&self) -> Option<usize> {
        let roles = |index: &usize| &self.vehicle.readers[*index].roles;
        let shows =
            |index: &usize| ![Role::Dial, Role::Odometer].iter().any(|role| roles(index).contains(role));
        let computers: Vec<usize> = (0..self.vehicle.readers.len()).filter(shows).collect();
        let own = computers.iter().find(|index| roles(index).is_empty());
        own.or(computers.iter().find(|index| roles(index).contains(&Role::Transmission))).copied()
    }

    /// ln of the ratio of the speed on the bus: that of a computer declared beside dial and odometer; else that of the module
    /// whose setting decides a mile, taken to feed the odometer too.
    pub fn channel_ratio(&mut self, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        if let Some(computer) = self.computer() {
            let shows = self.belief(BeliefId::LogShows(computer), 0.0, None);
            return Ok(self.ratio(Some(computer), evidence)?.plus(&shows));
        }
        let decided = decides_a_mile(self.vehicle).is_some();
        let reader = if decided { None } else { self.reader(Role::Odometer) };
        let alike = self.belief(BeliefId::LogAndOdometer, 0.0, None);
        Ok(self.ratio(reader, evidence)?.plus(&alike))
    }

    fn ratio(&mut self, reader: Option<usize>, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        let after = reader.and_then(|index| self.vehicle.readers[index].after);
        let at_sensor = after == Some(Branch::Sensor);
        let counts = self.counts_per_turn(evidence, |link| {
            !(at_sensor && matches!(link, Link::Conditioner | Link::Adapter))
        })?;
        let assumed = self.assumed(reader, evidence)?;
        let low = self.low_range_at_sensor(evidence);
        let revs = self.revs(evidence.and_then(|evidence| evidence.tires.as_deref()));
        Ok(revs.plus(&counts).plus(&low).minus(&assumed))
    }
}

/// The adjuster whose setting decides a mile, with its place in the file.
fn decides_a_mile(vehicle: &Vehicle) -> Option<(usize, &Adjuster)> {
    vehicle.adjusters.iter().enumerate().find(|(_, adjuster)| adjuster.kind.decides_a_mile())
}

fn unsaid(adjuster: &Adjuster) -> Refusal {
    let expected = format!("the setting of the {} in force then", adjuster.spoken());
    (expected, "writes are recorded, and neither date nor setting tells which".into())
}

/// The link that an adjuster changes; none for those that act on A or are tires.
fn acts_on(kind: &AdjusterKind) -> Option<Link> {
    match kind {
        AdjusterKind::GearPair(_) => Some(Link::Gears),
        AdjusterKind::PulseRatio(_) => Some(Link::Conditioner),
        AdjusterKind::CableAdapter(_) => Some(Link::Adapter),
        AdjusterKind::ToneRing(_) => Some(Link::Ring),
        _ => None,
    }
}

fn ln_factor(setting: &Setting) -> Option<f64> {
    match setting {
        Setting::Pair(pair) => Some(pair.ratio().plain().ln()),
        Setting::Number(number) => Some(to_f64(*number).ln()),
        _ => None,
    }
}
