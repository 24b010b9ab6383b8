//! Writes already made.

use crate::describe::adjuster::setting::Setting;
use crate::describe::file::document::Entry;
use crate::describe::file::keys::written as keys;
use jiff::civil::Date;
use metrology::quantity::Length;
use metrology::text::Typed;

/// One write.
#[derive(Clone, Debug, PartialEq)]
pub struct Write {
    /// When.
    pub date: Date,
    /// What was set before.
    pub from: Setting,
    /// What was set.
    pub to: Setting,
    /// Name of the adjuster; the first when `None`.
    pub adjuster: Option<String>,
    /// What the odometer showed.
    pub odometer: Option<Typed<Length>>,
    /// Line in the file, counted from 1.
    pub line: usize,
}

/// Reads one `[[written]]`.
pub(crate) fn read(entry: &Entry<'_>) -> Option<Write> {
    let (date, from, to) = (entry.get(&keys::DATE), entry.get(&keys::FROM), entry.get(&keys::TO));
    let (adjuster, odometer) = (entry.get(&keys::ADJUSTER), entry.get(&keys::ODOMETER));
    Some(Write { date: date?, from: from?, to: to?, adjuster, odometer, line: entry.line() })
}
