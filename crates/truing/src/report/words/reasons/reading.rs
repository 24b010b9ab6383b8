//! How the truck reads, and what a setting makes of what reads the signal.

use crate::choose::{ByHand, Exactly, ExactlyTrue, ReadsNow, Reason};
use crate::describe::chain::OthersRead;
use crate::describe::vehicle::Vehicle;
use crate::measure::drive::DiagnosisKind;
use crate::report::words::{labels, reads_between, signed, value_rounded};
use crate::units::Units;
use metrology::quantity::{PerLength, Ratio};

/// A speed at which a shift may be scheduled, to show by how much it moves: in mph and in km/h.
const SHIFT_AT: (f64, f64) = (30.0, 50.0);

pub(super) fn not_by_setting(drive: &str, error: DiagnosisKind) -> String {
    if error == DiagnosisKind::Slipping {
        return format!(
            "Drive again first: in \"{drive}\" the driven wheels spun and counted turns that the truck did not go."
        );
    }
    let (what, look) = match error {
        DiagnosisKind::Offset => {
            ("off by the same amount at every speed", "at where the needle or the module starts from")
        }
        DiagnosisKind::Curved => {
            ("off by another per cent at every speed", "at the head, the cable and the filter of the signal")
        }
        _ => ("dropping out or jumping", "at the sensor, its ring and its wiring"),
    };
    format!("Look first {look}: in \"{drive}\" the reading is {what}, and no setting puts that right.")
}

pub(super) fn now(
    (vehicle, units): (&Vehicle, Units),
    what: &str,
    now: Option<&ReadsNow>,
    exactly: &Exactly,
) -> String {
    let by_hand = exactly.by_hand.as_ref().map_or(String::new(), |by_hand| beside(vehicle, by_hand, units));
    let exactly = exactly_true(exactly);
    match now.map(|now| [now.ratio, now.low_95, now.high_95].map(Ratio::plain)) {
        Some([ratio, low, high]) => {
            let reads = reads_between(ratio, low, high);
            format!("The {what} {reads}; exactly true would be {exactly}.{by_hand}")
        }
        None => format!("The measurements call for {exactly}.{by_hand}"),
    }
}

/// Each figure to two digits of its uncertainty.
fn exactly_true(exactly: &Exactly) -> String {
    use ExactlyTrue as E;
    let rounded = |value: f64| value_rounded(value, value * exactly.standard_uncertainty.plain());
    match &exactly.what {
        E::CountsTimes { factor } => format!("{} times the counts that come now", rounded(factor.plain())),
        E::Tires { revs } => format!(
            "tires of {} revolutions per mile ({} per km)",
            rounded(revs.per_mi()),
            rounded(revs.per_km())
        ),
        E::RevsWithAxle { revs, axle } => {
            format!("{} revolutions per mile with the axle {axle}", rounded(revs.per_mi()))
        }
        E::RevsTimesAxle { product } => {
            format!("revolutions per mile x axle = {}", rounded(product.per_mi()))
        }
        E::Revs { revs } => format!("{} revolutions per mile", rounded(revs.per_mi())),
        E::Constant { value } => rounded(*value),
        E::RingTeeth { teeth } => format!("{} teeth", rounded(*teeth)),
        E::DrivenTeeth { driven_teeth, drive_teeth } => {
            format!("{} driven teeth with a drive gear of {drive_teeth}", rounded(*driven_teeth))
        }
        E::GearRatio { drive_over_driven } => {
            format!("drive over driven = {}", rounded(drive_over_driven.plain()))
        }
        E::SignalRatio { ratio } => format!("a ratio of {}", rounded(ratio.plain())),
    }
}

/// Digits that a sum on paper is written with.
const SUM_DIGITS: f64 = 4.0;

/// The sum on paper, and what made the difference.
fn beside(vehicle: &Vehicle, by_hand: &ByHand, units: Units) -> String {
    let ByHand { value, revs, times, over, moved, most } = by_hand;
    let digits = |value: f64| {
        let decimals = (SUM_DIGITS - 1.0 - value.abs().log10().floor()).clamp(0.0, SUM_DIGITS) as usize;
        let text = format!("{value:.decimals$}");
        match text.contains('.') {
            true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
            false => text,
        }
    };
    let percent = signed(100.0 * (moved.plain() - 1.0), 1);
    let made = match most {
        Some(piece) => {
            format!("what was measured makes {percent} %, most of it {}", labels::piece(vehicle, piece))
        }
        None => format!("what wear and slip are believed to add makes {percent} %"),
    };
    let over = units.of_per_length(PerLength::from_per_mi(*over));
    // A constant that counts pulses is divided by nothing.
    let over = if over == 1.0 { String::new() } else { format!(" / {}", digits(over)) };
    format!(
        " By hand it would be {} ({} turns {} x {}{over}): {made}.",
        digits(*value),
        digits(units.of_per_length(*revs)),
        units.per_word(),
        digits(*times)
    )
}

pub(super) fn misdeclared(setting: &str, declared_over_fitted: Ratio) -> String {
    let over = declared_over_fitted.plain();
    format!(
        "{setting} declares an axle {:.1} % {} than the one fitted: whatever is told the axle - shift points, checks of four-wheel drive - is misled by as much. It is taken because no tire figure with the true axle comes as near.",
        100.0 * (over - 1.0).abs(),
        if over > 1.0 { "greater" } else { "less" }
    )
}

/// Which signal a reader would have to read; empty where that is known.
fn if_it_reads(signal: Option<OthersRead>) -> &'static str {
    match signal {
        None | Some(OthersRead::NotKnown) => "",
        Some(OthersRead::Sensor) => "If it reads the sensor's own wire: ",
        Some(OthersRead::Module) => "If it reads what the module passes on: ",
    }
}

/// What a setting does to another reader of the signal.
pub(super) fn of_reader(reason: &Reason, units: Units) -> String {
    match reason {
        Reason::ReaderUnchanged { reader, setting, if_reads } => reader_unchanged(reader, *if_reads, setting),
        Reason::ReaderChanges { reader, setting, times, shifts, if_reads } => {
            reader_changes((reader, *if_reads), setting, *times, shifts.then_some(units))
        }
        // Every other kind has its sentence elsewhere.
        _ => String::new(),
    }
}

fn reader_unchanged(reader: &str, signal: Option<OthersRead>, setting: &str) -> String {
    let signal = if_it_reads(signal);
    if !signal.is_empty() {
        return format!("The {reader} reads the signal too. {signal}{setting} leaves it as it is.");
    }
    format!(
        "The {reader} reads the signal too and is left as it is by {setting}: if it is wrong now, it stays wrong."
    )
}

/// Where it decides when to shift, in the units in which that is said.
fn reader_changes(
    (reader, signal): (&str, Option<OthersRead>),
    setting: &str,
    times: Ratio,
    shifts: Option<Units>,
) -> String {
    let percent = signed(100.0 * (times.plain() - 1.0), 1);
    let shift = shifts.map_or(String::new(), |units| {
        let at = units.speed(units.by_road(SHIFT_AT.0, SHIFT_AT.1));
        format!(
            " A shift that comes at a true {} now will come at {}.",
            units.say_speed(at, 0),
            units.say_speed(at / times.plain(), 1)
        )
    });
    let signal = if_it_reads(signal);
    if !signal.is_empty() {
        return format!(
            "The {reader} reads the signal too. {signal}with {setting} it reads {percent} % against now.{shift} Which of the two it is, is worth finding out before a write; `others_read` in [chain] then says so."
        );
    }
    format!("The {reader} reads the signal too: with {setting} it reads {percent} % against now.{shift}")
}
