//! What stands between the section and the rim, and the rim itself.

use super::{Joint, RIM_CODE, RIM_MM};
use crate::describe::tire::marks::Marks;
use crate::describe::tire::scan::{Failure, Scan};

/// The construction sign with what may stand in it: `VR`, `ZR` (speed), `RF` (reinforced).
pub(super) fn joint(scan: &mut Scan) -> Result<(Joint, Marks), Failure> {
    let mut marks = Marks::default();
    if scan.take("-") {
        // "78-15", and "75-R15" as some people write it
        let joint = if scan.take("R") { Joint::Radial } else { Joint::Dash };
        return Ok((joint, marks));
    }
    if let Some(letter) = speed_before_r(scan) {
        marks.speed_in_size = Some(letter);
    }
    if scan.take("R") {
        marks.reinforced_in_size = scan.take("F");
        scan.take("-");
        return Ok((Joint::Radial, marks));
    }
    match scan.take_any("DB") {
        Some('D') => Ok((Joint::Diagonal, marks)),
        Some(_) => Ok((Joint::Belted, marks)),
        None => scan.fail("R (radial), or - or D (bias), or B (belted bias)"),
    }
}

fn speed_before_r(scan: &mut Scan) -> Option<char> {
    let mut ahead = *scan;
    let letter = ahead.take_any("QSTUHVWYZ")?;
    if !{ ahead }.take("R") {
        return None;
    }
    *scan = ahead;
    Some(letter)
}

pub(super) fn rim_code(scan: &mut Scan) -> Result<f64, Failure> {
    let what = "a rim diameter in inches";
    let start = *scan;
    let number = scan.number_within(what, RIM_CODE.0, RIM_CODE.1)?;
    if (number.value * 2.0).fract() != 0.0 {
        return start.fail("a rim diameter in whole or half inches");
    }
    Ok(number.value)
}

/// A rim code in inches, or a diameter in mm where the number is too large for a code.
pub(super) fn rim_code_or_mm(scan: &mut Scan) -> Result<f64, Failure> {
    let is_mm = { *scan }.number().is_some_and(|number| number.value >= 100.0);
    if !is_mm {
        return rim_code(scan);
    }
    let start = *scan;
    let number = scan.number_within("a rim diameter in mm", RIM_MM.0, RIM_MM.1)?;
    if number.has_point { start.fail("a rim diameter in whole mm") } else { Ok(number.value) }
}
