//! The steps for one vehicle: from what is set to another setting, for every kind of adjuster.

use super::long_way::{LongWay, long_way};
use super::shown::{display, shown_place, without_point};
use super::{
    Buttons, Counter, Direction, Hold, Outcome, Pressing, Procedure, Repeat, Steps, Switch, Values, Way,
    reach, steps, text_for,
};
use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::{Adjuster, AdjusterKind, Button, SteppedConstant};
use crate::describe::file::decimal::to_f64;
use crate::describe::vehicle::Vehicle;
use crate::problem::{Problem, Problems};
use metrology::measured::Measured;
use metrology::quantity::{Frequency, Ratio};
use rust_decimal::Decimal;

/// Nobody counts more presses than these one by one (judgement); the places to compare on the way are given all the same.
const MOST_COUNTED: usize = 2000;

/// Steps with the values they go between.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// What is stored now.
    pub from: String,
    /// What is to be stored.
    pub to: String,
    /// The steps.
    pub steps: Steps,
    /// What else is worth knowing.
    pub notes: Vec<Note>,
    /// What a long way costs, for each that is long.
    pub long_ways: Vec<LongWay>,
    /// What the display shows from before the first press to after the last; one run for each adjuster with buttons.
    pub runs: Vec<Run>,
    /// What is another value afterwards than before.
    pub changes: Vec<Change>,
    /// Indicated over true afterwards, where it is known: for the first look at the dial.
    pub expected: Option<Measured<Ratio>>,
    /// The owner's reason for storing it although something is to be checked first.
    pub despite: Option<String>,
}

/// What else is worth knowing before starting.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Note {
    /// There is another way to the value.
    OtherWay {
        /// Its button.
        button: Direction,
        /// Its presses.
        presses: usize,
    },
    /// Another value is about as true and far fewer presses away.
    Cheaper {
        /// The value.
        value: String,
        /// The presses to it.
        presses: usize,
        /// The presses to the one that these steps lead to.
        instead_of: usize,
    },
}

/// One adjuster and what becomes of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// The adjuster, as it is called.
    pub adjuster: String,
    /// The same in words.
    pub spoken: String,
    /// What is stored before.
    pub from: String,
    /// What is stored after.
    pub to: String,
    /// Writes left before, where the adjuster counts them and this is known.
    pub writes_left: Option<u32>,
}

/// The presses of one button, one by one.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The button.
    pub button: Direction,
    /// What the display shows before the first press and after each.
    pub shows: Vec<String>,
    /// Presses made and what the display shows then, where the count is compared on the way.
    pub checkpoints: Vec<(usize, String)>,
    /// How long the button is held first, where it goes on by itself.
    pub held: Option<Held>,
}

/// The part of a run that a held button makes by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// How long.
    pub hold: Hold,
    /// Steps a second meanwhile.
    pub rate: Frequency,
    /// What the display shows when it is let go.
    pub let_go_at: String,
    /// Presses made singly afterwards.
    pub then_singly: usize,
}

/// What is to be done on one adjuster.
#[derive(Clone, Debug, PartialEq)]
pub struct Order<'a> {
    /// The adjuster.
    pub adjuster: &'a Adjuster,
    /// What it is to be set to.
    pub target: Setting,
    /// Settings about as good.
    pub equivalents: Vec<Setting>,
    /// What the display shows at this moment, where presses were already made.
    pub shows: Option<&'a str>,
    /// How a button that is held down goes on by itself.
    pub repeat: Option<Repeat>,
    /// The owner's own routine.
    pub procedure: Option<&'a Procedure>,
}

impl<'a> Order<'a> {
    /// From the present setting to a target, by the routine that ships.
    pub fn new(adjuster: &'a Adjuster, target: Setting) -> Self {
        Self { adjuster, target, equivalents: Vec::new(), shows: None, repeat: None, procedure: None }
    }
}

impl Job {
    /// This job and another one after it.
    pub fn then(mut self, next: Job) -> Job {
        self.from = format!("{}, {}", self.from, next.from);
        self.to = format!("{}, {}", self.to, next.to);
        self.steps.steps.extend(next.steps.steps);
        self.steps.presses.extend(next.steps.presses);
        self.steps.total_presses += next.steps.total_presses;
        self.steps.wraps += next.steps.wraps;
        self.notes.extend(next.notes);
        self.long_ways.extend(next.long_ways);
        self.runs.extend(next.runs);
        self.changes.extend(next.changes);
        self.expected = next.expected.or(self.expected);
        self
    }
}

/// Plans the way from what is set, or from what the display shows, to the target; nothing is to be done where that is stored.
pub fn job(source: &str, vehicle: &Vehicle, order: &Order) -> Result<Outcome, Problems> {
    let adjuster = order.adjuster;
    let present = present(source, vehicle, adjuster)?;
    // The same value in another notation is the same setting: 9.1 is stored as 9.10, and 910 means it, too.
    let target = match &adjuster.kind {
        AdjusterKind::SteppedConstant(it) => on_grid(it, &order.target).unwrap_or(order.target.clone()),
        _ => order.target.clone(),
    };
    reach::check(source, adjuster, &target)?;
    let generic = || Procedure::read("generic", text_for(adjuster, &present, &target)).0;
    let procedure = order.procedure.cloned().unwrap_or_else(generic);
    let (from_text, to_text) = (present.to_string(), target.to_string());
    if present.same_as(&target) {
        return Ok(Outcome::stored_already(&to_text));
    }
    let (from_seen, to_seen) = (seen(adjuster, &present), seen(adjuster, &target));
    let values = Values {
        vehicle: &vehicle.name,
        present: &from_text,
        target: &to_text,
        present_display: order.shows.unwrap_or(&from_seen),
        target_display: &to_seen,
        writes_left: adjuster.writes_left,
        present_parts: parts(&present),
        target_parts: parts(&target),
        switches: switches(adjuster, &target),
        pressing: None,
    };
    let changes = vec![Change {
        adjuster: adjuster.called().into(),
        spoken: adjuster.spoken().into(),
        from: from_text.clone(),
        to: to_text.clone(),
        writes_left: adjuster.writes_left,
    }];
    let job = match (&adjuster.kind, &present, &target) {
        (AdjusterKind::SteppedConstant(constant), Setting::Number(from), Setting::Number(to)) => {
            let pressed = pressed(source, constant, (*from, *to), order, &procedure, values)?;
            Job { changes, ..pressed }
        }
        _ => {
            let steps = steps(&procedure, &values)?;
            let (notes, long_ways, runs) = (Vec::new(), Vec::new(), Vec::new());
            let (expected, despite) = (None, None);
            Job { from: from_text, to: to_text, steps, notes, long_ways, runs, changes, expected, despite }
        }
    };
    Ok(Outcome::Steps(Box::new(job)))
}

fn present(source: &str, vehicle: &Vehicle, adjuster: &Adjuster) -> Result<Setting, Problem> {
    let mounted = || Some(Setting::Named(vehicle.mounted()?.size.clone()?));
    let present = match adjuster.kind {
        AdjusterKind::Tires(_) => mounted(),
        _ => adjuster.present(),
    };
    present.ok_or_else(|| {
        Problem::error(source, "[adjuster] present: what is stored now", "nothing")
            .at_line(adjuster.line)
            .hint("read it off the module and add it; presses are counted from there")
    })
}

/// A setting as it is seen on what is set: with its switches, where it has some.
fn seen(adjuster: &Adjuster, setting: &Setting) -> String {
    let switches = switches(adjuster, setting);
    let one = |(at, switch): (usize, &Switch)| switch.shown(at + 1);
    match switches.is_empty() {
        true => setting.to_string(),
        false => {
            let all: Vec<String> = switches.iter().enumerate().map(one).collect();
            format!("{setting}, switches {}", all.join(", "))
        }
    }
}

/// How the switches of a conditioner are to stand for a ratio.
fn switches(adjuster: &Adjuster, target: &Setting) -> Vec<Switch> {
    let Setting::Pair(pair) = target else { return Vec::new() };
    reach::switches(adjuster, pair).unwrap_or_default()
}

/// The two parts of a setting that has two.
fn parts(setting: &Setting) -> Option<[String; 2]> {
    match setting {
        Setting::Pair(pair) => Some([pair.numerator().to_string(), pair.denominator().to_string()]),
        Setting::Declared(told) => {
            Some([told.revs_per_mile.to_string(), told.axle_ratio.as_ref()?.to_string()])
        }
        Setting::Number(_) | Setting::Named(_) => None,
    }
}

fn on_grid(constant: &SteppedConstant, setting: &Setting) -> Option<Setting> {
    let Setting::Number(value) = setting else { return None };
    let as_typed = constant.grid.index_of(*value).and_then(|place| constant.grid.value(place));
    as_typed.or_else(|| without_point(constant, *value)).map(Setting::Number)
}

/// The job of an adjuster with buttons.
fn pressed(
    source: &str,
    constant: &SteppedConstant,
    (from, to): (Decimal, Decimal),
    order: &Order,
    procedure: &Procedure,
    values: Values,
) -> Result<Job, Problems> {
    let counter = counter(constant);
    let place = |value: Decimal| constant.grid.index_of(value).map_or(usize::MAX, |place| place as usize);
    let start = match order.shows {
        Some(shown) => shown_place(source, constant, shown)?,
        None => place(from),
    };
    let plan = counter
        .plan(start, place(to))
        .map_err(|problem| vec![Problem { source: source.into(), ..problem }])?;
    let best = plan.best();
    let value = |place: usize| constant.grid.value(place as u64).unwrap_or(to);
    let shown = |place: usize| display(constant, value(place));
    let (from_display, to_display) = (shown(start), shown(place(to)));
    let held = order.repeat.and_then(|repeat| held(repeat, best, &shown));
    let values = Values {
        present_display: &from_display,
        target_display: &to_display,
        pressing: Some(Pressing { way: best, display: &shown, held: held.as_ref() }),
        ..values
    };
    let other =
        plan.other().map(|other| Note::OtherWay { button: other.direction(), presses: other.presses() });
    let near = order.equivalents.iter().filter_map(|setting| match setting {
        Setting::Number(value) => constant.grid.index_of(*value).map(|place| place as usize),
        _ => None,
    });
    let near: Vec<usize> = near.collect();
    let cheaper = counter.cheaper_equivalent(start, place(to), &near).map(|cheaper| Note::Cheaper {
        value: value(cheaper.target).to_string(),
        presses: cheaper.way.presses(),
        instead_of: best.presses(),
    });
    let after = |direction, presses| counter.after(start, direction, presses);
    let number = |place: usize| to_f64(value(place));
    let long_way = long_way(best, place(to), after, &number, &|place| value(place).to_string());
    let steps = steps(procedure, &values)?;
    Ok(Job {
        from: values.present.to_string(),
        to: values.target.to_string(),
        steps,
        notes: other.into_iter().chain(cheaper).collect(),
        long_ways: long_way.into_iter().collect(),
        runs: vec![Run { held, ..run(best, &shown) }],
        changes: Vec::new(),
        expected: None,
        despite: None,
    })
}

/// Every press of a way; nothing is listed where there are too many to count by hand.
fn run(way: &Way, shown: &dyn Fn(usize) -> String) -> Run {
    let counted = if way.presses() <= MOST_COUNTED { way.presses() } else { 0 };
    let shows = (0..=counted).filter_map(|presses| way.shows_after(presses)).map(shown).collect();
    let checkpoints = way.checkpoints().iter().map(|c| (c.presses, shown(c.position))).collect();
    Run { button: way.direction(), shows, checkpoints, held: None }
}

/// How long to hold the button, and where to let go.
fn held(repeat: Repeat, way: &Way, shown: &dyn Fn(usize) -> String) -> Option<Held> {
    let hold = repeat.hold(way)?;
    let let_go_at = shown(way.shows_after(hold.presses)?);
    Some(Held { hold, rate: repeat.rate, let_go_at, then_singly: way.presses() - hold.presses })
}

fn counter(constant: &SteppedConstant) -> Counter {
    Counter {
        positions: usize::try_from(constant.grid.len()).unwrap_or(usize::MAX),
        buttons: Buttons {
            up: constant.buttons.contains(&Button::Up),
            down: constant.buttons.contains(&Button::Down),
        },
        wraps: constant.wraps,
    }
}
