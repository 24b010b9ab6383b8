//! Sizes in inches: flotation, and the lettered ones.

use super::joint::{joint, rim_code};
use super::{
    ASPECT_PERCENT, EXPECTED_START, Form, Joint, PRINTED_DIAMETER_IN, Reading, SECTION_WIDTH_IN,
    SECTION_WIDTH_MM, Service, checked, whole,
};
use crate::describe::tire::marks::Marks;
use crate::describe::tire::scan::{Failure, Number, Scan};

pub(super) fn flotation(scan: &mut Scan, first: &Number) -> Result<Reading, Failure> {
    checked(first, "an outer diameter in inches", PRINTED_DIAMETER_IN)?;
    let width = scan.number_within("a section width in inches", SECTION_WIDTH_IN.0, SECTION_WIDTH_IN.1)?;
    flotation_rim(scan, first, &width)
}

pub(super) fn flotation_rim(scan: &mut Scan, first: &Number, width: &Number) -> Result<Reading, Failure> {
    let (diameter_in, width_in) = (first.value, width.value);
    if scan.is_done() {
        // What people call such a tire by; its rim does not change how far it rolls.
        let form = Form::Flotation { diameter_in, width_in, rim_in: None };
        return Ok(Reading { form, service: Service::Plain, joint: Joint::Unsaid, marks: Marks::default() });
    }
    let (joint, marks) = joint(scan)?;
    let at = scan.at;
    let rim_in = rim_code(scan)?;
    if rim_in >= first.value - 2.0 {
        return Err(Failure { at, expected: "a rim smaller than the tire around it".into() });
    }
    let form = Form::Flotation { diameter_in, width_in, rim_in: Some(rim_in) };
    Ok(Reading { form, service: Service::Plain, joint, marks })
}

pub(super) fn is_flotation(first: &Number, second: &Number) -> bool {
    first.value >= PRINTED_DIAMETER_IN.0
        && first.value < SECTION_WIDTH_MM.0
        && second.value < ASPECT_PERCENT.0
}

/// `G78-15`, `LR78-15` and, for motorcycles, `MT90-16`.
pub(super) fn lettered(scan: &mut Scan) -> Result<Reading, Failure> {
    let start = *scan;
    let Some(class) = scan.take_any("ABCDEFGHJKLMN") else { return start.fail(EXPECTED_START) };
    let mut letters = String::from(class);
    let second = scan.take_any("HJMNPRTUV");
    let Some(aspect) = scan.number() else { return start.fail(EXPECTED_START) };
    let is_motorcycle = class == 'M' && second.is_some() && aspect.value >= LOWEST_MOTORCYCLE_ASPECT;
    let is_radial = second == Some('R') && !is_motorcycle;
    if second.is_some() && !is_motorcycle && !is_radial {
        return start.fail(EXPECTED_START);
    }
    letters.extend(second.filter(|_| is_motorcycle));
    let aspect_percent = whole(&aspect, "an aspect in per cent", ASPECT_PERCENT)?;
    let (mut joint, marks) = joint(scan)?;
    if is_radial {
        joint = Joint::Radial;
    }
    let form = Form::Lettered { letters, aspect_percent, rim_in: rim_code(scan)? };
    Ok(Reading { form, service: Service::Plain, joint, marks })
}

/// Motorcycle letter sizes are 85 or 90; car and light-truck ones 78 and lower.
const LOWEST_MOTORCYCLE_ASPECT: f64 = 80.0;
