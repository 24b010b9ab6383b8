//! Papers of the report. As HTML: one file that prints, reads on a phone and asks nobody for anything. As PDF: [`pdf`].
//!
//! In HTML no script, no font, no picture from outside; a content policy in the file forbids them as well. The markup is also
//! well-formed XML, so a plain parser can check it.

pub(crate) mod block;
#[cfg(feature = "paper")]
pub(crate) mod code;
#[cfg(feature = "paper")]
pub mod pdf;
#[cfg(not(feature = "paper"))]
#[path = "pdf_left_out.rs"]
pub mod pdf;
pub mod sheet;
pub(crate) mod table;
pub(crate) mod together;

use crate::chart;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use truing::report::answers::record_head::RecordHead;
use truing::report::document::Document;

/// What the job sheet is called.
pub const JOB_SHEET: &str = "Job sheet";
/// How the sheet looks on paper, on a phone and in the dark.
const STYLE: &str = concat!(include_str!("sheet.css"), include_str!("../../static/blocks.css"));
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
    /// The last day of which it speaks, in words, where it speaks of one.
    pub as_of: Option<String>,
    /// The program and its version.
    pub software: String,
    /// How far the record went when it was made, where there is one.
    pub record: Option<RecordHead>,
}

/// The job sheet as one HTML file.
pub fn html(document: &Document, info: &SheetInfo) -> String {
    html_of(document, JOB_SHEET, info)
}

/// A paper of any kind.
pub fn html_of(document: &Document, kind: &str, info: &SheetInfo) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                (PreEscaped(HEAD))
                title { (document.title) " \u{2013} " (kind.to_lowercase()) }
                style { (PreEscaped(STYLE)) (PreEscaped(chart::STYLE)) }
            }
            body {
                main {
                    (head(&document.title, kind, info))
                    (block::all(&together::kept_together(document).blocks))
                }
                footer { (info.software) @if let Some(record) = &info.record { "; " (record.whole()) } }
            }
        }
    };
    chart::printable(&page.into_string())
}

fn head(title: &str, kind: &str, info: &SheetInfo) -> Markup {
    html! {
        header {
            p class="kind" { (kind) }
            h1 { (title) }
            @if let Some(day) = &info.as_of { p class="made" { "As of " (day) } }
        }
    }
}
