//! Set: one step per screen, and a counter of presses that takes a slip of the finger without harm.
//!
//! Everything works by links: the address holds the step and the presses made. The script makes the counter quick,
//! and keeps the count over a reload.

use crate::page::addresses::encoded;
use crate::page::{blocks, fields};
use maud::{Markup, html};
use truing::report::answers::steps::{ChangeReport, NothingReport, RunReport, Screen, StepsReport};
use truing::report::explanation::origin::Origin;
use truing::set::{Cause, StepKind};
use truing::units::Units;

/// What the page is made of.
pub struct Shown<'a> {
    /// The steps.
    pub steps: &'a StepsReport,
    /// What these steps depend on, as fields of the address: the value asked for, what the display showed.
    pub asked: &'a Asked,
    /// Address of the truck's pages.
    pub truck: &'a str,
    /// The truck's state in the record, which tells an old count from a new one.
    pub state: &'a str,
    /// The last reading of the odometer in the record.
    pub odometer: Option<&'a str>,
    /// Where the value to store comes from.
    pub origins: &'a [Origin],
    /// The form for the owner's own routine.
    pub routine: &'a Markup,
    /// What can be set on the truck, each by its name.
    pub adjusters: &'a [String],
    /// The units that the owner thinks in.
    pub units: Units,
    /// What can be had on paper.
    pub papers: &'a Markup,
    /// What every form that changes something carries.
    pub proof_of_origin: &'a Markup,
}

/// What was asked for in the address.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Asked {
    /// The value to store instead of the advised one.
    pub to: Option<String>,
    /// Which adjuster it is for.
    pub adjuster: Option<String>,
    /// What the display showed when it was planned again.
    pub shows: Option<String>,
    /// Steps a second that a held button makes.
    pub repeat: Option<String>,
    /// Seconds until it goes on by itself.
    pub repeat_after: Option<String>,
    /// Why it is stored although something is to be checked first.
    pub despite: Option<String>,
    /// The screen, counted from 1; 0 is the list of all.
    pub screen: usize,
    /// Presses made on it.
    pub pressed: usize,
}

impl Asked {
    /// The same on another screen.
    fn at(&self, screen: usize, pressed: usize) -> Self {
        Self { screen, pressed, ..self.clone() }
    }

    /// The same as before the display was looked at.
    pub fn without_shows(&self) -> Self {
        Self { shows: None, pressed: 0, ..self.clone() }
    }

    fn fields(&self) -> Vec<(&'static str, String)> {
        let text = |name, value: &Option<String>| value.clone().map(|value| (name, value));
        let number = |name, value: usize| (value > 0).then(|| (name, value.to_string()));
        let fields = [
            text("to", &self.to),
            text("adjuster", &self.adjuster),
            text("shows", &self.shows),
            text("repeat", &self.repeat),
            text("repeat_after", &self.repeat_after),
            text("despite", &self.despite),
            number("screen", self.screen),
            number("pressed", self.pressed),
        ];
        fields.into_iter().flatten().collect()
    }

    /// As an address below the truck's.
    pub fn address(&self, truck: &str) -> String {
        let fields: Vec<String> =
            self.fields().iter().map(|(name, value)| format!("{name}={}", encoded(value))).collect();
        // On a phone the head takes half the screen: a step begins under it.
        let place = if self.screen > 0 { "#step" } else { "" };
        format!("{truck}/set{}{}{place}", if fields.is_empty() { "" } else { "?" }, fields.join("&"))
    }
}

/// The page without its frame.
pub fn view(shown: &Shown) -> Markup {
    let screens = shown.steps.screens();
    match screens.get(shown.asked.screen.wrapping_sub(1)) {
        Some(screen) => one(shown, screen, &screens),
        None => match &shown.steps.nothing_to_do {
            Some(nothing) => nothing_to_do(shown, nothing),
            None if shown.asked.screen > screens.len() => done(shown, screens.len()),
            None => all(shown, &screens),
        },
    }
}

/// Nothing is to be done: why, and how another value is stored all the same.
fn nothing_to_do(shown: &Shown, nothing: &NothingReport) -> Markup {
    let steps = shown.steps;
    let (mark, next) = match nothing.cause {
        Cause::MeasureFirst => ("wait", ("/measure", "Add a measurement")),
        Cause::CheckFirst => ("wait", ("/choose", "See what is to be checked")),
        Cause::StoredAlready | Cause::Leave => ("stay", ("/prove", "Prove it on the road")),
    };
    html! {
        (blocks::headline(mark, "Nothing to do", &nothing.text))
        (blocks::sentences(&steps.in_short()))
        (blocks::held_back(&steps.held_back_by))
        div class="ways" { a class="button" href={ (shown.truck) (next.0) } { (next.1) } }
        @if nothing.cause == Cause::CheckFirst { (blocks::opens("Store it all the same", &despite_form(shown))) }
        p class="hint" { "For the steps to another value all the same, type it under \u{201c}" (ANOTHER_VALUE) "\u{201d}." }
        (after_the_steps(shown, &html! {}))
    }
}

/// The owner's own word that it is to be stored, with a reason.
fn despite_form(shown: &Shown) -> Markup {
    html! {
        form method="get" action={ (shown.truck) "/set" } class="asks" {
            label for="despite" { "Why it is stored although something is to be checked; it goes into the record" }
            input id="despite" type="text" name="despite" autocomplete="off" required;
            button class="plain" { "Show me the steps all the same" }
        }
    }
}

/// What is to be done, before the first step.
fn all(shown: &Shown, screens: &[Screen]) -> Markup {
    let steps = shown.steps;
    html! {
        (blocks::headline("go", "From and to", &format!("{} \u{2192} {}", steps.from, steps.to)))
        @if let Some(despite) = &steps.despite { p class="caution" { "The advice is to check first. It is stored all the same because: " (despite) } }
        (blocks::sentences(&steps.in_short()))
        (blocks::held_back(&steps.held_back_by))
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
fn after_the_steps(shown: &Shown, held_down: &Markup) -> Markup {
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
fn another_value(shown: &Shown) -> Markup {
    let inside = html! {
        form method="get" action={ (shown.truck) "/set" } class="asks" {
            @if shown.adjusters.len() > 1 {
                label for="adjuster" { "What is set" }
                select id="adjuster" name="adjuster" {
                    @for name in shown.adjusters { option value=(name) selected[shown.asked.adjuster.as_ref() == Some(name)] { (fields::words(name)) } }
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
fn held_down(shown: &Shown) -> Markup {
    let asked = shown.asked;
    let inside = html! {
        form method="get" action={ (shown.truck) "/set" } class="asks" {
            @if let Some(to) = &asked.to { input type="hidden" name="to" value=(to); }
            @if let Some(adjuster) = &asked.adjuster { input type="hidden" name="adjuster" value=(adjuster); }
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
fn one(shown: &Shown, screen: &Screen, screens: &[Screen]) -> Markup {
    let (at, count) = (shown.asked.screen, screens.len());
    let kind = match screen.kind {
        StepKind::Check => "Look",
        StepKind::Irreversible => "Cannot be undone",
        StepKind::WayBack => "The way back",
        StepKind::Do | StepKind::Caution => "Do",
    };
    let is_final = screen.kind == StepKind::Irreversible;
    let back = screens.get(..at - 1).filter(|_| is_final).and_then(way_back);
    html! {
        p class="place" id=[screen.counted.is_none().then_some("step")] { "Step " (at) " of " (count) " \u{00b7} " (shown.steps.from) " \u{2192} " (shown.steps.to) }
        progress class="progress" max=(count) value=(at) aria-label="Steps" {}
        @for text in &screen.cautions { (blocks::caution(text)) }
        section class={ "step " @if is_final { "final" } } {
            h2 { span class="word" { (kind) } }
            p class="says" { (screen.text) }
            @if let Some(back) = back { p class="back" { strong { "Not sure? " } (back) } }
        }
        @match screen.counted {
            Some(run) => (counter(shown, run)),
            None => (to_next(shown, if is_final { "It is stored: next" } else { "Done: next" })),
        }
        @if screen.kind == StepKind::Check { (something_else(shown)) }
        nav class="ways quiet" aria-label="Steps" {
            @if at > 1 { a class="button plain" href=(shown.asked.at(at - 1, 0).address(shown.truck)) { "Back" } }
            a class="button plain" href=(shown.asked.at(0, 0).address(shown.truck)) { "All steps" }
        }
    }
}

/// How to leave without spending anything, which must be in sight where nothing can be taken back.
fn way_back<'a>(before: &[Screen<'a>]) -> Option<&'a str> {
    before.iter().rev().find(|screen| screen.kind == StepKind::WayBack).map(|screen| screen.text)
}

fn to_next(shown: &Shown, says: &str) -> Markup {
    html! {
        div class="ways" {
            a class="button" href=(shown.asked.at(shown.asked.screen + 1, 0).address(shown.truck)) { (says) }
        }
    }
}

/// The counter: value now, next and target; a button as large as the screen; undo; and a way out.
fn counter(shown: &Shown, run: &RunReport) -> Markup {
    let total = run.shows.len() - 1;
    let pressed = shown.asked.pressed.min(total);
    let at = |pressed: usize| shown.asked.at(shown.asked.screen, pressed).address(shown.truck);
    let value = |pressed: usize| run.shows.get(pressed).map_or("", String::as_str);
    let is_done = pressed == total;
    let next = if is_done { "stop" } else { value(pressed + 1) };
    html! {
        section class="counter" id="step" data-counter=(key(shown, run)) data-pressed=(pressed) aria-label="Counting the presses" {
            dl class="display" {
                div class="now" { dt { "Display shows now" } dd data-now { (value(pressed)) } }
                div { dt { "Next" } dd data-next { (next) } }
                div { dt { "Target" } dd { (value(total)) } }
            }
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
            (something_else(shown))
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
fn key(shown: &Shown, run: &RunReport) -> String {
    let ends = [run.shows.first(), run.shows.last()].map(|end| end.map_or("", String::as_str));
    format!("{} {} {} {} {}", shown.truck, shown.state, ends[0], run.button, ends[1])
}

/// Planning again from what the display shows.
fn something_else(shown: &Shown) -> Markup {
    let inside = html! {
        p { "Press nothing more. Type what it shows, and the presses are planned again from there. Nothing is stored yet." }
        form method="get" action={ (shown.truck) "/set" } class="asks" {
            @for (name, value) in shown.asked.at(shown.asked.screen, 0).fields() {
                @if name != "shows" { input type="hidden" name=(name) value=(value); }
            }
            label for="shows" { "The display shows" }
            input id="shows" type="text" name="shows" inputmode="decimal" autocomplete="off" required;
            button { "Plan again from there" }
        }
    };
    html! { div class="else" { (blocks::opens("The display shows something else", &inside)) } }
}

/// After the last step: into the record with it.
fn done(shown: &Shown, count: usize) -> Markup {
    let steps = shown.steps;
    html! {
        div id="step" {} (blocks::headline("go", "All steps done", &format!("{} \u{2192} {}", steps.from, steps.to)))
        p { "Keep the write in the record: what was stored before and now, the odometer, the day. It counts the writes left, and every later measurement is told from the earlier ones by it." }
        @for change in &steps.changes { (keep(shown, change)) }
        nav class="ways quiet" aria-label="Steps" {
            a class="button plain" href=(shown.asked.at(count, 0).address(shown.truck)) { "Back" }
            a class="button plain" href=(shown.asked.at(0, 0).address(shown.truck)) { "All steps" }
            a class="button" href={ (shown.truck) "/prove" } { "Prove it on the road" }
        }
    }
}

/// The form that keeps one write.
fn keep(shown: &Shown, change: &ChangeReport) -> Markup {
    html! {
        form method="post" action={ (shown.truck) "/set" } class="asks" {
            (shown.proof_of_origin)
            input type="hidden" name="to" value=(change.to);
            input type="hidden" name="adjuster" value=(change.adjuster);
            @if let Some(despite) = &shown.steps.despite { input type="hidden" name="despite" value=(despite); }
            h2 { (fields::words(&change.adjuster)) ": " (change.from) " \u{2192} " (change.to) }
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
            button { "It is stored: keep the write in the record" }
        }
    }
}
