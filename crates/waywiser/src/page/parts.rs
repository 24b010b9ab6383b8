//! Changing a part of a vehicle file: one section, or one piece of a section that repeats.

use super::addresses::{Stage, truck as under};
use super::app::{Answer, App, Shared, work};
use super::error::PageError;
use super::fields::{self, Keys};
use super::form::{Posted, VERSION, form, version};
use super::frame::html as answer;
use super::frame::{Head, caution};
use crate::garage::{Refused, Slug, Truck, Units};
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use axum::routing::{get, post};
use maud::{Markup, html};
use std::collections::BTreeMap;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, TableLike, value};
use truing::describe::{Repeat, Section, Variant};
use truing::problem::{Problem, Problems};
use truing::report::words::cautions;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/part/{section}/{index}", post(save))
        .route("/trucks/{slug}/part/{section}/{index}/remove", post(remove))
        .route("/trucks/{slug}/text", post(save_text))
        .route("/trucks/{slug}/new/{section}/{kind}", get(new_part))
}

/// The field that names the keys a form asked for; others are left alone.
const KEYS: &str = "keys";

/// A part of a vehicle file: its section, and which of several.
pub struct Part {
    /// The section.
    pub section: &'static Section,
    /// Which one, from 0; one past the last adds one.
    pub index: usize,
}

impl Part {
    /// A part by the name of its section.
    pub fn new(section: &str, index: usize) -> Result<Self, PageError> {
        let section = fields::section(section).ok_or_else(no_such_part)?;
        Ok(Self { section, index })
    }

    /// Where its form is sent.
    pub fn address(&self, truck: &Truck) -> String {
        under(&truck.slug, &format!("part/{}/{}", self.section.name, self.index))
    }

    /// The page that shows it.
    fn page(&self, slug: &Slug) -> String {
        let stage = if self.section.name == "evidence" { Stage::Measure } else { Stage::Describe };
        format!("{}#{}-{}", stage.of(slug), self.section.name, self.index)
    }
}

fn no_such_part() -> PageError {
    PageError::new(
        StatusCode::NOT_FOUND,
        "There is no such part",
        "The file may have been changed meanwhile.",
    )
}

/// What a form changes: a part, of a kind where its section has kinds, all of its keys or some.
pub struct Ask<'a> {
    /// The part.
    pub part: &'a Part,
    /// Its kind.
    pub kind: Option<&'static Variant>,
    /// The names of the keys that are asked for; all where there are none.
    pub only: &'a [&'a str],
    /// What is filled in beforehand in a new part.
    pub filled: Option<&'a Table>,
}

impl<'a> Ask<'a> {
    /// All keys of a part.
    pub fn all(part: &'a Part, kind: Option<&'static Variant>) -> Self {
        Self { part, kind, only: &[], filled: None }
    }

    fn keys(&self) -> Keys {
        let mut keys = fields::keys(self.part.section, self.kind);
        if !self.only.is_empty() {
            keys.retain(|key| self.only.contains(&key.name()));
        }
        keys
    }
}

/// The form for a part as it stands in the file, or for a new one.
pub fn part_form(app: &App, truck: &Truck, ask: &Ask, units: Units) -> Markup {
    let (part, kind) = (ask.part, ask.kind);
    let document: Option<DocumentMut> = truck.text.parse().ok();
    let there = document.as_ref().and_then(|document| table(document, part));
    let now = there.or(ask.filled.map(|filled| filled as &dyn TableLike));
    let prefix = [part.section.name, &part.index.to_string(), ask.only.first().unwrap_or(&"all")].join("-");
    let keys = ask.keys();
    let names: Vec<&str> = keys.iter().map(|key| key.name()).collect();
    form(
        app,
        &part.address(truck),
        &html! {
            (version(&truck.hash))
            input type="hidden" name=(KEYS) value=(names.join(" "));
            @if let Some(kind) = kind { input type="hidden" name="kind" value=(kind.word); }
            (fields::inputs(&prefix, &keys, kind, now, units))
        @if part.section.name == "evidence" { (files(app, truck, &prefix)) }
            button { @if there.is_some() { "Keep the change" } @else { "Add" } }
        },
    )
}

/// The files of a truck as suggestions for the fields that name one.
fn files(app: &App, truck: &Truck, prefix: &str) -> Markup {
    html! {
        datalist id={ (prefix) "-files" } {
            @for name in app.garage.file_names(&truck.slug) { option value=(name) {} }
        }
    }
}

/// The button that takes a part out of the file.
pub fn remove_form(app: &App, truck: &Truck, part: &Part) -> Markup {
    form(
        app,
        &format!("{}/remove", part.address(truck)),
        &html! {
            (version(&truck.hash))
            button class="plain" { "Take it out" }
        },
    )
}

/// The table of a part, where there is one.
pub fn table<'d>(document: &'d DocumentMut, part: &Part) -> Option<&'d dyn TableLike> {
    match document.get(part.section.name)? {
        Item::ArrayOfTables(all) => all.get(part.index).map(|table| table as &dyn TableLike),
        item if part.index == 0 => item.as_table_like(),
        _ => None,
    }
}

/// The table of a part, made where it is the next one.
fn table_mut<'d>(document: &'d mut DocumentMut, part: &Part) -> Option<&'d mut dyn TableLike> {
    let name = part.section.name;
    if document.get(name).is_none() {
        let new = match part.section.repeat {
            Repeat::Several => Item::ArrayOfTables(ArrayOfTables::new()),
            _ => Item::Table(Table::new()),
        };
        document.insert(name, new);
    }
    // A second one beside a single `[tire]` makes a list of both.
    let is_second = part.index == 1 && part.section.repeat == Repeat::OnceOrSeveral;
    if let Some(Item::Table(only)) = document.get(name).filter(|_| is_second) {
        let list: ArrayOfTables = std::iter::once(only.clone()).collect();
        document.insert(name, Item::ArrayOfTables(list));
    }
    match document.get_mut(name)? {
        Item::ArrayOfTables(all) => {
            if part.index == all.len() {
                let mut new = Table::new();
                new.decor_mut().set_prefix("\n");
                all.push(new);
            }
            all.get_mut(part.index).map(|table| table as &mut dyn TableLike)
        }
        item if part.index == 0 => item.as_table_like_mut(),
        _ => None,
    }
}

fn not_there(part: &Part) -> Problems {
    let place = format!("[{}] number {}", part.section.name, part.index + 1);
    Problems::from(Problem::error("the vehicle file", place, "no such part").hint("Load the page again."))
}

/// Where one more of a section is added.
pub fn new_address(truck: &Truck, section: &str, kind: &str) -> String {
    under(&truck.slug, &format!("new/{section}/{kind}"))
}

/// The form for one more piece of a section.
async fn new_part(
    State(app): State<Shared>,
    Path((slug, section, word)): Path<(String, String, String)>,
    Query(given): Query<BTreeMap<String, String>>,
) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let section = fields::section(&section).ok_or_else(no_such_part)?;
        let kind = fields::variant(section, &word);
        if kind.is_none() && !section.variants.is_empty() {
            return Err(no_such_part());
        }
        let document: DocumentMut = truck.text.parse().unwrap_or_default();
        let part = Part { section, index: count(&document, section) };
        let filled: Table = given.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
        let about = fields::capitalised(kind.map_or(section.about, |kind| kind.about).trim_end_matches('.'));
        let faults = truck.vehicle.as_ref().map_or(&[][..], |vehicle| &vehicle.faults);
        let stage = if section.name == "evidence" { Stage::Measure } else { Stage::Describe };
        let body = html! {
            @for text in cautions::before(kind.map_or(section.name, |kind| kind.word), faults) { (caution(&text)) }
            (part_form(app, &truck, &Ask { filled: Some(&filled), ..Ask::all(&part, kind) }, app.garage.settings().units))
            p { a href=(stage.of(&truck.slug)) { "Back without adding" } }
        };
        Ok(answer(Head::of(&truck, stage).titled(&about).frame(&body)))
    })
    .await
}

/// How many of a section there are.
pub fn count(document: &DocumentMut, section: &Section) -> usize {
    match document.get(section.name) {
        None => 0,
        Some(Item::ArrayOfTables(all)) => all.len(),
        Some(_) => 1,
    }
}

async fn save(
    State(app): State<Shared>,
    Path((slug, section, index)): Path<(String, String, usize)>,
    posted: Posted,
) -> Answer {
    work(&app, move |app| {
        let part = Part::new(&section, index)?;
        let truck = app.truck(&slug)?;
        let kind = fields::variant(part.section, posted.text("kind"));
        if !part.section.variants.is_empty() && kind.is_none() {
            return Err(PageError::unusable(Problem::error(
                "kind",
                "one that is known",
                posted.text("kind"),
            )));
        }
        let units = app.garage.settings().units;
        let asked: Vec<&str> = posted.text(KEYS).split_whitespace().collect();
        let mut keys = fields::keys(part.section, kind);
        keys.retain(|key| asked.contains(&key.name()));
        let change = |document: &mut DocumentMut| write(document, &part, kind, &keys, &posted, units);
        edited(app, &truck, &part, &part.address(&truck), &posted, change)
    })
    .await
}

/// Changes a part as a form asked at `action`, and leads to where it is shown.
fn edited(
    app: &App,
    truck: &Truck,
    part: &Part,
    action: &str,
    posted: &Posted,
    change: impl FnOnce(&mut DocumentMut) -> Result<(), Problems>,
) -> Answer {
    let edited = app.garage.edit(&truck.slug, posted.version()?, change);
    edited.map_err(|refused| refused_page(app, refused, action, posted))?;
    Ok(Redirect::to(&part.page(&truck.slug)).into_response())
}

fn write(
    document: &mut DocumentMut,
    part: &Part,
    kind: Option<&'static Variant>,
    keys: &Keys,
    posted: &Posted,
    units: Units,
) -> Result<(), Problems> {
    let table = table_mut(document, part).ok_or_else(|| not_there(part))?;
    if let Some(kind) = kind {
        match table.get("kind") {
            None => drop(table.insert("kind", value(kind.word))),
            Some(now) if fields::text_of(now) != kind.word => return Err(not_there(part)),
            Some(_) => {}
        }
    }
    fields::put(table, keys, posted, units);
    Ok(())
}

async fn remove(
    State(app): State<Shared>,
    Path((slug, section, index)): Path<(String, String, usize)>,
    posted: Posted,
) -> Answer {
    work(&app, move |app| {
        let part = Part::new(&section, index)?;
        let truck = app.truck(&slug)?;
        let change = |document: &mut DocumentMut| take_out(document, &part);
        edited(app, &truck, &part, &format!("{}/remove", part.address(&truck)), &posted, change)
    })
    .await
}

fn take_out(document: &mut DocumentMut, part: &Part) -> Result<(), Problems> {
    let name = part.section.name;
    let last_of_all = match document.get_mut(name) {
        Some(Item::ArrayOfTables(all)) if part.index < all.len() => {
            all.remove(part.index);
            all.is_empty()
        }
        Some(Item::Table(_)) if part.index == 0 => true,
        _ => return Err(not_there(part)),
    };
    if last_of_all {
        document.remove(name);
    }
    Ok(())
}

async fn save_text(State(app): State<Shared>, Path(slug): Path<String>, posted: Posted) -> Answer {
    work(&app, move |app| {
        let truck = app.truck(&slug)?;
        let text = posted.whole("text").replace("\r\n", "\n");
        let edited = app.garage.rewrite(&truck.slug, posted.version()?, |_| Ok(text));
        edited.map_err(|refused| refused_page(app, refused, &under(&truck.slug, "text"), &posted))?;
        Ok(Redirect::to(&Stage::Describe.of(&truck.slug)).into_response())
    })
    .await
}

/// The page for an edit that was not made. For a version that is no longer there it shows the file as it is now and with
/// the change, and offers to make the change on it: nothing that was typed is lost.
pub fn refused_page(app: &App, refused: Refused, action: &str, posted: &Posted) -> PageError {
    let (now, wanted) = match refused {
        Refused::Problems(problems) => return PageError::unusable(problems),
        Refused::Stale { now, wanted } => (now, wanted),
    };
    let says = "Somebody changed this truck's file since this form was loaded, perhaps in another tab. Nothing was overwritten.";
    let body = html! {
        @if let Some(wanted) = &wanted { (beside(&now.text, wanted)) }
        (form(app, action, &html! {
            input type="hidden" name=(VERSION) value=(now.hash);
            @for (name, text) in posted.fields() { input type="hidden" name=(name) value=(text); }
            button { "Make my change on the file as it is now" }
        }))
    };
    PageError::new(StatusCode::CONFLICT, "The file has changed meanwhile", says)
        .or("Leave it as it is now", &Stage::Describe.of(&now.slug))
        .with(body)
}

/// Two texts, line by line; what only one of them has is marked.
fn beside(now: &str, wanted: &str) -> Markup {
    let lines = |text: &'_ str, other: &'_ str| -> Vec<(bool, String)> {
        let known: Vec<&str> = other.lines().collect();
        text.lines().map(|line| (!known.contains(&line), line.to_string())).collect()
    };
    let side = |title: &str, lines: Vec<(bool, String)>| {
        html! {
            section {
                h2 { (title) }
                pre tabindex="0" {
                    @for (differs, line) in &lines {
                        @if *differs { mark { "\u{2192} " (line) } "\n" } @else { "  " (line) "\n" }
                    }
                }
            }
        }
    };
    html! {
        div class="beside" {
            (side("As it is now", lines(now, wanted)))
            (side("With your change", lines(wanted, now)))
        }
    }
}
