//! The counter of presses, and planning again from what the display shows.

use super::asked::{SetView, to_next};
use crate::page::blocks;
use maud::{Markup, html};
use truing::report::answers::steps::{HeldReport, RunReport};

/// The counter: value now, next and target; a button as large as the screen; undo; and a way out.
pub(super) fn counter(shown: &SetView, run: &RunReport, again_at: usize) -> Markup {
    let total = run.shows.len() - 1;
    let pressed = shown.asked.pressed.min(total);
    let at = |pressed: usize| shown.asked.at(shown.asked.screen, pressed).address(shown.truck);
    let value = |pressed: usize| run.shows.get(pressed).map_or("", String::as_str);
    let is_done = pressed == total;
    let next = if is_done { "stop" } else { value(pressed + 1) };
    html! {
        section class="counter" data-counter=(key(shown, run)) data-pressed=(pressed) aria-label="Counting the presses" {
            @if let Some(held) = run.held.as_ref().filter(|_| pressed == 0) { (hold(shown, run, held, again_at)) }
            dl class="display" {
                div class="now" { dt { "Display shows now" } dd data-now { (value(pressed)) } }
                div { dt { "Next" } dd data-next { (next) } }
                div { dt { "Target" } dd { (value(total)) } }
            }
            div class="stand" data-resumed hidden {
                p { "Counted before: " b data-resumed-count {} " of " (total) ". The display should show " strong data-resumed-shows {} ". Does it?" }
                button type="button" data-go-on { "It does: go on" }
                button type="button" class="plain" data-from-start { "Count from the start" }
            }
            p class="hint" { "If the display ever differs from “Display shows now”: press nothing more, and say below what it shows." }
            div data-pressing hidden[is_done] {
                button type="button" class="press" data-press hidden { (press_words(run, pressed, total)) }
                a class="press" data-press-link href=(at((pressed + 1).min(total))) { (press_words(run, pressed, total)) }
            }
            div data-finished hidden[!is_done] {
                p class="stop" { strong { "Stop." } " The display must show " strong { (value(total)) } ", read twice." }
                (to_next(shown, "It does: next"))
            }
            p class="unseen" aria-live="polite" data-said {}
            div class="ways" {
                a class="button plain" data-undo href=(at(pressed.saturating_sub(1))) { "I tapped once too often: undo" }
                a class="button plain" data-restart href=(at(0)) { "Count from the start" }
            }
            (something_else(shown, again_at))
            (signals())
            (blocks::opens("What it shows after each press", &html! {
                ol class="presses" start="0" data-shows { @for value in &run.shows { li { (value) } } }
            }))
        }
    }
}

fn press_words(run: &RunReport, pressed: usize, total: usize) -> Markup {
    html! {
        span class="do" { "Press \u{201c}" (run.button) "\u{201d} once, then tap here" }
        span class="counted" { b data-count { (pressed) } " of " (total) }
    }
}

/// Vibration and sound, both off until asked for; shown by the script only.
fn signals() -> Markup {
    html! {
        fieldset class="signals" data-signals hidden {
            legend { "At each tap" }
            label class="pick" { input type="checkbox" data-vibrate; " vibrate" }
            label class="pick" { input type="checkbox" data-sound; " sound" }
        }
    }
}

/// A count belongs to these very presses and this state of the truck.
fn key(shown: &SetView, run: &RunReport) -> String {
    let ends = [run.shows.first(), run.shows.last()].map(|end| end.map_or("", String::as_str));
    format!("{} {} {} {} {}", shown.truck, shown.state, ends[0], run.button, ends[1])
}

/// A button that goes on by itself: held first, then what the display shows is typed, and the rest is counted.
fn hold(shown: &SetView, run: &RunReport, held: &HeldReport, again_at: usize) -> Markup {
    html! {
        div class="stand" {
            p {
                "Hold \u{201c}" (run.button) "\u{201d} about " (format!("{:.0}", held.hold_s)) " s and let go at about " strong { (held.let_go_at) }
                ". Type what the display shows then: the rest, about " (held.then_singly) " presses, is counted from there."
            }
            (shows_form(shown, "held-shows", "After letting go the display shows", again_at))
        }
    }
}

/// Planning again from what the display shows.
pub(super) fn something_else(shown: &SetView, again_at: usize) -> Markup {
    let inside = html! {
        p { "Press nothing more. Type what it shows, and the presses are planned again from there. Nothing is stored yet." }
        (shows_form(shown, "shows", "The display shows", again_at))
    };
    html! { div class="else" { (blocks::opens("The display shows something else", &inside)) } }
}

/// Leads to the screen of the presses, counted from what is typed.
fn shows_form(shown: &SetView, id: &str, label: &str, again_at: usize) -> Markup {
    html! {
        form method="get" action={ (shown.truck) "/set#step" } class="asks" {
            (shown.asked.at(again_at, 0).hidden_but(&["shows"]))
            label for=(id) { (label) }
            input id=(id) type="text" name="shows" inputmode="decimal" autocomplete="off" required;
            button { "Plan again from there" }
        }
    }
}

/// That the presses were planned again, and what they are now.
pub(super) fn planned_again(shown: &SetView) -> Markup {
    let Some(shows) = &shown.asked.shows else { return html! {} };
    let steps = shown.steps;
    let presses: Vec<String> =
        steps.presses.iter().map(|one| format!("{} {}", one.count, one.button)).collect();
    html! {
        p class="told" role="status" {
            strong { "Planned again. " }
            "The display shows " (shows) ": "
            @match steps.total_presses {
                0 => "that is the target, so press nothing more.",
                1 => { "1 press is left, " (presses.join(", ")) ", to " (steps.to) "." }
                _ => { (steps.total_presses) " presses are left, " (presses.join(", ")) ", to " (steps.to) "." }
            }
        }
    }
}
