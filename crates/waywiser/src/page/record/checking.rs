//! Whether the record is whole, and agrees with what stands on paper: asked from a truck's record and from the garage's.

use crate::garage::PATIENCE;
use crate::ledger::Ledger;
use crate::page::app::App;
use crate::page::error::PageError;
use crate::page::{answers, blocks};
use crate::work::entry::head::head_on_paper;
use crate::work::typed;
use maud::{Markup, html};
use serde::Deserialize;
use truing::record::Expected;
use truing::report::answers::record::{CheckReport, RecordFinding};

/// What stands in the address.
#[derive(Deserialize)]
pub struct Checking {
    check: Option<String>,
    entries: Option<String>,
    head: Option<String>,
    recompute: Option<String>,
}

impl Checking {
    /// The check that is asked for, against what stands on paper where that was typed.
    pub fn report(&self, app: &App) -> Result<Option<CheckReport>, PageError> {
        let head = self.head.as_deref().and_then(typed::given);
        let entries = answers::number("entries", self.entries.as_deref())?;
        let recomputes = self.recompute.is_some();
        if self.check.is_none() && head.is_none() && entries.is_none() && !recomputes {
            return Ok(None);
        }
        let reads = || Ledger::open_to_read(app.garage.folder(), PATIENCE);
        let head = head.map(|text| head_on_paper(text, reads)).transpose();
        let head = head.map_err(|problems| app.garage.shown(problems))?;
        Ok(Some(answers::check_report(app, &Expected { head, entries, now: None }, recomputes)?))
    }
}

/// The part of a page at `address`.
pub fn section(address: &str, head: Option<&str>, check: Option<&CheckReport>) -> Markup {
    let paper = html! {
        form method="get" action=(address) class="asks" {
            label for="entries" { "Entries" }
            input id="entries" name="entries" type="number" min="0" inputmode="numeric";
            label for="head" { "Hash, or its first 16 digits" }
            input id="head" type="text" name="head" autocomplete="off" spellcheck="false";
            label { input type="checkbox" name="recompute" value="yes"; " Compute again what was computed (estimates, choices, proofs)" }
            button class="plain" { "Check" }
        }
    };
    html! {
        section id="check" {
            h2 { "Is the record whole?" }
            p { "The hash of the last entry of the whole garage's record. Write it on paper, with the day: nobody can change an entry before it without it showing." }
            @if let Some(head) = head { p class="hash" { code { (head) } } }
            @else { p { "The record is empty so far." } }
            @match check {
                Some(check) => (checked(check)),
                None => p { a class="button plain" href={ (address) "?check=now#check" } { "Check every entry now" } },
            }
            (blocks::opens("Check against what stands on paper", &paper))
        }
    }
}

fn said(finding: RecordFinding) -> &'static str {
    match finding {
        RecordFinding::Whole => "Whole.",
        RecordFinding::NotInOrder => "Not in order.",
        RecordFinding::CannotBeRead => "Cannot be read.",
    }
}

fn checked(check: &CheckReport) -> Markup {
    html! {
        p class={ "verdict " (if check.ok { "go" } else { "wait" }) } role="status" {
            strong { (said(check.finding)) } " "
            (check.entries) " entries were checked."
        }
        @if let Some(says) = check.recomputed_says() { p { (says) } }
        (blocks::problems(&check.problems))
    }
}
