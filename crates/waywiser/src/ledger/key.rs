//! The owner's key, a file beside the record that only the owner can read.

use super::store::Ledger;
use crate::world;
use std::path::{Path, PathBuf};
use toml_edit::DocumentMut;
use truing::problem::{Problem, Problems};
use truing::record::{Hash, OwnerKey};

/// The file in the garage's folder.
const FILE: &str = "record-key.toml";
const HEAD: &str = "# The key with which papers of this record are signed (Ed25519). Whoever has it can sign in your place.\n\
    # Keep a copy where only you reach it, and never give it away; what others may know is told by `waywiser record key`.\n";

/// The key of a garage; none where none was made.
pub fn key(garage: &Path) -> Result<Option<OwnerKey>, Problems> {
    let path = file(garage);
    if world::stamp(&path).is_none() {
        return Ok(None);
    }
    let text = world::read_text(&path)?;
    let seed = text
        .parse::<DocumentMut>()
        .ok()
        .and_then(|document| Hash::read(document.get("seed")?.as_str()?).ok());
    let seed = seed.ok_or_else(|| {
        // What was found is not told: it may be most of the key.
        let problem =
            Problem::error(path.display().to_string(), "seed = \"64 hexadecimal digits\"", "something else");
        Problems::from(
            problem
                .hint("The key is damaged, and nothing is signed. Put your copy of the file in its place."),
        )
    })?;
    Ok(Some(OwnerKey::of_seed(seed.bytes())))
}

/// Makes the key of a garage, once: one that is there stays.
pub fn make_key(garage: &Path) -> Result<OwnerKey, Problems> {
    if let Some(key) = key(garage)? {
        return Ok(key);
    }
    let seed = world::secret()?;
    let text = format!("{HEAD}seed = \"{}\"\n", Hash::from_bytes(seed));
    let path = file(garage);
    let made = world::make_folders(garage).and_then(|()| world::write_new_private(&path, text.as_bytes()));
    match made {
        Ok(()) => Ok(OwnerKey::of_seed(&seed)),
        // Another program made one meanwhile.
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
            key(garage)?.ok_or_else(|| unkept(&path, &error).into())
        }
        Err(error) => Err(unkept(&path, &error).into()),
    }
}

fn unkept(path: &Path, error: &std::io::Error) -> Problem {
    Problem::error(path.display().to_string(), "a place that can be written to", error.to_string())
        .hint("No key was made. See whether the disk is full or the folder belongs to somebody else.")
}

fn file(garage: &Path) -> PathBuf {
    garage.join(FILE)
}

impl Ledger {
    /// The key beside this record. One that cannot be read signs nothing; `record key` says why.
    pub(super) fn key(&self) -> Option<OwnerKey> {
        key(self.path.parent()?).ok().flatten()
    }
}
