//! The parts of a document, in the order they stand there.

use super::table;
use crate::chart::{self, drawing};
use maud::{Markup, PreEscaped, html};
use truing::describe::chain::Standing;
use truing::report::document::{Block, ChainBox, Chart, Moment, Step, Table, Tick};
use truing::set::Switch;

/// A box to tick, closed so that an XML parser accepts it too.
const BOX: PreEscaped<&str> = PreEscaped(r#"<input type="checkbox"/>"#);

/// Every block; steps are numbered on until the next heading, whatever stands between them.
pub fn all(blocks: &[Block]) -> Markup {
    all_with(blocks, figure)
}

/// The same with pictures as another face lays them out.
pub fn all_with(blocks: &[Block], figure: fn(&Chart) -> Markup) -> Markup {
    let mut next_step = 1;
    let mut parts = Vec::new();
    for block in blocks {
        if matches!(block, Block::Heading(_)) {
            next_step = 1;
        }
        parts.push(match block {
            Block::Chart(chart) => figure(chart),
            other => one(other, next_step),
        });
        if let Block::Steps(steps) = block {
            next_step += steps.len();
        }
    }
    html! { @for part in &parts { (part) } }
}

/// One block; steps are numbered from `next_step`.
pub fn one(block: &Block, next_step: usize) -> Markup {
    match block {
        Block::Heading(text) => html! { h2 { (text) } },
        Block::Answer(text) => html! { p class="answer" { (text) } },
        Block::Sentence(text) => html! { p { (text) } },
        Block::Caution(text) => {
            html! { p class="caution" role="note" { strong { "Caution" } " " span { (text) } } }
        }
        Block::Table(table) => table::markup(table),
        Block::Steps(steps) => list(steps, next_step),
        Block::Chart(chart) => figure(chart),
        Block::Timeline(moments) => timeline(moments),
        Block::Chain(chain) => self::chain(chain),
        Block::Method(lines) => html! { ol class="method" { @for line in lines { li { (line) } } } },
        Block::Drawing(which) => html! { figure class="how" { (drawing(*which)) } },
        Block::Form(table) => form(table),
        Block::Lines(names) => lines(names),
    }
}

/// The chain as boxes, from the road to the needle; what can be set has the heavy frame.
fn chain(chain: &[ChainBox]) -> Markup {
    html! {
        ol class="links" aria-label=(ChainBox::words(chain)) {
            @for link in chain {
                li class=[class(link)] { b { (link.name) } span { (link.factor) } small { (link.standing) } }
            }
        }
    }
}

fn class(link: &ChainBox) -> Option<&'static str> {
    match (link.is_set, link.known) {
        (true, _) => Some("set"),
        (false, Some(Standing::Assumed)) => Some("assumed"),
        (false, Some(Standing::Unknown)) => Some("unknown"),
        _ => None,
    }
}

/// A table to be filled in by hand.
fn form(table: &Table) -> Markup {
    html! {
        // On a phone it is wider than the screen: it is made for paper, and is moved under the thumb.
        div class="on-paper" role="region" aria-label=(table.caption) tabindex="0" {
            table class="form" {
                caption { (table.caption) }
                thead { tr { @for head in &table.head { th scope="col" { (head) } } } }
                tbody {
                    @for row in &table.rows {
                        tr {
                            @for (column, cell) in row.iter().enumerate() {
                                @if column == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Names, each with room for the pen.
fn lines(names: &[String]) -> Markup {
    html! {
        div class="notes" {
            dl {
                @for name in names {
                    div { dt { (name) } dd { span class="unseen" { "to be filled in by hand" } } }
                }
            }
        }
    }
}

fn list(steps: &[Step], first: usize) -> Markup {
    html! {
        @if !steps.is_empty() {
            ol class="steps" start=(first) { @for one in steps { (step(one)) } }
        }
    }
}

fn step(step: &Step) -> Markup {
    html! {
        li class=[step.irreversible.then_some("final")] {
            label {
                (BOX)
                span {
                    @if step.irreversible { strong class="word" { "Cannot be undone" } " " }
                    (step.text)
                }
            }
            @if !step.switches.is_empty() { (switches(&step.switches)) }
            @if !step.ticks.is_empty() { (ticks(&step.ticks)) }
            @for text in &step.otherwise { p class="otherwise" { (text) } }
        }
    }
}

/// Switches in a row as they are to stand; what is drawn stands in words beside it.
fn switches(switches: &[Switch]) -> Markup {
    html! {
        ul class="switches" aria-label="Switches" {
            @for switch in switches {
                li class=[switch.is_on.then_some("on")] {
                    b { (switch.weight) } " " span { @if switch.is_on { "on" } @else { "off" } }
                }
            }
        }
    }
}

/// A row of boxes for counting: the presses made so far, and what the display shows then.
fn ticks(ticks: &[Tick]) -> Markup {
    html! {
        ul class="count" aria-label="Count boxes" {
            @for tick in ticks {
                li {
                    label {
                        (BOX)
                        span { b { (tick.presses) } " " small { "shows " (tick.shows) } }
                    }
                }
            }
        }
    }
}

/// What happened, along a line.
fn timeline(moments: &[Moment]) -> Markup {
    html! {
        @if !moments.is_empty() {
            ol class="moments" {
                @for moment in moments {
                    li class=[moment.stands_out.then_some("main")] {
                        span class="day" { (moment.day) } " " b { (moment.what) } " " span { (moment.says) }
                    }
                }
            }
        }
    }
}

/// The picture, and beside it the same in words.
pub fn figure(chart: &Chart) -> Markup {
    html! {
        figure {
            (chart::svg(chart))
            figcaption {
                strong { (chart.title) }
                " "
                span aria-hidden="true" { (chart.description) }
            }
        }
    }
}
