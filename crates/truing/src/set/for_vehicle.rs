//! The steps for one vehicle: from what is stored to a value, on the adjuster's own grid.

use super::{Buttons, Counter, Pressing, Procedure, Steps, Values, generic_procedure, steps};
use crate::choose::Steps as Grid;
use crate::describe::adjuster::{AdjusterKind, Button, SteppedConstant};
use crate::describe::decimal::to_f64;
use crate::describe::vehicle::Vehicle;
use crate::problem::Problem;
use rust_decimal::Decimal;

/// Steps with the values they go between.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// What is stored now.
    pub from: String,
    /// What is to be stored.
    pub to: String,
    /// The steps.
    pub steps: Steps,
    /// The other direction, or an easier value, where that is worth knowing.
    pub notes: Vec<String>,
    /// Presses made and what the display shows then, where a long count is compared on the way.
    pub checkpoints: Vec<(usize, String)>,
}

/// Plans the way from the present value to `target`. `equivalents` are settings about as good; `procedure` is the owner's own.
pub fn job(
    source: &str,
    vehicle: &Vehicle,
    target: Decimal,
    equivalents: &[Decimal],
    procedure: Option<&Procedure>,
) -> Result<Job, Vec<Problem>> {
    let grid = Grid::of(vehicle, source).map_err(|problem| vec![problem])?;
    let (from, to) = ends(source, &grid, target)?;
    let generic = || {
        let text = generic_procedure(grid.adjuster.kind_word()).unwrap_or_default();
        Procedure::read("generic", text).0
    };
    let procedure = procedure.cloned().unwrap_or_else(generic);
    let (from_text, to_text) = (grid.value(from).to_string(), grid.value(to).to_string());
    let values = Values {
        vehicle: &vehicle.name,
        present: &from_text,
        target: &to_text,
        present_display: &from_text,
        target_display: &to_text,
        writes_left: grid.adjuster.writes_left,
        pressing: None,
    };
    match &grid.adjuster.kind {
        AdjusterKind::SteppedConstant(constant) => {
            let near = equivalents.iter().filter_map(|value| grid.index_of(*value));
            let near: Vec<usize> = near.map(|index| index as usize).collect();
            pressed(source, &grid, constant, (from as usize, to as usize), &near, &procedure, values)
        }
        _ => {
            let steps = steps(&procedure, &values)?;
            Ok(Job { from: from_text, to: to_text, steps, notes: Vec::new(), checkpoints: Vec::new() })
        }
    }
}

/// Indices of the present value and of the target.
fn ends(source: &str, grid: &Grid, target: Decimal) -> Result<(u64, u64), Vec<Problem>> {
    let Some(present) = grid.present else {
        return Err(vec![
            Problem::error(source, "[adjuster] present: what is stored now", "nothing")
                .hint("read it off the module and add it; presses are counted from there"),
        ]);
    };
    let index = |value: Decimal| {
        grid.index_of(value).ok_or_else(|| {
            let (first, last) = (grid.value(0), grid.value(grid.count - 1));
            let nearest = grid.value(grid.nearest(to_f64(value).max(f64::MIN_POSITIVE)));
            let expected = format!("a value on the grid {first} to {last}");
            vec![
                Problem::error(source, expected, value.to_string()).hint(format!("the nearest is {nearest}")),
            ]
        })
    };
    Ok((index(present)?, index(target)?))
}

/// The job of an adjuster with buttons.
fn pressed(
    source: &str,
    grid: &Grid,
    constant: &SteppedConstant,
    (from, to): (usize, usize),
    near: &[usize],
    procedure: &Procedure,
    values: Values,
) -> Result<Job, Vec<Problem>> {
    let counter = counter(grid, constant);
    let plan =
        counter.plan(from, to).map_err(|problem| vec![Problem { source: source.into(), ..problem }])?;
    let best = plan.best();
    let shown = |index: usize| display(constant, grid.value(index as u64));
    let (from_display, to_display) = (shown(from), shown(to));
    let values = Values {
        present_display: &from_display,
        target_display: &to_display,
        pressing: Some(Pressing { way: best, display: &shown }),
        ..values
    };
    let other = plan
        .other()
        .map(|other| format!("The other way, {}, takes {} presses.", other.direction(), other.presses()));
    let cheaper = counter.cheaper_equivalent(from, to, near).map(|cheaper| {
        let value = grid.value(cheaper.target as u64);
        let (fewer, presses) = (cheaper.way.presses(), best.presses());
        format!("{value} would be about as true and takes {fewer} presses instead of {presses}.")
    });
    Ok(Job {
        from: values.present.to_string(),
        to: values.target.to_string(),
        steps: steps(procedure, &values)?,
        notes: other.into_iter().chain(cheaper).collect(),
        checkpoints: best.checkpoints().iter().map(|c| (c.presses, shown(c.position))).collect(),
    })
}

fn counter(grid: &Grid, constant: &SteppedConstant) -> Counter {
    Counter {
        positions: usize::try_from(grid.count).unwrap_or(usize::MAX),
        buttons: Buttons {
            up: constant.buttons.contains(&Button::Up),
            down: constant.buttons.contains(&Button::Down),
        },
        wraps: constant.wraps,
    }
}

/// As the module shows a value: with or without the point, as its present value is shown.
fn display(constant: &SteppedConstant, value: Decimal) -> String {
    let plain = value.to_string();
    match &constant.display {
        Some(shown) if !shown.contains('.') => plain.replace('.', ""),
        _ => plain,
    }
}
