//! What a step is made of: words of the procedure, and facts of this vehicle that the report words.

use super::repeat::MADE_SINGLY;
use super::{Direction, Held, Pressing, Switch, Values, Way};
use serde::Serialize;

/// From so many presses on a button that goes on by itself saves time (judgement).
const WORTH_HOLDING: usize = 4 * MADE_SINGLY;

/// A piece of a step.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// Words as the procedure has them, or a plain value of this vehicle.
    Words(String),
    /// Writes left, as a number; none where nobody counts them.
    WritesLeft(Option<u32>),
    /// That so many were left before; nothing is said of writes that nobody counts.
    LeftBefore(Option<u32>),
    /// That one is spent, and so many are left after it.
    LeftAfter(Option<u32>),
    /// Which gear is fitted, and which stays.
    Fitting {
        /// Drive and driven teeth now.
        from: [String; 2],
        /// The same afterwards.
        to: [String; 2],
    },
    /// How the switches are to stand, in the order of the file.
    Switches(Vec<Switch>),
    /// The presses.
    Presses(Pressed),
    /// Presses made and what the display shows then.
    Checkpoints(Vec<(usize, String)>),
}

/// The presses of one button to a value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pressed {
    /// The button.
    pub button: Direction,
    /// How often; not at all where the display shows the value already.
    pub presses: usize,
    /// What the display shows at the end.
    pub to: String,
    /// How long the button is held first, where it is known how it goes on by itself.
    #[serde(skip)]
    pub held: Option<Held>,
    /// The press at which the display passes the end of its range, and what it shows then.
    pub jump: Option<(usize, String)>,
    /// What the display shows where a button that goes on by itself is let go, where holding it is worth the while.
    pub let_go_at: Option<String>,
}

/// What to put in; none where the vehicle has no such thing.
pub(super) fn part(name: &str, values: &Values) -> Option<Part> {
    let plain = match name {
        "vehicle" => values.vehicle,
        "present" => values.present,
        "target" => values.target,
        "present_display" => values.present_display,
        "target_display" => values.target_display,
        "writes_left" => return Some(Part::WritesLeft(values.writes_left)),
        "writes_left_after" => {
            return Some(Part::WritesLeft(values.writes_left.map(|left| left.saturating_sub(1))));
        }
        "left_before" => return Some(Part::LeftBefore(values.writes_left)),
        "left_after" => return Some(Part::LeftAfter(values.writes_left.map(|left| left.saturating_sub(1)))),
        "present_upper" => &values.present_parts.as_ref()?[0],
        "present_lower" => &values.present_parts.as_ref()?[1],
        "target_upper" => &values.target_parts.as_ref()?[0],
        "target_lower" => &values.target_parts.as_ref()?[1],
        "fitting" => {
            let (from, to) = (values.present_parts.clone()?, values.target_parts.clone()?);
            return Some(Part::Fitting { from, to });
        }
        "switches" => {
            return (!values.switches.is_empty()).then(|| Part::Switches(values.switches.clone()));
        }
        _ => return pressing(name, values.pressing.as_ref()?),
    };
    Some(Part::Words(plain.to_string()))
}

fn pressing(name: &str, pressing: &Pressing) -> Option<Part> {
    let way = pressing.way;
    match name {
        "presses" => Some(Part::Words(way.presses().to_string())),
        "button" => Some(Part::Words(way.direction().to_string())),
        "wraps" => Some(Part::Words(way.wraps().to_string())),
        "pressing" => Some(Part::Presses(pressed(way, pressing))),
        "checkpoints" => Some(Part::Checkpoints(checkpoints(way, pressing))),
        _ => None,
    }
}

fn pressed(way: &Way, pressing: &Pressing) -> Pressed {
    let shows = |presses: usize| way.shows_after(presses).map(pressing.display).unwrap_or_default();
    let presses = way.presses();
    let may_hold = pressing.held.is_none() && presses >= WORTH_HOLDING;
    Pressed {
        button: way.direction(),
        presses,
        to: shows(presses),
        held: pressing.held.cloned(),
        jump: way.jump_at().map(|at| (at, shows(at))),
        let_go_at: may_hold.then(|| shows(presses - MADE_SINGLY)),
    }
}

/// What the display shows all the time, where nothing is pressed.
fn checkpoints(way: &Way, pressing: &Pressing) -> Vec<(usize, String)> {
    if way.presses() == 0 {
        return vec![(0, way.shows_after(0).map(pressing.display).unwrap_or_default())];
    }
    way.checkpoints().iter().map(|point| (point.presses, (pressing.display)(point.position))).collect()
}
