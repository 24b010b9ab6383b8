//! Changing a part of a vehicle file: one section, or one piece of a section that repeats.

use super::addresses::{Stage, truck as under};
use super::app::{Answer, App, Shared, work};
use super::error::PageError;
use super::fields::{self, Filled, Keys, Wrong};
use super::form::{Posted, form, version};
use super::frame::caution;
use super::frame::html as answer;
use super::refused::refused_page;
pub use super::tables::count;
use super::{guides, measured_before, path, preview, tables};
use crate::garage::{Refused, Slug, Truck, Units};
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use axum::routing::{get, post};
use maud::{Markup, html};
use toml_edit::{DocumentMut, Table, TableLike, value};
use truing::describe::{Section, Variant};
use truing::problem::{Problem, Problems};
use truing::report::words::cautions;

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route("/trucks/{slug}/part/{section}/{index}", get(show).post(save))
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

    /// The stage that shows it.
    fn stage(&self) -> Stage {
        if self.section.name == "evidence" { Stage::Measure } else { Stage::Describe }
    }

    /// The page that shows it, from its top: the way on stands there.
    fn page(&self, slug: &Slug) -> String {
        self.stage().of(slug)
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

    /// Whether it asks for a part that is not there yet.
    fn is_new(&self, truck: &Truck) -> bool {
        let document: Option<DocumentMut> = truck.text.parse().ok();
        document.is_none_or(|document| table(&document, self.part).is_none())
    }

    fn keys(&self) -> Keys {
        let mut keys = fields::keys(self.part.section, self.kind);
        if !self.only.is_empty() {
            keys.retain(|key| self.only.contains(&key.name()));
        }
        keys
    }
}

/// A form that comes back: what was typed, and what is wrong with it.
type Back<'a> = (&'a Posted, &'a [Wrong]);

/// The form for a part as it stands in the file, or for a new one.
pub fn part_form(app: &App, truck: &Truck, ask: &Ask, units: Units) -> Markup {
    filled_form(app, truck, ask, units, None)
}

fn filled_form(app: &App, truck: &Truck, ask: &Ask, units: Units, back: Option<Back>) -> Markup {
    let part = ask.part;
    let document: Option<DocumentMut> = truck.text.parse().ok();
    let there = document.as_ref().and_then(|document| table(document, part));
    let prefix = [part.section.name, &part.index.to_string(), ask.only.first().unwrap_or(&"all")].join("-");
    let keys = ask.keys();
    let names: Vec<&str> = keys.iter().map(|key| key.name()).collect();
    let filled = Filled {
        prefix: &prefix,
        section: part.section,
        kind: ask.kind,
        now: there.or(ask.filled.map(|filled| filled as &dyn TableLike)),
        typed: back.map(|(posted, _)| posted),
        wrong: back.map_or(&[], |(_, wrong)| wrong),
        units,
        files: &app.garage.file_names(&truck.slug),
        tires: &sets_of(truck),
    };
    let made = fields::made(part.section.name, ask.kind.map(|kind| kind.word));
    let preview =
        made.and_then(|made| made.preview).filter(|(_, asked)| asked.iter().all(|key| names.contains(key)));
    form(
        app,
        &part.address(truck),
        &html! {
            (version(&truck.hash))
            input type="hidden" name=(KEYS) value=(names.join(" "));
            @if let Some(kind) = ask.kind { input type="hidden" name="kind" value=(kind.word); }
            (fields::to_correct(&filled, &keys))
            (fields::inputs(&filled, &keys))
            (measured_before::question(&measured_before::places(truck, (part.section, part.index)), back.map(|(posted, _)| posted)))
            @if let Some((preview, asked)) = preview {
                output class="preview" data-preview=(preview::address(preview, Some(truck))) data-fields=(asked.join(" ")) {}
            }
            button { @if there.is_some() { "Keep the change" } @else { "Add" } }
        },
    )
}

/// What the sets of tires are called.
fn sets_of(truck: &Truck) -> Vec<String> {
    let sets = truck.vehicle.as_ref().map_or(&[][..], |vehicle| vehicle.tires.as_slice());
    sets.iter().filter_map(|set| set.name.clone()).collect()
}

/// The page for a part by itself: a new one, or one whose form comes back.
fn part_page(app: &App, truck: &Truck, ask: &Ask, back: Option<Back>) -> Markup {
    let (section, word) = (ask.part.section, ask.kind.map(|kind| kind.word));
    let title = word.map_or_else(|| fields::capitalised(section.about), fields::kind);
    let faults = truck.vehicle.as_ref().map_or(&[][..], |vehicle| &vehicle.faults);
    let stage = ask.part.stage();
    let shapes = word.filter(|_| ask.is_new(truck)).map_or(&[][..], fields::shapes);
    let drawing = fields::made(section.name, word).and_then(|made| made.drawing);
    let form = filled_form(app, truck, ask, app.garage.settings().units, back);
    let guide = guides::to(word.unwrap_or_default(), drawing.is_some());
    let body = html! {
        @for text in cautions::before(word.unwrap_or(section.name), faults) { (caution(&text)) }
        @if !shapes.is_empty() && back.is_none() {
            p { "Begin from a shape like yours, if one is; every number can be changed:" }
            ul class="shapes" {
                @for (name, fills) in shapes {
                    li { a href={ (new_address(truck, section.name, word.unwrap_or("-"))) "?" (fills) } { (name) } }
                }
            }
        }
        @if drawing.is_some() || guide.is_some() {
            div class="asked" {
                div class="beside-form" {
                    @if let Some(drawing) = drawing { (drawing(&Filled::bare(section, ask.kind, ask.filled))) }
                    @if let Some(guide) = guide { (guide) }
                }
                (form)
            }
        } @else {
            (form)
        }
        @if !ask.is_new(truck) { (remove_form(app, truck, ask.part)) }
        p { a href=(stage.of(&truck.slug)) { "Back without keeping anything" } }
    };
    path::head(app, truck, stage).titled(&title).with_scripts(&["live.js"]).frame(&body)
}

/// The form for a part as it stands in the file, on a page of its own: a list of many pieces would weigh too much with all
/// their forms in it.
async fn show(
    State(app): State<Shared>,
    Path((slug, section, index)): Path<(String, String, usize)>,
) -> Answer {
    work(&app, move |app| {
        let part = Part::new(&section, index)?;
        let truck = app.truck(&slug)?;
        let document: DocumentMut = truck.text.parse().unwrap_or_default();
        let now = table(&document, &part).ok_or_else(no_such_part)?;
        let word = now.get("kind").map(fields::text_of).unwrap_or_default();
        let kind = fields::variant(part.section, &word);
        Ok(answer(part_page(app, &truck, &Ask::all(&part, kind), None)))
    })
    .await
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
    tables::table(document, part.section, part.index)
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
    Query(given): Query<Vec<(String, String)>>,
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
        let filled = fields::beforehand(given);
        let ask = Ask { filled: Some(&filled), ..Ask::all(&part, kind) };
        Ok(answer(part_page(app, &truck, &ask, None)))
    })
    .await
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
        let comes_back = |wrong: Vec<Wrong>| {
            let wrong = fields::in_order(wrong, &keys);
            let ask = Ask { only: &asked, ..Ask::all(&part, kind) };
            let page = answer(part_page(app, &truck, &ask, Some((&posted, &wrong))));
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        };
        let document: DocumentMut = truck.text.parse().unwrap_or_default();
        let needed =
            fields::made(part.section.name, kind.map(|kind| kind.word)).map_or(&[][..], |made| made.needed);
        let changes = match fields::typed(&keys, needed, table(&document, &part), &posted, units) {
            Ok(changes) => changes,
            Err(wrong) => return comes_back(wrong),
        };
        let before = measured_before::places(&truck, (part.section, part.index));
        let change = |document: &mut DocumentMut| {
            write(document, &part, kind, changes)?;
            if let Some(evidence) = fields::section("evidence") {
                measured_before::say(document, (part.section, part.index), evidence, (&before, &posted));
            }
            Ok(())
        };
        match app.garage.edit(&truck.slug, posted.version()?, change) {
            Ok(()) => Ok(Redirect::to(&part.page(&truck.slug)).into_response()),
            Err(Refused::Problems(problems)) => {
                let one = |problem: &Problem| Wrong::from_problem(problem, part.section, kind, part.index);
                comes_back(problems.iter().map(one).collect())
            }
            Err(refused) => Err(refused_page(app, refused, &part.address(&truck), &posted)),
        }
    })
    .await
}

fn write(
    document: &mut DocumentMut,
    part: &Part,
    kind: Option<&'static Variant>,
    changes: Vec<(&'static str, fields::Change)>,
) -> Result<(), Problems> {
    let table = tables::table_mut(document, part.section, part.index).ok_or_else(|| not_there(part))?;
    if let Some(kind) = kind {
        match table.get("kind") {
            None => drop(table.insert("kind", value(kind.word))),
            Some(now) if fields::text_of(now) != kind.word => return Err(not_there(part)),
            Some(_) => {}
        }
    }
    fields::set(table, changes);
    fields::name_sets(document, part.section);
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
        let change = |document: &mut DocumentMut| {
            tables::take_out(document, part.section, part.index).ok_or_else(|| not_there(&part))
        };
        let action = format!("{}/remove", part.address(&truck));
        let edited = app.garage.edit(&truck.slug, posted.version()?, change);
        edited.map_err(|refused| refused_page(app, refused, &action, &posted))?;
        Ok(Redirect::to(&part.page(&truck.slug)).into_response())
    })
    .await
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
