//! Any document of the report on sheets: its title, and its blocks in order.

use super::font::Weight;
use super::piece::{Node, Part, Pen};
use super::setter::{BODY, Look, PLAIN, Setter, marks_of};
use super::words::{bold, cut, extent, plain};
use super::{chain, figure, form, steps, table, timeline};
use krilla::tagging::{ListNumbering, Tag};
use truing::report::document::{Block, Document};

/// Sizes of a title; a long one is smaller.
const TITLES: [f64; 3] = [22.0, 17.0, 13.5];
/// Size of the answer.
pub const ANSWER: f64 = 25.0;
/// Widest drawing.
const DRAWING: f64 = 300.0;
/// Where the words of a numbered line begin.
const NUMBERED: f64 = 16.0;
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
            Block::Answer(text) => setter.paragraph(&bold(text), Look { size: ANSWER, grey: 0 }, width),
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
            Block::Chain(links) => chain::chain(setter, links, width),
            Block::Method(lines) => method(setter, lines, width),
            Block::Drawing(which) => figure::drawing(setter, *which, width.min(DRAWING)),
            Block::Form(table) => form::form(setter, table, width),
            Block::Lines(names) => form::fields(setter, names, width),
        };
        whole.then(part);
    }
    // A caution stays with the step it is about; the last block has nothing to stay with.
    whole.pieces.last_mut().into_iter().for_each(|last| last.with_next = false);
    whole
}

/// Numbered lines without boxes.
fn method(setter: &mut Setter, lines: &[String], width: f64) -> Part {
    let mut part = Part::default();
    let mut items = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        let (label, label_node) = setter.tagged(Tag::Lbl);
        let (leaf, node) = setter.tagged(Tag::P);
        let mut pieces = setter.lines_at(&plain(line), PLAIN, NUMBERED, width, Some(leaf));
        let number = cut(setter.fonts, &format!("{}.", index + 1), Weight::Bold, NUMBERED / BODY);
        if let Some(first) = pieces.first_mut() {
            first.marks.splice(0..0, marks_of(&number, (0.0, 0.0), BODY, 0, Some(label)));
            first.space = 2.0;
        }
        part.pieces.extend(pieces);
        items.push(Node::Group(Tag::LI.into(), vec![label_node, Node::Group(Tag::LBody.into(), vec![node])]));
    }
    part.nodes = vec![Node::Group(Tag::L(ListNumbering::Decimal).into(), items)];
    part.after(4.0)
}
