//! A document of the report as part of a page: the same blocks as on paper.

use super::blocks::figure;
use crate::paper::block;
use maud::Markup;
use truing::report::document::{Block, Document};

/// All parts of a document but its title.
pub fn whole(document: &Document) -> Markup {
    blocks(&document.blocks)
}

/// Some blocks.
pub fn blocks(blocks: &[Block]) -> Markup {
    block::all_with(blocks, figure)
}
