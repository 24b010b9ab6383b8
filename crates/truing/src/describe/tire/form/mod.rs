//! From characters to the numbers of a size: which system it is in, and what each number means there.

use super::marks::{self, Marks};
use super::scan::{Failure, Number, Scan};
use given::{given, with_unit};
use inch::{flotation, lettered};
use metric::{after_joint, after_slash};

mod given;
mod inch;
mod joint;
mod metric;

pub(super) use given::{Typed, millimetres_in};

/// Narrowest and widest section, mm: from scooter tires to wide-base trailer tires.
const SECTION_WIDTH_MM: (f64, f64) = (60.0, 495.0);
/// Lowest and highest aspect in per cent.
const ASPECT_PERCENT: (f64, f64) = (20.0, 105.0);
/// Smallest and largest rim diameter code, inches.
const RIM_CODE: (f64, f64) = (8.0, 30.0);
/// Smallest and largest rim whose diameter is given in mm.
const RIM_MM: (f64, f64) = (180.0, 650.0);
/// Outer diameters printed in inches.
const PRINTED_DIAMETER_IN: (f64, f64) = (16.0, 60.0);
/// Section widths printed in inches.
const SECTION_WIDTH_IN: (f64, f64) = (2.0, 24.0);
/// Outer diameters printed in mm.
const PRINTED_DIAMETER_MM: (f64, f64) = (400.0, 1500.0);
/// Diameters that somebody may give for a road tire, mm.
pub(super) const GIVEN_DIAMETER_MM: (f64, f64) = (250.0, 2500.0);

/// What the letters around the size say about its use.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Service {
    Plain,
    Passenger,
    LightTruck,
    Trailer,
    Temporary,
    Commercial,
}

/// The sign between the section and the rim.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Joint {
    Radial,
    Dash,
    Diagonal,
    Belted,
    Unsaid,
}

/// The numbers of a size, by the way they are written. Lengths in the unit of the name.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Form {
    Metric {
        width_mm: f64,
        aspect_percent: f64,
        rim: f64,
    },
    WithoutAspect {
        width_mm: f64,
        rim_in: f64,
    },
    /// Called by its diameter and width alone where there is no rim.
    Flotation {
        diameter_in: f64,
        width_in: f64,
        rim_in: Option<f64>,
    },
    Numeric {
        width_in: f64,
        rim_in: f64,
    },
    Lettered {
        letters: String,
        aspect_percent: f64,
        rim_in: f64,
    },
    OuterDiameter {
        width_mm: f64,
        diameter_mm: f64,
        rim_mm: f64,
    },
    Given {
        typed: Typed,
        unit: &'static str,
    },
}

/// A size as written.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Reading {
    pub form: Form,
    pub service: Service,
    pub joint: Joint,
    pub marks: Marks,
}

/// Reads a whole size; what cannot be read is said with its place.
pub(super) fn read(chars: &[char]) -> Result<Reading, Failure> {
    let mut scan = Scan::new(chars);
    let mut reading = size(&mut scan)?;
    if !matches!(reading.form, Form::Given { .. }) {
        reading.service = suffix(&mut scan, reading.service);
        marks::read(&mut scan, &mut reading.marks)?;
    }
    if scan.is_done() { Ok(reading) } else { scan.fail(marks::EXPECTED) }
}

fn size(scan: &mut Scan) -> Result<Reading, Failure> {
    let service = prefix(scan);
    let Some(first) = scan.number() else {
        return if service == Service::Plain { lettered(scan) } else { scan.fail("a number") };
    };
    if let Some((diameter, unit)) = with_unit(scan, &first) {
        return given(scan, first.at, diameter, unit);
    }
    let mut reading = if scan.take("X") {
        flotation(scan, &first)
    } else if scan.take("/") {
        after_slash(scan, &first)
    } else {
        after_joint(scan, &first)
    }?;
    reading.service = service;
    Ok(reading)
}

/// Letters before the first digit that say what the tire is for.
fn prefix(scan: &mut Scan) -> Service {
    let prefixes = [
        ("LT", Service::LightTruck),
        ("ST", Service::Trailer),
        ("P", Service::Passenger),
        ("T", Service::Temporary),
    ];
    for (letters, service) in prefixes {
        let mut ahead = *scan;
        if ahead.take(letters) && { ahead }.number().is_some() {
            *scan = ahead;
            return service;
        }
    }
    Service::Plain
}

/// The same letters after the rim; `C` only where it touches the rim, else it is a load range.
fn suffix(scan: &mut Scan, service: Service) -> Service {
    for (letters, found) in [("LT", Service::LightTruck), ("ST", Service::Trailer)] {
        let fits = service == Service::Plain || service == found;
        if fits && scan.take_whole(letters) {
            return found;
        }
    }
    if service == Service::Plain && scan.peek() == Some('C') && scan.take_whole("C") {
        return Service::Commercial;
    }
    service
}

fn plain(form: Form, joint: Joint) -> Reading {
    Reading { form, service: Service::Plain, joint, marks: Marks::default() }
}

fn checked(number: &Number, what: &str, (low, high): (f64, f64)) -> Result<f64, Failure> {
    if number.value >= low && number.value <= high {
        return Ok(number.value);
    }
    Err(Failure { at: number.at, expected: format!("{what} from {low} to {high}") })
}

fn whole(number: &Number, what: &str, range: (f64, f64)) -> Result<f64, Failure> {
    if number.has_point {
        return Err(Failure { at: number.at, expected: format!("{what} as a whole number") });
    }
    checked(number, what, range)
}

/// What a size may begin with.
pub(super) const EXPECTED_START: &str = "a tire size such as 235/75R15, LT275/75R17, 31x10.50R15LT, 7.50-16LT, \
     11R22.5, G78-15 or 185R14, or a diameter such as 31.2 in";
