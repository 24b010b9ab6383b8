//! What comes in while a drive is recorded.

use super::record::Fix;

/// One thing that came in.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// A fix, and when it was delivered (s, steady clock).
    Fix(Fix, f64),
    /// There are no fixes from now on, and why, in a word.
    Lost(&'static str, f64),
    /// Somebody typed a line.
    Typed(String, f64),
    /// It is to end.
    Stop(f64),
}
