//! Reading the files of a truck, once for each version of them.

use super::apart::FAULT;
use super::folder::Garage;
use super::judged::Judged;
use super::kept::held;
use super::known::{Key, Known, Outcome, Slot, State, Truck};
use super::names::{self, Slug, TRUCK_FILE};
use crate::work::load::{self, files_of};
use crate::world;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, OnceLock, TryLockError};
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::fuse;
use truing::problem::{Problem, Problems};
use truing::record::Hash;

impl Garage {
    /// A truck's vehicle file as it is now.
    pub fn truck(&self, slug: &Slug) -> Result<Arc<Truck>, Problems> {
        if !self.truck_file(slug).is_file() {
            return Err(
                Problem::error(slug.to_string(), "a truck of this garage", "none of that name").into()
            );
        }
        let slot = self.slot(slug);
        let mut kept = held(&slot.truck);
        let text = world::read_text(&self.truck_file(slug)).map_err(|problem| self.shown(problem))?;
        // Times of change are as coarse as the system's clock: two edits of one length within a tick look alike.
        if let Some(truck) = kept.as_ref().filter(|truck| truck.text == text) {
            return Ok(truck.clone());
        }
        let (vehicle, problems) = Vehicle::read(TRUCK_FILE, &text);
        let named = vehicle.as_ref().map(|vehicle| vehicle.name.clone()).filter(|name| !name.is_empty());
        let name = named.unwrap_or_else(|| slug.to_string());
        let hash = Hash::new(text.as_bytes());
        let truck = Arc::new(Truck { slug: slug.clone(), name, text, hash, vehicle, problems });
        *kept = Some(truck.clone());
        Ok(truck)
    }

    /// All that is known of a truck. Its files are read where they have changed; whoever asks meanwhile waits.
    pub fn known(&self, slug: &Slug) -> Result<Arc<Known>, Problems> {
        let slot = self.slot(slug);
        // One after the other: who comes second finds what the first has worked out.
        let mut proven = held(&slot.proven);
        let truck = self.truck(slug)?;
        let key = self.key(&truck);
        if let Some(outcome) = slot.found(&key) {
            return outcome;
        }
        let outcome = self.unread(&truck, &mut proven).and_then(|()| self.read_watched(&truck));
        *held(&slot.known) = Some((key, outcome.clone()));
        outcome
    }

    /// The same without waiting.
    pub fn state(&self, slug: &Slug) -> State {
        let slot = self.slot(slug);
        if matches!(slot.proven.try_lock(), Err(TryLockError::WouldBlock)) {
            return State::Waiting;
        }
        let truck = match self.truck(slug) {
            Ok(truck) => truck,
            Err(problems) => return State::Unusable(problems),
        };
        match slot.found(&self.key(&truck)) {
            None => State::Waiting,
            Some(Ok(known)) => State::Known(known),
            Some(Err(problems)) => State::Unusable(problems),
        }
    }

    /// Reads the files with a note of which it is; one with which the program breaks is set aside.
    fn read_watched(&self, truck: &Arc<Truck>) -> Outcome {
        let folder = self.truck_folder(&truck.slug);
        world::caught_and_noted(&folder, || self.read_all(truck)).unwrap_or_else(|files| {
            let name = |file: &PathBuf| file.strip_prefix(&folder).unwrap_or(file).display().to_string();
            let names: Vec<String> = files.iter().map(name).collect();
            Err(self.set_aside(truck, &names, FAULT).into())
        })
    }

    /// The files that a truck's evidence names, with their sizes in bytes.
    pub fn sizes(&self, truck: &Truck) -> Vec<(String, Option<u64>)> {
        let folder = self.truck_folder(&truck.slug);
        let names = truck.vehicle.iter().flat_map(files_of).filter(|name| names::stays_beside(name));
        let size = |name: &str| world::stamp(&folder.join(name)).map(|stamp| stamp.bytes());
        names.map(|name| (name.to_string(), size(name))).collect()
    }

    pub(super) fn slot(&self, slug: &Slug) -> Arc<Slot> {
        held(&self.slots).entry(slug.clone()).or_default().clone()
    }

    fn key(&self, truck: &Truck) -> Key {
        let folder = self.truck_folder(&truck.slug);
        let names = truck.vehicle.iter().flat_map(files_of).filter(|name| names::stays_beside(name));
        Key { hash: truck.hash, files: names.map(|name| world::stamp(&folder.join(name))).collect() }
    }

    fn read_all(&self, truck: &Arc<Truck>) -> Outcome {
        let elsewhere = truck.vehicle.iter().flat_map(files_of).find(|name| !names::stays_beside(name));
        if let Some(name) = elsewhere {
            let problem = Problem::error(TRUCK_FILE, "the name of a file beside it", format!("`{name}`"));
            return Err(problem.hint("Send the file to this page, and name it without a folder.").into());
        }
        let shown = |problems| self.shown(problems);
        let folder = self.truck_folder(&truck.slug);
        let mut loaded = load::vehicle_of(TRUCK_FILE, &truck.text, &folder).map_err(shown)?;
        let (described, _) = fuse(&loaded.source, &loaded.vehicle, Vec::new());
        let estimate = loaded.fused().map_err(shown)?;
        loaded.problems = self.shown(std::mem::take(&mut loaded.problems)).into();
        Ok(Arc::new(Known {
            truck: truck.clone(),
            loaded,
            described,
            estimate,
            choice: OnceLock::new(),
            alone: OnceLock::new(),
            line: Mutex::default(),
            judged: Judged::default(),
            roads: Mutex::default(),
            recordings: Mutex::default(),
        }))
    }
}
