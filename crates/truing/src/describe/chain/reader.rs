//! What reads the signal: dial, odometer, computers, each with its own idea of a mile.

use crate::describe::file::document::Entry;
use crate::describe::file::key::{Key, Kind};
use crate::describe::file::keys::reader as keys;
use crate::describe::file::words::words;
use metrology::quantity::PerLength;

words! {
    /// The link of the chain after which a reader branches off.
    Branch {
        /// The sensor's own wire or cable.
        Sensor = "sensor",
        /// After the conditioner.
        Conditioner = "conditioner",
        /// After everything that can be set.
        Adjuster = "adjuster",
    }
}

words! {
    /// How an instrument shows.
    Needle {
        /// A pointer, which has a gain of its own.
        Analog = "analog",
        /// Digits.
        Digital = "digital",
    }
}

words! {
    /// What a reader is.
    Role {
        /// Shows the speed.
        Dial = "dial",
        /// Adds up the distance.
        Odometer = "odometer",
        /// Decides when to shift.
        Transmission = "transmission",
        /// Guards the transfer case.
        TransferCase = "transfer-case",
    }
}

/// One reader of the signal.
#[derive(Clone, Debug, PartialEq)]
pub struct Reader {
    /// Its name.
    pub name: String,
    /// What it is; a name of the owner's own gives none, `[head]` gives dial and odometer.
    pub roles: Vec<Role>,
    /// The link it branches off; the last one when not said.
    pub after: Option<Branch>,
    /// Counts (or turns of its cable) that it takes for a length of road.
    pub takes: Option<Takes>,
    /// How it shows.
    pub needle: Option<Needle>,
    /// Line in the file, counted from 1.
    pub line: usize,
}

/// What a reader takes for a length of road.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Takes {
    /// Counts of the electric signal.
    Counts(PerLength),
    /// Turns of the cable.
    Turns(PerLength),
}

impl Takes {
    /// The number, whatever it counts.
    pub fn per_length(self) -> PerLength {
        match self {
            Self::Counts(number) | Self::Turns(number) => number,
        }
    }
}

/// Reads one `[[reader]]`.
pub(crate) fn read(entry: &Entry<'_>) -> Option<Reader> {
    let name = entry.get(&keys::NAME);
    let after = entry.get(&keys::AFTER);
    let (takes, needle) = (takes(entry), entry.get(&keys::NEEDLE));
    let name = name?;
    let roles = <Role as crate::describe::file::words::Words>::WORDS.iter();
    let roles = roles.filter(|(word, _)| *word == name).map(|(_, role)| *role).collect();
    Some(Reader { name, roles, after, takes, needle, line: entry.line() })
}

/// Reads `[head]`, the short form for one reader that is both dial and odometer.
pub(crate) fn read_head(entry: &Entry<'_>) -> Reader {
    Reader {
        name: "head".into(),
        roles: vec![Role::Dial, Role::Odometer],
        after: None,
        takes: takes(entry),
        needle: entry.get(&keys::NEEDLE),
        line: entry.line(),
    }
}

fn takes(entry: &Entry<'_>) -> Option<Takes> {
    fn one<K: Kind<Out = PerLength>>(entry: &Entry<'_>, key: &Key<K>) -> Option<(&'static str, PerLength)> {
        Some((key.name, entry.get(key)?))
    }
    let counts = [one(entry, &keys::COUNTS_PER_MILE), one(entry, &keys::COUNTS_PER_KM)];
    let turns = [one(entry, &keys::TURNS_PER_MILE), one(entry, &keys::TURNS_PER_KM)];
    let counts = counts.into_iter().flatten().map(|(name, number)| (name, Takes::Counts(number)));
    let turns = turns.into_iter().flatten().map(|(name, number)| (name, Takes::Turns(number)));
    let said: Vec<(&str, Takes)> = counts.chain(turns).collect();
    if said.len() > 1 {
        let names: Vec<&str> = said.iter().map(|(name, _)| *name).collect();
        entry.itself().wrong::<()>(
            "one of the four keys for a mile or km",
            names.join(", "),
            "Keep one of them",
        );
    }
    said.first().map(|(_, takes)| *takes)
}
