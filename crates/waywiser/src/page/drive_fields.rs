//! The fields that ask for one drive, wherever one is asked for.

use super::blocks;
use super::fields::{self, UNUSUAL};
use crate::work::asked::{Asked, YES};
use crate::work::drive::LogInputs;
use maud::{Markup, html};
use truing::describe::evidence::OdometerRead;
use truing::describe::words::Words;
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
            (blocks::line("holds", "Steady speeds called out, in order", "", speeds, ""))
            (blocks::line("odometer_start", "Odometer at the start of the track", "", start, ""))
            (blocks::line("odometer_end", "Odometer at its end", "", end, ""))
            label for="odometer_read" { "How both were read" }
            select id="odometer_read" name="odometer_read" {
                @for (word, read) in OdometerRead::WORDS { option value=(word) { (how_read(*read)) } }
            }
        },
    )
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
        @for name in LogInputs::names() {
            label for={ (prefix) (name) } { (fields::label(name)) }
            @if name == "dbc" { (dbc) }
            @else {
                input id={ (prefix) (name) } type="text" name=(name) placeholder=[fields::unusual_example(name)] autocomplete="off" autocapitalize="off" spellcheck="false";
            }
        }
    }
}
