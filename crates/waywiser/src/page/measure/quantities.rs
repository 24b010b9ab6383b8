//! The quantities that are known of a truck, each of which opens to how it came about.

use crate::page::blocks;
use crate::page::fields::capitalised;
use crate::page::frame::opens;
use maud::{Markup, html};
use truing::report::answers::vehicle::VehicleReport;
use truing::report::document::TableId;
use truing::report::explanation::came_about::{ADJUSTED, FORMULAS};
use truing::report::findings::evidence::Quantity;
use truing::report::words::value::V;
use truing::report::words::{interval, value_and_uncertainty};
use truing::units::Units;

/// All four, with what cannot be known and what else to know.
pub fn all(report: &VehicleReport, units: Units) -> Markup {
    let values = report.asked();
    let document = report.document();
    html! {
        ul class="quantities" {
            @for (formula, value) in FORMULAS.iter().zip(&values) {
                @let [quantity, said] = formula.said(units);
                li { (opens(&summary(&quantity, value.as_ref()), &html! {
                    p { strong { "What it is: " } (said) " (" (formula.source) ")." }
                    @if let Some(value) = value { p { strong { "How sure: " } (sure(value)) } }
                    (hangs(report, formula.asked.into()))
                })) }
            }
        }
        // The same for all four.
        (blocks::opens("How the evidence came together", &html! {
            p { (ADJUSTED) }
            (blocks::tables(&document, &[TableId::Evidence, TableId::Hardware]))
        }))
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

fn hangs(report: &VehicleReport, quantity: Quantity) -> Markup {
    let beliefs = report.beliefs(quantity).join("; ");
    html! { @if !beliefs.is_empty() { p { strong { "It changes if this is not so: " } (beliefs) "." } } }
}
