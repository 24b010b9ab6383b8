//! The job sheet: a document of the report as one HTML file that prints, reads on a phone and asks nobody for anything.
//!
//! No script, no font, no picture from outside; a content policy in the file forbids them as well. The markup is also
//! well-formed XML, so a plain parser can check it.

pub(crate) mod block;
pub(crate) mod table;

use crate::chart;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use truing::report::document::Document;

/// How the sheet looks on paper, on a phone and in the dark.
const STYLE: &str = include_str!("sheet.css");
/// Elements without content, closed so that an XML parser accepts them too.
const HEAD: &str = concat!(
    r#"<meta charset="utf-8"/>"#,
    r#"<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:"/>"#,
    r#"<meta name="viewport" content="width=device-width, initial-scale=1"/>"#,
    r#"<meta name="color-scheme" content="light dark"/>"#,
);

/// What the sheet says about itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetInfo {
    /// The day it was made, in words.
    pub made_on: String,
    /// The program and its version.
    pub software: String,
}

/// The sheet as one HTML file.
pub fn html(document: &Document, info: &SheetInfo) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                (PreEscaped(HEAD))
                title { (document.title) " \u{2013} job sheet" }
                style { (PreEscaped(STYLE)) (PreEscaped(chart::STYLE)) }
            }
            body {
                main {
                    (head(&document.title, info))
                    (block::all(&document.blocks))
                    (to_write_on())
                }
                footer { (info.software) }
            }
        }
    };
    chart::printable(&page.into_string())
}

fn head(title: &str, info: &SheetInfo) -> Markup {
    html! {
        header {
            p class="kind" { "Job sheet" }
            h1 { (title) }
            p class="made" { "Made on " (info.made_on) }
        }
    }
}

/// Lines for the pen: what the record will ask for.
fn to_write_on() -> Markup {
    html! {
        section class="notes" aria-label="To write on" {
            h2 { "Write down when done" }
            dl {
                @for (name, class) in [("Odometer", "short"), ("Date", "short"), ("Done by", "short"), ("Remarks", "long")] {
                    div class=(class) { dt { (name) } dd { span class="unseen" { "to be filled in by hand" } } }
                }
            }
        }
    }
}
