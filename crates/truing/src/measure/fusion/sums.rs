//! The quantities of a truck as sums of unknowns and beliefs, each bound to the tires and settings of its day.

use super::error_model::{NEEDLE_U, SLIP_U};
use super::model::{Model, PartOf, Refusal, Sum};
use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::{Adjuster, AdjusterKind, ConstantUnit};
use crate::describe::chain::reader::{Branch, Needle, Reader, Role};
use crate::describe::chain::{CABLE_TURNS_PER_MILE, Link, SensorAt, Transport};
use crate::describe::evidence::Evidence;
use crate::describe::file::decimal::to_f64;
use metrology::quantity::{METRES_PER_MILE, PerLength};

/// The unknown that stands for what a reader assumes.
pub(super) fn assumed_name(reader: Option<&Reader>) -> String {
    format!("counts per mile that {} assumes", reader.map_or("the head", |reader| &reader.name))
}

/// The unknown that stands for a link.
pub(super) fn link_name(link: Link) -> &'static str {
    match link {
        Link::Axle => "axle ratio",
        Link::Ring => "teeth of the tone ring",
        Link::Sensor => "counts per turn of the sensor",
        Link::Gears => "drive and driven gear",
        Link::Conditioner => "conditioner",
        Link::Adapter => "cable adapter",
    }
}

/// The unknown that ties a stored constant to counts.
pub(super) const PER_UNIT: &str = "counts per mile for each unit of the constant";

impl Model<'_> {
    /// Whether the wheels that the sensor follows are driven.
    fn follows_driven_wheels(&self) -> bool {
        self.vehicle.chain.sensor_at != Some(SensorAt::WheelRing)
    }

    /// The set of tires that a name means: among sets without names there is only one.
    pub fn set_called(&self, tires: Option<&str>) -> String {
        let mounted = || self.vehicle.mounted().and_then(|set| set.name.clone()).unwrap_or_default();
        let Some(tires) = tires else { return mounted() };
        let named = self.vehicle.tires.iter().any(|set| set.name.is_some());
        let mut others = self.vehicle.evidence.iter().filter_map(|evidence| evidence.tires.as_deref());
        if !named && others.all(|other| other == tires) { mounted() } else { tires.to_owned() }
    }

    /// ln N: turns per mile on the road of the wheels that the sensor follows.
    pub fn revs(&mut self, tires: Option<&str>) -> Sum {
        let name = self.set_called(tires);
        let of = if name.is_empty() { name } else { format!(" of {name}") };
        self.unknown(&format!("revolutions per mile{of}"))
    }

    /// ln N of a wheel that drives nothing: what a tape, a book or a ruler sees.
    pub fn free_revs(&mut self, tires: Option<&str>) -> Sum {
        let revs = self.revs(tires);
        if !self.follows_driven_wheels() {
            return revs;
        }
        let slip = self.nuisance("slip of the driven wheels", SLIP_U);
        revs.minus(&slip)
    }

    /// ln N of the driven wheels: what a propeller shaft or the engine sees.
    pub fn driven_revs(&mut self, tires: Option<&str>) -> Sum {
        let revs = self.revs(tires);
        if self.follows_driven_wheels() {
            return revs;
        }
        let slip = self.nuisance("slip of the driven wheels", SLIP_U);
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
                let several = self.vehicle.chain.factors(link).all().len() > 1;
                let typed = self.vehicle.chain.axle_ratio.single().filter(|_| link == Link::Axle);
                let said = match (several, typed) {
                    (true, Some(typed)) => typed.to_string(),
                    (true, None) => "one of the candidates".into(),
                    (false, _) => factor.text.clone(),
                };
                let name = format!("{} {said}", link.name());
                self.belief(&name, factor.value.plain().ln(), Some(PartOf::Link(link)))
            }
            None => self.unknown(link_name(link)),
        }
    }

    /// ln of the transfer case's low range, wherever it acts.
    pub fn low_range(&mut self) -> Sum {
        match &self.hardware.low_range {
            Some(low) => {
                self.belief("low range of the transfer case", low.value.plain().ln(), Some(PartOf::LowRange))
            }
            None => self.unknown("low range of the transfer case"),
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
                Some(ln) => Ok(self.belief(&format!("{} {then} then", link.name()), ln, None)),
                None => Ok(today(self)),
            },
            _ => Ok(today(self)),
        }
    }

    /// ln A of a reader with the settings of the day of `evidence`, or today's.
    pub fn assumed(&mut self, reader: Option<&Reader>, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        if let (Some(reader), Some(takes)) = (reader, reader.and_then(|reader| reader.takes)) {
            let per_mile = takes.per_length().per_mi();
            return Ok(self.belief(
                &format!("{:.0} counts per mile taken by {}", per_mile, reader.name),
                per_mile.ln(),
                None,
            ));
        }
        let vehicle = self.vehicle;
        let Some(adjuster) = vehicle.adjusters.iter().find(|adjuster| adjuster.kind.decides_a_mile()) else {
            if vehicle.chain.transport == Transport::Cable {
                return Ok(self.belief("1000 turns of the cable per mile", CABLE_TURNS_PER_MILE.ln(), None));
            }
            return Ok(self.unknown(&assumed_name(reader)));
        };
        let setting = match evidence {
            None => adjuster.present(),
            Some(evidence) => match (vehicle.setting_then(evidence, adjuster), adjuster.present()) {
                (None, Some(_)) => return Err(unsaid(adjuster)),
                (then, _) => then,
            },
        };
        match setting {
            Some(setting) => Ok(self.assumed_at(adjuster, &setting)),
            None => Ok(self.unknown(&assumed_name(reader))),
        }
    }

    fn assumed_at(&mut self, adjuster: &Adjuster, setting: &Setting) -> Sum {
        let name = format!("{} {setting}", adjuster.name.as_deref().unwrap_or("setting"));
        match (&adjuster.kind, setting) {
            (AdjusterKind::SteppedConstant(constant), Setting::Number(value)) => {
                let per_unit = match constant.counts_per_mile_per_unit {
                    Some(per_unit) => {
                        self.belief(&format!("{per_unit} {PER_UNIT}"), to_f64(per_unit).ln(), None)
                    }
                    None => self.unknown(PER_UNIT),
                };
                self.belief(&name, to_f64(*value).ln(), None).plus(&per_unit)
            }
            (AdjusterKind::FreeConstant(constant), Setting::Number(value)) => {
                let per_mile = match constant.unit {
                    ConstantUnit::PulsesPerMile => 1.0,
                    ConstantUnit::PulsesPerKm => METRES_PER_MILE / 1e3,
                };
                self.belief(&name, to_f64(*value).ln(), None).plus(&Sum::number(f64::ln(per_mile)))
            }
            (AdjusterKind::DeclaredTireAxle(_), Setting::Declared(declared)) => self.declared(
                &name,
                to_f64(declared.revs_per_mile),
                declared.axle_ratio.as_ref().map(|a| a.ratio().plain()),
            ),
            (AdjusterKind::DeclaredTireAxle(_), Setting::Number(revs)) => {
                self.declared(&name, to_f64(*revs), None)
            }
            _ => self.unknown(&assumed_name(None)),
        }
    }

    /// ln A of a module that is told a tire and an axle and takes the rest of the chain as it is. Behind the axle the
    /// declared one drops out.
    fn declared(&mut self, name: &str, revs_per_mile: f64, axle: Option<f64>) -> Sum {
        let links: Vec<Link> = self.hardware.parts.iter().map(|part| part.link).collect();
        let mut sum = self.belief(name, revs_per_mile.ln(), None);
        for link in links {
            sum = match (link, axle) {
                (Link::Axle, Some(axle)) => {
                    sum.plus(&self.belief(&format!("{name}: its axle"), axle.ln(), None))
                }
                _ => sum.plus(&self.link(link)),
            };
        }
        sum
    }

    /// ln of what a module puts out for each count it takes in. One that holds a constant reckons miles by it and puts out
    /// so many for each; any other multiplies as a link of the chain does.
    pub fn put_out(&mut self, evidence: &Evidence) -> Result<Sum, Refusal> {
        let Some(module) = self.vehicle.adjusters.iter().find(|adjuster| adjuster.kind.decides_a_mile())
        else {
            return Ok(Sum::default());
        };
        let Some(puts_out) = module.puts_out.map(PerLength::per_mi) else {
            let found = "none, so counts at the module's output tell nothing";
            return Err((format!("`puts_out_per_mile` of the {}", module.called()), found.into()));
        };
        let puts_out = self.belief(&format!("{puts_out:.0} counts per mile put out"), puts_out.ln(), None);
        Ok(puts_out.minus(&self.assumed(None, Some(evidence))?))
    }

    /// The reader with a role, where one is declared.
    fn reader(&self, role: Role) -> Option<&Reader> {
        self.vehicle.readers.iter().find(|reader| reader.roles.contains(&role))
    }

    /// ln of the distance ratio: odometer over true.
    pub fn distance_ratio(&mut self, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        let reader = self.reader(Role::Odometer).cloned();
        self.ratio(reader.as_ref(), evidence)
    }

    /// ln of the needle's ratio; an analog needle has a gain of its own.
    pub fn needle_ratio(&mut self, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        let reader = self.reader(Role::Dial).cloned();
        let sum = self.ratio(reader.as_ref(), evidence)?;
        if self.dial_is_digital() {
            return Ok(sum);
        }
        let gain = self.nuisance("gain of the needle", NEEDLE_U);
        Ok(sum.plus(&gain))
    }

    pub fn dial_is_digital(&self) -> bool {
        self.reader(Role::Dial).and_then(|reader| reader.needle) == Some(Needle::Digital)
    }

    /// ln of the ratio of the speed on the bus: that of a computer declared beside dial and odometer; else that of the module
    /// whose setting decides a mile, taken to feed the odometer too.
    pub fn channel_ratio(&mut self, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        let shows =
            |reader: &&Reader| !reader.roles.contains(&Role::Dial) && !reader.roles.contains(&Role::Odometer);
        let computers: Vec<&Reader> = self.vehicle.readers.iter().filter(shows).collect();
        let own = computers.iter().find(|reader| reader.roles.is_empty());
        let computer = own.or(computers.iter().find(|reader| reader.roles.contains(&Role::Transmission)));
        if let Some(computer) = computer.copied().cloned() {
            let speaks = self.belief(&format!("the log shows what {} computes", computer.name), 0.0, None);
            return Ok(self.ratio(Some(&computer), evidence)?.plus(&speaks));
        }
        let decided = self.vehicle.adjusters.iter().any(|adjuster| adjuster.kind.decides_a_mile());
        let reader = if decided { None } else { self.reader(Role::Odometer).cloned() };
        let speaks = self.belief("the log and the odometer count alike", 0.0, None);
        Ok(self.ratio(reader.as_ref(), evidence)?.plus(&speaks))
    }

    fn ratio(&mut self, reader: Option<&Reader>, evidence: Option<&Evidence>) -> Result<Sum, Refusal> {
        let at_sensor = reader.and_then(|reader| reader.after) == Some(Branch::Sensor);
        let counts = self.counts_per_turn(evidence, |link| {
            !(at_sensor && matches!(link, Link::Conditioner | Link::Adapter))
        })?;
        let assumed = self.assumed(reader, evidence)?;
        let low = self.low_range_at_sensor(evidence);
        let revs = self.revs(evidence.and_then(|evidence| evidence.tires.as_deref()));
        Ok(revs.plus(&counts).plus(&low).minus(&assumed))
    }
}

fn unsaid(adjuster: &Adjuster) -> Refusal {
    let expected = format!("the setting of the {} in force then", adjuster.called());
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
