//! The fields of a form: one for each key, by what its value looks like.

use super::drawings;
use super::filled::{Filled, Wrong};
use super::keys::UNUSUAL;
use super::keys::{Keys, Shape, shape, unusual};
use super::made::made;
use super::units::unit;
use super::words::{capitalised, hint, label, line, option};
use maud::{Markup, html};
use truing::describe::file::examples::is_of;
use truing::describe::{AnyKey, Need};

/// How many words are picked by a tick each; more of them fold into a list.
const MOST_PICKS: usize = 4;
/// Tries that are asked for.
const TRIES: [&str; 3] = ["First try", "Second try", "Third try"];

/// One input for each key: what must be said, what is said and what the form is about first, the rest behind one summary.
pub fn inputs(filled: &Filled, keys: &Keys) -> Markup {
    let made = made(filled.section.name, filled.kind.map(|kind| kind.word));
    let unseen = made.map_or(&[][..], |made| made.unseen);
    let is_owned = |name: &str| filled.is_said(name) || is_of(filled.units, name, keys);
    let shown = keys.iter().copied().filter(|key| !unseen.contains(&key.name()) && is_owned(key.name()));
    let is_unusual = |key: &&'static dyn AnyKey| unusual(key.name()).is_some() && !filled.is_said(key.name());
    let (rare, usual): (Keys, Keys) = shown.partition(is_unusual);
    let lead = |key: &dyn AnyKey| made.and_then(|made| made.lead.iter().position(|name| *name == key.name()));
    let own = |key: &dyn AnyKey| {
        filled.kind.is_some_and(|kind| kind.keys.iter().any(|one| one.name() == key.name()))
    };
    let is_open = |key: &&'static dyn AnyKey| {
        let is_asked = if made.is_some() { lead(*key).is_some() } else { own(*key) };
        key.need() == Need::Required || filled.is_said(key.name()) || is_asked
    };
    let (mut open, closed): (Keys, Keys) = usual.into_iter().partition(is_open);
    open.sort_by_key(|key| lead(*key).unwrap_or(usize::MAX));
    let (open, closed) = if open.is_empty() { (closed, Vec::new()) } else { (open, closed) };
    html! {
        @for key in &open { (input(filled, *key)) }
        @for (summary, keys) in [("More that can be said".to_string(), closed), (UNUSUAL.to_string(), rare)] {
            @if !keys.is_empty() {
                details class="more" {
                    summary { (summary) span class="said unbroken" { "(" (keys.len()) ")" } }
                    @for key in &keys { (input(filled, *key)) }
                }
            }
        }
    }
}

/// What is to be corrected in a form that comes back, each with the way to its field.
pub fn to_correct(filled: &Filled, keys: &Keys) -> Markup {
    let field = |wrong: &Wrong| keys.iter().any(|key| Some(key.name()) == wrong.key.split('.').next());
    html! {
        @if !filled.wrong.is_empty() {
            div class="to-correct" role="alert" {
                strong { "Nothing was changed yet." } " Everything you typed is still here. Correct this, and send it again:"
                ul {
                    @for wrong in filled.wrong {
                        li {
                            @if field(wrong) {
                                a href={ "#" (filled.id(&wrong.key)) } { (label(filled.section, filled.kind, &wrong.key)) }
                            } @else { (wrong.says) }
                        }
                    }
                }
            }
        }
    }
}

/// A field: its names, and what is wrong with it.
struct Field<'a> {
    filled: &'a Filled<'a>,
    key: &'a dyn AnyKey,
    name: &'a str,
    id: String,
    must: bool,
}

impl Field<'_> {
    fn label(&self) -> String {
        label(self.filled.section, self.filled.kind, self.name)
    }

    /// What describes the field: its message first, then its unit, then its hint.
    fn described(&self, name: &str) -> String {
        let wrong = self.filled.wrong_with(name).map(|_| format!("{}-wrong ", self.filled.id(name)));
        let beside = unit(self.key).map(|_| format!("{}-unit ", self.id));
        format!("{}{}{}-hint", wrong.unwrap_or_default(), beside.unwrap_or_default(), self.id)
    }

    /// The message under a field.
    fn message(&self, name: &str) -> Markup {
        html! {
            @if let Some(says) = self.filled.wrong_with(name) {
                p class="wrong" id={ (self.filled.id(name)) "-wrong" } { (says) }
            }
        }
    }

    fn mark(&self) -> Markup {
        html! { @if self.must { span class="must" { " (needed)" } } }
    }

    /// A line to type into, with its unit beside it.
    fn typed(&self, id: &str, name: &str, value: &str, must: bool, is_wrong: bool) -> Markup {
        let beside = unit(self.key).map(|unit| unit.beside(self.filled.units));
        let shape = shape(self.key);
        let is_first = is_wrong && self.filled.is_first_wrong(name);
        let keypad = match shape {
            _ if beside == Some("in") || name == "seconds" => None,
            Shape::Whole => Some("numeric"),
            // Only decimals have a pattern; a fraction has a bar in it, for which such a pad has no key.
            Shape::Number if !self.key.schema()["pattern"].is_null() => Some("decimal"),
            Shape::Quantity | Shape::Tries | Shape::Table(_) => Some("decimal"),
            _ => None,
        };
        html! {
            span class=[beside.map(|_| "with-unit")] {
                input type=(if shape == Shape::Day { "date" } else { "text" }) id=(id) name=(name) value=(value) aria-describedby=(self.described(name))
                    aria-invalid=[is_wrong.then_some("true")] autofocus[is_first] required[must] inputmode=[keypad]
                    placeholder=[self.example()] list=[self.suggested()] autocomplete="off" autocapitalize="off" spellcheck="false";
                @if let Some(beside) = beside { span class="unit" id={ (self.id) "-unit" } { (beside) } }
            }
        }
    }

    fn example(&self) -> Option<&'static str> {
        let units = self.filled.units;
        let road = |miles, kilometres| Some(units.by_road(miles, kilometres));
        match self.name {
            "holds" => road("30, 45, 60", "50, 70, 90"),
            "odometer_start" | "odometer" => road("128406.3", "206650.2"),
            "odometer_end" => road("128417.0", "206667.4"),
            "axle_ratio" => Some("46/11"),
            "size" => Some("LT275/75R17"),
            name => unusual(name).flatten().or(unit(self.key).and_then(|unit| unit.example(units))),
        }
    }

    fn suggested(&self) -> Option<String> {
        (self.name == "tires" && !self.filled.tires.is_empty())
            .then(|| format!("{}-tires", self.filled.prefix))
    }
}

fn input(filled: &Filled, key: &dyn AnyKey) -> Markup {
    let name = key.name();
    let needed = made(filled.section.name, filled.kind.map(|kind| kind.word))
        .is_some_and(|made| made.needed.contains(&name));
    let field =
        Field { filled, key, name, id: filled.id(name), must: needed || key.need() == Need::Required };
    let inside = match shape(key) {
        Shape::Word(words) if name == "sensor_at" => picks(&field, &along_the_driveline(words)),
        Shape::Word(words) if words.len() <= MOST_PICKS => picks(&field, &words),
        Shape::Word(words) => listed(&field, &words),
        Shape::Ticks(words) => ticks(&field, &words),
        Shape::Flag => tick(&field),
        Shape::File => file(&field),
        Shape::Tries => tries(&field),
        Shape::Table(parts) => lines(&field, &parts),
        _ => one_line(&field),
    };
    let is_wrong = filled.wrong_with(name).is_some();
    html! { div class={ "field" (if is_wrong { " is-wrong" } else { "" }) } { (inside) (message_and_hint(&field)) } }
}

fn message_and_hint(field: &Field) -> Markup {
    let own = hint(field.filled.section, field.filled.kind, field.name);
    html! {
        (field.message(field.name))
        p class="hint" id={ (field.id) "-hint" } {
            @match own {
                Some(own) => (own),
                None => { (capitalised(field.key.about())) "." },
            }
        }
    }
}

fn one_line(field: &Field) -> Markup {
    let is_wrong = field.filled.wrong_with(field.name).is_some();
    html! {
        label for=(field.id) { (field.label()) (field.mark()) }
        (field.typed(&field.id, field.name, &field.filled.text(field.name), field.must, is_wrong))
        @if let Some(list) = field.suggested() {
            datalist id=(list) { @for set in field.filled.tires { option value=(set) {} } }
        }
    }
}

fn tick(field: &Field) -> Markup {
    html! {
        label class="pick" for=(field.id) {
            input type="checkbox" id=(field.id) name=(field.name) value="true" checked[field.filled.text(field.name) == "true"]
                aria-describedby=(field.described(field.name));
            (field.label())
        }
    }
}

/// Words of which one is picked, each to be seen.
fn picks(field: &Field, words: &[String]) -> Markup {
    let said = field.filled.text(field.name);
    let is_wrong = field.filled.wrong_with(field.name).is_some();
    let none = (!field.must).then(|| (String::new(), "Not said".to_string()));
    let all = words.iter().map(|word| (word.clone(), option(field.name, word))).chain(none);
    let rows = html! {
        @for (place, (word, label)) in all.enumerate() {
            @let id = format!("{}-{place}", field.id);
            label class="pick" for=(id) {
                input type="radio" id=(id) name=(field.name) value=(word) checked[word == said] required[field.must]
                    autofocus[is_wrong && place == 0 && field.filled.is_first_wrong(field.name)];
                span { (label) }
            }
        }
    };
    html! {
        fieldset class="picks" id=(field.id) aria-describedby=(field.described(field.name)) {
            legend { (field.label()) (field.mark()) }
            @if field.name == "sensor_at" { (drawings::driveline(&rows)) } @else { (rows) }
        }
    }
}

/// The spots where a sensor can sit, in the order in which the turns pass them.
fn along_the_driveline(mut words: Vec<String>) -> Vec<String> {
    let along = ["transmission-output", "transfer-case-output", "axle-ring", "wheel-ring"];
    words.sort_by_key(|word| along.iter().position(|spot| spot == word));
    words
}

/// Words of which one is picked from a list.
fn listed(field: &Field, words: &[String]) -> Markup {
    let text = field.filled.text(field.name);
    html! {
        label for=(field.id) { (field.label()) (field.mark()) }
        select id=(field.id) name=(field.name) aria-describedby=(field.described(field.name)) required[field.must] {
            @if !field.must || text.is_empty() { option value="" { @if field.must { "Choose one" } @else { "Not said" } } }
            @for word in words { option value=(word) selected[*word == text] { (option(field.name, word)) } }
            @if !text.is_empty() && !words.contains(&text) { option value=(text) selected { (text) } }
        }
    }
}

/// Words of which any number is ticked.
fn ticks(field: &Field, words: &[String]) -> Markup {
    let said = field.filled.texts(field.name);
    let is_wrong = field.filled.wrong_with(field.name).is_some();
    html! {
        fieldset class="picks" id=(field.id) aria-describedby=(field.described(field.name)) {
            legend { (field.label()) (field.mark()) }
            @for (place, word) in words.iter().enumerate() {
                @let id = format!("{}-{place}", field.id);
                label class="pick" for=(id) {
                    input type="checkbox" id=(id) name=(field.name) value=(word) checked[said.contains(word)]
                        aria-invalid=[is_wrong.then_some("true")] autofocus[is_wrong && place == 0 && field.filled.is_first_wrong(field.name)];
                    span { (option(field.name, word)) }
                }
            }
        }
    }
}

/// A file among those that are kept for the truck.
fn file(field: &Field) -> Markup {
    let said = field.filled.text(field.name);
    let files = field.filled.files;
    html! {
        label for=(field.id) { (field.label()) (field.mark()) }
        select id=(field.id) name=(field.name) aria-describedby=(field.described(field.name)) required[field.must] {
            option value="" { @if files.is_empty() { "No file is kept yet: send it on Measure first" } @else { "None of them" } }
            @for file in files { option value=(file) selected[*file == said] { (file) } }
            @if !said.is_empty() && !files.contains(&said) { option value=(said) selected { (said) } }
        }
    }
}

/// A line for each try; one more than there are where all are filled in.
fn tries(field: &Field) -> Markup {
    let said = field.filled.texts(field.name);
    let is_wrong = field.filled.wrong_with(field.name).is_some();
    let count = TRIES.len().max(said.len() + 1);
    html! {
        fieldset class="tries" aria-describedby=(field.described(field.name)) {
            legend { (field.label()) (field.mark()) }
            @for place in 0..count {
                @let id = if place == 0 { field.id.clone() } else { format!("{}-{place}", field.id) };
                label for=(id) { @match TRIES.get(place) { Some(name) => (name), None => { "Try " (place + 1) } } }
                (field.typed(&id, field.name, said.get(place).map_or("", String::as_str), place == 0, is_wrong && place == 0))
            }
        }
    }
}

/// A line for each part of a value.
fn lines(field: &Field, parts: &[String]) -> Markup {
    html! {
        fieldset {
            legend { (field.label()) (field.mark()) }
            @for part in parts {
                @let name = format!("{}.{part}", field.name);
                @let id = field.filled.id(&name);
                label for=(id) { (line(part)) }
                (field.typed(&id, &name, &field.filled.text(&name), field.must, field.filled.wrong_with(&name).is_some()))
                (field.message(&name))
            }
        }
    }
}
