//! A procedure for each kind of adjuster, for owners who have not written their own.
//!
//! They are common practice, no source. What the module's maker says comes first.

use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::{Adjuster, AdjusterKind, PulseRange, PulseRatio};

/// The kinds of adjuster, by the words of the vehicle file.
pub const KINDS: [&str; 8] = [
    "stepped-constant",
    "free-constant",
    "declared-tire-axle",
    "gear-pair",
    "pulse-ratio",
    "cable-adapter",
    "tone-ring",
    "tires",
];

/// The text that ships for one adjuster and the way from a setting to another: a cable without an adapter has none to take
/// out, switches are no digits, and not every module asks for an axle.
pub fn text_for(adjuster: &Adjuster, present: &Setting, target: &Setting) -> &'static str {
    let is_none =
        |setting: &Setting| matches!(setting, Setting::Pair(pair) if pair.numerator() == pair.denominator());
    match &adjuster.kind {
        AdjusterKind::CableAdapter(_) if is_none(present) => {
            include_str!("procedures/cable-adapter-first.txt")
        }
        AdjusterKind::CableAdapter(_) if is_none(target) => include_str!("procedures/cable-adapter-out.txt"),
        AdjusterKind::PulseRatio(PulseRatio { range: PulseRange::Switches { .. }, .. }) => {
            include_str!("procedures/pulse-switches.txt")
        }
        AdjusterKind::DeclaredTireAxle(it) if it.axle_ratios.is_empty() => {
            include_str!("procedures/declared-tire.txt")
        }
        _ => generic_procedure(adjuster.kind_word()).unwrap_or_default(),
    }
}

/// The text that ships for a kind of adjuster, in the form [`super::Procedure::read`] takes.
pub fn generic_procedure(kind: &str) -> Option<&'static str> {
    Some(match kind {
        "stepped-constant" => include_str!("procedures/stepped-constant.txt"),
        "free-constant" => include_str!("procedures/free-constant.txt"),
        "declared-tire-axle" => include_str!("procedures/declared-tire-axle.txt"),
        "gear-pair" => include_str!("procedures/gear-pair.txt"),
        "pulse-ratio" => include_str!("procedures/pulse-ratio.txt"),
        "cable-adapter" => include_str!("procedures/cable-adapter.txt"),
        "tone-ring" => include_str!("procedures/tone-ring.txt"),
        "tires" => include_str!("procedures/tires.txt"),
        _ => return None,
    })
}
