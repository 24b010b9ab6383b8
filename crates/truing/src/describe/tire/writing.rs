//! How a size is written: one way for each.

use super::form::{Form, Joint, Reading, Service};

/// The size in canonical writing: `LT265/75R16`, `31x10.50R15LT`, `LR78-15`.
pub(super) fn designation(reading: &Reading, section: &str) -> String {
    let is_metric = matches!(reading.form, Form::Metric { .. });
    let (before, after) = match reading.service {
        // What stands behind the rim has no place without one.
        _ if matches!(reading.form, Form::Flotation { rim_in: None, .. }) => ("", ""),
        Service::Plain => ("", ""),
        Service::Passenger => ("P", ""),
        Service::Temporary => ("T", ""),
        Service::LightTruck if is_metric => ("LT", ""),
        Service::Trailer if is_metric => ("ST", ""),
        Service::LightTruck => ("", "LT"),
        Service::Trailer => ("", "ST"),
        Service::Commercial => ("", "C"),
    };
    format!("{before}{}{}{after}", with_joint(reading, section), rim_text(&reading.form))
}

fn with_joint(reading: &Reading, section: &str) -> String {
    let speed = reading.marks.speed_in_size.map(String::from).unwrap_or_default();
    let reinforced = if reading.marks.reinforced_in_size { "F" } else { "" };
    match (&reading.form, reading.joint) {
        // the R of a letter size stands before the aspect
        (Form::Lettered { letters, aspect_percent, .. }, Joint::Radial) => {
            let is_plain = speed.is_empty() && reinforced.is_empty();
            let joint = if is_plain { "-".into() } else { format!("{speed}R{reinforced}") };
            format!("{letters}R{aspect_percent}{joint}")
        }
        (Form::Flotation { .. }, Joint::Unsaid) => section.to_string(),
        (_, Joint::Dash) => format!("{section}-"),
        (_, Joint::Diagonal) => format!("{section}D"),
        (_, Joint::Belted) => format!("{section}B"),
        (_, Joint::Radial | Joint::Unsaid) => format!("{section}{speed}R{reinforced}"),
    }
}

fn rim_text(form: &Form) -> String {
    match form {
        Form::Metric { rim, .. } => rim.to_string(),
        Form::WithoutAspect { rim_in, .. } | Form::Numeric { rim_in, .. } | Form::Lettered { rim_in, .. } => {
            rim_in.to_string()
        }
        Form::OuterDiameter { rim_mm, .. } => rim_mm.to_string(),
        Form::Flotation { rim_in, .. } => rim_in.map(|rim| rim.to_string()).unwrap_or_default(),
        Form::Given { .. } => String::new(),
    }
}

/// Two decimals, or all of them where two are not enough.
pub(super) fn two_decimals(value: f64) -> String {
    let short = format!("{value:.2}");
    if short.parse() == Ok(value) { short } else { value.to_string() }
}
