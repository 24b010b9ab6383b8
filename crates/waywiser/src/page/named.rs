//! Fields that problems name, as forms have them.

use super::fields::{label_of, shown_value};
use truing::problem::{Field, Named};

/// What stands over a field in every form that asks for it, and what the page calls one that no form has.
pub fn label(field: Field) -> &'static str {
    match field {
        Field::TrackColumns => "Columns of the track (CSV)",
        Field::VehicleColumns => "Columns of the truck's own log (CSV)",
        Field::CanSignal => "Where the speed stands in the CAN log",
        Field::Dbc => "DBC file for the CAN log",
        Field::Signal => "Name of the speed in the DBC file",
        Field::Holds => "Steady speeds called out, in order",
        Field::OdometerStart => "Odometer at the start of the track",
        Field::OdometerEnd => "Odometer at its end",
        Field::OdometerRead => "How both were read",
        Field::ReadFrom => "Where whoever called them out sat",
        Field::Channel => "Channel",
        Field::Turns => "Turns of what turned the sensor",
        Field::Distance => "Distance travelled meanwhile",
        Field::MeasuredToNearest => "Measured to the nearest",
        Field::Counts => "Counts that the module is to be fed",
        Field::Speed | Field::Speeds => "Speed, or several one after the other",
        Field::FirstSpeed => "First speed",
        Field::LastSpeed => "Last speed",
        Field::Lasting => "How long each lasts",
        Field::Level => "Share of full scale, up to 1",
        Field::Rate => "Samples per second",
        Field::RingTeeth => "Teeth of the ring",
        Field::MissingTooth => "Which one is not there",
        Field::From => "From",
        Field::To => "To",
        Field::Garage => "the folder named when waywiser is started",
        Field::Out => "the file named when waywiser is started",
        Field::Address => "the address named when waywiser is started",
        Field::WithKey => "the key asked for when waywiser is started",
        Field::Lan => "phones let in when waywiser is started",
        Field::Port => "the port for phones named when waywiser is started",
        Field::EvenIfWorse => "the tick that it is meant although it reads worse",
        Field::Odometer => "Odometer, with its unit",
        Field::OdometerBefore => "What a replaced odometer showed last, with its unit",
        Field::EntryText => "What",
        Field::EntryValue => "Value",
        Field::EntryField => "Other fields, one a line: name=value",
        Field::DoneOn => "The day it was done, where that was earlier",
        Field::Sure => "Why it is right though it looks odd",
        Field::NewVehicle => "a vehicle of its own, added to the garage",
        Field::Key(_, key) => key,
    }
}

/// Whether a field is filled in where waywiser is started, so that no form has it.
fn is_of_the_start(field: Field) -> bool {
    matches!(
        field,
        Field::Garage
            | Field::Out
            | Field::Address
            | Field::WithKey
            | Field::Lan
            | Field::Port
            | Field::NewVehicle
            | Field::EvenIfWorse
    )
}

/// A field by its label, with what may be typed into it.
pub fn by_label(named: &Named) -> String {
    if let Field::Key(section, key) = named.field {
        let label = label_of(section, key);
        // A table of values has fields of its own.
        let example = named.example.as_ref().filter(|example| !example.starts_with('{') && *example != "...");
        return example.map_or_else(
            || format!("\"{label}\""),
            |example| format!("\"{label}\": \"{}\"", shown_value(key, example)),
        );
    }
    let label = label(named.field);
    match &named.example {
        _ if is_of_the_start(named.field) => label.to_string(),
        None => format!("\"{label}\""),
        Some(example) => format!("\"{label}\": \"{example}\""),
    }
}
