//! What each piece of evidence says without the others: the same fusion, over that piece and what is believed beforehand.

use super::{Quantities, fuse};
use crate::describe::vehicle::Vehicle;
use crate::measure::drive::DriveEstimate;

/// One piece of evidence by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Alone {
    /// Its place in the vehicle file.
    pub index: usize,
    /// What it says, with what is believed of the tires and the hardware before anything is measured.
    pub quantities: Quantities,
}

/// Each piece of the file by itself, in the order of the file. `drives` are those that were read, by index of the evidence.
/// What a piece cannot tell alone is `None` in its quantities; a piece that cannot be used at all is left out.
pub fn each_alone(source: &str, vehicle: &Vehicle, drives: &[(usize, DriveEstimate)]) -> Vec<Alone> {
    some_alone(source, vehicle, drives, 0..vehicle.evidence.len())
}

/// The same of some pieces, by their places in the file.
pub fn some_alone(
    source: &str,
    vehicle: &Vehicle,
    drives: &[(usize, DriveEstimate)],
    indices: impl IntoIterator<Item = usize>,
) -> Vec<Alone> {
    // Copied once without its evidence: with it, each piece would copy all others.
    let mut only = Vehicle { evidence: Vec::new(), ..vehicle.clone() };
    let alone = |index: usize| {
        only.evidence = vec![vehicle.evidence.get(index)?.clone()];
        let own = drives.iter().filter(|(of, _)| *of == index).map(|(_, drive)| (0, drive.clone())).collect();
        let (estimate, _) = fuse(source, &only, own);
        let is_used = estimate.evidence.iter().any(|piece| !piece.is_prior);
        is_used.then_some(Alone { index, quantities: estimate.over_all })
    };
    indices.into_iter().filter_map(alone).collect()
}
