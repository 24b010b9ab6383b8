//! What a display shows, and which setting that is.

use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::{Adjuster, AdjusterKind, SteppedConstant};
use crate::describe::file::decimal::decimal;
use crate::problem::Problem;
use rust_decimal::Decimal;

/// The setting that an adjuster has when it shows this: `832` on a module that shows 8.32 without its point.
pub fn setting_shown(source: &str, adjuster: &Adjuster, shown: &str) -> Result<Setting, Problem> {
    let AdjusterKind::SteppedConstant(constant) = &adjuster.kind else {
        let setting = Setting::parse(shown);
        return super::reach::check(source, adjuster, &setting).map(|()| setting);
    };
    let place = shown_place(source, constant, shown)?;
    Ok(constant.grid.value(place as u64).map_or_else(|| Setting::parse(shown), Setting::Number))
}

/// The value that was meant where it was typed without its point: `832` for 8.32. Only where `832` itself is not on the
/// grid, and the digits stand for one value that is.
pub(super) fn without_point(constant: &SteppedConstant, typed: Decimal) -> Option<Decimal> {
    if constant.grid.index_of(typed).is_some() || !typed.fract().is_zero() {
        return None;
    }
    let scale = constant.grid.min().scale().max(constant.grid.value(1).unwrap_or_default().scale());
    let meant = Decimal::try_from_i128_with_scale(typed.trunc().to_string().parse().ok()?, scale).ok()?;
    (scale > 0).then(|| constant.grid.value(constant.grid.index_of(meant)?)).flatten()
}

/// The place on the grid of what a display shows, with or without its point.
pub(super) fn shown_place(source: &str, constant: &SteppedConstant, shown: &str) -> Result<usize, Problem> {
    let shows = |place: &u64| constant.grid.value(*place).map(|value| display(constant, value));
    let place = (0..constant.grid.len()).find(|place| shows(place).as_deref() == Some(shown.trim()));
    let as_value = || constant.grid.index_of(decimal(shown).ok()?);
    let meant = || constant.grid.index_of(without_point(constant, decimal(shown).ok()?)?);
    let place = place.or_else(as_value).or_else(meant).and_then(|place| usize::try_from(place).ok());
    place.ok_or_else(|| {
        let (min, max) = (display(constant, constant.grid.min()), display(constant, constant.grid.max()));
        Problem::error(source, format!("what the display can show, {min} to {max}"), format!("`{shown}`"))
            .hint("type the digits exactly as they stand")
    })
}

/// As the module shows a value: with or without the point, as its present value is shown.
pub(super) fn display(constant: &SteppedConstant, value: Decimal) -> String {
    let plain = value.to_string();
    match &constant.display {
        Some(shown) if !shown.contains('.') => plain.replace('.', ""),
        _ => plain,
    }
}
