//! A plain diameter with its unit, decimal or with a fraction: `31.2 in`, `31 1/4"`, `792 mm`.

use super::{Form, GIVEN_DIAMETER_MM, Joint, Reading, plain};
use crate::describe::tire::scan::{Failure, Number, Scan};

/// A number as typed, and how fine it is.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::describe::tire) struct Typed {
    /// Its digits, `31.20` or `31 1/4`.
    pub text: String,
    pub value: f64,
    /// One unit of the last digit, or one part of the fraction.
    pub step: f64,
}

/// A number with a length unit after it, a fraction between them forgiven: `31 1/4 in`.
pub(super) fn with_unit(scan: &mut Scan, first: &Number) -> Option<(Typed, &'static str)> {
    let mut ahead = *scan;
    let mut typed = Typed { text: first.text.clone(), value: first.value, step: first.step };
    if let Some((above, below)) = fraction(&mut ahead) {
        typed = Typed {
            text: format!("{} {above}/{below}", first.text),
            value: first.value + above / below,
            step: 1.0 / below,
        };
    }
    let unit = unit(&mut ahead)?;
    *scan = ahead;
    Some((typed, unit))
}

fn fraction(scan: &mut Scan) -> Option<(f64, f64)> {
    let mut ahead = *scan;
    let above = ahead.number()?;
    let below = ahead.take("/").then(|| ahead.number()).flatten()?;
    let is_proper = !above.has_point && !below.has_point && above.value < below.value;
    is_proper.then(|| {
        *scan = ahead;
        (above.value, below.value)
    })
}

fn unit(scan: &mut Scan) -> Option<&'static str> {
    let units = [("INCHES", "in"), ("INCH", "in"), ("IN", "in"), ("MM", "mm"), ("CM", "cm"), ("M", "m")];
    if scan.take("\"") || scan.take("''") {
        return Some("in");
    }
    units.into_iter().find(|(word, _)| scan.take_whole(word)).map(|(_, unit)| unit)
}

pub(super) fn given(
    scan: &mut Scan,
    at: usize,
    typed: Typed,
    unit: &'static str,
) -> Result<Reading, Failure> {
    let diameter_mm = typed.value * millimetres_in(unit);
    if diameter_mm < GIVEN_DIAMETER_MM.0 || diameter_mm > GIVEN_DIAMETER_MM.1 {
        let expected = format!("a tire diameter from {} to {} mm", GIVEN_DIAMETER_MM.0, GIVEN_DIAMETER_MM.1);
        return Err(Failure { at, expected });
    }
    scan.take_whole("DIAMETER");
    let joint = if scan.take_whole("RADIAL") {
        Joint::Radial
    } else if scan.take_whole("BIAS") || scan.take_whole("DIAGONAL") {
        Joint::Diagonal
    } else {
        Joint::Unsaid
    };
    if !scan.is_done() {
        return scan.fail("nothing more, or \"radial\" or \"bias\"");
    }
    Ok(plain(Form::Given { typed, unit }, joint))
}

/// Millimetres in one unit of a typed diameter.
pub(in crate::describe::tire) fn millimetres_in(unit: &str) -> f64 {
    match unit {
        "in" => 25.4,
        "cm" => 10.0,
        "m" => 1000.0,
        _ => 1.0,
    }
}
