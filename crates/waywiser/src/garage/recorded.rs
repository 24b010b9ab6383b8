//! Under which name the record keeps each truck.
//!
//! The record tells vehicles apart by name, and what is in it never changes; what a truck is called may. So each truck gets
//! its name in the record once, and keeps it: `record-names.toml` holds them, by the names of the trucks' folders. A truck
//! without one yet, as in a garage from before this file, is found under what it is called.

use super::folder::Garage;
use super::kept::{Kept, Names, held};
use super::known::Truck;
use super::names::Slug;
use crate::ledger::Ledger;
use crate::world;
use std::sync::Arc;
use toml_edit::{DocumentMut, value};
use truing::problem::{Problem, Problems};

const FILE: &str = "record-names.toml";
const HEAD: &str = "# The name under which the record keeps each truck, whatever it is called today.\n";

impl Garage {
    /// The name under which the record keeps a truck.
    pub fn recorded_as(&self, truck: &Truck) -> String {
        let names = self.record_names().unwrap_or_default();
        names.get(&truck.slug).unwrap_or(&truck.name).clone()
    }

    /// The record, and the name under which it keeps a truck from now on.
    pub fn ledger_for(&self, truck: &Truck) -> Result<(Ledger, String), Problems> {
        self.settle_record_names()?;
        Ok((self.ledger()?, self.recorded_as(truck)))
    }

    /// Gives each truck without one a name in the record: what it is called, or the same with a number where another
    /// truck of this garage has that already.
    pub fn settle_record_names(&self) -> Result<(), Problems> {
        let slugs = self.slugs();
        let names = self.record_names()?;
        if slugs.iter().all(|slug| names.contains_key(slug)) {
            return Ok(());
        }
        let recorded = self.names_in_record()?;
        self.change_names(|names| {
            names.retain(|slug, _| slugs.contains(slug));
            for slug in &slugs {
                if let (false, Ok(truck)) = (names.contains_key(slug), self.truck(slug)) {
                    let name = free(&truck.name, names, &recorded);
                    names.insert(slug.clone(), name);
                }
            }
            Ok(())
        })
    }

    /// Adds a truck that the record knows under a name already, called so in its file.
    pub fn add_recorded(&self, recorded: &str, called: &str, text: &str) -> Result<Slug, Problems> {
        let is_free = |names: &Names| {
            let taken = names.values().any(|name| name == recorded);
            let problem = || {
                Problem::error("the garage", "a vehicle that no truck here is yet", format!("`{recorded}`"))
            };
            if taken { Err(problem()) } else { Ok(()) }
        };
        self.settle_record_names()?;
        is_free(&*self.record_names()?)?;
        let slug = self.add(called, text, &[])?;
        self.change_names(|names| {
            names.remove(&slug);
            is_free(names)?;
            names.insert(slug.clone(), recorded.to_string());
            Ok(())
        })?;
        Ok(slug)
    }

    /// The names under which the record keeps the trucks that are called so today.
    pub fn recorded_of(&self, called: &str) -> Vec<String> {
        let trucks = self.slugs().into_iter().filter_map(|slug| self.truck(&slug).ok());
        trucks.filter(|truck| truck.name == called).map(|truck| self.recorded_as(&truck)).collect()
    }

    /// What the truck is called today that the record keeps under a name.
    pub fn called(&self, recorded: &str) -> Option<String> {
        self.truck_recorded_as(recorded).map(|truck| truck.name.clone())
    }

    /// The truck that the record keeps under a name.
    pub fn truck_recorded_as(&self, recorded: &str) -> Option<Arc<Truck>> {
        let mut trucks = self.slugs().into_iter().filter_map(|slug| self.truck(&slug).ok());
        trucks.find(|truck| self.recorded_as(truck) == recorded)
    }

    fn change_names(&self, change: impl FnOnce(&mut Names) -> Result<(), Problems>) -> Result<(), Problems> {
        self.alone(|| {
            let mut names = Names::clone(&*self.record_names()?);
            change(&mut names)?;
            let mut document = DocumentMut::new();
            for (slug, name) in &names {
                document.insert(slug.as_str(), value(name));
            }
            let kept = world::replace(&self.folder().join(FILE), format!("{HEAD}{document}").as_bytes());
            kept.map_err(Problems::from)
        })
    }

    /// Every truck's name in the record, by its folder.
    pub fn record_names(&self) -> Result<Arc<Names>, Problems> {
        let path = self.folder().join(FILE);
        let stamp = world::stamp(&path);
        let mut kept = held(&self.record_names);
        if kept.0 != stamp {
            let text = world::read_text(&path).map_err(|problem| self.shown(problem))?;
            *kept = Kept(stamp, Arc::new(read(&text)?));
        }
        Ok(kept.1.clone())
    }

    fn names_in_record(&self) -> Result<Vec<String>, Problems> {
        match self.has_record() {
            true => self.ledger()?.vehicles(),
            false => Ok(Vec::new()),
        }
    }
}

/// What is called alike is told apart by a number that neither a truck nor the record has.
fn free(called: &str, names: &Names, recorded: &[String]) -> String {
    let is_taken = |name: &String| names.values().any(|taken| taken == name);
    let numbered = |number: usize| format!("{called} ({number})");
    let mut all = std::iter::once(called.to_string()).chain((2..).map(numbered));
    let fits = |name: &String| !is_taken(name) && (name == called || !recorded.contains(name));
    all.find(fits).unwrap_or_default()
}

fn read(text: &str) -> Result<Names, Problems> {
    let document: DocumentMut = text.parse().map_err(|error: toml_edit::TomlError| {
        Problems::from(Problem::error(FILE, "TOML: folder = \"name in the record\"", error.message())
                .hint("Correct the line, or put the file of a backup in its place. Until then nothing is added to the record."))
    })?;
    let one = |(slug, name): (&str, &toml_edit::Item)| Some((Slug::read(slug)?, name.as_str()?.to_string()));
    Ok(document.iter().filter_map(one).collect())
}
