//! What the faces show: words, rounded numbers, chart series. Plain data; no layout and no HTML.

pub mod document;
pub mod tire;
pub mod value;
pub mod words;
