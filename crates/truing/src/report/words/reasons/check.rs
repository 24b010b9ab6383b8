//! What is odd, and how to settle it.

use crate::choose::{Advice, Check, Checked, Odd, Settle, Transport};
use crate::describe::adjuster::setting::Setting;
use crate::describe::vehicle::Vehicle;
use crate::report::words::doing::Doing;
use crate::report::words::{capital, evidence, how_it_reads, labels};
use crate::units::Units;

pub(super) fn nothing_before(doing: Doing, checks: usize, otherwise: Advice) -> String {
    let what = if checks == 1 { "this is settled" } else { "these are settled" };
    let else_ = match otherwise {
        Advice::Write => {
            format!(" As it stands {} would pay; a slip would spend it for nothing.", doing.price())
        }
        _ => String::new(),
    };
    let done = match doing {
        Doing::Store | Doing::Declare => "stored",
        _ => "changed",
    };
    format!("Nothing is to be {done} before {what}.{else_}")
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
        "Check {}: {}{slip} {}.",
        called(vehicle, &check.what),
        ended(odd(&check.odd, units)),
        settle(check.settle)
    )
}

/// With a full stop, unless it ends with a question.
fn ended(text: String) -> String {
    if text.ends_with('?') { text } else { text + "." }
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
        Odd::FitsAnotherSetting { said, fits, odds, is_news } => fits_another(said, fits, *odds, *is_news),
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

/// "it does not fit 8.41 and fits 8.32, 120 to 1: is 8.32 stored now?"
pub fn fits_another(said: &Setting, fits: &Setting, odds: f64, is_news: bool) -> String {
    let asks =
        if is_news { format!("is {fits} stored now?") } else { format!("was {fits} stored then already?") };
    format!(
        "it does not fit {said}, said to be stored then, and fits {fits}, {} to 1: {asks}",
        evidence::odds(odds)
    )
}

fn settle(settle: Settle) -> &'static str {
    match settle {
        Settle::CorrectOrMeasureAgain => "Correct the entry if that is so, else measure it again another way",
        Settle::LookAtThePart => "Look at the part and correct the file",
        Settle::Repair => "Find and repair the cause",
        Settle::LookWhatIsStored => {
            "Look at what is set now, and let the vehicle file say it: what is stored, the write, and the setting of each measurement taken with it"
        }
        _ => "Correct the entry",
    }
}
