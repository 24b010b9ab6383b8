//! The vehicle file as a whole.

use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::written::{self, Write};
use crate::describe::adjuster::{self, Adjuster};
use crate::describe::chain::reader::{self, Reader};
use crate::describe::chain::{self, Chain};
use crate::describe::checks;
use crate::describe::evidence::{self, Evidence};
use crate::describe::fault::{self, Fault};
use crate::describe::file::document::{Document, Entry, Node};
use crate::describe::file::key::{Repeat, Section};
use crate::describe::file::keys::{self, NOTHING, ROOT, SECTIONS, root};
use crate::describe::tire::ahead::{self, Ahead};
use crate::describe::tire::set::{self, TireSet};
use crate::describe::usage::{self, Use};
use crate::nearest::hint_for;
use crate::problem::Problem;
use toml::de::{DeTable, DeValue};

/// What is on a vehicle and what was measured on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Vehicle {
    /// What the owner calls it; empty when not said.
    pub name: String,
    /// The sets of tires.
    pub tires: Vec<TireSet>,
    /// From the road to the sensor's wire.
    pub chain: Chain,
    /// What reads the signal.
    pub readers: Vec<Reader>,
    /// What can be set.
    pub adjusters: Vec<Adjuster>,
    /// What the setting is for.
    pub usage: Use,
    /// What was measured.
    pub evidence: Vec<Evidence>,
    /// Writes already made, by date.
    pub written: Vec<Write>,
    /// Tires and miles to come, in order.
    pub ahead: Vec<Ahead>,
    /// Faults, open and repaired.
    pub faults: Vec<Fault>,
}

impl Vehicle {
    /// Reads a vehicle file. All problems come at once; while one of them is an error, what was understood lacks
    /// what it concerns and is fit for showing, not for an answer. No vehicle comes from a text that is not TOML.
    pub fn read(source_name: &str, text: &str) -> (Option<Self>, Vec<Problem>) {
        let (root, errors) = DeTable::parse_recoverable(text);
        let document = Document::new(source_name, text);
        let vehicle = read_root(&document, root.get_ref());
        if errors.is_empty() {
            return (Some(vehicle), document.problems());
        }
        (None, crate::describe::file::syntax::with_syntax_errors(&document, text, &errors))
    }

    /// The set of tires that is on now: the one said to be, or the first.
    pub fn mounted(&self) -> Option<&TireSet> {
        self.tires.iter().find(|set| set.mounted).or(self.tires.first())
    }

    /// The adjuster of a name; the first without one.
    pub fn adjuster(&self, name: Option<&str>) -> Option<&Adjuster> {
        match name {
            None => self.adjusters.first(),
            Some(name) => self.adjusters.iter().find(|adjuster| adjuster.called() == name),
        }
    }

    /// Whether a name, or none, means this adjuster.
    fn is_meant(&self, name: &Option<String>, adjuster: &Adjuster) -> bool {
        self.adjuster(name.as_deref())
            .is_some_and(|named| core::ptr::eq(named, adjuster) || named == adjuster)
    }

    /// What a piece of evidence itself says an adjuster was set to.
    pub(super) fn setting_said<'e>(
        &self,
        evidence: &'e Evidence,
        adjuster: &Adjuster,
    ) -> Option<&'e Setting> {
        let of_it = |(name, _): &&(Option<String>, Setting)| self.is_meant(name, adjuster);
        evidence.settings.iter().find(of_it).map(|(_, setting)| setting)
    }

    /// What an adjuster was set to when a piece of evidence was taken: as the evidence says; else as the writes say
    /// for its date; else, while no write of it is recorded, what is present.
    pub fn setting_then(&self, evidence: &Evidence, adjuster: &Adjuster) -> Option<Setting> {
        if let Some(setting) = self.setting_said(evidence, adjuster) {
            return Some(setting.clone());
        }
        let same = |name: &Option<String>| self.is_meant(name, adjuster);
        let writes: Vec<&Write> = self.written.iter().filter(|write| same(&write.adjuster)).collect();
        if writes.is_empty() {
            return adjuster.present();
        }
        match crate::describe::checks::settings_on(&writes, evidence.date?)[..] {
            [only] => Some(only.clone()),
            _ => None,
        }
    }
}

fn read_root(document: &Document, root: &DeTable<'_>) -> Vehicle {
    refuse_unknown_sections(document, root);
    let mut top = Entry::new(document, String::new(), 0, root);
    top.allow(ROOT.keys);
    let mut readers: Vec<Reader> = each(document, root, &keys::HEAD, |entry| Some(reader::read_head(entry)));
    readers.extend(each(document, root, &keys::READER, |entry| reader::read(entry)));
    let mut vehicle = Vehicle {
        name: top.get(&root::NAME).unwrap_or_default(),
        tires: each(document, root, &keys::TIRE, |entry| set::read(entry)),
        chain: each(document, root, &keys::CHAIN, |entry| Some(chain::read(entry))).pop().unwrap_or_default(),
        readers,
        adjusters: each(document, root, &keys::ADJUSTER, adjuster::read::read),
        usage: each(document, root, &keys::USE, |entry| Some(usage::read(entry))).pop().unwrap_or_default(),
        evidence: each(document, root, &keys::EVIDENCE, evidence::read::read),
        written: each(document, root, &keys::WRITTEN, |entry| written::read(entry)),
        ahead: each(document, root, &keys::PLAN, |entry| ahead::read(entry)),
        faults: each(document, root, &keys::FAULT, |entry| fault::read(entry)),
    };
    vehicle.written.sort_by_key(|write| write.date);
    let told = SECTIONS.iter().any(|section| root.contains_key(section.name));
    if !told {
        let problem =
            Problem::error(document.source(), "at least one section, such as [tire] or [adjuster]", NOTHING);
        document.push(problem.hint("Say what is on the vehicle or what was measured"));
    }
    checks::check(document, &mut vehicle);
    vehicle
}

fn refuse_unknown_sections(document: &Document, root: &DeTable<'_>) {
    let known = || ROOT.keys.iter().map(|key| key.name()).chain(SECTIONS.iter().map(|section| section.name));
    for (name, value) in root {
        let name_text = name.get_ref().as_ref();
        if known().all(|known| known != name_text) {
            let shown: String = name_text.chars().take(60).collect();
            let what = if value.get_ref().is_table() { "[section]" } else { "key or [section]" };
            let problem = document.error(name.span().start, format!("a known {what}"), format!("`{shown}`"));
            document.push(problem.hint(hint_for(name_text, known().collect::<Vec<_>>())));
        }
    }
}

/// Reads every table of a section.
fn each<T>(
    document: &Document,
    root: &DeTable<'_>,
    section: &'static Section,
    mut read: impl FnMut(&mut Entry<'_>) -> Option<T>,
) -> Vec<T> {
    let mut all = Vec::new();
    for (index, (offset, table)) in tables(document, root, section).into_iter().enumerate() {
        let mut entry = Entry::new(document, section.heading(), offset, table).placed(section.name, index);
        if section.variants.is_empty() {
            entry.allow(section.keys);
            entry.refuse_unknown();
        }
        all.extend(read(&mut entry));
    }
    all
}

/// The tables of a section with where they begin; any other shape becomes a problem.
fn tables<'d>(
    document: &'d Document,
    root: &'d DeTable<'d>,
    section: &Section,
) -> Vec<(usize, &'d DeTable<'d>)> {
    let Some(value) = root.get(section.name) else {
        return Vec::new();
    };
    let (once, several) = (format!("[{}]", section.name), format!("[[{}]]", section.name));
    let expected = match section.repeat {
        Repeat::Once => format!("{once}, once"),
        Repeat::Several => several.clone(),
        Repeat::OnceOrSeveral => format!("{once}, or {several} for several"),
    };
    let node = Node {
        document,
        part: section.name.into(),
        key: None,
        offset: value.span().start,
        value: value.get_ref(),
    };
    match node.value {
        DeValue::Table(table) if section.repeat != Repeat::Several => vec![(node.offset, table)],
        DeValue::Array(list) if section.repeat != Repeat::Once => {
            let tables = list.iter().filter_map(|one| match one.get_ref() {
                DeValue::Table(table) => Some((one.span().start, table)),
                _ => node.child(one, "").wrong(expected.clone(), node.child(one, "").found(), ""),
            });
            tables.collect()
        }
        DeValue::Table(_) => {
            node.wrong(expected, format!("[{}]", section.name), "Write two brackets").unwrap_or_default()
        }
        _ => node.wrong(expected, node.found(), "").unwrap_or_default(),
    }
}
