//! A document of the report as part of a page: the same blocks as on paper.

use crate::paper::block;
use maud::Markup;
use truing::report::document::{Block, Chart, Document};

/// All parts of a document but its title.
pub fn whole(document: &Document) -> Markup {
    block::all(&document.blocks)
}

/// Some blocks.
pub fn blocks(blocks: &[Block]) -> Markup {
    block::all(blocks)
}

/// One picture with its words.
pub fn chart(chart: &Chart) -> Markup {
    block::all(&[Block::Chart(chart.clone())])
}
