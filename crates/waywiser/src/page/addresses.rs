//! The address map: where each page stands, and the way from a truck to each of its stages.

use crate::garage::Slug;
use axum::http::Uri;

/// The stages, in order, as they stand in the navigation.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Stage {
    /// What is on the truck.
    Describe,
    /// How far it truly goes for what it shows.
    Measure,
    /// What to store.
    Choose,
    /// How to store it.
    Set,
    /// Whether it is now true.
    Prove,
    /// What was done when.
    Record,
}

impl Stage {
    /// All six.
    pub const ALL: [Self; 6] =
        [Self::Describe, Self::Measure, Self::Choose, Self::Set, Self::Prove, Self::Record];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Describe => "Describe",
            Self::Measure => "Measure",
            Self::Choose => "Choose",
            Self::Set => "Set",
            Self::Prove => "Prove",
            Self::Record => "Record",
        }
    }

    /// Its address for a truck.
    pub fn of(self, slug: &Slug) -> String {
        truck(slug, &self.name().to_lowercase())
    }
}

/// The garage.
pub const GARAGE: &str = "/";
/// Adds a truck.
pub const ADD: &str = "/add";
/// Adds the sample truck.
pub const SAMPLE: &str = "/sample";
/// The owner's choices.
pub const SETTINGS: &str = "/settings";
/// Many drives at once.
pub const MANY_DRIVES: &str = "/batch";
/// One drive that belongs to no truck.
pub const ONE_DRIVE: &str = "/drive";
/// One recording that belongs to no truck.
pub const ONE_RECORDING: &str = "/recording";
/// A signal for the bench.
pub const BENCH: &str = "/bench";
/// The record of the whole garage.
pub const WHOLE_RECORD: &str = "/record";
/// What a size of tire means.
pub const TIRE: &str = "/tire";
/// The rules there are.
pub const RULES: &str = "/rules";
/// The numbers by which a setting is chosen.
pub const DECISION: &str = "/decision";

/// The manual.
pub const MANUAL: &str = "/manual";

/// A chapter of the manual.
pub fn manual(chapter: &str) -> String {
    format!("{MANUAL}/{chapter}")
}

/// Where the programming interface stands.
pub const API: &str = "/api/v1";

/// Whether an address is one of the programming interface.
pub fn is_of_the_api(address: &Uri) -> bool {
    is_under(address, API)
}

/// The phones that were let in, and how one is.
#[cfg(feature = "lan")]
pub const DEVICES: &str = "/devices";
/// Where a phone brings its code.
#[cfg(feature = "lan")]
pub const PAIR: &str = "/pair";
/// The certificate of this machine's root, for phones and for this machine.
#[cfg(feature = "lan")]
pub const ROOT: &str = "/run/root.crt";

/// The page on which a passenger records a drive.
pub const RUN: &str = "/run";

/// Whether an address is that page or belongs to it.
pub fn is_of_the_run(address: &Uri) -> bool {
    is_under(address, RUN)
}

/// Whether an address is another one or lies under it.
pub fn is_under(address: &Uri, above: &str) -> bool {
    address.path().strip_prefix(above).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

/// An address under a truck.
pub fn truck(slug: &Slug, rest: &str) -> String {
    format!("/trucks/{slug}/{rest}")
}

/// The page of a piece of evidence, by its place in the vehicle file.
pub fn piece(slug: &Slug, index: usize) -> String {
    truck(slug, &format!("evidence/{index}"))
}

/// As it may stand in the query of an address (RFC 3986, 2.3: all but the unreserved characters are escaped).
pub fn encoded(text: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._~".contains(&byte);
    let one = |byte: u8| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") };
    text.bytes().map(one).collect()
}
