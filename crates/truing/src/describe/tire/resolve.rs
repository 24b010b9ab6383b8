//! From the numbers of a size to a diameter with its uncertainty; how much each origin is trusted stands in `trust`.

use super::form::{Form, Joint, Reading, Service, Typed, millimetres_in};
use super::size::{Construction, DiameterBasis, HowKnown, System, TireSize};
use super::tables::{self, Row};
use super::trust;
use super::writing::{designation, two_decimals};
use metrology::measured::Measured;
use metrology::quantity::{Length, Ratio};

/// What a highway tread lacks to the printed flotation diameter, mm: half an inch (UN R54 Annex V, from memory).
const FLOTATION_SHORTFALL_MM: f64 = 12.7;
/// What a traction tread adds to a highway tread, mm (the same).
const TRACTION_TREAD_MM: f64 = 6.0;
/// Both section heights over the diameter where the rim is not said: more than any truck tire has (judgement).
const TALLEST_HEIGHTS: f64 = 0.6;
/// Relative uncertainty of the flotation rule, which is recalled but fits each of the 12 recalled rows: judgement.
const FLOTATION_RULE: f64 = 0.005;
/// Relative error of taking the neighbouring row (other construction, or without LT): judgement.
const NEIGHBOUR_ROW: f64 = 0.01;
/// Widest motorcycle section, mm, for telling a dash on a motorcycle from a dash on a car.
const WIDEST_BIAS_MOTORCYCLE_MM: f64 = 200.0;

/// A diameter with what is said about it.
struct Resolved {
    system: System,
    diameter_mm: f64,
    extra_u_mm: f64,
    basis: DiameterBasis,
    how_known: HowKnown,
    section_width_mm: Option<f64>,
    notes: Vec<String>,
}

/// The tire of a reading; none where the size is in no table.
pub(super) fn resolve(reading: &Reading) -> Option<TireSize> {
    if let Form::Given { typed, unit } = &reading.form {
        return Some(given(typed, unit, reading.joint));
    }
    let construction = construction(reading.joint);
    let (rim_mm, resolved, section) = match &reading.form {
        Form::Metric { width_mm, aspect_percent, rim } => {
            let section = format!("{width_mm}/{aspect_percent}");
            (Some(rim_mm(*rim)), metric(reading, *width_mm, *aspect_percent, *rim), section)
        }
        Form::Flotation { diameter_in, width_in, rim_in } => {
            let section = format!("{diameter_in}x{}", two_decimals(*width_in));
            (rim_in.map(rim_mm), flotation(*diameter_in, *width_in, rim_in.is_some()), section)
        }
        Form::OuterDiameter { width_mm, diameter_mm, rim_mm } => {
            (Some(*rim_mm), run_flat(*width_mm, *diameter_mm), format!("{width_mm}-{diameter_mm}"))
        }
        form => {
            let (row, is_neighbour) = find(form, reading.service)?;
            let resolved = from_row(row, is_neighbour, construction, reading.service)?;
            (Some(rim_mm(row.rim_in)), resolved, row.section.to_string())
        }
    };
    let heights_mm = rim_mm.map_or(resolved.diameter_mm * TALLEST_HEIGHTS, |rim| resolved.diameter_mm - rim);
    let u_mm = trust::growth_mm(heights_mm, construction).hypot(resolved.extra_u_mm);
    let (aspect, printed) = printed_numbers(&reading.form);
    Some(TireSize {
        designation: designation(reading, &section),
        system: resolved.system,
        construction,
        construction_is_known: reading.joint != Joint::Unsaid,
        section_width: resolved.section_width_mm.map(Length::from_mm),
        aspect,
        rim_diameter: rim_mm.map(Length::from_mm),
        printed_diameter: printed,
        diameter: symmetric_mm(resolved.diameter_mm, u_mm),
        diameter_basis: resolved.basis,
        how_known: resolved.how_known,
        marks: reading.marks.clone(),
        notes: resolved.notes,
    })
}

fn symmetric_mm(value_mm: f64, u_mm: f64) -> Measured<Length> {
    Measured::symmetric(Length::from_mm(value_mm), Length::from_mm(u_mm), f64::INFINITY)
}

fn construction(joint: Joint) -> Construction {
    match joint {
        Joint::Radial | Joint::Unsaid => Construction::Radial,
        Joint::Dash | Joint::Diagonal | Joint::Belted => Construction::Bias,
    }
}

const PRINTED: &str = "The printed diameter is a name: the tables give about half an inch less for a highway tread and a \
                       quarter inch less for a traction tread. The value stands between the two.";
const UNSAID: &str = "Taken as a radial; if it is a bias tire, say so: it rolls about 2 % less per turn.";

/// A rim code in inches up to 30, else a diameter in mm.
fn rim_mm(rim: f64) -> f64 {
    if rim < 100.0 { rim * 25.4 } else { rim }
}

fn printed_numbers(form: &Form) -> (Option<Ratio>, Option<Length>) {
    match form {
        Form::Metric { aspect_percent, .. } => (Some(Ratio::from_percent(*aspect_percent)), None),
        Form::Flotation { diameter_in, .. } => (None, Some(Length::from_in(*diameter_in))),
        Form::OuterDiameter { diameter_mm, .. } => (None, Some(Length::from_mm(*diameter_mm))),
        _ => (None, None),
    }
}

fn metric(reading: &Reading, width_mm: f64, aspect_percent: f64, rim: f64) -> Resolved {
    let system = metric_system(reading, width_mm, rim);
    let mut notes = Vec::new();
    let is_car = !matches!(system, System::MotorcycleMetric | System::TemporaryMetric);
    if reading.joint == Joint::Dash && is_car {
        notes.push(
            "A dash before the rim says bias ply. If the sidewall has an R there, type it: a radial rolls about 2 % \
             farther per turn."
                .into(),
        );
    }
    Resolved {
        system,
        diameter_mm: rim_mm(rim) + 2.0 * width_mm * aspect_percent / 100.0,
        extra_u_mm: 0.0,
        basis: DiameterBasis::Formula,
        how_known: HowKnown::Computed,
        section_width_mm: Some(width_mm),
        notes,
    }
}

fn metric_system(reading: &Reading, width_mm: f64, rim: f64) -> System {
    let says_motorcycle = reading.marks.words.iter().any(|word| word == "M/C");
    let looks_motorcycle =
        construction(reading.joint) == Construction::Bias && width_mm <= WIDEST_BIAS_MOTORCYCLE_MM;
    match reading.service {
        _ if rim >= 100.0 => System::MillimetricRim,
        Service::Passenger => System::PassengerMetric,
        Service::LightTruck => System::LightTruckMetric,
        Service::Trailer => System::TrailerMetric,
        Service::Temporary => System::TemporaryMetric,
        Service::Plain if says_motorcycle || looks_motorcycle => System::MotorcycleMetric,
        Service::Plain | Service::Commercial => System::Metric,
    }
}

fn flotation(diameter_in: f64, width_in: f64, is_whole: bool) -> Resolved {
    let called = (!is_whole).then(|| UNSAID.to_string());
    let half_way_mm = TRACTION_TREAD_MM / 2.0;
    let diameter_mm = diameter_in * 25.4 - FLOTATION_SHORTFALL_MM + half_way_mm;
    Resolved {
        system: System::Flotation,
        diameter_mm,
        extra_u_mm: half_way_mm.hypot(FLOTATION_RULE * diameter_mm),
        basis: DiameterBasis::Nominal,
        how_known: HowKnown::FromMemory,
        section_width_mm: Some(width_in * 25.4),
        notes: core::iter::once(PRINTED.to_string()).chain(called).collect(),
    }
}

fn run_flat(width_mm: f64, diameter_mm: f64) -> Resolved {
    Resolved {
        system: System::RunFlatSpecial,
        diameter_mm,
        extra_u_mm: 0.0,
        basis: DiameterBasis::Nominal,
        how_known: HowKnown::FromMemory,
        section_width_mm: Some(width_mm),
        notes: vec!["The middle number is read as the outer diameter in mm.".into()],
    }
}

/// The row of a size, and whether it is only a neighbour: the same numbers for another service.
fn find(form: &Form, service: Service) -> Option<(&'static Row, bool)> {
    let mut same: Vec<&Row> = tables::rows().filter(|row| is_row(row, form)).collect();
    let is_own = |row: &Row| (row.service == Service::LightTruck) == (service == Service::LightTruck);
    same.sort_by_key(|row| !is_own(row));
    same.first().map(|row| (*row, !is_own(row)))
}

fn is_row(row: &Row, form: &Form) -> bool {
    match form {
        Form::WithoutAspect { width_mm, rim_in } => is_numbered(row, *width_mm, *rim_in),
        Form::Numeric { width_in, rim_in } => is_numbered(row, *width_in, *rim_in),
        Form::Lettered { letters, aspect_percent, rim_in } => {
            row.section == format!("{letters}{aspect_percent}") && row.rim_in == *rim_in
        }
        _ => false,
    }
}

fn is_numbered(row: &Row, section: f64, rim_in: f64) -> bool {
    row.rim_in == rim_in && row.section.parse() == Ok(section)
}

fn from_row(row: &Row, is_neighbour: bool, construction: Construction, service: Service) -> Option<Resolved> {
    let (own, other) = match construction {
        Construction::Radial => (row.radial, row.bias),
        Construction::Bias => (row.bias, row.radial),
    };
    let mut notes = Vec::new();
    if own.is_none() {
        notes.push(format!(
            "The table has no {} version of this size; the other one is taken.",
            construction.word()
        ));
    }
    if is_neighbour && service == Service::LightTruck {
        notes.push("The table has this size without LT only; that row is taken.".into());
    } else if is_neighbour {
        notes.push("The table has this size as LT only; that row is taken.".into());
    }
    let (diameter_mm, origin_u_mm, how_known, note) = trust::figure(own.or(other)?);
    notes.extend(note);
    let neighbours = f64::from(u8::from(is_neighbour) + u8::from(own.is_none()));
    Some(Resolved {
        system: row.system,
        diameter_mm,
        extra_u_mm: origin_u_mm.hypot(neighbours * NEIGHBOUR_ROW * diameter_mm),
        basis: DiameterBasis::Table,
        how_known,
        section_width_mm: row.section_width_mm,
        notes,
    })
}

fn given(typed: &Typed, unit: &str, joint: Joint) -> TireSize {
    let unit_mm = millimetres_in(unit);
    let diameter_mm = typed.value * unit_mm;
    let u_mm = trust::given_mm(diameter_mm, typed.step * unit_mm);
    let construction = (joint != Joint::Unsaid).then(|| construction(joint));
    let said = construction.map(|construction| format!(" {}", construction.word())).unwrap_or_default();
    let designation = format!("{} {unit}{said}", typed.text);
    let mut tire = of_diameter(designation, symmetric_mm(diameter_mm, u_mm), construction);
    if unit == "in" && typed.step == 1.0 {
        let note = "Taken as rounded to a whole inch. If it is the name of a size, type the size: such tires measure \
                    about half an inch less.";
        tire.notes.push(note.into());
    }
    tire
}

/// A tire of which only the diameter is known.
pub(super) fn of_diameter(
    designation: String,
    diameter: Measured<Length>,
    construction: Option<Construction>,
) -> TireSize {
    TireSize {
        designation,
        system: System::GivenDiameter,
        construction: construction.unwrap_or(Construction::Radial),
        construction_is_known: construction.is_some(),
        section_width: None,
        aspect: None,
        rim_diameter: None,
        printed_diameter: None,
        diameter,
        diameter_basis: DiameterBasis::Given,
        how_known: HowKnown::Given,
        marks: super::Marks::default(),
        notes: if construction.is_none() { vec![UNSAID.into()] } else { Vec::new() },
    }
}
