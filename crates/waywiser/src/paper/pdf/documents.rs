//! Any document of the report on sheets: its title, and its blocks in order.

use super::piece::{Part, Pen};
use super::setter::{PLAIN, Setter};
use super::words::{bold, extent, plain};
use super::{figure, steps, table, timeline};
use truing::report::document::{Block, Document};

/// Sizes of a title; a long one is smaller.
const TITLES: [f64; 3] = [22.0, 17.0, 13.5];
/// Widest picture: its words are then about as large as those around it.
const PICTURE: f64 = 290.0;

/// All of it.
pub fn document(setter: &mut Setter, document: &Document, kind: &str, width: f64) -> Part {
    let mut whole = title(setter, &document.title, kind, width);
    whole.then(blocks(setter, &document.blocks, width));
    whole
}

/// The title, or the kind of paper where there is none.
pub fn title(setter: &mut Setter, text: &str, kind: &str, width: f64) -> Part {
    let text = if setter.fonts.printable(text).trim().is_empty() { kind } else { text };
    let (_, ems) = extent(setter.fonts, &bold(text));
    let size = TITLES.into_iter().find(|size| ems * size <= width).unwrap_or(TITLES[2]);
    let mut part = setter.heading(text, 1, size, width);
    let rule = setter.rule(width, Pen::new(1.6, 0));
    part.then(rule.after(1.0));
    part
}

/// Blocks one under another; steps are numbered on until the next heading.
pub fn blocks(setter: &mut Setter, blocks: &[Block], width: f64) -> Part {
    let mut whole = Part::default();
    let mut next_step = 1;
    for block in blocks {
        let part = match block {
            Block::Heading(text) => {
                next_step = 1;
                setter.section(text, width)
            }
            Block::Sentence(text) => setter.paragraph(&plain(text), PLAIN, width),
            Block::Caution(text) => setter.caution(text, width).with_next(),
            Block::Table(one) => table::table(setter, one, width),
            Block::Steps(all) => {
                let part = steps::steps(setter, all, next_step, width);
                next_step += all.len();
                part
            }
            Block::Timeline(moments) => timeline::timeline(setter, moments, width),
            Block::Chart(chart) => figure::figure(setter, chart, width.min(PICTURE)).after(10.0),
        };
        whole.then(part);
    }
    // A caution stays with the step it is about; the last block has nothing to stay with.
    whole.pieces.last_mut().into_iter().for_each(|last| last.with_next = false);
    whole
}
