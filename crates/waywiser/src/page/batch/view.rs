//! Many drives: the form, how far it is, the table.

use super::kept::Job;
use crate::page::addresses::{GARAGE, MANY_DRIVES};
use crate::page::fields::UNUSUAL;
use crate::page::{blocks, drive_fields, files};
use maud::{Markup, html};
use truing::report::answers::batch::{BatchReport, BatchRow};
use truing::units::Units;

pub const LEAD: &str = "Tracks and logs of as many drives as you like become one table: a row for each, what it says, and what is wrong with it.";

/// Which files, and how they are read.
pub fn ask(proof_of_origin: &Markup) -> Markup {
    html! {
        form class="drop sends asks" method="post" enctype="multipart/form-data" action=(MANY_DRIVES) {
            (proof_of_origin)
            label for="files" { "Tracks and logs, or a zip archive of them" }
            input type="file" id="files" name="files" multiple aria-describedby="files-hint";
            p class="hint" id="files-hint" {
                "The two files of a single drive may have any names. Those of several are told by them: drive.gpx with drive.csv or drive-log.csv, \
                 drive-track.csv with drive-vehicle.csv; else by their times. One CSV may hold both, each in columns of its own. Up to 512 MB at once. They are looked at and not kept."
            }
            (blocks::opens("A whole folder instead", &html! {
                label for="folder" { "The folder" }
                input type="file" id="folder" name="files" multiple webkitdirectory aria-describedby="folder-hint";
                p class="hint" id="folder-hint" { "With all that lies below it; files of one drive lie in one folder. Where the browser cannot choose folders, pack it in a zip." }
            }))
            (unusual())
            (files::under_way())
            button { "Measure them" }
        }
        (back())
    }
}

fn unusual() -> Markup {
    blocks::opens(
        UNUSUAL,
        &html! {
            p class="hint" { "What is said here holds for all of them." }
            (drive_fields::unusual("", &html! { input id="dbc" name="dbc" type="file"; }))
        },
    )
}

/// How far it is.
pub fn under_way(job: &Job, address: &str) -> Markup {
    html! {
        p role="status" class="waiting" { (job.done()) " of " (job.drives) " drives are measured. The page goes on by itself." }
        progress max=(job.drives.max(1)) value=(job.done()) aria-label="Measured so far" {}
        p { a class="button" href=(address) { "Look now" } }
    }
}

/// What came of it.
pub fn table(report: &BatchReport, address: &str, units: Units) -> Markup {
    let troubled: Vec<&BatchRow> = report.rows.iter().filter(|row| !row.problems.is_empty()).collect();
    html! {
        ul class="ways" {
            li { a class="button" href={ (address) "/table.csv" } download="drives.csv" { "Download the table (CSV)" } }
            li { a class="button plain" href={ (address) "/table.json" } download="drives.json" { "The same as JSON" } }
        }
        (blocks::table(&report.table(units)))
        (blocks::origins(&report.origins(units)))
        @if !troubled.is_empty() {
            section {
                h2 { "To look at" }
                @for row in troubled { (blocks::opens(row.name(), &html! { ul { @for problem in &row.problems { li { (problem) } } } })) }
            }
        }
        @if !report.problems.is_empty() {
            section {
                h2 { "Left out" }
                ul { @for problem in &report.problems { li { (problem) } } }
            }
        }
        p class="hint" { "The files were looked at and are gone. No coordinate is in the table. It is kept here until waywiser is stopped." }
        p { a class="button plain" href=(MANY_DRIVES) { "Measure others" } }
        (back())
    }
}

fn back() -> Markup {
    html! { p { a href=(GARAGE) { "Back to the garage" } } }
}
