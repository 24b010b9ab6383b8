//! Unknowns, beliefs and equations of a truck.
//!
//! `ln R = ln N + ln T - ln A + ln G` (N revolutions per mile, T counts per tire turn, A counts per mile assumed, G gain of the
//! needle). What is uncertain is an unknown with, perhaps, a prior; what is taken as exactly known is a *belief*: a named
//! constant. Beliefs stay apart from the numbers, so another hardware or a perturbed belief changes constants only, and
//! nothing need be decomposed again.

use super::id::{BeliefId, PieceId, TireSetId, UnknownId, set_called, tire_sets};
use crate::describe::chain::{Hardware, Link};
use crate::describe::evidence::Evidence;
use crate::describe::vehicle::Vehicle;
use metrology::adjust::{Adjustment, Equation};

/// No piece of evidence is better than a millionth: a zero would make it a law.
const LEAST_U: f64 = 1e-6;

/// Why a piece of evidence cannot be used: what was expected and what was found.
pub(super) type Refusal = (String, String);

/// A sum of unknowns, beliefs and a number.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Sum {
    /// Index of each unknown with its coefficient.
    pub terms: Vec<(usize, f64)>,
    /// Index of each belief with its coefficient.
    pub beliefs: Vec<(usize, f64)>,
    /// The rest.
    pub constant: f64,
}

impl Sum {
    fn add(&mut self, other: &Sum, times: f64) {
        self.constant += times * other.constant;
        self.terms.extend(other.terms.iter().map(|(index, coefficient)| (*index, times * coefficient)));
        self.beliefs.extend(other.beliefs.iter().map(|(index, coefficient)| (*index, times * coefficient)));
    }

    pub fn plus(self, other: &Sum) -> Sum {
        self.plus_times(other, 1.0)
    }

    pub fn minus(self, other: &Sum) -> Sum {
        self.plus_times(other, -1.0)
    }

    pub fn plus_times(mut self, other: &Sum, times: f64) -> Sum {
        self.add(other, times);
        self
    }

    pub fn number(constant: f64) -> Sum {
        Sum { constant, ..Sum::default() }
    }

    /// What is known of it with these values of the beliefs.
    pub fn known(&self, beliefs: &[f64]) -> f64 {
        self.constant + self.beliefs.iter().map(|(index, times)| times * beliefs[*index]).sum::<f64>()
    }
}

/// A part whose factor differs between hypotheses.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum PartOf {
    /// A link of the chain, the axle included.
    Link(Link),
    /// The transfer case.
    LowRange,
}

impl PartOf {
    /// Logarithm of its factor, where it is known.
    pub fn ln(self, hardware: &Hardware) -> Option<f64> {
        let factor = match self {
            PartOf::Link(Link::Axle) => hardware.axle.as_ref(),
            PartOf::Link(link) => hardware.part(link).and_then(|part| part.factor.as_ref()),
            PartOf::LowRange => hardware.low_range.as_ref(),
        };
        factor.map(|factor| factor.value.plain().ln())
    }
}

/// Something taken as exactly known.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Belief {
    pub id: BeliefId,
    pub ln: f64,
    /// The part it is about, where the hypotheses decide it.
    pub part: Option<PartOf>,
}

/// An equation before its beliefs are filled in.
struct Row {
    id: PieceId,
    equation: Equation,
    beliefs: Vec<(usize, f64)>,
}

/// The unknowns and equations, made as they are first named.
pub(super) struct Model<'v> {
    pub vehicle: &'v Vehicle,
    pub hardware: &'v Hardware,
    pub beliefs: Vec<Belief>,
    sets: Vec<&'v str>,
    unknowns: Vec<UnknownId>,
    rows: Vec<Row>,
}

impl<'v> Model<'v> {
    /// `hardware` says which parts are known; its numbers are one hypothesis among others.
    pub fn new(vehicle: &'v Vehicle, hardware: &'v Hardware) -> Model<'v> {
        let (unknowns, beliefs, rows) = (Vec::new(), Vec::new(), Vec::new());
        Model { vehicle, hardware, beliefs, sets: tire_sets(vehicle), unknowns, rows }
    }

    /// The set of tires that a name means; the mounted one where there is none.
    pub fn set(&self, tires: Option<&str>) -> TireSetId {
        let called = set_called(self.vehicle, tires);
        TireSetId(self.sets.iter().position(|set| *set == called).unwrap_or(0))
    }

    /// An unknown without a prior.
    pub fn unknown(&mut self, id: UnknownId) -> Sum {
        let index = self.index_of(&id).unwrap_or_else(|| {
            self.unknowns.push(id);
            self.unknowns.len() - 1
        });
        Sum { terms: vec![(index, 1.0)], ..Sum::default() }
    }

    /// An unknown around zero, the same one wherever it is named.
    pub fn nuisance(&mut self, id: UnknownId, u: f64) -> Sum {
        self.nuisance_at(id, 0.0, u)
    }

    /// An unknown around a value; the first to name it says which.
    pub fn nuisance_at(&mut self, id: UnknownId, value: f64, u: f64) -> Sum {
        let known = self.index_of(&id).is_some();
        let sum = self.unknown(id.clone());
        if !known {
            let equation = Equation::prior(format!("{id:?}"), sum.terms.clone(), value, u);
            self.rows.push(Row { id: PieceId::Nuisance(id), equation, beliefs: Vec::new() });
        }
        sum
    }

    /// A constant taken as known, the same one wherever it is named.
    pub fn belief(&mut self, id: BeliefId, ln: f64, part: Option<PartOf>) -> Sum {
        let known = self.beliefs.iter().position(|belief| belief.id == id);
        let index = known.unwrap_or_else(|| {
            self.beliefs.push(Belief { id, ln, part });
            self.beliefs.len() - 1
        });
        Sum { beliefs: vec![(index, 1.0)], ..Sum::default() }
    }

    /// States that a sum was observed, by a piece of evidence or before any.
    pub fn observe(&mut self, id: PieceId, sum: Sum, seen: (f64, f64), dof: f64) {
        let (right, u) = (seen.0 - sum.constant, seen.1.max(LEAST_U));
        let evidence = match &id {
            PieceId::Evidence(index) => self.vehicle.evidence.get(*index),
            _ => None,
        };
        // Only shown where the mathematics refuses an equation.
        let label = evidence.map_or_else(|| format!("{id:?}"), Evidence::called);
        let is_prior = evidence.is_none();
        let equation = Equation { is_prior, ..Equation::evidence(label, sum.terms, right, u) };
        self.rows.push(Row { id, equation: equation.with_dof(dof), beliefs: sum.beliefs });
    }

    /// The beliefs' values with this hardware.
    pub fn values(&self, hardware: &Hardware) -> Vec<f64> {
        let value = |belief: &Belief| belief.part.and_then(|part| part.ln(hardware)).unwrap_or(belief.ln);
        self.beliefs.iter().map(value).collect()
    }

    /// The part of an equation that is known with these values of the beliefs.
    pub fn known_in(&self, row: usize, beliefs: &[f64]) -> f64 {
        self.rows[row].beliefs.iter().map(|(index, times)| times * beliefs[*index]).sum()
    }

    /// Right sides of the equations with these values of the beliefs.
    pub fn observed(&self, beliefs: &[f64]) -> Vec<f64> {
        let rows = self.rows.iter().enumerate();
        rows.map(|(index, row)| row.equation.observed - self.known_in(index, beliefs)).collect()
    }

    /// The equations with these values of the beliefs.
    pub fn adjustment(&self, beliefs: &[f64]) -> Adjustment {
        let mut adjustment =
            Adjustment::new(self.unknowns.iter().map(|id| format!("{id:?}")).collect::<Vec<String>>());
        for (row, observed) in self.rows.iter().zip(self.observed(beliefs)) {
            adjustment.push(Equation { observed, ..row.equation.clone() });
        }
        adjustment
    }

    /// The unknown at an index.
    pub fn unknown_at(&self, index: usize) -> &UnknownId {
        &self.unknowns[index]
    }

    /// Index of an unknown that was named already.
    pub fn index_of(&self, id: &UnknownId) -> Option<usize> {
        self.unknowns.iter().position(|known| known == id)
    }

    /// What an equation states.
    pub fn piece(&self, row: usize) -> &PieceId {
        &self.rows[row].id
    }

    /// The piece of evidence an equation was made from, by its place in the file.
    pub fn made_from(&self, row: usize) -> Option<usize> {
        match self.rows[row].id {
            PieceId::Evidence(index) => Some(index),
            _ => None,
        }
    }

    /// Whether an equation only holds a shared nuisance around zero.
    pub fn is_nuisance(&self, row: usize) -> bool {
        matches!(self.rows[row].id, PieceId::Nuisance(_))
    }

    /// Whether any equation takes a part as known.
    pub fn uses(&self, part: PartOf) -> bool {
        let index = self.beliefs.iter().position(|belief| belief.part == Some(part));
        index.is_some_and(|index| self.rows.iter().any(|row| times(&row.beliefs, index).abs() > 1e-9))
    }
}

/// The coefficient of a belief, all its mentions added.
fn times(beliefs: &[(usize, f64)], index: usize) -> f64 {
    beliefs.iter().filter(|(at, _)| *at == index).map(|(_, times)| times).sum()
}
