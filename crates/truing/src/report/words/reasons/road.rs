//! The road to come.

use crate::choose::Held;
use crate::units::Units;
use metrology::quantity::Ratio;

fn per_cent(ratio: Ratio) -> String {
    format!("{:.2} %", ratio.percent())
}

pub(super) fn to_come(held: &[Held], writes: usize, rms: Ratio, units: Units) -> String {
    let each =
        |held: &Held| format!("{} over {} on {}", held.label, units.say_road(held.distance, 0), held.tires);
    let held: Vec<String> = held.iter().map(each).collect();
    let changes = if writes == 1 { "1 change".into() } else { format!("{writes} changes") };
    format!(
        "Over the {} planned: {}; {changes}, an error of {} on average.",
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
