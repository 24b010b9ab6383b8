//! The bytes of an entry, and their hash.
//!
//! The hash is SHA-256 (FIPS 180-4) over the following bytes. A *number* is an unsigned 64-bit integer, most
//! significant byte first. A *text* is a number, its length in bytes, followed by its UTF-8 bytes. So no two
//! entries have the same bytes: every length stands before what it measures.
//!
//! 1. the text `waywiser record 1`
//! 2. the number of the entry, counted from 1
//! 3. the time: nanoseconds since 1970-01-01T00:00:00Z, leap seconds not counted, as a signed 128-bit
//!    integer in two's complement, most significant byte first
//! 4. the vehicle, a text
//! 5. the word of the kind, a text
//! 6. how many fields there are, a number; for each field, in the order of the bytes of its name, its name
//!    and its value, two texts
//! 7. the hash of the entry before, 32 bytes; for the first entry 32 zero bytes

use super::event::Draft;
use crate::problem::Problem;
use sha2::{Digest, Sha256};

/// The text that every encoded entry begins with; another encoding will have another one.
const ENCODING: &str = "waywiser record 1";

/// A SHA-256 hash.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hash([u8; 32]);

impl Hash {
    /// What stands before the first entry: 32 zero bytes.
    pub const NONE: Self = Self([0; 32]);

    /// The hash of some bytes.
    pub fn new(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// Reads 64 hexadecimal digits. Capitals and spaces between them are forgiven: it may come from paper.
    pub fn read(text: &str) -> Result<Self, Problem> {
        let digits: Vec<u8> = text.chars().filter(|c| !c.is_whitespace()).map_while(hex_digit).collect();
        let letters = text.chars().filter(|c| !c.is_whitespace()).count();
        let mut bytes = [0; 32];
        if digits.len() != 64 || letters != 64 {
            return Err(Problem::error("record", "64 hexadecimal digits", format!("`{text}`"))
                .in_part("hash")
                .hint("Copy the hash whole, as the check of the record prints it."));
        }
        for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
            *byte = pair[0] << 4 | pair[1];
        }
        Ok(Self(bytes))
    }

    /// The hash of these 32 bytes as they were kept.
    pub fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(bytes)
    }

    /// The 32 bytes.
    pub fn bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

fn hex_digit(letter: char) -> Option<u8> {
    letter.to_digit(16).and_then(|digit| u8::try_from(digit).ok())
}

impl core::fmt::Display for Hash {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// The bytes of an entry as the head of this module lays them down.
pub fn canonical_bytes(sequence: u64, previous: &Hash, draft: &Draft) -> Vec<u8> {
    let mut bytes = Vec::new();
    put_text(&mut bytes, ENCODING);
    bytes.extend(sequence.to_be_bytes());
    bytes.extend(draft.time.as_nanosecond().to_be_bytes());
    put_text(&mut bytes, &draft.vehicle);
    put_text(&mut bytes, draft.kind.word());
    bytes.extend((draft.fields.len() as u64).to_be_bytes());
    for (name, value) in &draft.fields {
        put_text(&mut bytes, name);
        put_text(&mut bytes, value);
    }
    bytes.extend(previous.bytes());
    bytes
}

fn put_text(bytes: &mut Vec<u8>, text: &str) {
    bytes.extend((text.len() as u64).to_be_bytes());
    bytes.extend(text.as_bytes());
}

/// The hash of an entry.
pub fn hash_of(sequence: u64, previous: &Hash, draft: &Draft) -> Hash {
    Hash::new(&canonical_bytes(sequence, previous, draft))
}
