//! Changing a vehicle file: only the version the edit was made from, and keeping all that is not meant.

use super::folder::Garage;
use super::known::Truck;
use super::names::{Slug, TRUCK_FILE};
use crate::world;
use std::sync::Arc;
use toml_edit::{DocumentMut, Item, TableLike, Value};
use truing::describe::tire::TireSize;
use truing::describe::tire::set::place_of_size;
use truing::describe::vehicle::Vehicle;
use truing::problem::{Problem, Problems, Severity};
use truing::record::Hash;

/// The table of a section that stands once or several times.
pub(super) fn nth<'d>(
    document: &'d mut DocumentMut,
    name: &str,
    place: usize,
) -> Option<&'d mut dyn TableLike> {
    match document.get_mut(name)? {
        Item::ArrayOfTables(tables) => tables.get_mut(place).map(|table| table as &mut dyn TableLike),
        Item::Value(Value::Array(tables)) => {
            tables.get_mut(place)?.as_inline_table_mut().map(|table| table as &mut dyn TableLike)
        }
        item => item.as_table_like_mut().filter(|_| place == 0),
    }
}

/// Why an edit was not made. Nothing was changed then.
#[derive(Debug)]
pub enum Refused {
    /// The file is no longer the one the edit was made from: as it is now, and as the edit would have left it.
    Stale {
        /// The truck as it is now.
        now: Arc<Truck>,
        /// The text the edit was about to write, where it can be told.
        wanted: Option<String>,
    },
    /// What would have been written is not usable, or the disk refused.
    Problems(Problems),
}

impl From<Problems> for Refused {
    fn from(problems: Problems) -> Self {
        Self::Problems(problems)
    }
}

impl From<Problem> for Refused {
    fn from(problem: Problem) -> Self {
        Self::Problems(problem.into())
    }
}

impl From<Box<Problem>> for Refused {
    fn from(problem: Box<Problem>) -> Self {
        Self::Problems(problem.into())
    }
}

impl Garage {
    /// Changes a vehicle file, if it is still the version with hash `from`. Comments, order and keys that nobody asked
    /// about stay as they are.
    pub fn edit(
        &self,
        slug: &Slug,
        from: Hash,
        change: impl FnOnce(&mut DocumentMut) -> Result<(), Problems>,
    ) -> Result<(), Refused> {
        self.rewrite(slug, from, |text| {
            let mut document: DocumentMut = text.parse().map_err(|error| vec![not_toml(&error)])?;
            change(&mut document)?;
            Ok(document.to_string())
        })
    }

    /// Puts another text in the place of a vehicle file, if it is still the version with hash `from`.
    pub fn rewrite(
        &self,
        slug: &Slug,
        from: Hash,
        make: impl FnOnce(&str) -> Result<String, Problems>,
    ) -> Result<(), Refused> {
        match self.after_record(slug, from, |truck| make(&truck.text), || Ok(()))? {
            ((), None) => Ok(()),
            ((), Some(problem)) => {
                let is_changed = problem == changed_by_others();
                Err(match is_changed {
                    true => Refused::Stale { now: self.truck(slug)?, wanted: None },
                    false => problem.into(),
                })
            }
        }
    }

    /// The same once something is in the record: what would be refused is refused before, and where the file then cannot be
    /// changed the problem of that comes beside what was recorded. Nobody else changes the file meanwhile.
    pub fn after_record<T>(
        &self,
        slug: &Slug,
        from: Hash,
        make: impl FnOnce(&Truck) -> Result<String, Problems>,
        record: impl FnOnce() -> Result<T, Problems>,
    ) -> Result<(T, Option<Problem>), Refused> {
        // A truck that is about to be called something else keeps its name in the record.
        self.settle_record_names()?;
        let outcome = self.alone(|| {
            let truck = self.truck(slug)?;
            let wanted = make(&truck);
            if truck.hash != from {
                return Ok(Err(Refused::Stale { now: truck, wanted: wanted.ok() }));
            }
            let text = wanted?;
            self.usable(&truck, &text)?;
            let recorded = record()?;
            let kept =
                world::replace_if_still(&self.truck_file(slug), truck.text.as_bytes(), text.as_bytes());
            let problem = match kept {
                Ok(true) => None,
                Ok(false) => Some(changed_by_others()),
                Err(problem) => self.shown(problem).pop(),
            };
            Ok(Ok((recorded, problem)))
        });
        outcome?
    }

    /// An edit never makes a file worse: one that could be read stays readable.
    fn usable(&self, before: &Truck, text: &str) -> Result<(), Problems> {
        let errors = errors_of(TRUCK_FILE, text);
        let earlier = errors_of(TRUCK_FILE, &before.text);
        if errors.len() > earlier.len() { Err(errors) } else { Ok(()) }
    }
}

/// What makes a vehicle file unusable, sizes of tires that cannot be read among it.
pub fn errors_of(source: &str, text: &str) -> Problems {
    let (vehicle, problems) = Vehicle::read(source, text);
    let mut errors: Problems =
        problems.into_iter().filter(|problem| problem.severity == Severity::Error).collect();
    let sets = vehicle.iter().flat_map(|vehicle| vehicle.tires.iter().enumerate());
    for (index, set) in sets.filter(|(_, set)| set.diameter.is_none()) {
        let wrong = set.size.as_deref().and_then(|size| TireSize::parse(size).err());
        errors.extend(wrong.map(|problem| problem.about_key(place_of_size(index))));
    }
    errors
}

/// A program that does not know of the garage's lock changed the file while it was about to be replaced.
fn changed_by_others() -> Problem {
    Problem::error(TRUCK_FILE, "the version that the change was made from", "another one by now").hint(
        "Another program saved the file at this moment. Its version was kept; make the change once more.",
    )
}

pub(super) fn not_toml(error: &toml_edit::TomlError) -> Problem {
    Problem::error("the vehicle file", "TOML", error.message().to_string())
        .hint("Correct it in the text of the file, at the foot of Describe.")
}
