//! Pictures of a choice: the settings in reach under the estimate's distribution, and the error by speed before and after.

use crate::choose::{Choice, Scored};
use crate::report::answers::choice::{ChoiceReport, OptionReport};
use crate::report::answers::errors::ErrorReport;
use crate::report::document::{Chart, Series, SeriesKind};
use crate::report::words::signed;
use metrology::measured::{Measured, student_density};
use metrology::quantity::{Ratio, Speed};

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
    let mut series = vec![Series::new("what is needed", outline, SeriesKind::Band)];
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
    let label = match (option.settings == best.settings, option.is_present) {
        (true, true) => format!("{}, best, now", option.label),
        (true, false) => format!("{}, best", option.label),
        (false, true) => format!("{}, now", option.label),
        (false, false) => option.label.clone(),
    };
    Series::new(label, vec![(x, 0.0)], SeriesKind::Stake)
}

/// An error of this many mph to either side is drawn at least: less than one division of a dial shall not look like much.
const LEAST_DRAWN_MPH: f64 = 1.0;

/// Error by speed with its band of 95 %, with what is stored now and with the best setting; no series but for the room where
/// neither is known.
pub fn errors(report: &ChoiceReport) -> Chart {
    let (units, word) = (report.units, report.units.speed_word());
    let mut series = Vec::new();
    if let Some(present) = &report.present {
        series.extend(line(report, &format!("now ({})", present.label), present));
    }
    if let Some(best) = report.best.as_ref().filter(|best| !best.is_present) {
        series.extend(line(report, &format!("best ({})", best.label), best));
    }
    if !series.is_empty() {
        let least = units.of_speed(Speed::from_mi_per_h(LEAST_DRAWN_MPH));
        let at = report.errors.first().and_then(|error| error.in_units(units)[0]).unwrap_or_default();
        series.push(Series::new("", vec![(at, -least), (at, least)], SeriesKind::Room));
        series.push(Series::new("true", vec![(0.0, 0.0)], SeriesKind::Level));
    }
    Chart {
        title: "Error by speed".into(),
        description: format!(
            "What the dial shows beyond the true speed, with the band that holds it with 95 % probability. {}",
            in_numbers(report)
        ),
        x_label: format!("true speed, {word}"),
        y_label: format!("shown beyond true, {word}"),
        series,
    }
}

/// The band of a setting and the line in it.
fn line(report: &ChoiceReport, name: &str, option: &OptionReport) -> [Series; 2] {
    let units = report.units;
    let ratio = &option.expected_ratio;
    let along = |ratio: f64| {
        report.errors.iter().filter_map(move |error| {
            let at = error.in_units(units)[0]?;
            Some((at, at * (ratio - 1.0)))
        })
    };
    let upper = along(ratio.high_95);
    let lower: Vec<(f64, f64)> = along(ratio.low_95).collect();
    let band = upper.chain(lower.into_iter().rev()).collect();
    [
        Series::new("", band, SeriesKind::Around),
        Series::new(name, along(ratio.value).collect(), SeriesKind::Line),
    ]
}

/// The errors at each speed that is drawn.
fn in_numbers(report: &ChoiceReport) -> String {
    let word = report.units.speed_word();
    let say = |error: &ErrorReport| {
        let [at, now, best] = error.in_units(report.units);
        let cell = |error: Option<f64>| error.map_or("not known".to_string(), |error| signed(error, 1));
        format!(
            "At {:.0} {word}: now {}, with the best setting {}.",
            at.unwrap_or_default(),
            cell(now),
            cell(best)
        )
    };
    report.errors.iter().map(say).collect::<Vec<_>>().join(" ")
}
