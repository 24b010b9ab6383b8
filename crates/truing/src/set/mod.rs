//! From a choice to what the hands do: presses, steps, and how to back out before anything is spent.

mod cheaper;
mod for_vehicle;
mod generic;
mod long_way;
mod outcome;
mod part;
mod presses;
mod procedure;
mod reach;
mod repeat;
mod shown;

pub use cheaper::{Cheaper, FAR_FEWER_PRESSES, FAR_FEWER_TIMES};
pub use for_vehicle::{Change, Held, Job, Note, Order, Run, job};
pub use generic::{KINDS, generic_procedure, text_for};
pub use long_way::{FEW_PRESSES, LONG_WAY_PRESSES, LongWay, Near, SLIP_IN_A_PRESS, TIME_OF_A_PRESS_S};
pub use outcome::{Cause, Outcome};
pub use part::{Part, Pressed};
pub use presses::{Buttons, Checkpoint, Counter, Direction, Plan, Way};
pub use procedure::{PLACEHOLDERS, Procedure, StepKind};
pub use repeat::{Hold, Repeat};
pub use shown::setting_shown;

use crate::problem::{Problem, Problems};
use serde::Serialize;

/// What a step is about, for one vehicle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// What to do or to see, piece by piece.
    pub parts: Vec<Part>,
    /// What kind of step it is.
    pub kind: StepKind,
    /// Whether the presses are made in this step.
    pub presses: bool,
    /// The switches that are set in this step, in their order.
    pub switches: Vec<Switch>,
}

/// A switch and how it is to stand.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Switch {
    /// What it adds when it is on.
    pub weight: u32,
    /// Whether it is to be on.
    pub is_on: bool,
}

impl Switch {
    /// With its place among the switches and what it adds: `1 (8) on`.
    pub fn shown(&self, place: usize) -> String {
        format!("{place} ({}) {}", self.weight, if self.is_on { "on" } else { "off" })
    }
}

impl Step {
    /// Whether the step cannot be taken back.
    pub fn irreversible(&self) -> bool {
        self.kind == StepKind::Irreversible
    }

    /// Whether the step only looks, and must come true before the next one.
    pub fn check(&self) -> bool {
        self.kind == StepKind::Check
    }
}

/// How often a button is pressed.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Presses {
    /// The button that counts this way.
    pub button: Direction,
    /// How many presses.
    pub count: usize,
}

/// All there is to do, in order.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Steps {
    /// The steps.
    pub steps: Vec<Step>,
    /// The presses among them; empty where nothing is pressed.
    pub presses: Vec<Presses>,
    /// All presses together.
    pub total_presses: usize,
    /// How often the display passes from one end to the other.
    pub wraps: usize,
}

/// What a procedure is filled in with. Values are words as the owner writes them; displays are what the
/// module shows.
#[derive(Default)]
pub struct Values<'a> {
    /// The vehicle's name.
    pub vehicle: &'a str,
    /// The value stored now.
    pub present: &'a str,
    /// The value to store.
    pub target: &'a str,
    /// The present value as the module shows it.
    pub present_display: &'a str,
    /// The target as the module shows it.
    pub target_display: &'a str,
    /// How many writes the module still accepts, where it counts them and this is known.
    pub writes_left: Option<u32>,
    /// The two parts of the present value, where it has two: drive and driven teeth, out and in, tire and axle.
    pub present_parts: Option<[String; 2]>,
    /// The same of the target.
    pub target_parts: Option<[String; 2]>,
    /// The switches as they are to stand, where it has some.
    pub switches: Vec<Switch>,
    /// The presses, where the adjuster has buttons.
    pub pressing: Option<Pressing<'a>>,
}

/// The presses from present to target, and what the module shows at each position of its grid.
pub struct Pressing<'a> {
    /// The way to go.
    pub way: &'a Way,
    /// What the display shows at a position.
    pub display: &'a dyn Fn(usize) -> String,
    /// How long the button is held first, where it goes on by itself.
    pub held: Option<&'a Held>,
}

/// The steps of a procedure for one vehicle, to a value that is not stored yet. With no write left there are none.
pub fn steps(procedure: &Procedure, values: &Values) -> Result<Steps, Problems> {
    if values.writes_left == Some(0) && procedure.is_irreversible() {
        return Err(no_write_left(values).into());
    }
    let steps = procedure.fill(values)?;
    let way = values.pressing.as_ref().map(|pressing| pressing.way);
    Ok(Steps {
        steps,
        presses: way
            .map(|way| Presses { button: way.direction(), count: way.presses() })
            .into_iter()
            .collect(),
        total_presses: way.map_or(0, Way::presses),
        wraps: way.map_or(0, Way::wraps),
    })
}

fn no_write_left(values: &Values) -> Problem {
    Problem::error("adjuster", format!("a write left to store {}", values.target), "none left")
        .in_part("writes_left")
        .hint("Leave the value as it is, or see whether a tire, a gear or a conditioner can do the rest")
}
