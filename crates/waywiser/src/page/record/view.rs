//! Record: what was done when, how far the truck truly went, what is due, and whether the record is whole.

use super::checking;
use crate::page::addresses::WHOLE_RECORD;
use crate::page::answers::PapersAsked;
use crate::page::named::label;
use crate::page::{blocks, fields};
use crate::paper::block;
use maud::{Markup, html};
use truing::problem::Field;
use truing::record::Difference;
use truing::report::answers::mileage::DistanceReport;
use truing::report::answers::record::CheckReport;
use truing::report::charts::timeline::Event;
use truing::report::document::{Block, Document, TableId};
use truing::report::explanation::origin::Origin;
use truing::report::papers::history::HistoryReport;
use truing::report::papers::odometer::PapersReport;
use truing::units::Units;

/// What the page is made of.
pub struct RecordView<'a> {
    /// How the truck stands, in the sentence that every page shows.
    pub stands: &'a str,
    /// What was done.
    pub history: &'a HistoryReport,
    /// The same as a line an entry.
    pub timeline: &'a [Event],
    /// True distance, first reading to last.
    pub distance: &'a DistanceReport,
    /// Where that comes from.
    pub origin: &'a [Origin],
    /// From where to where it is told, as it was typed.
    pub way: [&'a str; 2],
    /// Where the record's last write and the vehicle file do not say the same.
    pub differences: &'a [Difference],
    /// Where each figure of what is due comes from.
    pub due: &'a [Origin],
    /// Where each fuel figure comes from.
    pub fuel: &'a [Origin],
    /// The hash of the last entry of the whole record.
    pub head: Option<&'a str>,
    /// The check of the whole chain, where it was asked for.
    pub check: Option<&'a CheckReport>,
    /// Facts for papers.
    pub papers: &'a PapersReport,
    /// What they were asked for with.
    pub asked: &'a PapersAsked,
    /// Address of the truck's pages.
    pub truck: &'a str,
    /// What an action came to, where one led here.
    pub said: Option<&'a str>,
    /// What every form that changes something carries.
    pub proof_of_origin: &'a Markup,
    /// The name under which the record keeps the truck, where that is another one.
    pub recorded_as: Option<&'a str>,
    /// The units that the owner thinks in.
    pub units: Units,
    /// What can be had on paper.
    pub on_paper: &'a Markup,
}

/// The page without its frame.
pub fn view(shown: &RecordView) -> Markup {
    let state = &shown.history.state;
    html! {
        @if let Some(said) = shown.said { (told(shown, said)) }
        (differing(shown))
        (blocks::headline("go", "State", &fields::capitalised(shown.stands)))
        (faults(shown))
        (distance(shown))
        @if !state.due.is_empty() { (due(shown)) }
        (fuel(shown))
        (timeline(shown))
        (add(shown))
        (take(shown))
        (checking::section(&format!("{}/record", shown.truck), shown.head, shown.check))
        (papers(shown))
        (shown.on_paper)
        (files(shown))
        (blocks::problems(&shown.history.problems))
    }
}

/// Where record and file differ, with both ways to repair it.
fn differing(shown: &RecordView) -> Markup {
    let side = |right: &str, says: &str| {
        html! {
            form method="post" action={ (shown.truck) "/record/repair" } class="ways" {
                (shown.proof_of_origin)
                input type="hidden" name="right" value=(right);
                button class="plain" { (says) }
            }
        }
    };
    html! {
        @if !shown.differences.is_empty() {
            section id="difference" {
                h2 { "Record and vehicle file differ" }
                (blocks::problems(&shown.differences.iter().map(Difference::problem).collect::<Vec<_>>()))
                (side("record", "The record is right: let the vehicle file follow"))
                (side("file", "The vehicle file is right: say so in the record"))
            }
        }
    }
}

/// What an action came to, and the way on from it.
fn told(shown: &RecordView, said: &str) -> Markup {
    let state = &shown.history.state;
    html! {
        p class="told" role="status" { (said) }
        @if state.setting.is_some() && state.proved.is_none() {
            div class="ways" { a class="button" href={ (shown.truck) "/prove" } { "Prove it on the road" } }
        }
    }
}

fn faults(shown: &RecordView) -> Markup {
    html! {
        @for (entry, touches, note) in &shown.history.state.open_faults {
            (blocks::caution(&format!("Open fault, entry {entry}: {touches}. {note}")))
            form method="post" action={ (shown.truck) "/record" } class="ways" {
                (shown.proof_of_origin)
                input type="hidden" name="kind" value="fault-mended";
                input type="hidden" name="value" value=(entry);
                button class="plain" { "Mended: close the fault of entry " (entry) }
            }
        }
    }
}

fn distance(shown: &RecordView) -> Markup {
    let distance = shown.distance;
    html! {
        section {
            h2 { "True distance" }
            @match distance.readings {
                0 => p { "No reading of the odometer so far. Two readings, and an estimate between them, tell how far it truly went." },
                1 => p { "One reading of the odometer so far. The next one tells how far it truly went since." },
                _ => (words(&distance.document())),
            }
            (blocks::opening(shown.origin))
            @if distance.readings > 1 { (blocks::opens("Between two days or readings", &way(shown))) }
        }
    }
}

fn way(shown: &RecordView) -> Markup {
    let [from, to] = shown.way;
    let reading = shown.units.by_road("128406.3 mi", "206650 km");
    html! {
        form method="get" action={ (shown.truck) "/record" } class="asks" {
            label for="from" { (label(Field::From)) }
            input id="from" type="text" name="from" value=(from) placeholder="2026-05-02" autocomplete="off";
            label for="to" { (label(Field::To)) }
            input id="to" type="text" name="to" value=(to) placeholder=(reading) autocomplete="off";
            p class="hint" { "A day or a reading with its unit. Left blank: the first, the last." }
            button class="plain" { "Tell the true distance" }
        }
    }
}

fn due(shown: &RecordView) -> Markup {
    html! {
        section {
            h2 { "Due by true distance" }
            ul { @for one in &shown.history.state.due { li { (one.says) } } }
            (blocks::opening(shown.due))
        }
    }
}

fn fuel(shown: &RecordView) -> Markup {
    html! {
        @if !shown.history.fuel.is_empty() {
            section {
                h2 { "Fuel" }
                (blocks::tables(&shown.history.document(), &[TableId::Fuel]))
                (blocks::opening(shown.fuel))
            }
        }
    }
}

/// The sentences and tables of an answer, without its title.
fn words(document: &Document) -> Markup {
    html! {
        @for block in &document.blocks {
            @match block {
                Block::Heading(text) => h3 { (text) },
                Block::Table(table) => (blocks::table(table)),
                Block::Chart(chart) => (blocks::figure(chart)),
                // What only papers have.
                Block::Steps(_) | Block::Timeline(_) => {},
                other => (block::one(other, 1)),
            }
        }
    }
}

/// The newest first.
fn timeline(shown: &RecordView) -> Markup {
    html! {
        section {
            h2 { "Timeline" }
            @if let Some(name) = shown.recorded_as { p class="hint" { "The record keeps this truck under the name it was begun with: " (name) "." } }
            @if shown.timeline.is_empty() { p { "Nothing is recorded yet." } }
            ol class="timeline" reversed { @for event in shown.timeline.iter().rev() { (line(event)) } }
        }
    }
}

/// What was done, when, at which reading and by whom; everything else opens from it.
fn line(event: &Event) -> Markup {
    html! {
        li id={ "entry-" (event.number) } {
            p class="gist" { (event.says) }
            p class="when" {
                span class="word" { (event.kind) } " " time datetime=(event.day) { (event.day) }
                @if let Some(odometer) = &event.odometer { " \u{b7} at " (odometer) }
                @if let Some(who) = &event.who { " \u{b7} by " (who) }
            }
            @if let Some(by) = event.corrected_by {
                p class="when" { "Corrected by " a href={ "#entry-" (by) } { "entry " (by) } "." }
            }
            details class="quiet" {
                summary { "Entry " (event.number) span class="unseen" { ": everything noted" } }
                div class="opened" { (noted(event)) }
            }
        }
    }
}

fn noted(event: &Event) -> Markup {
    html! {
        dl class="noted" {
            @for (name, value) in &event.details { div { dt { (fields::capitalised(name)) } dd { (value) } } }
            div { dt { "Recorded" } dd { (event.time) } }
            div { dt { "Hash begins" } dd { code { (event.hash) } } }
        }
    }
}

/// Kinds that are added by hand, each with what its two fields mean.
const KINDS: [(&str, &str); 8] = [
    ("odometer", "Reading of the odometer"),
    ("note", "Note"),
    ("service", "Service (what; value: due again after, such as 5000 mi or 8000 km)"),
    ("fuel", "Fuel to the brim (value: how much, such as 14.2 gal or 54 l)"),
    ("equipment", "Part fitted (what; value: the new one)"),
    ("fault-opened", "Fault found (what; value: brakes, steering, tires ...)"),
    ("roll-over", "Odometer rolled over (value: its limit)"),
    ("correction", "Correction (value: number of the entry)"),
];

/// Kinds that other pages add by themselves, for what happened without them.
const SELDOM: [(&str, &str); 7] = [
    ("write", "Value stored in the module (value: the new one)"),
    ("estimate", "Estimate (value: indicated over true, such as 0.970 +/- 0.003)"),
    ("evidence", "Measurement (what was measured; value)"),
    ("choice", "Decision (what: write, leave or measure-first; value)"),
    ("proof", "Proof on the road (what: the rule; value: the verdict)"),
    ("fault-mended", "Fault mended (value: number of the entry that opened it)"),
    ("vehicle", "Vehicle begun (what; value: what is stored now)"),
];

fn add(shown: &RecordView) -> Markup {
    let kinds =
        |kinds: &[(&str, &str)]| html! { @for (kind, says) in kinds { option value=(kind) { (says) } } };
    let reading = shown.units.by_road("128406.3 mi", "206650 km");
    html! {
        section class="adding" {
            h2 { "Add an entry" }
            form method="post" enctype="multipart/form-data" action={ (shown.truck) "/record/add" } class="asks" {
                (shown.proof_of_origin)
                label for="kind" { "Kind" }
                select id="kind" name="kind" {
                    (kinds(&KINDS))
                    optgroup label="What other pages add by themselves" { (kinds(&SELDOM)) }
                }
                (blocks::line("odometer", label(Field::Odometer), "", reading, ""))
                (blocks::line("text", label(Field::EntryText), "", "", ""))
                (blocks::line("value", label(Field::EntryValue), "", "", ""))
                (blocks::line("done_on", label(Field::DoneOn), "", "2026-05-02", ""))
                (blocks::line("sure", label(Field::Sure), "", "", "Asked for where a reading or a value is odd; the reason goes into the record."))
                (blocks::opens("A file it rests on, and other fields", &html! {
                    label for="source" { "A receipt, a photo, a log" }
                    input id="source" name="source" type="file" aria-describedby="source-hint";
                    p class="hint" id="source-hint" { "Its name goes into the record, with a hash that shows later whether a file is this very one. Nothing of what stands in it is kept here: keep the file yourself." }
                    label for="fields" { (label(Field::EntryField)) }
                    textarea id="fields" name="fields" rows="3" spellcheck="false" placeholder="by=second look" {}
                    (blocks::line("odometer_before", label(Field::OdometerBefore), "", reading, ""))
                    (blocks::line("from_reason", "Why a write begins from another value than the stored one", "", "", ""))
                    (blocks::line("entered_late", "Why its time is before that of the entry before", "", "", ""))
                }))
                button { "Add it to the record" }
            }
            p class="hint" { "An entry is never changed or taken out. A mistake is mended by a correction that names its number." }
        }
    }
}

fn papers(shown: &RecordView) -> Markup {
    let form = html! {
        form method="get" action={ (shown.truck) "/record" } class="asks" {
            label for="model_year" { "Model year" }
            input id="model_year" name="model_year" type="number" min="1900" max="2100" inputmode="numeric" value=[shown.asked.model_year];
            label for="transfer" { "Day of the transfer; today where it is left blank" }
            input id="transfer" name="transfer" type="text" placeholder="2026-11-25" value=[shown.asked.transfer.as_deref()] autocomplete="off";
            label for="gvwr_lb" { "Gross vehicle weight rating, pounds" }
            input id="gvwr_lb" name="gvwr_lb" type="number" min="0" inputmode="numeric" value=[shown.asked.gvwr_lb];
            button class="plain" { "Show what is asked of it" }
        }
    };
    html! {
        section class="adding" {
            h2 { "Facts" }
            (blocks::opens("Facts for a sale and for the door frame", &html! { (words(&shown.papers.document())) (form) }))
        }
    }
}

fn files(shown: &RecordView) -> Markup {
    html! {
        section class="adding" {
            h2 { "To keep elsewhere" }
            ul class="ways" {
                li { a class="button plain" href={ (shown.truck) "/papers/job-sheet" } { "Job sheet, to print" } }
                li { a class="button plain" href="/record.jsonl" download="record.jsonl" { "Whole record as JSON Lines" } }
                li { a class="button plain" href="/record.csv" download="record.csv" { "Whole record as a table (CSV)" } }
            }
            p { a href=(WHOLE_RECORD) { "The whole record" } ": all vehicles, backups, taking in a record from elsewhere." }
        }
    }
}

/// Takes in what the vehicle file says by now, where nothing else did.
fn take(shown: &RecordView) -> Markup {
    html! {
        form method="post" action={ (shown.truck) "/record/take" } class="ways" {
            (shown.proof_of_origin)
            button class="plain" { "Take the vehicle file into the record as it is now" }
        }
    }
}
