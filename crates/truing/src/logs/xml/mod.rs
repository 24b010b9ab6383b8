//! What the readers of XML share: events, elements, points.

mod plain;
pub(super) mod point;
pub(super) mod scan;
