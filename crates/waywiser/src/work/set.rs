//! The steps to a setting, typed or advised.

use super::load::Loaded;
use metrology::quantity::{Duration, Frequency};
use truing::choose::{Choice, Target};
use truing::describe::adjuster::Adjuster;
use truing::describe::adjuster::setting::Setting;
use truing::problem::{Problem, Problems};
use truing::report::answers::another::AnotherReport;
use truing::report::answers::steps::StepsReport;
use truing::set::{Order, Outcome, Procedure, Repeat, job};
use truing::units::Units;

/// The steps to a setting that was typed, on the adjuster of a name; on the first without one.
pub fn typed(
    loaded: &Loaded,
    text: &str,
    adjuster: Option<&str>,
    hands: &Hands,
) -> Result<Outcome, Problems> {
    let Some(adjuster) = loaded.vehicle.adjuster(adjuster) else {
        let known: Vec<&str> = loaded.vehicle.adjusters.iter().map(|one| one.called()).collect();
        let expected = match known.is_empty() {
            true => "an [adjuster]: what can be set on this vehicle".to_string(),
            false => format!("one of the adjusters: {}", known.join(", ")),
        };
        let found = adjuster.unwrap_or("none");
        return Err(Problem::error(&loaded.source, expected, found).into());
    };
    job(&loaded.source, &loaded.vehicle, &hands.order(adjuster, Setting::parse(text)))
}

/// The report of a setting that was typed: what the truck would read with it stands beside the steps.
pub fn typed_report(
    loaded: &Loaded,
    choice: Option<&Choice>,
    outcome: &Outcome,
    units: Units,
) -> StepsReport {
    let another = match outcome {
        Outcome::Steps(job) => AnotherReport::new(&loaded.vehicle, choice, job),
        Outcome::NothingToDo { .. } => None,
    };
    let mut report = report(loaded, outcome, units);
    report.another = another;
    report
}

/// Refuses a value that reads worse than now, unless that was said again.
pub fn not_worse(source: &str, report: &StepsReport, even_if_worse: bool) -> Result<(), Problems> {
    let refused =
        report.another.as_ref().filter(|_| !even_if_worse).and_then(|another| another.refused(source));
    refused.map_or(Ok(()), |problem| Err(problem.into()))
}

/// How the owner sets: an own routine, what the display shows by now, and how a held button goes on.
#[derive(Default)]
pub struct Hands<'a> {
    /// The routine of the owner's own module.
    pub procedure: Option<&'a Procedure>,
    /// What the display shows by now.
    pub shows: Option<&'a str>,
    /// How a held button goes on.
    pub repeat: Option<Repeat>,
    /// Why it is stored although something is to be checked first.
    pub despite: Option<&'a str>,
}

/// The remark of a write that was made although something was to be checked first: the owner's reason stays with it.
pub fn remark_despite(reason: &str) -> String {
    format!("Stored although the advice was to check first: {reason}")
}

/// A button that goes on by itself: steps a second, and seconds until it does.
pub fn held_down(per_second: f64, after_s: f64) -> Repeat {
    Repeat { rate: Frequency::from_hz(per_second), delay: Duration::from_s(after_s) }
}

/// Seconds until a held button goes on by itself, where nothing is said.
pub const REPEAT_AFTER_S: f64 = 1.0;

impl<'a> Hands<'a> {
    fn order(&self, adjuster: &'a Adjuster, target: Setting) -> Order<'a> {
        let more = Order::new(adjuster, target);
        Order { procedure: self.procedure, shows: self.shows, repeat: self.repeat, ..more }
    }
}

/// The report of what came of it.
pub fn report(loaded: &Loaded, outcome: &Outcome, units: Units) -> StepsReport {
    StepsReport::new(&loaded.vehicle, outcome, loaded.problems.clone(), units)
}

/// The steps that the advice asks for: none unless it is to write, or the owner says why in spite of a check that is due.
pub fn advised(loaded: &Loaded, choice: &Choice, hands: &Hands) -> Result<Outcome, Problems> {
    let (best, despite) = match (choice.target(), choice.unchecked(), hands.despite) {
        (Target::Store(best), ..) => (best, None),
        (_, Some(best), Some(reason)) => (best, Some(reason)),
        _ => return Ok(Outcome::advised(choice)),
    };
    let outcomes = best.settings.iter().filter_map(|(place, target)| {
        let adjuster = loaded.vehicle.adjusters.get(*place)?;
        let order = Order { equivalents: choice.equivalents(), ..hands.order(adjuster, target.clone()) };
        Some(job(&loaded.source, &loaded.vehicle, &order))
    });
    let all = outcomes
        .reduce(|before, next| Ok(before?.then(next?)))
        .unwrap_or_else(|| Ok(Outcome::advised(choice)))?;
    let all = all.expecting(best.expected_ratio);
    Ok(match despite {
        Some(reason) => all.despite(reason),
        None => all,
    })
}
