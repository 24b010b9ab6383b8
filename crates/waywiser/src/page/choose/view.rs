//! Choose: the advice, the settings in reach under what is needed, the error before and after, and the price of a write.

use crate::page::addresses::encoded;
use crate::page::answers::Wish;
use crate::page::blocks;
use maud::{Markup, html};
use truing::choose::{Advice, Reason};
use truing::report::answers::choice::ChoiceReport;
use truing::report::answers::rules::RulesReport;
use truing::report::answers::vehicle::VehicleReport;
use truing::report::document::TableId;
use truing::report::explanation::origin::of_choice;
use truing::report::words::price::price;

/// What the page is made of.
pub struct ChooseView<'a> {
    /// What to set.
    pub choice: &'a ChoiceReport,
    /// What is known of the truck.
    pub estimate: &'a VehicleReport,
    /// The rules there are.
    pub rules: &'a RulesReport,
    /// Address of the truck's pages.
    pub truck: &'a str,
    /// By which rule and reserve it was chosen, where not by the truck's own.
    pub wish: &'a Wish,
    /// What every form that changes something carries.
    pub proof_of_origin: &'a Markup,
    /// What can be had on paper.
    pub papers: &'a Markup,
}

/// The page without its frame.
pub fn view(shown: &ChooseView) -> Markup {
    let choice = shown.choice;
    let document = choice.document();
    html! {
        (blocks::first_view(&answer(shown), picture(choice).as_ref()))
        div class="folds" {
            (blocks::opens("The settings in reach", &html! {
                @if let Some(chart) = choice.settings_chart() { (blocks::figure(chart)) }
                (blocks::tables(&document, &[TableId::Settings]))
            }))
            (blocks::opens("The error in numbers", &blocks::tables(&document, &[TableId::ErrorBySpeed])))
            @if let Some(table) = price(choice) { (blocks::opens("What a write buys", &blocks::table(&table))) }
            @if choice.outlook.is_some() {
                (blocks::opens("The tires to come", &blocks::tables(&document, &[TableId::RoadToCome, TableId::Changes])))
            }
            @if !choice.measurements.is_empty() {
                (blocks::opens("What each measurement would bring", &blocks::tables(&document, &[TableId::Measurements])))
            }
            (blocks::opens("Where the numbers come from", &blocks::opening(&of_choice(choice, shown.estimate))))
            (blocks::opens("Another rule, another reserve", &otherwise(shown)))
        }
        (shown.papers)
        (blocks::problems(&choice.problems))
    }
}

/// The advice, why, and the way on. Where it is not to go ahead, why stands open.
fn answer(shown: &ChooseView) -> Markup {
    let choice = shown.choice;
    let waits = matches!(choice.advice, Advice::MeasureFirst | Advice::CheckFirst);
    let why: Vec<&str> =
        choice.reasons.iter().filter(|one| !is_hazard(&one.reason)).map(|one| one.text.as_str()).collect();
    html! {
        (blocks::first(mark(choice.advice), "Advice", &choice.first()))
        (blocks::held_back(&choice.open_faults))
        @for text in hazards(choice) { (blocks::caution(text)) }
        (next(shown))
        @if !why.is_empty() { (blocks::opens_at("Why", waits, &html! { @for text in why { p { (text) } } })) }
    }
}

/// A dial that reads slow makes a driver go too fast: that is never folded.
fn is_hazard(reason: &Reason) -> bool {
    matches!(reason, Reason::DialReadsSlow { .. } | Reason::DialWouldReadSlow { .. })
}

fn hazards(choice: &ChoiceReport) -> impl Iterator<Item = &str> {
    choice.reasons.iter().filter(|one| is_hazard(&one.reason)).map(|one| one.text.as_str())
}

/// The error before and after, where anything is known of it.
fn picture(choice: &ChoiceReport) -> Option<Markup> {
    let chart = choice.errors_chart();
    (!chart.series.is_empty() && !choice.is_for_other_tires()).then(|| blocks::figure(&chart))
}

fn mark(advice: Advice) -> &'static str {
    match advice {
        Advice::Write => "go",
        Advice::Leave => "stay",
        Advice::MeasureFirst | Advice::CheckFirst => "wait",
    }
}

/// The same choice on the next stage, as the query of an address.
fn wished(wish: &Wish) -> String {
    let rule = wish.rule.as_ref().map(|rule| format!("rule={}", encoded(rule)));
    let reserve = wish.reserve.map(|writes| format!("reserve={writes}"));
    let all: Vec<String> = rule.into_iter().chain(reserve).collect();
    if all.is_empty() { String::new() } else { format!("?{}", all.join("&")) }
}

/// The way on from the advice.
fn next(shown: &ChooseView) -> Markup {
    let choice = shown.choice;
    html! {
        div class="ways" {
            @match choice.advice {
                Advice::Write => a class="button" href={ (shown.truck) "/set" (wished(shown.wish)) } { "Show me the steps" },
                Advice::Leave => a class="button" href={ (shown.truck) "/prove" } { "Prove it on the road" },
                Advice::MeasureFirst => a class="button" href={ (shown.truck) "/measure" } { "Add a measurement" },
                Advice::CheckFirst => a class="button" href={ (shown.truck) "/measure" } { "Look at the evidence" },
            }
            form method="post" action={ (shown.truck) "/choose" } {
                (shown.proof_of_origin)
                input type="hidden" name="rule" value=(choice.rule);
                @if let Some(reserve) = shown.wish.reserve { input type="hidden" name="reserve" value=(reserve); }
                button class="plain" { "Keep this advice in the record" }
            }
        }
    }
}

/// Another rule or another reserve.
fn otherwise(shown: &ChooseView) -> Markup {
    html! {
        form method="get" action={ (shown.truck) "/choose" } class="asks" {
            label for="rule" { "Rule that is to be kept" }
            select id="rule" name="rule" {
                @for rule in &shown.rules.rules {
                    option value=(rule.id) selected[rule.id == shown.choice.rule] { (rule.id) " \u{2013} " (rule.title) }
                }
            }
            label for="reserve" { "Writes to keep in reserve" }
            input id="reserve" name="reserve" type="number" min="0" max="99" inputmode="numeric" value=[shown.wish.reserve];
            button class="plain" { "Choose by these" }
        }
    }
}
