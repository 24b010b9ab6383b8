//! Parts that the pages of the last four stages share: what stands first, pictures, tables, origins.

use crate::chart;
use crate::paper::{block, table};
use maud::{Markup, html};
use truing::problem::Problem;
use truing::report::answers::faults::OpenFault;
use truing::report::answers::first::First;
use truing::report::document::{Block, Chart, Document, Table, TableId};
use truing::report::explanation::origin::Origin;
use truing::report::words::cautions;

/// A sentence up to here can stand in the largest letters on a phone.
const SHORT: usize = 40;

/// What a page comes to, before anything else: a word for its kind, the sentence, and a mark that is not colour alone.
pub fn headline(mark: &str, kind: &str, sentence: &str) -> Markup {
    let long = if sentence.len() > SHORT { " long" } else { "" };
    html! {
        section class={ "headline " (mark) (long) } aria-label=(kind) {
            p class="kind" { (kind) }
            p class="says" { (sentence) }
        }
    }
}

/// What an answer comes to, before anything else: its kind, the few words as large as there is room for, and one figure.
pub fn first(mark: &str, kind: &str, first: &First) -> Markup {
    let long = if first.says.len() > SHORT { " long" } else { "" };
    html! {
        section class={ "headline " (mark) (long) } aria-label=(kind) {
            p class="kind" { (kind) }
            p class="says" { (first.says) }
            @if let Some(figure) = &first.figure { p class="with" { (figure) } }
        }
    }
}

/// The first view of a page: the answer with the way on, and the one picture that belongs to it beside or under it.
pub fn first_view(answer: &Markup, picture: Option<&Markup>) -> Markup {
    html! {
        div class="view" {
            div class="beside-seen" { (answer) }
            @if let Some(picture) = picture { div class="seen" { (picture) } }
        }
    }
}

/// The same of a whole document of the report: its first sentence is the figure, its sentences and cautions stay in sight, its
/// first picture is seen; the rest opens in place.
pub fn first_of(kind: &str, words: &First, document: &Document) -> Markup {
    let of = |wanted: fn(&Block) -> bool| document.blocks.iter().filter(move |block| wanted(block));
    let mut said = of(|block| matches!(block, Block::Sentence(_) | Block::Caution(_)));
    let error = match said.next() {
        Some(Block::Sentence(text)) => Some(text.clone()),
        _ => None,
    };
    let answer = html! {
        (first("go", kind, &First { says: words.says.clone(), figure: error }))
        @for block in said { (block::one(block, 1)) }
    };
    let whole = |blocks: Vec<&Block>| html! { @for block in blocks { (block::all_with(std::slice::from_ref(block), figure)) } };
    let mut pictures: Vec<&Block> = of(|block| matches!(block, Block::Chart(_))).collect();
    let seen = (!pictures.is_empty()).then(|| whole(vec![pictures.remove(0)]));
    let tables: Vec<&Block> = of(|block| matches!(block, Block::Table(_))).collect();
    html! {
        (first_view(&answer, seen.as_ref()))
        @if !tables.is_empty() { (opens("In numbers", &whole(tables))) }
        @if !pictures.is_empty() { (opens("More pictures", &whole(pictures))) }
    }
}

/// A caution, where the hazard is.
pub fn caution(text: &str) -> Markup {
    block::one(&Block::Caution(text.to_string()), 1)
}

/// Every open fault and what it holds back.
pub fn held_back(faults: &[OpenFault]) -> Markup {
    html! { @if let Some(text) = cautions::of_faults(faults) { (caution(&text)) } }
}

/// Sentences, each a paragraph.
pub fn sentences(sentences: &[String]) -> Markup {
    html! { @for sentence in sentences { p { (sentence) } } }
}

/// A picture with its words, laid out twice: for a phone and for a wide window, so that its letters are as large on either.
/// The style sheet shows one of them.
pub fn figure(chart: &Chart) -> Markup {
    html! {
        figure {
            div class="narrow" { (chart::svg_of(chart, chart::NARROW)) }
            div class="broad" { (chart::svg_of(chart, chart::BROAD)) }
            figcaption { strong { (chart.title) } " " span aria-hidden="true" { (chart.description) } }
        }
    }
}

/// A table of the report.
pub fn table(table: &Table) -> Markup {
    table::markup(table)
}

/// These of the tables of a document, in its order.
pub fn tables(document: &Document, ids: &[TableId]) -> Markup {
    html! { @for one in document.tables(ids) { (table(one)) } }
}

/// Something longer that opens on demand, and works without scripts.
pub fn opens(summary: &str, inside: &Markup) -> Markup {
    opens_at(summary, false, inside)
}

/// The same, open from the start where something in it is to stay in sight.
pub fn opens_at(summary: &str, is_open: bool, inside: &Markup) -> Markup {
    html! { details open[is_open] { summary { span { (summary) } } div class="opened" { (inside) } } }
}

/// A line to type into, with what was said before, an example and a hint where there are.
pub fn line(name: &str, label: &str, said: &str, example: &str, hint: &str) -> Markup {
    html! {
        label for=(name) { (label) }
        input id=(name) type="text" name=(name) value=[is(said)] placeholder=[is(example)]
            aria-describedby=[is(hint).map(|_| format!("{name}-hint"))] autocomplete="off";
        @if !hint.is_empty() { p class="hint" id={ (name) "-hint" } { (hint) } }
    }
}

fn is(text: &str) -> Option<&str> {
    Some(text).filter(|text| !text.is_empty())
}

/// Every number with the way it came about.
pub fn origins(origins: &[Origin]) -> Markup {
    if origins.is_empty() {
        return html! {};
    }
    html! {
        section class="origins" {
            h2 { "Where the numbers come from" }
            (opening(origins))
        }
    }
}

/// Each number, to be opened.
pub fn opening(origins: &[Origin]) -> Markup {
    html! {
        @for origin in origins {
            details {
                summary { span { (origin.number) ": " strong { (origin.value) } } }
                div class="opened" {
                    (sentences(&origin.how))
                    @if let Some(one) = &origin.rests_on { (table(one)) }
                }
            }
        }
    }
}

/// What is to be looked at in the inputs.
pub fn problems(problems: &[Problem]) -> Markup {
    html! {
        @if !problems.is_empty() {
            section aria-label="To look at" { h2 { "To look at" } (super::error::problems(problems)) }
        }
    }
}
