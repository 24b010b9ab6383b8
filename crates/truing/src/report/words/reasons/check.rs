//! What is odd, and how to settle it.

use crate::choose::{Advice, Check, Checked, Odd, Settle, Transport};
use crate::describe::vehicle::Vehicle;
use crate::report::words::{evidence, how_it_reads, labels};
use crate::units::Units;

pub(super) fn nothing_before(checks: usize, otherwise: Advice) -> String {
    let what = if checks == 1 { "this is settled" } else { "these are settled" };
    let else_ = match otherwise {
        Advice::Write => " As it stands a write would pay; a slip would spend it for nothing.",
        _ => "",
    };
    format!("Nothing is to be stored before {what}.{else_}")
}

/// What is odd, the likeliest slip and how to settle it.
pub fn sentence(vehicle: &Vehicle, check: &Check, units: Units) -> String {
    let slip = check.slip.as_ref().map_or(String::new(), |likely| {
        format!(
            " {} would fit, {} to 1.",
            capital(evidence::slip_made(&likely.slip).trim_end_matches(',')),
            evidence::odds(likely.odds)
        )
    });
    format!(
        "Check {}: {}.{slip} {}.",
        called(vehicle, &check.what),
        odd(&check.odd, units),
        settle(check.settle)
    )
}

fn capital(text: &str) -> String {
    let mut all = text.chars();
    all.next().map_or(String::new(), |first| first.to_uppercase().chain(all).collect())
}

fn called(vehicle: &Vehicle, what: &Checked) -> String {
    match what {
        Checked::Pieces(pieces) if pieces.is_empty() => "all evidence".into(),
        Checked::Pieces(pieces) => {
            let names: Vec<String> = pieces.iter().map(|piece| labels::piece(vehicle, piece)).collect();
            evidence::listed(&names)
        }
        Checked::Part(link) => format!("the {}", link.name()),
        Checked::Reading => "what the file says of the truck".into(),
    }
}

fn odd(odd: &Odd, units: Units) -> String {
    match odd {
        Odd::Disagrees { off, deviations } => evidence::lies(*off, *deviations),
        Odd::Scatters { birge_ratio } => format!("it scatters {birge_ratio:.1} times as much as it should"),
        Odd::OtherPart { instead, believed, odds } => {
            format!("{instead} would fit and {believed} does not, {} to 1", evidence::odds(*odds))
        }
        Odd::NotBySetting { .. } => "no setting puts its error right".into(),
        Odd::OffTheGrid { setting } => format!("it names the setting {setting}, which cannot be stored"),
        Odd::ReadingForDistance { shown } => format!(
            "the distance shown is {}, which looks like a reading of the odometer and not like the difference of two",
            units.say_road(*shown, 0)
        ),
        Odd::FarOff { ratio } => {
            format!("by it the truck {}, farther off than trucks are", how_it_reads(*ratio))
        }
        Odd::DoesNotGoWith { with: Transport::Cable } => {
            "it makes counts on a wire, and the head is turned by a cable".into()
        }
        _ => "it sits in a cable, and the signal travels on a wire".into(),
    }
}

fn settle(settle: Settle) -> &'static str {
    match settle {
        Settle::CorrectOrMeasureAgain => "Correct the entry if that is so, else measure it again another way",
        Settle::LookAtThePart => "Look at the part and correct the file",
        Settle::Repair => "Find and repair the cause",
        _ => "Correct the entry",
    }
}
