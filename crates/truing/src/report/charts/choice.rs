//! Pictures of a choice: the settings in reach under the estimate's distribution, and the error by speed before and after.

use crate::choose::{Choice, Scored};
use crate::report::answers::choice::{ChoiceReport, OptionReport};
use crate::report::answers::errors::ErrorReport;
use crate::report::document::{Chart, Series, SeriesKind};
use metrology::measured::{Measured, student_density};
use metrology::quantity::Ratio;

/// How far to either side of its middle the distribution is drawn, in standard uncertainties.
const DRAWN_TO: f64 = 3.5;
/// Points of the curve to either side.
const POINTS: i32 = 40;

/// ln R of a setting.
fn ln_ratio(option: &Scored) -> f64 {
    option.expected_ratio.value.plain().ln()
}

/// The settings in reach on one axis: by how much each changes the reading against now, under the distribution of what
/// is needed. Relative to the best where what is stored now is not known. None where nothing is known of the ratio.
pub fn settings(choice: &Choice) -> Option<Chart> {
    let best = choice.best.as_ref()?;
    let reference = choice.present.as_ref().unwrap_or(best);
    let per_cent = |ln_change: f64| 100.0 * ln_change.exp_m1();
    let needed = per_cent(-ln_ratio(reference));
    let curve = curve(&best.expected_ratio, -ln_ratio(reference));
    let (low, high) = (curve.first()?.0, curve.last()?.0);
    let at = |option: &Scored| per_cent(ln_ratio(option) - ln_ratio(reference));
    let beside: Vec<f64> = choice.options.iter().filter(|option| !option.is_present).map(at).collect();
    let reach = beside.iter().fold((low, high), |(low, high), x| (low.min(*x), high.max(*x)));
    let in_picture = |option: &&Scored| (reach.0..=reach.1).contains(&at(option));
    let (drawn, apart): (Vec<&Scored>, Vec<&Scored>) = choice.options.iter().partition(in_picture);
    let outline = curve.iter().copied().chain([(high, 0.0), (low, 0.0)]).collect();
    let mut series = vec![Series { label: "what is needed".into(), points: outline, kind: SeriesKind::Band }];
    series.extend(drawn.iter().map(|option| stake(option, best, at(option))));
    Some(Chart {
        title: "The settings in reach, and what is needed".into(),
        description: says(needed, (low, high), best, &apart),
        x_label: "change of the reading against now, %".into(),
        y_label: "how likely (1 = most)".into(),
        series,
    })
}

fn says(needed: f64, (low, high): (f64, f64), best: &Scored, apart: &[&Scored]) -> String {
    let mut says = format!(
        "The reading has to be changed by {needed:+.2} %, nearly certainly between {low:+.2} and {high:+.2} %. {} comes nearest.",
        best.label
    );
    for option in apart {
        let now = if option.is_present { ", as it is now," } else { "" };
        says += &format!(" {}{now} lies outside the picture.", option.label);
    }
    says
}

/// The density of what is needed, as parts of its peak, from the lower edge of the drawn part to the upper.
fn curve(ratio: &Measured<Ratio>, middle: f64) -> Vec<(f64, f64)> {
    let u = ratio.relative_uncertainty().plain();
    let peak = student_density(0.0, ratio.dof);
    let point = |k: i32| {
        let z = DRAWN_TO * f64::from(k) / f64::from(POINTS);
        (100.0 * (middle + z * u).exp_m1(), student_density(z, ratio.dof) / peak)
    };
    (-POINTS..=POINTS).map(point).collect()
}

fn stake(option: &Scored, best: &Scored, x: f64) -> Series {
    let label = match (option.label == best.label, option.is_present) {
        (true, true) => format!("{}, best, now", option.label),
        (true, false) => format!("{}, best", option.label),
        (false, true) => format!("{}, now", option.label),
        (false, false) => option.label.clone(),
    };
    Series { label, points: vec![(x, 0.0)], kind: SeriesKind::Stake }
}

/// Error by speed, with what is stored now and with the best setting.
pub fn errors(report: &ChoiceReport) -> Chart {
    let (units, word) = (report.units, report.units.speed_word());
    let point = |error: &ErrorReport, which: usize| {
        let all = error.in_units(units);
        all[0].zip(all[which])
    };
    let line = |label: String, which: usize| Series {
        label,
        points: report.errors.iter().filter_map(|error| point(error, which)).collect(),
        kind: SeriesKind::Line,
    };
    let name =
        |option: &Option<OptionReport>| option.as_ref().map_or(String::new(), |o| format!(" ({})", o.label));
    let mut series = vec![line(format!("now{}", name(&report.present)), 1)];
    if report.best.as_ref().is_some_and(|best| !best.is_present) {
        series.push(line(format!("best{}", name(&report.best)), 2));
    }
    series.retain(|s| !s.points.is_empty());
    Chart {
        title: "Error by speed".into(),
        description: format!(
            "What the dial shows beyond the true speed, now and with the best setting. {}",
            report.headline()
        ),
        x_label: format!("true speed, {word}"),
        y_label: format!("error, {word}"),
        series,
    }
}
