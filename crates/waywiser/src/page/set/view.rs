//! Set: one step per screen, and a counter of presses that takes a slip of the finger without harm.
//!
//! Everything works by links: the address holds the step and the presses made. The script makes the counter quick,
//! and keeps the count over a reload.

use super::afterwards::{self, only_change};
use super::asked::{SetView, to_next};
use super::counter::{counter, planned_again, something_else};
use crate::page::{blocks, fields};
use maud::{Markup, html};
use truing::report::answers::another::AnotherReport;
use truing::report::answers::first::First;
use truing::report::answers::steps::{NothingReport, Screen};
use truing::set::{Cause, StepKind};

/// The page without its frame.
pub fn view(shown: &SetView) -> Markup {
    let screens = shown.steps.screens();
    if let Some(another) = worse(shown) {
        return said_again(shown, another);
    }
    if let Some((change, stored)) = only_change(shown.steps).zip(shown.stored) {
        return afterwards::answer(shown, change, stored, &screens);
    }
    match screens.get(shown.asked.screen.wrapping_sub(1)) {
        Some(screen) => one(shown, screen, &screens),
        None => match &shown.steps.nothing_to_do {
            Some(nothing) => nothing_to_do(shown, nothing),
            None if shown.asked.screen > screens.len() => afterwards::done(shown),
            None => all(shown, &screens),
        },
    }
}

/// A value that reads worse than now, which was not said again yet.
fn worse<'a>(shown: &'a SetView) -> Option<&'a AnotherReport> {
    shown.steps.another.as_ref().filter(|another| another.is_worse && shown.asked.even_if_worse.is_none())
}

/// Asks for a tick before there are steps to such a value.
fn said_again(shown: &SetView, another: &AnotherReport) -> Markup {
    html! {
        (blocks::first("wait", "Another value", &First::with("Worse than now", &another.text)))
        form method="get" action={ (shown.truck) "/set" } class="asks" {
            (shown.asked.at(0, 0).hidden_but(&["even_if_worse"]))
            label class="pick" { input type="checkbox" name="even_if_worse" value="yes" required; " I want to store it all the same" }
            button class="plain" { "Give me the steps to " (shown.steps.to) }
        }
        div class="ways" { a class="button" href={ (shown.truck) "/set" } { "The advised steps" } }
        (another_value(shown))
        (blocks::problems(&shown.steps.problems))
    }
}

/// Nothing is to be done: why, and how another value is stored all the same.
fn nothing_to_do(shown: &SetView, nothing: &NothingReport) -> Markup {
    let steps = shown.steps;
    let (mark, next) = match nothing.cause {
        Cause::MeasureFirst => ("wait", ("/measure", "Add a measurement")),
        Cause::CheckFirst => ("wait", ("/choose", "See what is to be checked")),
        Cause::StoredAlready | Cause::Leave => ("stay", ("/prove", "Prove it on the road")),
    };
    html! {
        (blocks::first(mark, "What to set", &First::with("Nothing to do", &nothing.text)))
        (blocks::sentences(&steps.in_short()))
        (blocks::held_back(&steps.open_faults))
        div class="ways" { a class="button" href={ (shown.truck) (next.0) } { (next.1) } }
        @if nothing.cause == Cause::CheckFirst { (blocks::opens("Store it all the same", &despite_form(shown))) }
        p class="hint" { "For the steps to another value all the same, type it under \u{201c}" (ANOTHER_VALUE) "\u{201d}." }
        (after_the_steps(shown, &html! {}))
    }
}

/// The owner's own word that it is to be stored, with a reason.
fn despite_form(shown: &SetView) -> Markup {
    html! {
        form method="get" action={ (shown.truck) "/set" } class="asks" {
            (shown.asked.hidden_wish())
            label for="despite" { "Why it is stored although something is to be checked; it goes into the record" }
            input id="despite" type="text" name="despite" autocomplete="off" required;
            button class="plain" { "Show me the steps all the same" }
        }
    }
}

/// What is to be done, before the first step.
fn all(shown: &SetView, screens: &[Screen]) -> Markup {
    let steps = shown.steps;
    html! {
        (blocks::headline("go", "From and to", &format!("{} \u{2192} {}", steps.from, steps.to)))
        @if let Some(despite) = &steps.despite { p class="caution" { "The advice is to check first. It is stored all the same because: " (despite) } }
        (blocks::sentences(&steps.in_short()))
        (blocks::held_back(&steps.open_faults))
        div class="ways" { a class="button" href=(shown.asked.at(1, 0).address(shown.truck)) { "Begin with step 1" } }
        section {
            h2 { "All steps" }
            ol class="list" {
                @for (index, screen) in screens.iter().enumerate() {
                    li class=[(screen.kind == StepKind::Irreversible).then_some("final")] {
                        @for text in &screen.cautions { (blocks::caution(text)) }
                        a href=(shown.asked.at(index + 1, 0).address(shown.truck)) {
                            @if screen.kind == StepKind::Irreversible { strong class="word" { "Cannot be undone" } " " }
                            (screen.text)
                        }
                    }
                }
            }
        }
        (after_the_steps(shown, &held_down(shown)))
    }
}

/// Where the numbers come from, what else can be asked for, and what can be had on paper.
fn after_the_steps(shown: &SetView, held_down: &Markup) -> Markup {
    html! {
        (blocks::origins(shown.origins))
        (another_value(shown))
        (held_down)
        (shown.routine)
        (shown.papers)
        (blocks::problems(&shown.steps.problems))
    }
}

/// What the form for another value is called.
const ANOTHER_VALUE: &str = "Store another value than the advised one";

/// Another value than the advised one.
fn another_value(shown: &SetView) -> Markup {
    let inside = html! {
        form method="get" action={ (shown.truck) "/set" } class="asks" {
            (shown.asked.hidden_wish())
            @if shown.adjusters.len() > 1 {
                label for="adjuster" { "What is set" }
                select id="adjuster" name="adjuster" {
                    @for (called, spoken) in shown.adjusters {
                        option value=(called) selected[shown.asked.adjuster.as_deref() == Some(*called)] { (fields::capitalised(spoken)) }
                    }
                }
            }
            label for="to" { "Value to store" }
            input id="to" type="text" name="to" value=[shown.asked.to.as_deref()] autocomplete="off" required;
            button { "Give me the steps to this value" }
        }
    };
    blocks::opens(ANOTHER_VALUE, &inside)
}

/// A button that goes on by itself: how long it is held instead of pressed.
fn held_down(shown: &SetView) -> Markup {
    let asked = shown.asked;
    let inside = html! {
        form method="get" action={ (shown.truck) "/set" } class="asks" {
            (asked.at_the_start().hidden_but(&["repeat", "repeat_after"]))
            label for="repeat" { "Steps a second that it makes while it is held" }
            input id="repeat" type="text" name="repeat" inputmode="decimal" placeholder="5" value=[asked.repeat.as_deref()] required autocomplete="off";
            label for="repeat_after" { "Seconds until it goes on by itself" }
            input id="repeat_after" type="text" name="repeat_after" inputmode="decimal" placeholder="1" value=[asked.repeat_after.as_deref()] autocomplete="off";
            button class="plain" { "Say how long to hold it" }
        }
    };
    blocks::opens("Does a held button go on by itself?", &inside)
}

/// One step.
fn one(shown: &SetView, screen: &Screen, screens: &[Screen]) -> Markup {
    let (at, count) = (shown.asked.screen, screens.len());
    let kind = match screen.kind {
        StepKind::Check => "Look",
        StepKind::Irreversible => "Cannot be undone",
        StepKind::WayBack => "The way back",
        StepKind::Do | StepKind::Caution => "Do",
    };
    let is_final = screen.kind == StepKind::Irreversible;
    let back = screens.get(..at - 1).filter(|_| is_final).and_then(way_back);
    // Seen with another value on the display, the presses come before anything else again.
    let pressing = screens.iter().position(|screen| screen.is_pressing).map_or(at, |place| place + 1);
    let again_at = at.min(pressing);
    html! {
        p class="place" id="step" { "Step " (at) " of " (count) " \u{00b7} " (shown.steps.from) " \u{2192} " (shown.steps.to) }
        progress class="progress" max=(count) value=(at) aria-label="Steps" {}
        @for text in &screen.cautions { (blocks::caution(text)) }
        // On later steps it would ask for the presses once more, above the step that cannot be undone.
        @if screen.is_pressing || shown.steps.total_presses == 0 && !screen.is_after_storing { (planned_again(shown)) }
        section class={ "step " @if is_final { "final" } } {
            h2 { span class="word" { (kind) } }
            p class="says" { (screen.text) }
            @if let Some(back) = back { p class="back" { strong { "Not sure? " } (back) } }
        }
        @match (screen.counted, only_change(shown.steps).filter(|_| screen.is_after_storing)) {
            (Some(run), _) => (counter(shown, run, again_at)),
            (None, Some(change)) => (afterwards::question(shown, change)),
            (None, None) => (to_next(shown, if is_final { "It is stored: next" } else { "Done: next" })),
        }
        @if screen.kind == StepKind::Check && !screen.is_after_storing { (something_else(shown, again_at)) }
        nav class="ways quiet" aria-label="Steps" {
            @if at > 1 && !screen.is_after_storing { a class="button plain" href=(shown.asked.at(at - 1, 0).address(shown.truck)) { "Back" } }
            a class="button plain" href=(shown.asked.at(0, 0).address(shown.truck)) { "All steps" }
        }
    }
}

/// How to leave without spending anything, which must be in sight where nothing can be taken back.
fn way_back<'a>(before: &[Screen<'a>]) -> Option<&'a str> {
    before.iter().rev().find(|screen| screen.kind == StepKind::WayBack).map(|screen| screen.text)
}
