//! Sizes in millimetres, and how a slash or a joint after the first number is told from one in inches.

use super::inch::{flotation_rim, is_flotation};
use super::joint::{joint, rim_code, rim_code_or_mm};
use super::{
    ASPECT_PERCENT, Form, PRINTED_DIAMETER_MM, RIM_MM, Reading, SECTION_WIDTH_IN, SECTION_WIDTH_MM, Service,
    checked, whole,
};
use crate::describe::tire::scan::{Failure, Number, Scan};

/// `265/75R16`, or a flotation size written with a slash: `33/12.50R15`.
pub(super) fn after_slash(scan: &mut Scan, first: &Number) -> Result<Reading, Failure> {
    let mut ahead = *scan;
    let second = ahead.number();
    if let Some(second) = second.filter(|second| is_flotation(first, second)) {
        checked(&second, "a section width in inches", SECTION_WIDTH_IN)?;
        *scan = ahead;
        return flotation_rim(scan, first, &second);
    }
    let width_mm = whole(first, "a section width in mm", SECTION_WIDTH_MM)?;
    let aspect = scan.number_within("an aspect in per cent", ASPECT_PERCENT.0, ASPECT_PERCENT.1)?;
    let aspect_percent = whole(&aspect, "an aspect in per cent", ASPECT_PERCENT)?;
    let (joint, marks) = joint(scan)?;
    let rim = rim_code_or_mm(scan)?;
    let form = Form::Metric { width_mm, aspect_percent, rim };
    Ok(Reading { form, service: Service::Plain, joint, marks })
}

/// Sizes whose first number meets the construction at once: `185R14`, `7.50-16`, `11R22.5`, `235-710R460`.
pub(super) fn after_joint(scan: &mut Scan, first: &Number) -> Result<Reading, Failure> {
    if scan.is_done() {
        return scan.fail("the rest of the size, or a unit (in, mm) if this is a diameter");
    }
    if let Some(diameter) = middle_diameter(scan, first) {
        return outer_diameter(scan, first, &diameter);
    }
    let (joint, marks) = joint(scan)?;
    let rim_in = rim_code(scan)?;
    let form = if first.value < SECTION_WIDTH_MM.0 {
        Form::Numeric { width_in: checked(first, "a section width in inches", SECTION_WIDTH_IN)?, rim_in }
    } else {
        Form::WithoutAspect { width_mm: whole(first, "a section width in mm", SECTION_WIDTH_MM)?, rim_in }
    };
    Ok(Reading { form, service: Service::Plain, joint, marks })
}

/// The middle number of a run-flat special size, recognised by being too large for a rim.
fn middle_diameter(scan: &mut Scan, first: &Number) -> Option<Number> {
    let mut ahead = *scan;
    if first.value < SECTION_WIDTH_MM.0 || !ahead.take("-") {
        return None;
    }
    let diameter = ahead.number().filter(|number| number.value >= PRINTED_DIAMETER_MM.0)?;
    *scan = ahead;
    Some(diameter)
}

fn outer_diameter(scan: &mut Scan, first: &Number, diameter: &Number) -> Result<Reading, Failure> {
    let width_mm = whole(first, "a section width in mm", SECTION_WIDTH_MM)?;
    let diameter_mm = whole(diameter, "an outer diameter in mm", PRINTED_DIAMETER_MM)?;
    let (joint, marks) = joint(scan)?;
    let highest = RIM_MM.1.min(diameter_mm - 50.0);
    let rim_mm = scan.number_within("a rim diameter in mm", RIM_MM.0, highest)?.value;
    let form = Form::OuterDiameter { width_mm, diameter_mm, rim_mm };
    Ok(Reading { form, service: Service::Plain, joint, marks })
}
