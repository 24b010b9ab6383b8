//! What is known of a truck, worked out once for each version of its files.

use super::judged::Judged;
use super::kept::held;
use super::names::Slug;
use crate::work::load::Loaded;
use crate::world::Stamp;
use metrology::quantity::Length;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, OnceLock};
use truing::choose::{Choice, choose};
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::{Alone, PieceId, VehicleEstimate, some_alone};
use truing::problem::{Problem, Problems};
use truing::record::{Entry, Hash};
use truing::report::answers::garage::GarageLine;
use truing::report::answers::pulses::PulseReport;
use truing::report::answers::state_line::Believed;
use truing::report::papers::job::MOST_BARS;
use truing::units::Units;

/// A truck's vehicle file.
#[derive(Debug)]
pub struct Truck {
    /// What it is called in addresses.
    pub slug: Slug,
    /// What its owner calls it.
    pub name: String,
    /// The file's text.
    pub text: String,
    /// The text's hash, which every form that changes the file carries.
    pub hash: Hash,
    /// The truck as described, where the file can be read at all.
    pub vehicle: Option<Vehicle>,
    /// What is to be looked at in the file.
    pub problems: Vec<Problem>,
}

/// What is worked out of a piece of evidence when somebody looks at it, by its index.
type ByPiece<T> = Mutex<BTreeMap<usize, Arc<T>>>;
/// Places along a road, east and north of its start.
pub type Road = Vec<(Length, Length)>;
/// What a recording says, in the units in which it says it.
pub struct Heard {
    /// What it says.
    pub report: PulseReport,
    /// The units.
    pub units: Units,
}

/// A truck's line, with the entries of the record that it was made from.
pub(super) type LineOf = (Arc<Vec<Entry>>, Arc<GarageLine>);

/// All that is known of a truck.
pub struct Known {
    /// Its vehicle file.
    pub truck: Arc<Truck>,
    /// The vehicle with its recordings counted, and everything that was met while reading its files.
    pub loaded: Loaded,
    /// What size and hand evidence say, without drives.
    pub described: VehicleEstimate,
    /// What all evidence says.
    pub estimate: VehicleEstimate,
    pub(super) choice: OnceLock<Result<Choice, Problems>>,
    pub(super) alone: OnceLock<Vec<Alone>>,
    pub(super) line: Mutex<Option<LineOf>>,
    /// Drives that were judged against a rule.
    pub judged: Judged,
    pub(super) roads: ByPiece<Road>,
    pub(super) recordings: ByPiece<Heard>,
}

/// How far the reading of a truck's files has come.
pub enum State {
    /// Done.
    Known(Arc<Known>),
    /// The files cannot be used.
    Unusable(Problems),
    /// Not yet read, or just being read.
    Waiting,
}

/// All that is known of a truck, or why its files cannot be used.
pub(super) type Outcome = Result<Arc<Known>, Problems>;

/// What is kept of one truck between requests. Its vehicle file can be seen and changed while its other files are read.
#[derive(Default)]
pub struct Slot {
    pub(super) truck: Mutex<Option<Arc<Truck>>>,
    pub(super) known: Mutex<Option<(Key, Outcome)>>,
    /// Files that were read to their end. Held while they are read.
    pub(super) proven: Mutex<BTreeSet<(String, Stamp)>>,
}

/// The text and the stamps of all files it names.
#[derive(Clone, PartialEq)]
pub(super) struct Key {
    pub(super) hash: Hash,
    pub(super) files: Vec<Option<Stamp>>,
}

impl Slot {
    /// What was worked out of these very files.
    pub(super) fn found(&self, key: &Key) -> Option<Outcome> {
        held(&self.known).as_ref().filter(|(then, _)| then == key).map(|(_, outcome)| outcome.clone())
    }
}

impl Known {
    /// What to store, by the truck's own rule and reserve.
    pub fn choice(&self) -> &Result<Choice, Problems> {
        self.choice.get_or_init(|| {
            let loaded = &self.loaded;
            choose(&loaded.source, &loaded.vehicle, &self.estimate, None, None).map_err(Problems::from)
        })
    }

    /// What the pieces that weigh most say by themselves, as many as are drawn, in the order of the file.
    pub fn alone(&self) -> &[Alone] {
        self.alone.get_or_init(|| {
            let mut heaviest: Vec<(f64, usize)> = self
                .estimate
                .evidence
                .iter()
                .filter_map(|piece| match piece.id {
                    PieceId::Evidence(index) => Some((piece.weight.plain(), index)),
                    _ => None,
                })
                .collect();
            heaviest.sort_by(|a, b| b.0.total_cmp(&a.0));
            heaviest.truncate(MOST_BARS);
            let mut indices: Vec<usize> = heaviest.into_iter().map(|(_, index)| index).collect();
            indices.sort_unstable();
            some_alone(&self.loaded.source, &self.loaded.vehicle, &self.estimate.drives, indices)
        })
    }

    /// The truck in one line, with what the record says of it. Worked out again only for other entries.
    pub fn line(&self, entries: &Arc<Vec<Entry>>) -> Arc<GarageLine> {
        let mut line = held(&self.line);
        if let Some((_, line)) = line.as_ref().filter(|(of, _)| Arc::ptr_eq(of, entries)) {
            return line.clone();
        }
        let choice = self.choice().as_ref().ok();
        let believed = Believed { vehicle: &self.loaded.vehicle, estimate: &self.estimate, choice };
        let made = Arc::new(GarageLine::new(believed, entries));
        *line = Some((entries.clone(), made.clone()));
        made
    }
}
