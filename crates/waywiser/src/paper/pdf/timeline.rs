//! What happened, along an upright line: a dot for each moment, a larger full one where what is shown was changed or proved.

use super::font::{LEADING, Weight};
use super::piece::{Area, Mark, Node, Part, Pen, Piece, What};
use super::setter::{ASIDE, BETWEEN, BODY, PLAIN, Setter, marks_of};
use super::words::{bold, cut, plain};
use krilla::tagging::{ListNumbering, Tag};
use std::f64::consts::TAU;
use truing::report::document::Moment;

/// Where the line stands, right of the days, and where the words begin.
const LINE: f64 = 62.0;
const WORDS: f64 = 76.0;
/// Radius of a dot, and of one that stands out.
const DOT: f64 = 2.3;
const LARGE_DOT: f64 = 4.2;
/// Corners of a dot: enough to look round in print.
const CORNERS: usize = 24;
/// Room between two moments.
const APART: f64 = 3.5;
/// From the top of a line of words to its middle.
const MIDDLE: f64 = BODY * LEADING / 2.0;

/// Moments one under another.
pub fn timeline(setter: &mut Setter, moments: &[Moment], width: f64) -> Part {
    let mut pieces: Vec<Piece> = Vec::new();
    let mut items = Vec::new();
    let mut last_dot = 0;
    for moment in moments {
        let (own, item) = one(setter, moment, width);
        last_dot = pieces.len();
        pieces.extend(own);
        items.push(item);
    }
    // The line runs from the first dot to the last.
    for (index, piece) in pieces.iter_mut().enumerate().take(last_dot + 1) {
        let from = if index == 0 { MIDDLE } else { 0.0 };
        let to = if index == last_dot { MIDDLE } else { piece.height };
        piece.marks.insert(0, Mark::line((LINE, from), (LINE, to), Pen::new(1.2, 0)));
    }
    Part { pieces, nodes: vec![Node::Group(Tag::L(ListNumbering::None).into(), items)] }.after(BETWEEN)
}

/// A moment, a piece for each line of its words.
fn one(setter: &mut Setter, moment: &Moment, width: f64) -> (Vec<Piece>, Node) {
    let (label, label_node) = setter.tagged(Tag::Lbl);
    let (leaf, paragraph) = setter.tagged(Tag::P);
    let words = [bold(&moment.what), plain(format!(" {}", moment.says))].concat();
    let mut pieces = setter.lines_at(&words, PLAIN, WORDS, width, Some(leaf));
    if pieces.is_empty() {
        pieces.push(Piece { height: BODY * LEADING, ..Piece::default() });
    }
    let day = cut(setter.fonts, &moment.day, Weight::Regular, (LINE - 2.0 * LARGE_DOT) / ASIDE.size);
    let place = (0.0, MIDDLE - ASIDE.size * LEADING / 2.0);
    if let Some(first) = pieces.first_mut() {
        let mut marks = vec![dot(moment.stands_out)];
        marks.extend(marks_of(&day, place, ASIDE.size, ASIDE.grey, Some(label)));
        first.marks.splice(0..0, marks);
    }
    pieces.last_mut().into_iter().for_each(|last| last.height += APART);
    let body = Node::Group(Tag::LBody.into(), vec![paragraph]);
    (pieces, Node::Group(Tag::LI.into(), vec![label_node, body]))
}

fn dot(stands_out: bool) -> Mark {
    let radius = if stands_out { LARGE_DOT } else { DOT };
    let corner = |index: usize| {
        let angle = TAU * index as f64 / CORNERS as f64;
        (radius + radius * angle.cos(), radius + radius * angle.sin())
    };
    let runs = vec![(0..CORNERS).map(corner).collect()];
    let fill = Some(if stands_out { 0 } else { 255 });
    let what = What::Outline { runs, closed: true, fill, pen: Some(Pen::new(1.2, 0)) };
    let (left, top, side) = (LINE - radius, MIDDLE - radius, 2.0 * radius);
    Mark { area: Area { left, top, width: side, height: side }, what, leaf: None }
}
