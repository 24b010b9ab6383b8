//! The fields that ask for one drive, wherever one is asked for.

use super::blocks;
use super::fields::{UNUSUAL, UNUSUAL_LOGS};
use super::named::label;
use crate::work::asked::YES;
use maud::{Markup, html};
use truing::describe::evidence::{OdometerRead, ReadFrom};
use truing::describe::file::words::Words;
use truing::problem::Field;
use truing::units::Units;

/// The two files.
pub fn files() -> Markup {
    html! {
        label for="track" { "The track: GPX, NMEA, CSV, JSON, KML, TCX, FIT, IGC or subtitles" }
        input id="track" name="track" type="file";
        label for="vehicle_log" { "The truck's own log of that drive" }
        input id="vehicle_log" name="vehicle_log" type="file";
    }
}

/// What the road was like.
pub fn road() -> Markup {
    html! {
        label class="pick" {
            input type="checkbox" name="hilly" value=(YES);
            " The road went through hills"
        }
    }
}

/// What the truck showed, where it keeps no log.
pub fn by_hand(units: Units) -> Markup {
    let (start, end) = units.by_road(("128406.3 mi", "128417.0 mi"), ("206650 km", "206667 km"));
    let speeds = units.by_road("30, 45, 60 mph", "50, 70, 100 km/h");
    blocks::opens(
        "No log? Speeds called out, or the odometer at both ends",
        &html! {
            (blocks::line("holds", label(Field::Holds), "", speeds, ""))
            label for="read_from" { (label(Field::ReadFrom)) }
            select id="read_from" name="read_from" {
                @for (word, seat) in [ReadFrom::Passenger, ReadFrom::Driver].map(|seat| (seat.to_string(), seat)) {
                    option value=(word) { (sat(seat)) }
                }
            }
            (blocks::line("odometer_start", label(Field::OdometerStart), "", start, ""))
            (blocks::line("odometer_end", label(Field::OdometerEnd), "", end, ""))
            label for="odometer_read" { (label(Field::OdometerRead)) }
            select id="odometer_read" name="odometer_read" {
                @for (word, read) in OdometerRead::WORDS { option value=(word) { (how_read(*read)) } }
            }
        },
    )
}

fn sat(seat: ReadFrom) -> &'static str {
    match seat {
        ReadFrom::Passenger => "In the passenger's seat: a pointer is read less closely from there",
        ReadFrom::Driver => "Before the dial",
    }
}

fn how_read(read: OdometerRead) -> &'static str {
    match read {
        OdometerRead::Digits => "The digits as they stood",
        OdometerRead::BetweenDigits => "Between two digits by eye, with one digit more typed",
        OdometerRead::AsItTurned => "Just as the last digit turned",
    }
}

/// How logs are read that no standard describes; `dbc` asks for the DBC file.
pub fn unusual_logs(prefix: &str, dbc: &Markup) -> Markup {
    blocks::opens(UNUSUAL, &unusual(prefix, dbc))
}

/// The same, for a place that opens already.
pub fn unusual(prefix: &str, dbc: &Markup) -> Markup {
    html! {
        @for (field, example) in UNUSUAL_LOGS {
            @let name = field.key();
            label for={ (prefix) (name) } { (label(field)) }
            @if field == Field::Dbc { (dbc) }
            @else {
                input id={ (prefix) (name) } type="text" name=(name) placeholder=[example] autocomplete="off" autocapitalize="off" spellcheck="false";
            }
        }
    }
}
