//! What is printed on, and what a paper says of itself.

use jiff::civil::Date;
use truing::report::answers::record_head::RecordHead;

/// Sizes of sheets.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// US Letter, 8 1/2 by 11 in.
    #[default]
    Letter,
    /// ISO 216 A4, 210 by 297 mm.
    A4,
}

/// What a document says of itself.
#[derive(Clone, Debug, Default)]
pub struct About {
    /// Its title.
    pub title: String,
    /// What kind of document it is.
    pub kind: String,
    /// The last day of which the input speaks.
    pub date: Option<Date>,
    /// The program and its version.
    pub software: String,
    /// How far the record went when it was made, where there is one.
    pub record: Option<RecordHead>,
}
