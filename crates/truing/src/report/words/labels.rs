//! What a person calls what the model of a truck is made of: the one place where its labels are made.

use crate::describe::adjuster::{AdjusterKind, ConstantUnit, SteppedConstant};
use crate::describe::chain::Link;
use crate::describe::vehicle::Vehicle;
use crate::measure::fusion::{
    Assumption, BeliefId, Day, PieceId, QuantityId, TireSetId, UnknownId, tire_sets,
};
use metrology::quantity::PerLength;

/// The unknown that ties a stored constant to counts.
const PER_UNIT: &str = "counts per mile for each unit of the constant";
const PER_UNIT_KM: &str = "counts per km for each unit of the constant";

/// A quantity that is asked for.
pub fn asked(asked: QuantityId) -> &'static str {
    match asked {
        QuantityId::Revs => "revolutions per mile",
        QuantityId::Counts => "counts per mile",
        QuantityId::DistanceRatio => "the odometer's ratio",
        QuantityId::NeedleRatio => "the needle's ratio",
        QuantityId::ShaftTurns => "turns per mile of the propeller shaft",
    }
}

/// What an equation states.
pub fn piece(vehicle: &Vehicle, piece: &PieceId) -> String {
    match piece {
        PieceId::Evidence(index) => evidence(vehicle, *index),
        PieceId::Size(set) => format!("size{}", of_set(vehicle, *set)),
        PieceId::Published(set) => format!("published revolutions per mile{}", of_set(vehicle, *set)),
        PieceId::Nuisance(id) => unknown(vehicle, id),
    }
}

/// A piece of evidence, by its place in the file.
pub fn evidence(vehicle: &Vehicle, index: usize) -> String {
    vehicle.evidence.get(index).map_or_else(|| format!("piece {}", index + 1), |evidence| evidence.called())
}

/// Something an answer hangs on.
pub fn assumption(vehicle: &Vehicle, assumption: &Assumption) -> String {
    match assumption {
        Assumption::Belief(id) => belief(vehicle, id),
        Assumption::Prior(id) => piece(vehicle, id),
    }
}

/// An unknown.
pub fn unknown(vehicle: &Vehicle, id: &UnknownId) -> String {
    match id {
        UnknownId::Revs(set) => format!("revolutions per mile{}", of_set(vehicle, *set)),
        UnknownId::Link(link) => link_factor(*link).into(),
        UnknownId::LowRange => "low range of the transfer case".into(),
        UnknownId::CountsPerUnit => PER_UNIT.into(),
        UnknownId::Assumed(reader) => {
            format!(
                "counts per mile that {} assumes",
                reader.map_or("the head", |index| reader_name(vehicle, index))
            )
        }
        UnknownId::Wear(set) => format!("wear of the tires{}", of_set(vehicle, *set)),
        UnknownId::BesideBooks(set) => format!("tires{} beside those of any book", of_set(vehicle, *set)),
        UnknownId::PressureEffect(set) => format!("effect of pressure on the tires{}", of_set(vehicle, *set)),
        UnknownId::LoadEffect(set) => format!("effect of load on the tires{}", of_set(vehicle, *set)),
        UnknownId::Slip => "slip of the driven wheels".into(),
        UnknownId::NeedleGain => "gain of the needle".into(),
        UnknownId::Conditions(Day::Date(date)) => format!("conditions of {date}"),
        UnknownId::Conditions(Day::Piece(index)) => format!("conditions of piece {}", index + 1),
        UnknownId::SlowRoll => "slow roll beside the road".into(),
        UnknownId::Tape => "scale of the tape".into(),
        UnknownId::LoadedRadius => "rolling radius over loaded radius".into(),
        UnknownId::DialHabit => "how the dial is read and set".into(),
        UnknownId::Parallax => "the dial as seen from the passenger's seat".into(),
    }
}

/// Something taken as exactly known.
pub fn belief(vehicle: &Vehicle, id: &BeliefId) -> String {
    match id {
        BeliefId::Link(link) => format!("{} {}", link.name(), stated(vehicle, *link)),
        BeliefId::LowRange => "low range of the transfer case".into(),
        BeliefId::LinkThen { link, setting } => format!("{} {setting} then", link.name()),
        BeliefId::Takes(index) => {
            let takes = vehicle.readers.get(*index).and_then(|reader| reader.takes);
            let per_mile = takes.map_or(f64::NAN, |takes| takes.per_length().per_mi());
            format!("{per_mile:.0} counts per mile taken by {}", reader_name(vehicle, *index))
        }
        BeliefId::CableTurns => "1000 turns of the cable per mile".into(),
        BeliefId::CountsPerUnit(index) => {
            match vehicle.adjusters.get(*index).map(|adjuster| &adjuster.kind) {
                Some(AdjusterKind::SteppedConstant(SteppedConstant { per_unit: Some(it), .. })) => {
                    let counts = if it.unit == ConstantUnit::PulsesPerKm { PER_UNIT_KM } else { PER_UNIT };
                    format!("{} {counts}", it.number)
                }
                _ => PER_UNIT.into(),
            }
        }
        BeliefId::Setting { adjuster, setting } => format!("{} {setting}", adjuster_name(vehicle, *adjuster)),
        BeliefId::DeclaredAxle { adjuster, setting } => {
            format!("{} {setting}: its axle", adjuster_name(vehicle, *adjuster))
        }
        BeliefId::PutOut(index) => {
            let puts_out = vehicle.adjusters.get(*index).and_then(|adjuster| adjuster.puts_out);
            format!("{:.0} counts per mile put out", puts_out.map_or(f64::NAN, PerLength::per_mi))
        }
        BeliefId::LogShows(index) => format!("the log shows what {} computes", reader_name(vehicle, *index)),
        BeliefId::LogAndOdometer => "the log and the odometer count alike".into(),
        BeliefId::Gear(ratio) => format!("gear {ratio}"),
    }
}

/// What the file says of a link, as it is written.
fn stated(vehicle: &Vehicle, link: Link) -> String {
    let factors = vehicle.chain.factors(link);
    match (factors.all(), vehicle.chain.axle_ratio.single()) {
        ([only], _) => only.text.clone(),
        (_, Some(typed)) if link == Link::Axle => typed.to_string(),
        _ => "one of the candidates".into(),
    }
}

fn link_factor(link: Link) -> &'static str {
    match link {
        Link::Axle => "axle ratio",
        Link::Ring => "teeth of the tone ring",
        Link::Sensor => "counts per turn of the sensor",
        Link::Gears => "drive and driven gear",
        Link::Conditioner => "conditioner",
        Link::Adapter => "cable adapter",
    }
}

fn of_set(vehicle: &Vehicle, set: TireSetId) -> String {
    match tire_sets(vehicle).get(set.0) {
        Some(name) if !name.is_empty() => format!(" of {name}"),
        _ => String::new(),
    }
}

fn reader_name(vehicle: &Vehicle, index: usize) -> &str {
    vehicle.readers.get(index).map_or("a reader", |reader| &reader.name)
}

fn adjuster_name(vehicle: &Vehicle, index: usize) -> &str {
    vehicle.adjusters.get(index).and_then(|adjuster| adjuster.name.as_deref()).unwrap_or("setting")
}
