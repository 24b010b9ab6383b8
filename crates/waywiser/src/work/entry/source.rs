//! Files that entries rest on: of each its name and its hash are kept, nothing of what stands in it.

use crate::world;
use std::path::Path;
use truing::problem::{Problem, Problems};
use truing::record::Hash;

/// The hash of a file, where it can be read.
pub fn hash_of_file(path: &Path) -> Option<Hash> {
    hash(path).ok()
}

/// Name and hash of a file, as fields of an entry.
pub fn source_of(path: &Path) -> Result<[(String, String); 2], Problems> {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let hash = hash(path)?;
    Ok([("source".to_string(), name), ("source_sha256".to_string(), hash.to_string())])
}

fn hash(path: &Path) -> Result<Hash, Box<Problem>> {
    let mut bytes = Vec::new();
    world::feed(path, |piece| bytes.extend_from_slice(piece))?;
    Ok(Hash::new(&bytes))
}
