//! The answer of `choose`.

use crate::choose::{ABOUT_AS_GOOD, Advice, Brings, Choice, MeasurementKind, Prospect, Scored, within_95};
use crate::describe::thresholds::Thresholds;
use crate::describe::vehicle::Vehicle;
use crate::problem::Problem;
use crate::report::answers::decision::{DecisionNumber, DecisionReport};
use crate::report::answers::description::percent_off;
use crate::report::answers::engine::{self, EngineAtDialReport};
use crate::report::answers::errors::{ErrorReport, errors, rows};
use crate::report::answers::faults::OpenFault;
use crate::report::answers::outlook::OutlookReport;
use crate::report::answers::reason::ReasonReport;
use crate::report::charts;
use crate::report::document::{Block, Chart, Document, TableId};
use crate::report::findings::check::CheckDetails;
use crate::report::words;
use crate::report::words::doing::Doing;
use crate::report::words::measurements::what;
use crate::report::words::value::V;
use crate::report::words::{cautions, fault, held_back_by, signed_rounded};
use crate::units::Units;
use metrology::quantity::Ratio;
use schemars::JsonSchema;
use serde::Serialize;

/// What to do.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ChoiceReport {
    /// The truck.
    pub vehicle: String,
    /// What to do.
    pub advice: Advice,
    /// The best setting.
    pub best: Option<OptionReport>,
    /// What is stored now.
    pub present: Option<OptionReport>,
    /// The settings around the best, the truest first.
    pub options: Vec<OptionReport>,
    /// Probability that no other setting is truer.
    pub probability_best_is_best: Option<f64>,
    /// Why, in sentences.
    pub why: Vec<String>,
    /// The same as facts with their numbers, in the same order.
    pub reasons: Vec<ReasonReport>,
    /// What is to be checked before anything is stored, where that is the advice.
    pub checks: Vec<CheckDetails>,
    /// What to measure first.
    pub measure: Option<MeasureReport>,
    /// Every measurement in reach and what it would bring, the most useful first.
    pub measurements: Vec<ProspectReport>,
    /// The miles to come, where the file plans them.
    pub outlook: Option<OutlookReport>,
    /// The rule that was kept.
    pub rule: String,
    /// Engine speed by the dial, before and after.
    pub engine: Vec<EngineAtDialReport>,
    /// Error at each speed before and after.
    pub errors: Vec<ErrorReport>,
    /// Open faults that hold a drive back.
    pub held_back_by: Vec<String>,
    /// Every open fault and what it holds back.
    pub open_faults: Vec<OpenFault>,
    /// Writes left after the best setting was stored, where they are counted.
    pub writes_left_after: Option<u32>,
    /// The numbers it was decided by.
    pub decided_by: Vec<DecisionNumber>,
    /// What was wrong with the inputs.
    pub problems: Vec<Problem>,
    /// What it was decided by.
    #[serde(skip)]
    pub(crate) thresholds: Thresholds,
    /// The tires that are on now, as a plan names them.
    #[serde(skip)]
    pub(crate) mounted: Option<String>,
    #[serde(skip)]
    pub(crate) order: String,
    #[serde(skip)]
    settings_chart: Option<Chart>,
    #[serde(skip)]
    pub(crate) units: Units,
}

/// A setting.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct OptionReport {
    /// What it is called.
    pub label: String,
    /// Its value.
    pub value: f64,
    /// Indicated over true with it.
    pub expected_ratio: V,
    /// RMS of the relative error.
    pub rms: f64,
    /// It reads true within this share (95 %).
    pub within_95: f64,
    /// Probability that it breaks the rule.
    pub chance_of_breaking: Option<f64>,
    /// Miles the odometer counts for 1000 driven.
    pub odometer_miles_per_1000: f64,
    /// True miles per gallon over those by this odometer.
    pub fuel_economy_factor: f64,
    /// True litres per 100 km over those by this odometer.
    pub fuel_consumption_factor: f64,
    /// Writes it costs of adjusters that count them.
    pub writes: usize,
    /// The declared axle over the one fitted, where they differ.
    pub declared_axle_over_fitted: Option<f64>,
    /// What a computer that reads what the module passes on scales its scheduled speeds by: a shift comes at scheduled speed times this.
    pub shift_points_factor: f64,
    /// For each reader of the signal, what it reads over what it reads now.
    pub readers: Vec<ReaderReport>,
    /// It is stored now.
    pub is_present: bool,
}

/// What a setting does to a reader of the signal.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ReaderReport {
    /// The reader.
    pub name: String,
    /// What it reads over what it reads now.
    pub times: f64,
    /// This holds if it reads that signal, `sensor` or `module`; null where that is known, or makes no difference.
    pub if_reads: Option<String>,
}

/// A measurement in reach.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ProspectReport {
    /// Which measurement it is.
    pub kind: MeasurementKind,
    /// What to do.
    pub what: String,
    /// How long it takes.
    pub minutes: f64,
    /// Standard uncertainty of the ratio that it leaves.
    pub leaves: f64,
    /// By how much it lowers the expected error of what would be stored.
    pub gain: f64,
    /// Probability that it changes whether to write.
    pub changes_decision: f64,
    /// Probability that another setting is the best after it.
    pub changes_setting: f64,
    /// Open faults that hold it back.
    pub held_back_by: Vec<String>,
}

/// A measurement worth doing first.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeasureReport {
    /// Which measurement it is.
    pub kind: MeasurementKind,
    /// What to do.
    pub what: String,
    /// How long it takes.
    pub minutes: f64,
    /// Standard uncertainty of the ratio that it leaves.
    pub leaves: f64,
    /// Probability that it changes whether to write.
    pub changes_decision: f64,
    /// What it is proposed for.
    pub brings: Brings,
}

impl OptionReport {
    fn new(option: &Scored) -> OptionReport {
        OptionReport {
            label: option.label.clone(),
            value: option.value,
            expected_ratio: V::new(&option.expected_ratio, Ratio::plain),
            rms: option.rms.plain(),
            within_95: within_95(&option.expected_ratio).plain(),
            chance_of_breaking: option.chance_of_breaking.map(Ratio::plain),
            odometer_miles_per_1000: 1000.0 * option.expected_ratio.value.plain(),
            fuel_economy_factor: 1.0 / option.expected_ratio.value.plain(),
            fuel_consumption_factor: option.expected_ratio.value.plain(),
            writes: option.writes,
            shift_points_factor: 1.0 / option.expected_ratio.value.plain(),
            readers: option
                .readers
                .iter()
                .map(|reader| ReaderReport {
                    name: reader.name.clone(),
                    times: reader.times.plain(),
                    if_reads: reader.if_reads.map(|signal| signal.to_string()),
                })
                .collect(),
            declared_axle_over_fitted: option.misled_by.map(Ratio::plain),
            is_present: option.is_present,
        }
    }
}

/// Chances that are all below this are no column of a table (judgement).
const WORTH_A_COLUMN: f64 = 0.01;

impl ProspectReport {
    fn new(prospect: &Prospect) -> ProspectReport {
        ProspectReport {
            kind: prospect.measurement.kind,
            what: what(prospect.measurement.kind).into(),
            minutes: prospect.measurement.takes.min(),
            leaves: prospect.leaves.plain(),
            gain: prospect.gain.plain(),
            changes_decision: prospect.changes_decision.plain(),
            changes_setting: prospect.changes_setting.plain(),
            held_back_by: prospect.held_back_by.iter().map(fault).collect(),
        }
    }

    /// With the probabilities that say something of any of them.
    fn row(&self, [turns, moves]: [bool; 2]) -> Vec<String> {
        let what = match self.held_back_by.is_empty() {
            true => self.what.clone(),
            false => format!("{} (held back: {})", self.what, self.held_back_by.join(", ")),
        };
        let mut row = vec![
            what,
            format!("{:.0}", self.minutes),
            words::give_or_take(Ratio::from_plain(self.leaves)),
            format!("{:.2} points", 100.0 * self.gain.max(0.0)),
        ];
        let chance = |chance: f64| words::chance(Ratio::from_plain(chance));
        row.extend(turns.then(|| chance(self.changes_decision)));
        row.extend(moves.then(|| chance(self.changes_setting)));
        row
    }
}

impl ChoiceReport {
    /// The report of a choice.
    pub fn new(vehicle: &Vehicle, choice: &Choice, problems: Vec<Problem>, units: Units) -> ChoiceReport {
        let said = |reason| ReasonReport::new(vehicle, reason, units);
        let reasons: Vec<ReasonReport> = choice.why.iter().map(said).collect();
        ChoiceReport {
            vehicle: vehicle.name.clone(),
            advice: choice.advice,
            best: choice.best.as_ref().map(OptionReport::new),
            present: choice.present.as_ref().map(OptionReport::new),
            options: choice.options.iter().map(OptionReport::new).collect(),
            probability_best_is_best: choice.probability_best_is_best.map(Ratio::plain),
            why: reasons.iter().map(|reason| reason.text.clone()).collect(),
            reasons,
            checks: checks(vehicle, choice, units),
            measure: choice.measure.as_ref().map(|m| MeasureReport {
                kind: m.measurement.kind,
                what: what(m.measurement.kind).into(),
                minutes: m.measurement.takes.min(),
                leaves: m.leaves.plain(),
                changes_decision: m.changes_decision.plain(),
                brings: m.brings,
            }),
            measurements: choice.prospects.iter().map(ProspectReport::new).collect(),
            outlook: choice.outlook.as_ref().map(OutlookReport::new),
            rule: choice.rule.id.to_string(),
            engine: engine::at_dial(&choice.engine),
            errors: errors(vehicle, choice, units),
            held_back_by: held_back_by(&vehicle.faults),
            open_faults: OpenFault::all(&vehicle.faults),
            writes_left_after: writes_left_after(vehicle, choice),
            decided_by: DecisionReport::new(&vehicle.usage.thresholds).numbers,
            problems,
            thresholds: vehicle.usage.thresholds,
            mounted: vehicle.mounted().and_then(|set| set.called()).map(str::to_string),
            order: order(vehicle, choice),
            settings_chart: charts::choice::settings(choice),
            units,
        }
    }

    /// The same for a person.
    pub fn document(&self) -> Document {
        let mut document = Document::new(format!("{}: what to set", self.vehicle));
        document.sentence(self.headline());
        for sentence in &self.why {
            document.sentence(sentence.clone());
        }
        if let Some(caution) = cautions::of_faults(&self.open_faults) {
            document.caution(caution);
        }
        if let Some(probability) = self.probability_best_is_best.filter(|_| self.best_stands_apart()) {
            let chance = words::chance(Ratio::from_plain(probability));
            document.sentence(format!("Probability that no other setting is truer: {chance}."));
        }
        if !self.options.is_empty() {
            let per_1000 = format!("odometer per 1000 {}", self.units.road_word());
            let mut head = vec![
                "setting",
                "would read",
                "95 % interval",
                &per_1000,
                self.units.by_road("miles per gallon times", "litres per 100 km times"),
            ];
            let is_bound = self.options.iter().any(|option| option.chance_of_breaking.is_some());
            head.extend(is_bound.then_some("risk of breaking the rule"));
            document.table_of(TableId::Settings, "Settings", &head, self.option_rows());
            document.table_of(
                TableId::ErrorBySpeed,
                "Error by speed",
                &["true speed", "now", "with the best setting"],
                rows(&self.errors, self.units),
            );
            document.push(Block::Chart(self.errors_chart()));
            engine::push_at_dial(&self.engine, self.units, &mut document);
        }
        if let Some(outlook) = &self.outlook {
            outlook.push_to(self.units, &mut document);
        }
        self.push_measurements(&mut document);
        document
    }

    /// What could be measured; chances only where one of them says something.
    fn push_measurements(&self, document: &mut Document) {
        if self.measurements.is_empty() {
            return;
        }
        let any =
            |of: fn(&ProspectReport) -> f64| self.measurements.iter().any(|one| of(one) >= WORTH_A_COLUMN);
        let told = [any(|one| one.changes_decision), any(|one| one.changes_setting)];
        let mut head = vec!["measurement", "minutes", "leaves", "gains"];
        head.extend(told[0].then_some("may turn write or leave"));
        head.extend(told[1].then_some("may turn the setting"));
        let rows = self.measurements.iter().map(|one| one.row(told)).collect();
        let caption = "What could be measured, and what it would bring";
        document.table_of(TableId::Measurements, caption, &head, rows);
    }

    /// The settings in reach under the distribution of what is needed; none where the ratio is not known.
    pub fn settings_chart(&self) -> Option<&Chart> {
        self.settings_chart.as_ref()
    }

    /// The error by speed, before and after.
    pub fn errors_chart(&self) -> Chart {
        charts::choice::errors(self)
    }

    /// Whether the next setting is worse by enough to matter: on a fine grid neighbours are as good, and how likely one of
    /// them is truer says nothing.
    fn best_stands_apart(&self) -> bool {
        let Some(best) = &self.best else { return false };
        let others = self.options.iter().filter(|option| option.label != best.label);
        others.map(|option| option.rms - best.rms).fold(f64::INFINITY, f64::min) > ABOUT_AS_GOOD
    }

    /// The advice in one line.
    pub fn headline(&self) -> String {
        match (self.advice, &self.best) {
            (Advice::Write, Some(_)) => format!("{}.", self.order),
            (Advice::Leave, _) => "Leave it as it is.".into(),
            (Advice::CheckFirst, _) => "Check first.".into(),
            _ => "Measure first.".into(),
        }
    }

    fn option_rows(&self) -> Vec<Vec<String>> {
        let row = |option: &OptionReport| {
            let ratio = &option.expected_ratio;
            let u = 100.0 * ratio.standard_uncertainty;
            let off = |v: f64| format!("{} %", signed_rounded(percent_off(Ratio::from_plain(v)), u));
            let label =
                if option.is_present { format!("{} (now)", option.label) } else { option.label.clone() };
            let mut row = vec![
                label,
                off(ratio.value),
                format!("{} to {}", off(ratio.low_95), off(ratio.high_95)),
                format!("{:.0}", option.odometer_miles_per_1000),
                format!(
                    "{:.3}",
                    self.units.by_road(option.fuel_economy_factor, option.fuel_consumption_factor)
                ),
            ];
            // Only a rule that binds has a risk of being broken.
            row.extend(option.chance_of_breaking.map(|chance| words::chance(Ratio::from_plain(chance))));
            row
        };
        self.options.iter().map(row).collect()
    }
}

/// Each check with the sentence that says it.
fn checks(vehicle: &Vehicle, choice: &Choice, units: Units) -> Vec<CheckDetails> {
    let said =
        |check| CheckDetails::new(vehicle, check, words::reasons::check::sentence(vehicle, check, units));
    choice.checks.iter().map(said).collect()
}

/// What is to be done for the best setting.
fn order(vehicle: &Vehicle, choice: &Choice) -> String {
    choice.best.as_ref().map_or(String::new(), |best| Doing::order_of(vehicle, &best.settings))
}

/// Writes left of what the best setting changes once it is stored.
fn writes_left_after(vehicle: &Vehicle, choice: &Choice) -> Option<u32> {
    let best = choice.best.as_ref().filter(|best| !best.is_present)?;
    let left = best.settings.iter().filter_map(|(place, _)| vehicle.adjusters.get(*place)?.writes_left).min();
    left.map(|left| left.saturating_sub(1))
}
