//! Words of the steps to a setting: each step, what else is worth knowing, and what the dial is to show afterwards.

use super::{counted, percent};
use crate::set::{LongWay, Note, Part, Pressed, SLIP_IN_A_PRESS, Step, Switch};
use crate::units::Units;
use metrology::measured::Measured;
use metrology::quantity::Ratio;

/// Speed of the check reading, in mph and in km/h: legal on most roads, and fast enough for a needle.
const CHECKED_AT: (f64, f64) = (50.0, 80.0);

/// A step in a sentence or two.
pub fn step(step: &Step) -> String {
    let text: String = step.parts.iter().map(part).collect();
    // What is left empty leaves no gap behind.
    text.split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

fn part(part: &Part) -> String {
    match part {
        Part::Words(words) => words.clone(),
        Part::WritesLeft(left) => left.map_or("not known".into(), |left| left.to_string()),
        Part::LeftBefore(left) => {
            left.map_or_else(String::new, |left| format!("Writes left before this one: {left}."))
        }
        Part::LeftAfter(left) => {
            left.map_or_else(String::new, |left| format!("It spends one write; left after it: {left}."))
        }
        Part::Fitting { from, to } => fitting(from, to),
        Part::Switches(switches) => {
            let one = |(at, switch): (usize, &Switch)| switch.shown(at + 1);
            switches.iter().enumerate().map(one).collect::<Vec<_>>().join(", ")
        }
        Part::Presses(pressed) => presses(pressed),
        Part::Checkpoints(points) => checkpoints(points),
    }
}

/// Which gear is fitted, and which stays.
fn fitting([drive, driven]: &[String; 2], [new_drive, new_driven]: &[String; 2]) -> String {
    match (drive == new_drive, driven == new_driven) {
        (true, _) => format!(
            "the driven gear with {new_driven} teeth in place of {driven}; the drive gear with {drive} teeth stays"
        ),
        (false, true) => format!(
            "the drive gear with {new_drive} teeth in place of {drive}; the driven gear with {driven} teeth stays"
        ),
        (false, false) => format!(
            "the drive gear with {new_drive} teeth in place of {drive}, and the driven gear with {new_driven} teeth in place of {driven}"
        ),
    }
}

fn presses(pressed: &Pressed) -> String {
    let Pressed { button, presses, to, held, jump, let_go_at } = pressed;
    if *presses == 0 {
        return "Press nothing: the display shows it already.".into();
    }
    let sentence = match held {
        Some(held) => format!(
            "Hold the button that counts {button} about {:.0} s, until about {}, then press it singly, about {} times, to {to}.",
            held.hold.duration.s(),
            held.let_go_at,
            held.then_singly
        ),
        None => format!("Press the button that counts {button} {}, to {to}.", times(*presses)),
    };
    let jump = jump.as_ref().map_or(String::new(), |(at, shows)| {
        format!(" At press {at} the display passes the end of its range and shows {shows}.")
    });
    let may_hold = let_go_at.as_ref().map_or(String::new(), |let_go_at| {
        format!(
            " If it goes on by itself when held: hold it until about {let_go_at}, then press singly to {to}."
        )
    });
    sentence + &jump + &may_hold
}

fn times(presses: usize) -> String {
    match presses {
        1 => "once".into(),
        2 => "twice".into(),
        n => format!("{n} times"),
    }
}

fn checkpoints(points: &[(usize, String)]) -> String {
    let word = |(presses, shows): &(usize, String)| match presses {
        0 => format!("{shows} all the time"),
        presses => format!("after {} {shows}", counted(*presses as u64, "press")),
    };
    points.iter().map(word).collect::<Vec<_>>().join(", ")
}

/// What else is worth knowing before starting.
pub fn note(note: &Note) -> String {
    match note {
        Note::OtherWay { button, presses } => {
            format!("The other way, {button}, takes {}.", counted(*presses as u64, "press"))
        }
        Note::Cheaper { value, presses, instead_of } => {
            format!("{value} would be about as true and takes {presses} presses instead of {instead_of}.")
        }
    }
}

/// What the dial is to show after the write, to be looked at on the first drive.
pub fn check_reading(expected: &Measured<Ratio>, units: Units) -> String {
    let truly = units.by_road(CHECKED_AT.0, CHECKED_AT.1);
    let [value, low, high] =
        [expected.value, expected.low_95, expected.high_95].map(|ratio| truly * ratio.plain());
    let word = units.speed_word();
    format!(
        "Afterwards, at a true {truly:.0} {word} by GPS, {value:.1} {word} is to be shown, between {low:.1} and {high:.1} (95 %, the needle's own error apart). A second person reads the dial."
    )
}

/// What a long way costs, and what lies nearer.
pub fn long_way(way: &LongWay) -> String {
    let minutes = way.duration.s() / 60.0;
    let cost = format!(
        "{} presses take about {minutes:.0} minutes, with a {:.0} % chance of at least one slip (one press in {:.0} missed or made twice, a judgement).",
        way.presses,
        100.0 * way.chance_of_a_slip.plain(),
        1.0 / SLIP_IN_A_PRESS
    );
    let Some(near) = &way.near else { return cost };
    let away = match near.presses {
        0 => "shown now, without a press".to_string(),
        presses => format!("{} away", counted(presses as u64, "press")),
    };
    format!("{cost} {} is {away}, and differs by {}.", near.value, percent(near.difference))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::set::Near;
    use metrology::quantity::{Duration, Ratio};

    #[test]
    fn names_minutes_slips_and_the_nearest() {
        let near = Near { value: "7.10".into(), presses: 0, difference: Ratio::from_plain(0.0056) };
        let way = LongWay {
            presses: 597,
            duration: Duration::from_s(597.0),
            chance_of_a_slip: Ratio::from_plain(0.697),
            near: Some(near),
        };
        assert_eq!(
            long_way(&way),
            "597 presses take about 10 minutes, with a 70 % chance of at least one slip (one press in 500 missed or made twice, a judgement). 7.10 is shown now, without a press, and differs by 0.6 %."
        );
    }
}
