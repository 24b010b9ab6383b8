//! Requests that may be sent again: a key of the sender's, and the hash of what is asked for.

use super::fields::Given;
use crate::ledger::Request;
use truing::record::{EventKind, Hash};

/// How the keys of the page's own forms begin.
pub const OF_A_PAGE: &str = "page-";

/// A request under a key, where it has one. `what` and `of` say what is asked for and of which vehicle.
pub fn requested(
    key: Option<&str>,
    what: &str,
    of: &str,
    asked: &[(&str, Option<String>)],
) -> Option<Request> {
    let key = key.map(str::trim).filter(|key| !key.is_empty())?.to_string();
    let given = asked.iter().filter_map(|(name, value)| Some((*name, value.as_deref()?)));
    let asked = hash_of_parts([("what", what), ("of", of)].into_iter().chain(given));
    // A page can be gone back to and its form filled in otherwise; only the very same is the same request then.
    let key = match key.starts_with(OF_A_PAGE) {
        true => format!("{key}-{}", asked.to_string().get(..16).unwrap_or_default()),
        false => key,
    };
    Some(Request { key, asked })
}

/// The hash of named parts. Each stands in the text with its length, so that no two lists come to the same.
pub fn hash_of_parts<'p>(parts: impl Iterator<Item = (&'p str, &'p str)>) -> Hash {
    let whole: String =
        parts.map(|(name, value)| format!("{}:{name}={}:{value};", name.len(), value.len())).collect();
    Hash::new(whole.as_bytes())
}

impl Given<'_> {
    /// The request to add what was typed.
    pub fn request(
        &self,
        key: Option<&str>,
        kind: EventKind,
        of: &str,
        source: &[(String, String)],
    ) -> Option<Request> {
        let text = |text: Option<&str>| text.map(str::to_string);
        let typed =
            [("odometer", text(self.odometer)), ("text", text(self.text)), ("value", text(self.value))];
        let more = self.more.iter().map(|(name, value)| (*name, Some((*value).to_string())));
        let source = source.iter().map(|(name, value)| (name.as_str(), Some(value.clone())));
        let asked: Vec<(&str, Option<String>)> = typed.into_iter().chain(more).chain(source).collect();
        requested(key, kind.word(), of, &asked)
    }
}
