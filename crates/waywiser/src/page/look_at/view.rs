//! One drive, one recording: which files, and what they say.

use super::kept::Said;
use crate::page::addresses::{GARAGE, ONE_DRIVE, ONE_RECORDING};
use crate::page::named::label;
use crate::page::{blocks, drive_fields, files};
use maud::{Markup, html};
use truing::problem::Field;
use truing::units::Units;

pub const DRIVE_LEAD: &str =
    "A track beside what the truck showed tells how far off it reads. The files are looked at and not kept.";
pub const RECORDING_LEAD: &str = "A recording of the sensor's wire tells pulses, frequency, and often the teeth of the ring. The file is looked at \
     and not kept.";

/// Which drive.
pub fn ask_drive(proof_of_origin: &Markup, units: Units) -> Markup {
    html! {
        form method="post" action=(ONE_DRIVE) enctype="multipart/form-data" class="asks sends" {
            (proof_of_origin)
            (drive_fields::files())
            (drive_fields::by_hand(units))
            (drive_fields::road())
            (drive_fields::unusual_logs("", &html! { input id="dbc" name="dbc" type="file"; }))
            (files::under_way())
            button { "Look at this drive" }
        }
        (back("a drive"))
    }
}

/// Which recording, and what it spans.
pub fn ask_recording(proof_of_origin: &Markup, units: Units) -> Markup {
    let distance = units.by_road("9.70 mi +/- 0.02", "15.61 km +/- 0.03");
    html! {
        form method="post" action=(ONE_RECORDING) enctype="multipart/form-data" class="asks sends" {
            (proof_of_origin)
            label for="file" { "The recording" }
            input id="file" name="file" type="file" aria-describedby="file-hint";
            p class="hint" id="file-hint" { "WAV, sound as phones record it (m4a, MP3, Ogg Vorbis, FLAC), a logic analyser's CSV, or a value change dump (VCD)." }
            (blocks::opens("What it was recorded over: turns, a distance or a track", &html! {
                p class="hint" { "One of the three tells the counts per turn or per mile. The ring can be counted without." }
                (blocks::line("turns", label(Field::Turns), "", "10", ""))
                (blocks::line("distance", label(Field::Distance), "", distance, ""))
                (blocks::line("measured_to_nearest", label(Field::MeasuredToNearest), "", units.by_road("10 ft", "5 m"), "Left blank: to the last digit typed."))
                label for="track" { "A track of the same drive: GPX, NMEA, CSV or another of the usual kinds" }
                input id="track" name="track" type="file" aria-describedby="track-hint";
                p class="hint" id="track-hint" { "The clocks need not agree." }
            }))
            (blocks::opens("Which channel of several", &blocks::line("channel", label(Field::Channel), "", "2", "By its name, or by its number from 1. Left blank: the first, or the only one.")))
            (files::under_way())
            button { "Listen to it" }
        }
        (back("a recording"))
    }
}

/// What came of it.
pub fn answered(said: &Said, address: &str) -> Markup {
    let (kind, what, next) = match address {
        ONE_DRIVE => ("This drive", "a drive", "Look at another drive"),
        _ => ("This recording", "a recording", "Listen to another recording"),
    };
    html! {
        (blocks::first_of(kind, &said.first, &said.document))
        (blocks::problems(&said.problems))
        p { a class="button plain" href=(address) { (next) } }
        (back(what))
    }
}

fn back(what: &str) -> Markup {
    html! {
        p class="hint" { "To make " (what) " count for a truck, send its files on the truck's page " strong { "Measure" } "." }
        p { a href=(GARAGE) { "Back to the garage" } }
    }
}
