//! The unknowns of a truck and the equations its evidence makes.
//!
//! `ln R = ln N + ln T - ln A + ln G` (N revolutions per mile, T counts per tire turn, A counts per mile assumed, G gain of the
//! needle). Unknowns are logarithms; a link whose factor the hypothesis knows is a constant, moved to the right side.

use crate::describe::adjuster::{Adjuster, AdjusterKind};
use crate::describe::chain::{Assumption, Hardware, Link, assumed_by};
use crate::describe::decimal::to_f64;
use crate::describe::evidence::Evidence;
use crate::describe::reader::{Needle, Reader, Role};
use crate::describe::setting::Setting;
use crate::describe::vehicle::Vehicle;
use metrology::adjust::{Adjustment, Equation};
use std::collections::BTreeMap;

/// Gain of an analog needle, one standard uncertainty of its logarithm: about 1.5 % (common practice, no source).
pub const NEEDLE_U: f64 = 0.015;
/// A pushed wheel at walking pace against the same wheel driving at road speed: growth with speed takes 0.1 to 0.3 % of the
/// turns away, slip of a driven wheel adds about as many (from memory).
pub const SLOW_ROLL_U: f64 = 0.0035;
/// A tape's own scale: class II steel is within 0.3 mm + 0.2 mm/m (Directive 2014/32/EU, annex X; from memory), cloth several
/// times that.
pub const TAPE_U: f64 = 0.0003;
/// Wear of the tire on the truck beside the new tire of the book (judgement, from the geometry of lost tread).
pub const WEAR_U: f64 = 0.007;
/// Pressure, load and warmth of one day beside another (judgement).
pub const DAY_U: f64 = 0.001;

/// A sum of unknowns and a known part.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sum {
    /// Index of each unknown with its coefficient.
    pub terms: Vec<(usize, f64)>,
    /// The part that is known.
    pub constant: f64,
}

impl Sum {
    pub(super) fn add(&mut self, other: &Sum, times: f64) {
        self.constant += times * other.constant;
        self.terms.extend(other.terms.iter().map(|(index, coefficient)| (*index, times * coefficient)));
    }

    pub(super) fn plus(mut self, other: &Sum) -> Sum {
        self.add(other, 1.0);
        self
    }

    pub(super) fn minus(mut self, other: &Sum) -> Sum {
        self.add(other, -1.0);
        self
    }

    pub(super) fn known(constant: f64) -> Sum {
        Sum { terms: Vec::new(), constant }
    }
}

/// The unknowns of one hypothesis, made as they are first named, with the equations.
pub struct Model<'v> {
    pub(super) vehicle: &'v Vehicle,
    pub(super) hardware: &'v Hardware,
    names: Vec<String>,
    index: BTreeMap<String, usize>,
    equations: Vec<Equation>,
    /// For each equation, the evidence it was made from; none for a prior.
    pub(super) made_from: Vec<Option<usize>>,
}

impl<'v> Model<'v> {
    pub(super) fn new(vehicle: &'v Vehicle, hardware: &'v Hardware) -> Model<'v> {
        Model {
            vehicle,
            hardware,
            names: Vec::new(),
            index: BTreeMap::new(),
            equations: Vec::new(),
            made_from: Vec::new(),
        }
    }

    /// An unknown without a prior.
    pub(super) fn unknown(&mut self, name: &str) -> Sum {
        let next = self.names.len();
        let index = *self.index.entry(name.to_owned()).or_insert(next);
        if index == next {
            self.names.push(name.to_owned());
        }
        Sum { terms: vec![(index, 1.0)], constant: 0.0 }
    }

    /// An unknown around nil, the same one wherever it is named.
    pub(super) fn nuisance(&mut self, name: &str, u: f64) -> Sum {
        let known = self.index.contains_key(name);
        let sum = self.unknown(name);
        if !known {
            self.equations.push(Equation::prior(name, sum.terms.clone(), 0.0, u));
            self.made_from.push(None);
        }
        sum
    }

    /// States that a sum was observed.
    pub(super) fn observe(
        &mut self,
        from: Option<usize>,
        label: &str,
        sum: Sum,
        observed: f64,
        u: f64,
        dof: f64,
    ) {
        let right = observed - sum.constant;
        let equation = if from.is_some() {
            Equation::evidence(label, sum.terms, right, u).with_dof(dof)
        } else {
            Equation::prior(label, sum.terms, right, u)
        };
        self.equations.push(equation);
        self.made_from.push(from);
    }

    pub(super) fn adjustment(&self) -> Adjustment {
        let mut adjustment = Adjustment::new(self.names.clone());
        for equation in &self.equations {
            adjustment.push(equation.clone());
        }
        adjustment
    }

    pub(super) fn names(&self) -> &[String] {
        &self.names
    }

    /// ln N per mile of a set of tires; the mounted one when none is named.
    pub(super) fn revs(&mut self, tires: Option<&str>) -> Sum {
        let mounted = self.vehicle.mounted().and_then(|set| set.name.clone());
        let name = tires.map(str::to_owned).or(mounted).unwrap_or_default();
        self.unknown(&format!(
            "revolutions per mile{}",
            if name.is_empty() { name } else { format!(" of {name}") }
        ))
    }

    /// ln of one link's factor.
    pub(super) fn link(&mut self, link: Link) -> Sum {
        let factor = match link {
            Link::Axle => self.hardware.axle.as_ref(),
            _ => self.hardware.part(link).and_then(|part| part.factor.as_ref()),
        };
        match factor {
            Some(factor) => Sum::known(factor.value.plain().ln()),
            None => self.unknown(match link {
                Link::Axle => "axle ratio",
                Link::Ring => "teeth of the tone ring",
                Link::Sensor => "counts per turn of the sensor",
                Link::Gears => "drive and driven gear",
                Link::Conditioner => "conditioner",
                Link::Adapter => "cable adapter",
            }),
        }
    }

    /// ln T in high range with the links that `wanted` lets through.
    pub(super) fn counts_per_turn(&mut self, wanted: impl Fn(Link) -> bool) -> Sum {
        let links: Vec<Link> =
            self.hardware.parts.iter().map(|part| part.link).filter(|l| wanted(*l)).collect();
        links.into_iter().fold(Sum::default(), |sum, link| sum.plus(&self.link(link)))
    }

    /// What the settings of one day make of T beside today's: multiplying adjusters only.
    pub(super) fn change_of_counts(&self, evidence: Option<&Evidence>) -> f64 {
        let Some(evidence) = evidence else { return 0.0 };
        let change = |adjuster: &Adjuster| {
            let then = self.vehicle.setting_then(evidence, adjuster)?;
            Some(ln_factor(adjuster, &then)? - ln_factor(adjuster, &adjuster.present()?)?)
        };
        self.vehicle.adjusters.iter().filter_map(change).sum()
    }

    /// ln A of a reader with the settings of the day of `evidence`, or today's.
    pub(super) fn assumed(&mut self, reader: Option<&Reader>, evidence: Option<&Evidence>) -> Sum {
        match self.assumption(reader, evidence) {
            Assumption::PerLength { per_length, .. } => Sum::known(per_length.per_mi().ln()),
            Assumption::Constant(value) => self
                .unknown("counts per mile for each unit of the constant")
                .plus(&Sum::known(to_f64(value).ln())),
            Assumption::Declared(declared) => {
                let rest = self.counts_per_turn(|link| link != Link::Axle);
                let sees_axle = self.hardware.part(Link::Axle).is_some();
                let axle = match (&declared.axle_ratio, sees_axle) {
                    (Some(axle), true) => Sum::known(axle.ratio().plain().ln()),
                    (None, true) => self.link(Link::Axle),
                    (_, false) => Sum::default(),
                };
                rest.plus(&axle).plus(&Sum::known(to_f64(declared.revs_per_mile).ln()))
            }
            Assumption::Unknown => {
                let name = reader.map_or("the head", |r| r.name.as_str());
                self.unknown(&format!("counts per mile that {name} assumes"))
            }
        }
    }

    fn assumption(&self, reader: Option<&Reader>, evidence: Option<&Evidence>) -> Assumption {
        let Some(evidence) = evidence.filter(|_| reader.is_none_or(|r| r.takes.is_none())) else {
            return assumed_by(reader, &self.vehicle.adjusters, self.vehicle.chain.transport);
        };
        let then =
            |adjuster: &Adjuster| adjuster.assumption_at(&self.vehicle.setting_then(evidence, adjuster)?);
        self.vehicle
            .adjusters
            .iter()
            .find_map(then)
            .unwrap_or_else(|| assumed_by(reader, &self.vehicle.adjusters, self.vehicle.chain.transport))
    }

    /// The reader with a role, where one is declared.
    pub(super) fn reader(&self, role: Role) -> Option<&'v Reader> {
        self.vehicle.readers.iter().find(|reader| reader.roles.contains(&role))
    }

    /// ln of the distance ratio: odometer over true.
    pub(super) fn distance_ratio(&mut self, evidence: Option<&Evidence>) -> Sum {
        let reader = self.reader(Role::Odometer);
        self.ratio(reader, evidence)
    }

    /// ln of the needle's ratio; an analog needle has a gain of its own.
    pub(super) fn needle_ratio(&mut self, evidence: Option<&Evidence>) -> Sum {
        let reader = self.reader(Role::Dial);
        let sum = self.ratio(reader, evidence);
        if reader.and_then(|reader| reader.needle) == Some(Needle::Digital) {
            return sum;
        }
        let gain = self.nuisance("gain of the needle", NEEDLE_U);
        sum.plus(&gain)
    }

    fn ratio(&mut self, reader: Option<&Reader>, evidence: Option<&Evidence>) -> Sum {
        use crate::describe::reader::Branch;
        let at_sensor = reader.and_then(|reader| reader.after) == Some(Branch::Sensor);
        let counts =
            self.counts_per_turn(|link| !(at_sensor && matches!(link, Link::Conditioner | Link::Adapter)));
        let assumed = self.assumed(reader, evidence);
        let tires = evidence.and_then(|evidence| evidence.tires.clone());
        let change = if at_sensor { 0.0 } else { self.change_of_counts(evidence) };
        let low = match evidence.is_some_and(|evidence| evidence.low_range) {
            true => self.low_range(),
            false => Sum::default(),
        };
        self.revs(tires.as_deref()).plus(&counts).plus(&low).plus(&Sum::known(change)).minus(&assumed)
    }

    /// ln of the low range, where the sensor sits before the transfer case.
    pub(super) fn low_range(&mut self) -> Sum {
        use crate::describe::chain::SensorAt;
        if self.vehicle.chain.sensor_at != Some(SensorAt::TransmissionOutput) {
            return Sum::default();
        }
        match &self.hardware.low_range {
            Some(low) => Sum::known(low.value.plain().ln()),
            None => self.unknown("low range of the transfer case"),
        }
    }
}

/// ln of what a setting multiplies T by; none for adjusters that act on A or are tires.
fn ln_factor(adjuster: &Adjuster, setting: &Setting) -> Option<f64> {
    match (&adjuster.kind, setting) {
        (
            AdjusterKind::GearPair(_) | AdjusterKind::PulseRatio(_) | AdjusterKind::CableAdapter(_),
            Setting::Pair(pair),
        ) => Some(pair.ratio().plain().ln()),
        (AdjusterKind::ToneRing(_), Setting::Number(teeth)) => Some(to_f64(*teeth).ln()),
        _ => None,
    }
}
