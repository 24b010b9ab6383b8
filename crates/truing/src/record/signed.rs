//! The owner's signature under how far the record went (Ed25519, RFC 8032).
//!
//! What is signed is [`MEANS`], the count of entries as eight bytes, the highest first, and the 32 bytes of the hash of the
//! last of them. A signature shows that whoever holds the key signed this head at this count; not who that is, not when, and
//! not that what the entries say is true.

use super::canonical::Hash;
use super::sheet_code::{HEAD_BYTES, SheetCode};
use crate::problem::Problem;
use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};

/// What keeps a signature of ours from being taken for one of anything else.
const MEANS: &[u8] = b"waywiser: head of a record, 1\n";

/// A key that signs. Whoever has its seed can sign in the owner's place.
pub struct OwnerKey(SigningKey);

impl OwnerKey {
    /// The key of a seed, 32 bytes that nobody can guess.
    pub fn of_seed(seed: &[u8; 32]) -> Self {
        Self(SigningKey::from_bytes(seed))
    }

    /// The part that everybody may know, as 64 hexadecimal digits.
    pub fn public(&self) -> String {
        Hash::from_bytes(self.0.verifying_key().to_bytes()).to_string()
    }

    /// Signs that a record had so many entries, and what the hash of the last was. None for more entries than a sheet code
    /// holds, which is 4 294 967 295.
    pub fn sign(&self, entries: u64, head: &Hash) -> Option<SheetCode> {
        let signature = self.0.sign(&signed_bytes(entries, head)).to_bytes();
        let mut head_begins = [0; HEAD_BYTES];
        head_begins.copy_from_slice(head.bytes().get(..HEAD_BYTES)?);
        let key = self.0.verifying_key().to_bytes();
        Some(SheetCode { entries: u32::try_from(entries).ok()?, head_begins, key, signature })
    }
}

fn signed_bytes(entries: u64, head: &Hash) -> Vec<u8> {
    [MEANS, &entries.to_be_bytes(), head.bytes()].concat()
}

impl SheetCode {
    /// The public part of the key that signed, as 64 hexadecimal digits.
    pub fn key(&self) -> String {
        Hash::from_bytes(self.key).to_string()
    }

    /// What speaks against it, held against the hash that the record has at the entry it names; nothing where it was signed
    /// by the holder of its key.
    pub fn objection(&self, head: &Hash) -> Option<Problem> {
        let place = format!("the hash of entry {}", self.entries);
        if !head.bytes().starts_with(&self.head_begins) {
            let begins: String = self.head_begins.iter().map(|byte| format!("{byte:02x}")).collect();
            return Some(
                Problem::error("sheet code", format!("{place} to begin with {begins}"), head.to_string()).hint(
                    "An entry up to there was changed since the sheet was printed, or the sheet is of another record.",
                ),
            );
        }
        let key = VerifyingKey::from_bytes(&self.key).ok();
        let signature = Signature::from_bytes(&self.signature);
        let bytes = signed_bytes(u64::from(self.entries), head);
        // Strictly: a key or a signature of an unusual form, which could fit several messages, is refused.
        let is_signed = key.is_some_and(|key| key.verify_strict(&bytes, &signature).is_ok());
        (!is_signed).then(|| {
            Problem::error(
                "sheet code",
                format!("{place}, signed with the key of the sheet"),
                "another signature",
            )
            .hint("The sheet was not made by the holder of this key for this record. Ask who made it.")
        })
    }
}
