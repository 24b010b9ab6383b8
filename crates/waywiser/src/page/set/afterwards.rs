//! After the confirming press: what is shown now, what that means, and into the record with it.

use super::asked::SetView;
use crate::page::{blocks, fields};
use maud::{Markup, html};
use truing::report::answers::steps::{ChangeReport, Screen, StepsReport};
use truing::report::answers::stored::{Came, StoredReport};

/// The one thing that was changed. Where there are several, each form asks for itself.
pub(super) fn only_change(steps: &StepsReport) -> Option<&ChangeReport> {
    match steps.changes.as_slice() {
        [only] => Some(only),
        _ => None,
    }
}

/// What stands between the confirming press and the record.
pub(super) fn question(shown: &SetView, change: &ChangeReport) -> Markup {
    html! {
        form method="get" action={ (shown.truck) "/set#step" } class="asks" {
            (shown.asked.hidden_but(&["stored", "left"]))
            label for="stored" { (asks(shown.steps)) }
            input id="stored" type="text" name="stored" inputmode="decimal" autocomplete="off" required;
            @if let Some(before) = change.writes_left_before {
                label for="left" { "Writes left, as the module says" }
                input id="left" type="text" name="left" inputmode="numeric" autocomplete="off";
                p class="hint" { "Before this one it was " (before) ". Leave it empty where the module does not tell." }
            }
            button { "That is what it shows" }
        }
    }
}

fn asks(steps: &StepsReport) -> &'static str {
    if steps.runs.is_empty() { "What is set now?" } else { "What does it show now?" }
}

/// What was read, what it means, and the way on.
pub(super) fn answer(
    shown: &SetView,
    change: &ChangeReport,
    stored: &StoredReport,
    screens: &[Screen],
) -> Markup {
    let rest = screens.get(shown.asked.screen..).unwrap_or_default();
    let is_spent =
        change.writes_left_before.zip(stored.writes_left).is_some_and(|(before, left)| left < before);
    let (mark, kind) = match stored.came {
        Came::AsPlanned => ("go", "As planned"),
        Came::Another => ("wait", "Not what was planned"),
        Came::NotTaken => ("wait", "Nothing has changed"),
    };
    html! {
        div id="step" {}
        @if let Some((first, more)) = stored.says.split_first() {
            (blocks::headline(mark, kind, first))
            (blocks::sentences(more))
        }
        @if stored.came != Came::NotTaken || (is_spent && shown.asked.left.is_some()) {
            (keep(shown, change, Some(stored)))
        }
        @if !rest.is_empty() {
            h2 { "Still to do" }
            ul class="list" { @for screen in rest { li { @for text in &screen.cautions { (blocks::caution(text)) } (screen.text) } } }
        }
        nav class="ways quiet" aria-label="Steps" {
            a class="button plain" href=(shown.asked.unread().address(shown.truck)) { "I misread it: look again" }
            @if stored.came == Came::NotTaken { a class="button plain" href=(shown.asked.at_the_start().address(shown.truck)) { "All steps again" } }
        }
    }
}

/// After the last step: what is set now, or the forms that keep it.
pub(super) fn done(shown: &SetView) -> Markup {
    let steps = shown.steps;
    html! {
        div id="step" {} (blocks::headline("go", "All steps done", &format!("{} \u{2192} {}", steps.from, steps.to)))
        @match only_change(steps) {
            Some(change) => (question(shown, change)),
            None => {
                @if let Some(with_all) = &steps.with_all { p { (with_all) } }
                p { (WHY_KEPT) }
                @for change in &steps.changes { (keep(shown, change, None)) }
            }
        }
        nav class="ways quiet" aria-label="Steps" {
            a class="button plain" href=(shown.asked.at_the_start().address(shown.truck)) { "All steps" }
        }
    }
}

const WHY_KEPT: &str = "Keep the write in the record: what was stored before and now, the odometer, the day. It counts the writes left, and every later measurement is told from the earlier ones by it.";

/// The form that keeps one write.
fn keep(shown: &SetView, change: &ChangeReport, stored: Option<&StoredReport>) -> Markup {
    let to = stored.map_or(change.to.as_str(), |stored| stored.stored.as_str());
    html! {
        form method="post" action={ (shown.truck) "/set" } class="asks" {
            (shown.proof_of_origin)
            @if let Some(stored) = stored {
                input type="hidden" name="to" value=(stored.stored);
                @if shown.asked.left.is_some() { input type="hidden" name="writes_left" value=[stored.writes_left]; }
            }
            input type="hidden" name="adjuster" value=(change.adjuster);
            @if let Some(despite) = &shown.steps.despite { input type="hidden" name="despite" value=(despite); }
            h2 { (fields::capitalised(&change.spoken)) ": " (change.from) " \u{2192} " (to) }
            @if stored.is_none() {
                label for={ "to-" (change.adjuster) } { (asks(shown.steps)) }
                input id={ "to-" (change.adjuster) } type="text" name="to" autocomplete="off" required;
            }
            label for={ "odometer-" (change.adjuster) } { "Odometer, with its unit" }
            input id={ "odometer-" (change.adjuster) } type="text" name="odometer" placeholder=(shown.units.by_road("128411.0 mi", "206657.5 km")) autocomplete="off";
            p class="hint" {
                "May be left empty."
                @if let Some(reading) = shown.odometer { " The last one in the record is " (reading) "." }
            }
            label for={ "text-" (change.adjuster) } { "Remark" }
            input id={ "text-" (change.adjuster) } type="text" name="text" autocomplete="off";
            (blocks::opens("The module held another value before", &html! {
                label for={ "from-" (change.adjuster) } { "What it held" }
                input id={ "from-" (change.adjuster) } type="text" name="from" value=(change.from) autocomplete="off";
                label for={ "from-reason-" (change.adjuster) } { "Why that is not what was held to be stored" }
                input id={ "from-reason-" (change.adjuster) } type="text" name="from_reason" autocomplete="off";
            }))
            button { "Yes: keep the write in the record" }
            @if stored.is_some() { p class="hint" { (WHY_KEPT) } }
        }
    }
}
