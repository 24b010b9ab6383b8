//! The steps for one vehicle: from what is stored to a value, on the adjuster's own grid.

use super::{Buttons, Counter, Pressing, Procedure, Steps, Values, generic_procedure, steps};
use crate::choose::Steps as Grid;
use crate::describe::adjuster::{AdjusterKind, Button, SteppedConstant};
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
    let Some(present) = grid.present else {
        return Err(vec![
            Problem::error(source, "[adjuster] present: what is stored now", "nothing")
                .hint("read it off the module and add it; presses are counted from there"),
        ]);
    };
    let off_grid = |value: Decimal| {
        let last = grid.value(grid.count - 1);
        Problem::error(source, format!("a value on the grid {} to {last}", grid.value(0)), value.to_string())
            .hint(format!(
                "the nearest is {}",
                grid.value(grid.nearest(crate::describe::decimal::to_f64(value).max(f64::MIN_POSITIVE)))
            ))
    };
    let from = grid.index_of(present).ok_or_else(|| vec![off_grid(present)])?;
    let to = grid.index_of(target).ok_or_else(|| vec![off_grid(target)])?;
    let generic = || {
        let (procedure, _) =
            Procedure::read("generic", generic_procedure(grid.adjuster.kind_word()).unwrap_or_default());
        procedure
    };
    let procedure = procedure.cloned().unwrap_or_else(generic);
    let (present_text, target_text) = (grid.value(from).to_string(), grid.value(to).to_string());
    let mut notes = Vec::new();
    let mut checkpoints = Vec::new();
    let mut values = Values {
        vehicle: &vehicle.name,
        present: &present_text,
        target: &target_text,
        present_display: &present_text,
        target_display: &target_text,
        writes_left: grid.adjuster.writes_left,
        pressing: None,
    };
    let steps = match &grid.adjuster.kind {
        AdjusterKind::SteppedConstant(constant) => {
            let counter = counter(&grid, constant);
            let (from, to) = (from as usize, to as usize);
            let plan = counter
                .plan(from, to)
                .map_err(|problem| vec![Problem { source: source.into(), ..problem }])?;
            let shown = |index: usize| display(constant, grid.value(index as u64));
            let (present_display, target_display) = (shown(from), shown(to));
            values.present_display = &present_display;
            values.target_display = &target_display;
            notes.extend(plan.other().map(|other| {
                format!("The other way, {}, takes {} presses.", other.direction(), other.presses())
            }));
            let near: Vec<usize> =
                equivalents.iter().filter_map(|v| grid.index_of(*v)).map(|i| i as usize).collect();
            notes.extend(counter.cheaper_equivalent(from, to, &near).map(|cheaper| {
                format!(
                    "{} would be about as true and takes {} presses instead of {}.",
                    grid.value(cheaper.target as u64),
                    cheaper.way.presses(),
                    plan.best().presses()
                )
            }));
            checkpoints.extend(plan.best().checkpoints().iter().map(|c| (c.presses, shown(c.position))));
            values.pressing = Some(Pressing { way: plan.best(), display: &shown });
            steps(&procedure, &values)?
        }
        _ => steps(&procedure, &values)?,
    };
    Ok(Job { from: present_text, to: target_text, steps, notes, checkpoints })
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
