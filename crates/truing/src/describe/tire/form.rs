//! From characters to the numbers of a size: which system it is in, and what each number means there.

use super::marks::{self, Marks};
use super::scan::{Failure, Number, Scan};

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
    Metric { width_mm: f64, aspect_percent: f64, rim: f64 },
    WithoutAspect { width_mm: f64, rim_in: f64 },
    Flotation { diameter_in: f64, width_in: f64, rim_in: f64 },
    Numeric { width_in: f64, rim_in: f64 },
    Lettered { letters: String, aspect_percent: f64, rim_in: f64 },
    OuterDiameter { width_mm: f64, diameter_mm: f64, rim_mm: f64 },
    Given { number: f64, unit: &'static str },
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
        return given(scan, &diameter, unit);
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

/// A number with a length unit after it, a fraction between them forgiven: `31 1/4 in`.
fn with_unit(scan: &mut Scan, first: &Number) -> Option<(Number, &'static str)> {
    let mut ahead = *scan;
    let mut number = first.clone();
    number.value += fraction(&mut ahead).unwrap_or(0.0);
    let unit = unit(&mut ahead)?;
    *scan = ahead;
    Some((number, unit))
}

fn fraction(scan: &mut Scan) -> Option<f64> {
    let mut ahead = *scan;
    let above = ahead.number()?;
    let below = ahead.take("/").then(|| ahead.number()).flatten()?;
    let is_proper = !above.has_point && !below.has_point && above.value < below.value;
    is_proper.then(|| {
        *scan = ahead;
        above.value / below.value
    })
}

fn unit(scan: &mut Scan) -> Option<&'static str> {
    let units = [("INCHES", "in"), ("INCH", "in"), ("IN", "in"), ("MM", "mm"), ("CM", "cm"), ("M", "m")];
    if scan.take("\"") || scan.take("''") {
        return Some("in");
    }
    units.into_iter().find(|(word, _)| scan.take_whole(word)).map(|(_, unit)| unit)
}

fn given(scan: &mut Scan, first: &Number, unit: &'static str) -> Result<Reading, Failure> {
    let diameter_mm = first.value * millimetres_in(unit);
    if diameter_mm < GIVEN_DIAMETER_MM.0 || diameter_mm > GIVEN_DIAMETER_MM.1 {
        let expected = format!("a tire diameter from {} to {} mm", GIVEN_DIAMETER_MM.0, GIVEN_DIAMETER_MM.1);
        return Err(Failure { at: first.at, expected });
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
    Ok(plain(Form::Given { number: first.value, unit }, joint))
}

/// Millimetres in one unit of a typed diameter.
pub(super) fn millimetres_in(unit: &str) -> f64 {
    match unit {
        "in" => 25.4,
        "cm" => 10.0,
        "m" => 1000.0,
        _ => 1.0,
    }
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

fn flotation(scan: &mut Scan, first: &Number) -> Result<Reading, Failure> {
    checked(first, "an outer diameter in inches", PRINTED_DIAMETER_IN)?;
    let width = scan.number_within("a section width in inches", SECTION_WIDTH_IN.0, SECTION_WIDTH_IN.1)?;
    flotation_rim(scan, first, &width)
}

fn flotation_rim(scan: &mut Scan, first: &Number, width: &Number) -> Result<Reading, Failure> {
    let (joint, marks) = joint(scan)?;
    let at = scan.at;
    let rim_in = rim_code(scan)?;
    if rim_in >= first.value - 2.0 {
        return Err(Failure { at, expected: "a rim smaller than the tire around it".into() });
    }
    let form = Form::Flotation { diameter_in: first.value, width_in: width.value, rim_in };
    Ok(Reading { form, service: Service::Plain, joint, marks })
}

/// `265/75R16`, or a flotation size written with a slash: `33/12.50R15`.
fn after_slash(scan: &mut Scan, first: &Number) -> Result<Reading, Failure> {
    let mut ahead = *scan;
    let second = ahead.number();
    if let Some(second) = second.filter(|second| is_flotation(first, second)) {
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

fn is_flotation(first: &Number, second: &Number) -> bool {
    first.value >= PRINTED_DIAMETER_IN.0
        && first.value < SECTION_WIDTH_MM.0
        && second.value < ASPECT_PERCENT.0
}

/// Sizes whose first number meets the construction at once: `185R14`, `7.50-16`, `11R22.5`, `235-710R460`.
fn after_joint(scan: &mut Scan, first: &Number) -> Result<Reading, Failure> {
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

/// `G78-15`, `LR78-15` and, for motorcycles, `MT90-16`.
fn lettered(scan: &mut Scan) -> Result<Reading, Failure> {
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

/// What a size may begin with.
pub(super) const EXPECTED_START: &str = "a tire size such as 235/75R15, LT265/75R16, 31x10.50R15LT, 7.50-16LT, \
     11R22.5, G78-15 or 185R14, or a diameter such as 31.2 in";

/// The construction sign with what may stand in it: `VR`, `ZR` (speed), `RF` (reinforced).
fn joint(scan: &mut Scan) -> Result<(Joint, Marks), Failure> {
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

fn rim_code(scan: &mut Scan) -> Result<f64, Failure> {
    let what = "a rim diameter in inches";
    let start = *scan;
    let number = scan.number_within(what, RIM_CODE.0, RIM_CODE.1)?;
    if (number.value * 2.0).fract() != 0.0 {
        return start.fail("a rim diameter in whole or half inches");
    }
    Ok(number.value)
}

/// A rim code in inches, or a diameter in mm where the number is too large for a code.
fn rim_code_or_mm(scan: &mut Scan) -> Result<f64, Failure> {
    let is_mm = { *scan }.number().is_some_and(|number| number.value >= 100.0);
    if !is_mm {
        return rim_code(scan);
    }
    let start = *scan;
    let number = scan.number_within("a rim diameter in mm", RIM_MM.0, RIM_MM.1)?;
    if number.has_point { start.fail("a rim diameter in whole mm") } else { Ok(number.value) }
}
