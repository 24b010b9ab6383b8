//! The quantities that are known of a truck, each of which opens to how it came about.

use crate::page::document;
use crate::page::fields::capitalised;
use crate::page::frame::opens;
use maud::{Markup, html};
use truing::report::answers::vehicle::VehicleReport;
use truing::report::document::{Block, Document};
use truing::report::explanation::came_about::{ADJUSTED, FORMULAS};
use truing::report::words::value::V;
use truing::report::words::{interval, value_and_uncertainty};
use truing::units::Units;

/// The first sentence that says how far off it reads.
pub fn headline(report: &VehicleReport) -> String {
    let first = report.document().blocks.into_iter().find_map(|block| match block {
        Block::Sentence(sentence) if sentence.starts_with("With the present setting") => Some(sentence),
        _ => None,
    });
    first.unwrap_or("How far off it reads is not known yet. One drive tells.".into())
}

/// All four, with what cannot be known and what else to know.
pub fn all(report: &VehicleReport, units: Units) -> Markup {
    let values = report.asked();
    let tables = tables(report);
    html! {
        ul class="quantities" {
            @for (formula, value) in FORMULAS.iter().zip(&values) {
                @let [quantity, said] = formula.said(units);
                li { (opens(&summary(&quantity, value.as_ref()), &html! {
                    p { strong { "What it is: " } (said) " (" (formula.source) ")." }
                    @if let Some(value) = value { p { strong { "How sure: " } (sure(value)) } }
                    (hangs(report, formula.quantity))
                    p { strong { "How the evidence came together: " } (ADJUSTED) }
                    (document::blocks(&tables))
                })) }
            }
        }
        @for sentence in &report.unknowable { p { (capitalised(sentence)) "." } }
        @for sentence in &report.notes { p { (capitalised(sentence.trim_end_matches('.'))) "." } }
    }
}

fn summary(name: &str, value: Option<&V>) -> Markup {
    html! {
        span class="name" { (capitalised(name)) } " "
        @match value {
            Some(value) => { strong class="figure" { (value_and_uncertainty(value.value, value.standard_uncertainty)) } }
            None => { span class="figure" { "not known yet" } }
        }
    }
}

fn sure(value: &V) -> String {
    let ends = interval(value.low_95, value.high_95, value.standard_uncertainty);
    format!("it lies in {ends} with 95 % probability; what stands behind \u{b1} is one standard uncertainty.")
}

fn hangs(report: &VehicleReport, quantity: &str) -> Markup {
    // The two ratios are called by what they are in formulas, and by whose they are in sentences.
    let called = match quantity {
        "odometer over true" => "the odometer's ratio",
        "needle over true" => "the needle's ratio",
        other => other,
    };
    let beliefs =
        report.hangs_on.iter().find(|hangs| hangs.answer == called).map(|hangs| hangs.beliefs.join("; "));
    html! {
        @if let Some(beliefs) = beliefs.filter(|beliefs| !beliefs.is_empty()) {
            p { strong { "It changes if this is not so: " } (beliefs) "." }
        }
    }
}

/// The tables of what each piece did and of the hardware weighed.
fn tables(report: &VehicleReport) -> Vec<Block> {
    let whole: Document = report.document();
    let wanted = ["Evidence", "What hardware it has"];
    let is_wanted =
        |block: &Block| matches!(block, Block::Table(table) if wanted.contains(&table.caption.as_str()));
    whole.blocks.into_iter().filter(is_wanted).collect()
}
