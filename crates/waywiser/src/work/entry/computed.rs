//! Entries that the program computed: the inputs they rest on, by their SHA-256.

use super::request::hash_of_parts;
use super::source::hash_of_file;
use crate::work::load::files_of;
use std::path::Path;
use truing::describe::vehicle::Vehicle;
use truing::record::{COMPUTED_BY, EventKind, Fields, Hash, INPUTS, REQUEST, REQUESTED};

/// The version that computes.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");
/// The field with the writes that were to be kept, where that was asked for.
pub const RESERVE: &str = "reserve";

/// Marks entries as computed from a vehicle file, the files it names in `folder`, and what stands in the entry of the
/// question itself: the last of them.
pub fn mark(kept: &mut [(EventKind, Fields)], text: &str, vehicle: &Vehicle, folder: &Path) {
    let asked = kept.last().map(|(_, fields)| asked(fields)).unwrap_or_default();
    let inputs = inputs(text, vehicle, folder, &asked);
    for (_, fields) in kept {
        fields.insert(COMPUTED_BY.into(), VERSION.into());
        fields.insert(INPUTS.into(), inputs.to_string());
    }
}

/// Says in the advice how many writes were to be kept.
pub fn with_reserve(kept: &mut [(EventKind, Fields)], reserve: Option<u32>) {
    if let (Some((_, fields)), Some(reserve)) = (kept.last_mut(), reserve) {
        fields.insert(RESERVE.into(), reserve.to_string());
    }
}

/// What of an entry was asked, and not answered.
pub fn asked(fields: &Fields) -> Vec<(String, String)> {
    const ANSWERS: [&str; 5] = ["advice", "value", "expected_ratio", "verdict", "probability"];
    const OWN: [&str; 4] = [COMPUTED_BY, INPUTS, REQUEST, REQUESTED];
    let is_asked = |name: &&String| !ANSWERS.contains(&name.as_str()) && !OWN.contains(&name.as_str());
    let asked = fields.iter().filter(|(name, _)| is_asked(name));
    asked.map(|(name, value)| (name.clone(), value.clone())).collect()
}

/// The hash of a vehicle file, of every file its evidence names, and of what was asked.
pub fn inputs(text: &str, vehicle: &Vehicle, folder: &Path, asked: &[(String, String)]) -> Hash {
    let hash =
        |name: &str| hash_of_file(&folder.join(name)).map_or("none".to_string(), |hash| hash.to_string());
    let files = files_of(vehicle).map(|name| (name.to_string(), hash(name)));
    let file = [("vehicle".to_string(), Hash::new(text.as_bytes()).to_string())];
    let parts: Vec<(String, String)> = file.into_iter().chain(files).chain(asked.iter().cloned()).collect();
    hash_of_parts(parts.iter().map(|(name, value)| (name.as_str(), value.as_str())))
}
