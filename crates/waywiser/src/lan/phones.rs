//! The phones that were let in, by the hashes of their keys. None is ever taken out of the list: one whose key was taken away
//! stays, with the day.

use super::digits::digits;
use crate::world;
use jiff::{Timestamp, ToSpan};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, value};
use truing::problem::{Problem, Problems};
use truing::record::Hash;

const FILE: &str = "network-phones.toml";
const HEAD: &str = "# The phones that may hand runs over, by the SHA-256 of their keys; the keys themselves are on the phones alone.\n";
/// More are not let in; a garage has a few.
const MOST: usize = 100;
/// When a phone was seen is noted at most so often.
const NOTED_AFTER_MIN: i64 = 1;
/// Letters of a phone's name at most.
pub const LONGEST_NAME: usize = 40;

/// A phone that was let in.
#[derive(Clone, Debug, PartialEq)]
pub struct Phone {
    /// By which its key is taken away.
    pub id: String,
    /// What it was called when it was let in.
    pub name: String,
    /// When that was.
    pub first_seen: Timestamp,
    /// When it came last.
    pub last_seen: Timestamp,
    /// When its key was taken away.
    pub revoked: Option<Timestamp>,
    key_hash: String,
}

/// All of a garage.
pub struct Phones {
    path: PathBuf,
    known: Mutex<Vec<Phone>>,
}

impl Phones {
    /// Those of a garage.
    pub fn of(folder: &Path) -> Result<Self, Box<Problem>> {
        let path = folder.join(FILE);
        let known = if world::stamp(&path).is_some() { read(&path)? } else { Vec::new() };
        Ok(Self { path, known: Mutex::new(known) })
    }

    /// All of them, the newest first.
    pub fn all(&self) -> Vec<Phone> {
        self.locked().iter().rev().cloned().collect()
    }

    /// Lets one in; its key, which is told to nobody else and kept nowhere.
    pub fn add(&self, name: &str, now: Timestamp) -> Result<String, Problems> {
        let mut known = self.locked();
        if known.len() >= MOST {
            let problem = Problem::error("phones", format!("{MOST} at most"), "one more");
            return Err(problem.hint("Delete network-phones.toml to begin again.").into());
        }
        let (key, id) = (digits(&world::secret()?), digits(world::secret()?.get(..4).unwrap_or_default()));
        let name: String = name.trim().chars().filter(|sign| !sign.is_control()).take(LONGEST_NAME).collect();
        let name = if name.is_empty() { "Phone".to_string() } else { name };
        let key_hash = Hash::new(key.as_bytes()).to_string();
        let mut more = known.clone();
        more.push(Phone { id, name, first_seen: now, last_seen: now, revoked: None, key_hash });
        self.keep(&more)?;
        *known = more;
        Ok(key)
    }

    /// Whether a key is one of a phone that may come; then it was seen.
    pub fn admits(&self, key: &str, now: Timestamp) -> bool {
        let hash = Hash::new(key.as_bytes()).to_string();
        let mut known = self.locked();
        // All are compared, whichever it is.
        let mut found = None;
        for (place, phone) in known.iter().enumerate() {
            if world::is_same(&hash, &phone.key_hash) && phone.revoked.is_none() {
                found = Some(place);
            }
        }
        let Some(phone) = found.and_then(|place| known.get_mut(place)) else { return false };
        let is_due = phone.last_seen.checked_add(NOTED_AFTER_MIN.minutes()).is_ok_and(|due| now >= due);
        if is_due {
            phone.last_seen = now;
            // A note that may be lost.
            let _ = self.keep(&known);
        }
        true
    }

    /// Takes the key of a phone away; whether there is such a phone.
    pub fn revoke(&self, id: &str, now: Timestamp) -> Result<bool, Box<Problem>> {
        let mut known = self.locked();
        let mut after = known.clone();
        let Some(phone) = after.iter_mut().find(|phone| phone.id == id) else { return Ok(false) };
        phone.revoked = phone.revoked.or(Some(now));
        // In force at once, whether it can be kept or not.
        *known = after;
        self.keep(&known).map(|()| true)
    }

    fn keep(&self, phones: &[Phone]) -> Result<(), Box<Problem>> {
        let mut tables = ArrayOfTables::new();
        for phone in phones {
            let mut table = Table::new();
            table["id"] = value(&phone.id);
            table["name"] = value(&phone.name);
            table["key_hash"] = value(&phone.key_hash);
            table["first_seen"] = value(phone.first_seen.to_string());
            table["last_seen"] = value(phone.last_seen.to_string());
            if let Some(revoked) = phone.revoked {
                table["revoked"] = value(revoked.to_string());
            }
            tables.push(table);
        }
        let mut document = DocumentMut::new();
        document["phone"] = Item::ArrayOfTables(tables);
        world::replace(&self.path, format!("{HEAD}{document}").as_bytes())
    }

    fn locked(&self) -> MutexGuard<'_, Vec<Phone>> {
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn read(path: &Path) -> Result<Vec<Phone>, Box<Problem>> {
    let text = world::read_text(path)?;
    let read = || {
        let document: DocumentMut = text.parse().ok()?;
        let Some(phones) = document.get("phone") else { return Some(Vec::new()) };
        phones.as_array_of_tables()?.iter().map(phone).collect()
    };
    read().ok_or_else(|| {
        let problem = Problem::error(path.display().to_string(), "a list of phones", "something else");
        Box::new(problem.hint("The file is damaged. Delete it: every phone has to be let in again then."))
    })
}

fn phone(table: &Table) -> Option<Phone> {
    let text = |key: &str| table.get(key)?.as_str();
    let revoked = match table.get("revoked") {
        Some(revoked) => Some(revoked.as_str()?.parse().ok()?),
        None => None,
    };
    Some(Phone {
        id: text("id")?.to_string(),
        name: text("name")?.to_string(),
        first_seen: text("first_seen")?.parse().ok()?,
        last_seen: text("last_seen")?.parse().ok()?,
        revoked,
        key_hash: text("key_hash")?.to_string(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_opens_until_it_is_taken_away_and_is_kept_nowhere() {
        let folder = world::folder_for_a_test("phones");
        world::make_folders(&folder).unwrap();
        let (phones, now) = (Phones::of(&folder).unwrap(), world::now());
        let key = phones.add("  the blue one\n", now).unwrap();
        let other = phones.add("", now).unwrap();
        assert_eq!((key.len(), phones.all()[0].name.as_str()), (64, "Phone"));
        let kept = world::read_text(&folder.join(FILE)).unwrap();
        assert!(!kept.contains(&key) && kept.contains("the blue one"), "{kept}");
        for wrong in ["", "0", &key[1..], &format!("{key}0"), &Hash::new(key.as_bytes()).to_string()] {
            assert!(!phones.admits(wrong, now), "{wrong}");
        }
        // Another start knows the same phones.
        let again = Phones::of(&folder).unwrap();
        assert!(again.admits(&key, now + 2.minutes()) && again.admits(&other, now));
        let blue = again.all()[1].clone();
        assert_eq!((blue.name.as_str(), blue.last_seen), ("the blue one", now + 2.minutes()));
        assert!(again.revoke(&blue.id, now).unwrap() && !again.revoke("none", now).unwrap());
        assert!(!again.admits(&key, now) && again.admits(&other, now));
        let after = Phones::of(&folder).unwrap();
        assert!(!after.admits(&key, now) && after.admits(&other, now));
        assert_eq!(after.all().len(), 2, "who was there stays in the list");
    }

    #[test]
    fn a_damaged_list_lets_nobody_in() {
        let folder = world::folder_for_a_test("phones-damaged");
        world::write(&folder.join(FILE), b"[[phone]]\nid = 1\n", false).unwrap();
        assert!(Phones::of(&folder).is_err_and(|problem| problem.to_string().contains("list of phones")));
    }
}
