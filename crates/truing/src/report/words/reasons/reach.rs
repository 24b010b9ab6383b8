//! Where what can be set ends.

use crate::choose::Help;
use crate::describe::adjuster::Button;
use crate::report::words::{how_it_reads, listed_or};
use metrology::quantity::Ratio;

pub(super) fn ends_short(setting: &str, leaves: Ratio, helps: &[Help]) -> String {
    format!(
        "What can be set ends short: {setting} comes nearest and {}.{}",
        how_it_reads(leaves),
        would_help(helps)
    )
}

pub(super) fn barred(nearest: &str, button: Button, setting: &str) -> String {
    format!(
        "{nearest} would be nearer, but the only button goes {button} and does not pass the end of the range: {setting} is what can be reached."
    )
}

pub(super) fn still_helps(helps: &[Help]) -> String {
    format!("The speed card tells the true speed meanwhile.{}", would_help(helps))
}

fn would_help(helps: &[Help]) -> String {
    let names: Vec<&str> = helps.iter().map(|help| name(*help)).collect();
    if names.is_empty() { String::new() } else { format!(" What would help: {}.", listed_or(&names)) }
}

fn name(help: Help) -> &'static str {
    match help {
        Help::Conditioner => "a conditioner in the sensor's wire",
        Help::Gears => "other drive and driven gears",
        Help::Ring => "a ring with other teeth",
        Help::Adapter => "an adapter in the cable",
        _ => "another size of tires",
    }
}
