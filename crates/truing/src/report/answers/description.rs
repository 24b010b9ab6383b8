//! The answer of `describe vehicle`.

use crate::describe::chain::{AlsoFeeds, Amount, ChainLink, Effect, LinkId, OthersRead, Standing, links};
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{Assumption, PieceId, QuantityId, VehicleEstimate};
use crate::problem::Problem;
use crate::report::answers::faults::OpenFault;
use crate::report::document::{Document, TableId};
use crate::report::words::value::V;
use crate::report::words::{cautions, held_back_by, value_rounded};
use crate::units::Units;
use metrology::quantity::{PerLength, Ratio, Speed};
use schemars::JsonSchema;
use serde::Serialize;

/// The speed at which frequencies are given, in mph and in km/h.
const PASSES_AT: (f64, f64) = (60.0, 100.0);

/// A truck as described: the chain from road to needle with what passes at each point.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DescriptionReport {
    /// The truck.
    pub vehicle: String,
    /// How it stands, in the sentence that the garage shows; null where nobody asked for it.
    pub state: Option<String>,
    /// The chain, from road to needle.
    pub chain: Vec<LinkReport>,
    /// What passes at each point, as far as it is known.
    pub points: Vec<PointReport>,
    /// What each adjuster is set to.
    pub adjusters: Vec<AdjusterReport>,
    /// Combinations of candidates that the file leaves open.
    pub hypotheses: usize,
    /// How many pieces of evidence the file holds.
    pub evidence: usize,
    /// What else lives on the same signal.
    pub also_feeds: Vec<AlsoFeeds>,
    /// Which signal they read; null where nothing else lives on it.
    pub others_read: Option<OthersRead>,
    /// Open faults that hold a drive back.
    pub held_back_by: Vec<String>,
    /// Every open fault and what it holds back.
    pub open_faults: Vec<OpenFault>,
    /// What was wrong with the file.
    pub problems: Vec<Problem>,
    #[serde(skip)]
    units: Units,
}

/// A link of the chain.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct LinkReport {
    /// Which one it is.
    #[serde(skip)]
    pub id: LinkId,
    /// What it is.
    pub name: String,
    /// The factors it may have.
    pub factors: Vec<f64>,
    /// In words.
    pub shown: String,
    /// Whether it multiplies or divides.
    pub effect: Effect,
    /// Known, assumed, measured or unknown.
    pub standing: Standing,
}

/// What passes at a point of the chain.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PointReport {
    /// What passes.
    pub name: String,
    /// How many per mile.
    pub per_mile: Option<f64>,
    /// How many per second at 60 mph.
    pub hz_at_60_mph: Option<f64>,
}

/// An adjuster.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AdjusterReport {
    /// What it is called.
    pub name: String,
    /// What it is set to.
    pub present: Option<String>,
    /// Writes it still accepts.
    pub writes_left: Option<u32>,
}

impl LinkReport {
    fn new(link: &ChainLink, revs: Option<&V>, measured: bool, units: Units) -> LinkReport {
        let number = |amount: &Amount| match amount {
            Amount::PerLength(per_length) => per_length.per_mi(),
            Amount::Plain(factor) => factor.value.plain(),
        };
        let shown = |amount: &Amount| match amount {
            // What a module or a head counts is a number per mile or per kilometre that is written on it.
            Amount::PerLength(per_length) if link.id != LinkId::Tire && !units.in_miles() => {
                format!("{} per mile, {} per km", plain(per_length.per_mi()), plain(per_length.per_km()))
            }
            Amount::PerLength(per_length) => {
                format!("{} {}", plain(units.of_per_length(*per_length)), units.per_word())
            }
            Amount::Plain(factor) => factor.text.clone(),
        };
        let all = link.factor.all();
        // The tire's turns are what all evidence together says, where the file alone does not say.
        let (mut factors, mut words): (Vec<f64>, Vec<String>) =
            (all.iter().map(number).collect(), all.iter().map(shown).collect());
        let mut standing = link.standing;
        if let (true, LinkId::Tire, Some(revs)) = (all.is_empty(), link.id, revs) {
            factors = vec![revs.value];
            let shown = revs.to(|n| units.of_per_length(PerLength::from_per_mi(n)));
            let number = value_rounded(shown.value, shown.standard_uncertainty);
            words = vec![format!("{number} {}", units.per_word())];
            standing = if measured { Standing::Measured } else { Standing::Assumed };
        }
        LinkReport {
            id: link.id,
            name: link.name.clone(),
            factors,
            shown: if words.is_empty() { "unknown".into() } else { words.join(" or ") },
            effect: link.effect,
            standing,
        }
    }
}

/// With one decimal where that says something.
fn plain(number: f64) -> String {
    let text = format!("{number:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_string)
}

impl DescriptionReport {
    /// The report of a truck; `estimate` is what its evidence makes of it, with or without drives.
    pub fn new(
        vehicle: &Vehicle,
        estimate: &VehicleEstimate,
        problems: Vec<Problem>,
        units: Units,
    ) -> DescriptionReport {
        let revs = V::maybe(estimate.over_all.revs.as_ref(), PerLength::per_mi);
        let measured = tire_is_measured(estimate);
        let hypotheses = vehicle.chain.hypotheses();
        let points = match (&estimate.over_all.revs, hypotheses.as_slice()) {
            (Some(revs), [only]) => only
                .points(revs.value)
                .iter()
                .map(|point| PointReport {
                    name: point.name.into(),
                    per_mile: point.per_length.map(PerLength::per_mi),
                    hz_at_60_mph: point.frequency(Speed::from_mi_per_h(60.0)).map(|f| f.hz()),
                })
                .collect(),
            _ => Vec::new(),
        };
        DescriptionReport {
            vehicle: vehicle.name.clone(),
            state: None,
            chain: links(vehicle)
                .iter()
                .map(|link| LinkReport::new(link, revs.as_ref(), measured, units))
                .collect(),
            points,
            adjusters: vehicle
                .adjusters
                .iter()
                .map(|adjuster| AdjusterReport {
                    name: adjuster.spoken().into(),
                    present: adjuster.present().map(|setting| setting.to_string()),
                    writes_left: adjuster.writes_left,
                })
                .collect(),
            hypotheses: hypotheses.len(),
            evidence: vehicle.evidence.len(),
            others_read: others_read(vehicle),
            also_feeds: vehicle.chain.also_feeds.clone(),
            held_back_by: held_back_by(&vehicle.faults),
            open_faults: OpenFault::all(&vehicle.faults),
            problems,
            units,
        }
    }

    /// The same with how the truck stands.
    #[must_use]
    pub fn standing(self, line: &str) -> Self {
        Self { state: Some(line.to_string()), ..self }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("{}: what is on it", self.vehicle));
        if let Some(state) = &self.state {
            document.sentence(format!("How it stands: {state}"));
        }
        let row = |link: &LinkReport| {
            vec![
                link.name.clone(),
                link.effect.word().into(),
                link.shown.clone(),
                link.standing.word().into(),
            ]
        };
        document.table(
            "From the road to the needle",
            &["link", "does", "by", "is"],
            self.chain.iter().map(row).collect(),
        );
        self.push_points(&mut document);
        let row = |a: &AdjusterReport| {
            vec![
                a.name.clone(),
                a.present.clone().unwrap_or("not said".into()),
                a.writes_left.map_or("not said".into(), |n| n.to_string()),
            ]
        };
        if !self.adjusters.is_empty() {
            document.table(
                "What can be set",
                &["adjuster", "set to", "writes left"],
                self.adjusters.iter().map(row).collect(),
            );
        }
        if self.hypotheses > 1 {
            document.sentence(format!(
                "The file leaves {} combinations of hardware open; measuring weighs them.",
                self.hypotheses
            ));
        }
        if let Some(fed) = self.fed() {
            document.sentence(fed);
        }
        if let Some(caution) = feeds_caution(&self.also_feeds) {
            document.caution(caution);
        }
        if let Some(caution) = cautions::of_faults(&self.open_faults) {
            document.caution(caution);
        }
        document
    }

    fn push_points(&self, document: &mut Document) {
        if self.points.is_empty() {
            return;
        }
        let cell = |v: Option<f64>| v.map_or("unknown".to_string(), |v| format!("{v:.1}"));
        let (units, at) = (self.units, self.units.speed(self.units.by_road(PASSES_AT.0, PASSES_AT.1)));
        let row = |p: &PointReport| {
            let passes = p.per_mile.map(PerLength::from_per_mi);
            let frequency = passes.map(|passes| (at * passes).hz());
            vec![p.name.clone(), cell(passes.map(|passes| units.of_per_length(passes))), cell(frequency)]
        };
        let at = format!("per second at {}", units.say_speed(at, 0));
        let rows = self.points.iter().map(row).collect();
        document.table_of(TableId::WhatPasses, "What passes", &["what", units.per_word(), &at], rows);
    }
}

/// Which signal the others read, where there are any.
fn others_read(vehicle: &Vehicle) -> Option<OthersRead> {
    (!vehicle.chain.also_feeds.is_empty()).then(|| vehicle.chain.others_read.unwrap_or_default())
}

impl DescriptionReport {
    /// Who else reads, and which signal: what a new setting does to them.
    pub fn fed(&self) -> Option<String> {
        let signal = match self.others_read? {
            OthersRead::Sensor => "the sensor's own wire: what is stored in a module leaves that alone",
            OthersRead::Module => "what the module passes on: what is stored in it changes that too",
            OthersRead::NotKnown => {
                "the sensor's own wire, which a stored setting leaves alone, or what the module passes on, which it changes: not known which"
            }
        };
        Some(format!("Read by {} too: {signal}.", names(&self.also_feeds)))
    }
}

/// Whether the tire's turns rest on measurements: there are some, and the size printed on it does not move the answer.
fn tire_is_measured(estimate: &VehicleEstimate) -> bool {
    let believed =
        |one: &Assumption| matches!(one, Assumption::Prior(PieceId::Size(_) | PieceId::Published(_)));
    let hangs = estimate.hangs_on.iter().find(|(asked, _)| *asked == QuantityId::Revs);
    let moves = hangs.is_some_and(|(_, on)| on.iter().any(believed));
    !moves && estimate.evidence.iter().any(|piece| !piece.is_prior)
}

/// What else the signal feeds, said where a ring is changed, a wire tapped or a signal fed in.
pub(crate) fn feeds_caution(also_feeds: &[AlsoFeeds]) -> Option<String> {
    let brakes = also_feeds.contains(&AlsoFeeds::AntiLockBrakes);
    (!also_feeds.is_empty()).then(|| {
        let ending = if brakes { " A wrong signal there can take the anti-lock function away: follow the vehicle's service literature." } else { "" };
        format!("The same signal also feeds: {}. What is changed at the ring or the wire changes it for all of them.{ending}", names(also_feeds))
    })
}

fn names(also_feeds: &[AlsoFeeds]) -> String {
    also_feeds.iter().map(|feeds| feeds.word()).collect::<Vec<_>>().join(", ")
}

/// Per cent by which a ratio is off.
pub(crate) fn percent_off(ratio: Ratio) -> f64 {
    100.0 * (ratio.plain() - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::fusion::fuse;

    fn check(more: &str, expected: &str) {
        let (vehicle, problems) = Vehicle::read("test", &format!("[tire]\nsize = \"LT275/75R17\"\n{more}"));
        let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
        let estimate = fuse("test", &vehicle, Vec::new()).0;
        let report = DescriptionReport::new(&vehicle, &estimate, Vec::new(), Units::Us);
        assert_eq!(report.chain[0].standing.word(), expected, "{more}: {:?}", estimate.hangs_on);
    }

    #[test]
    fn a_tire_is_measured_when_its_size_no_longer_matters() {
        check("", "assumed");
        check("[[evidence]]\nkind = \"rollout\"\nturns = 5\nlength = \"42 ft 11 in\"\n", "measured");
        // What the odometer shows says nothing of the tire while nothing is known of the counts between them.
        check(
            "[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"10 mi\"\ntrue = \"10.4 mi\"\n",
            "assumed",
        );
    }
}
