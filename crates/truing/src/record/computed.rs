//! Which entries the program computed, and which are the owner's word.
//!
//! Estimates, choices and proofs can be typed by hand. Those that the program made say by which version
//! (`computed_by`) and from which inputs (`inputs_sha256`); nobody can type these two fields. What does not carry them is
//! shown as the owner's word.

use super::correction::Fields;
use super::event::EventKind;
use crate::nearest::nearest;
use crate::problem::{Field, Problem};

/// The field with the version of the program that computed an entry.
pub const COMPUTED_BY: &str = "computed_by";
/// The field with the SHA-256 of what it was computed from.
pub const INPUTS: &str = "inputs_sha256";
/// The field with the key of the request that an entry answers.
pub const REQUEST: &str = "request";
/// The field with the SHA-256 of what the request asked for.
pub const REQUESTED: &str = "request_sha256";

/// Fields that only the program fills in.
const OWN: [&str; 4] = [COMPUTED_BY, INPUTS, REQUEST, REQUESTED];

/// Whether an entry is of a kind that can be computed, and was not.
pub fn is_owners_word(kind: EventKind, fields: &Fields) -> bool {
    let can_be = matches!(kind, EventKind::Estimate | EventKind::Choice | EventKind::Proof);
    can_be && !(fields.contains_key(COMPUTED_BY) && fields.contains_key(INPUTS))
}

/// Fields that can be typed by hand: those that something is derived from, then those that are kept as they are.
const TYPED: [&str; 52] = [
    "acts",
    "adjuster",
    "advice",
    "corrects",
    "date",
    "done_on",
    "entered_late",
    "every",
    "expected_ratio",
    "from",
    "from_reason",
    "full",
    "label",
    "limit",
    "note",
    "odometer",
    "odometer_before",
    "opened",
    "part",
    "present",
    "probability",
    "reading_ratio",
    "reason",
    "reserve",
    "rule",
    "setting",
    "standard_uncertainty",
    "sure_because",
    "text",
    "tires",
    "to",
    "touches",
    "value",
    "verdict",
    "volume",
    "what",
    "writes_left",
    "writes_left_after",
    "writes_left_before",
    "not_made",
    "by",
    "done_by",
    "who",
    "buyer",
    "seller",
    "shop",
    "place",
    "cost",
    "invoice",
    "number",
    "quantity",
    "weather",
];

/// Refuses a field that only the program fills in, and one that nobody knows.
pub fn typed_by_hand(name: &str) -> Result<(), Problem> {
    if TYPED.contains(&name) {
        return Ok(());
    }
    if !OWN.contains(&name) {
        let hint = match nearest(name, TYPED) {
            Some(meant) => format!("Did you mean `{meant}`?"),
            None => format!("Put what fits nowhere else into `note`. Known are: {}.", TYPED.join(", ")),
        };
        let problem = Problem::error("record", "a field of an entry", format!("`{name}`"));
        return Err(problem.in_part(Field::EntryField).hint(hint));
    }
    Err(Problem::error("record", "a field that can be typed by hand", format!("`{name}`"))
        .in_part(name)
        .hint("The program fills it in where it computed the entry itself. Give it another name."))
}
