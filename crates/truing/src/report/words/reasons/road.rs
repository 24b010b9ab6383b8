//! The road to come.

use crate::choose::{Held, Reason};
use crate::units::Units;
use metrology::quantity::Ratio;

/// The sentence of a reason that has to do with the road to come.
pub(super) fn sentence(reason: &Reason, units: Units) -> String {
    use Reason as R;
    match reason {
        R::WriteServesLater => "Over the road planned the write is better kept: leave it now.".into(),
        R::ServesRoadBest { setting } => {
            format!("With the writes left, {setting} serves the road planned best.")
        }
        R::RoadToCome { held, writes, rms } => to_come(held, *writes, *rms, units),
        R::OneForAll { setting, rms } => one_for_all(setting, *rms),
        R::Waiting { writes_saved, rms } => waiting(*writes_saved, *rms),
        // Every other kind has its sentence elsewhere.
        _ => String::new(),
    }
}

fn per_cent(ratio: Ratio) -> String {
    format!("{:.2} %", ratio.percent())
}

pub(super) fn to_come(held: &[Held], writes: usize, rms: Ratio, units: Units) -> String {
    let each =
        |held: &Held| format!("{} over {} on {}", held.label, units.say_road(held.distance, 0), held.tires);
    let held: Vec<String> = held.iter().map(each).collect();
    let changes = if writes == 1 { "1 change".into() } else { format!("{writes} changes") };
    format!(
        "Over the {} planned: {}; {changes}, off by {} on average.",
        units.road_words(),
        held.join(", then "),
        per_cent(rms)
    )
}

pub(super) fn one_for_all(setting: &str, rms: Ratio) -> String {
    format!("One setting for all of them would be {setting}, with {} on average.", per_cent(rms))
}

pub(super) fn waiting(writes_saved: usize, rms: Ratio) -> String {
    let saved = match writes_saved {
        0 => "saves no write".to_string(),
        1 => "saves a write".to_string(),
        n => format!("saves {n} writes"),
    };
    format!("Waiting for the next tires or axle {saved} and makes it {} on average.", per_cent(rms))
}
