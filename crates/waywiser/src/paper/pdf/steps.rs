//! Steps with boxes to tick, the irreversible ones in a heavy frame, and rows of count boxes for long runs of presses.

use super::font::{LEADING, Weight};
use super::piece::{Area, Mark, Node, Part, Pen, Piece};
use super::setter::{ASIDE, BODY, Look, PLAIN, Setter, marks_of};
use super::words::{Run, bold, cut, led, plain};
use krilla::tagging::{ListNumbering, Tag};
use truing::report::document::{Step, Tick};
use truing::set::Switch;

/// Side of a box to tick.
const BOX: f64 = 10.5;
/// Where the number of a step ends, and where its words begin.
const NUMBER_ENDS: f64 = 33.0;
const WORDS: f64 = 39.0;
/// Room above a step.
const ABOVE: f64 = 4.5;
/// Room around an irreversible step, inside its frame.
const ROOM: f64 = 5.0;
/// Side of a count box, and room after each.
const COUNT_BOX: f64 = 9.0;
const BETWEEN_COUNTS: f64 = 14.0;
const IRREVERSIBLE: &str = "CANNOT BE TAKEN BACK:";

/// Steps numbered from `first`.
pub fn steps(setter: &mut Setter, steps: &[Step], first: usize, width: f64) -> Part {
    let mut pieces = Vec::new();
    let mut items = Vec::new();
    for (index, step) in steps.iter().enumerate() {
        let (piece, item) = one(setter, step, first + index, width);
        pieces.extend(piece);
        items.push(item);
    }
    Part { pieces, nodes: vec![Node::Group(Tag::L(ListNumbering::Decimal).into(), items)] }
}

fn one(setter: &mut Setter, step: &Step, number: usize, width: f64) -> (Vec<Piece>, Node) {
    let (label, label_node) = setter.tagged(Tag::Lbl);
    let words: Vec<Run> = if step.irreversible { led(IRREVERSIBLE, &step.text) } else { plain(&step.text) };
    let inner = width - if step.irreversible { 2.0 * ROOM } else { 0.0 };
    let (leaf, paragraph) = setter.tagged(Tag::P);
    let mut pieces = setter.lines_at(&words, PLAIN, WORDS, inner, Some(leaf));
    let number = cut(setter.fonts, &format!("{number}."), Weight::Bold, NUMBER_ENDS / BODY);
    if let Some(first) = pieces.first_mut() {
        let start = NUMBER_ENDS - number.ems * BODY;
        let lead = marks_of(&number, (start, 0.0), BODY, 0, Some(label));
        let side = Area { left: 0.5, top: (BODY * LEADING - BOX) / 2.0 + 0.4, width: BOX, height: BOX };
        let tick_box = Mark::rectangle(side, None, Some(Pen::new(1.0, 0)));
        first.marks = [vec![tick_box], lead, std::mem::take(&mut first.marks)].concat();
    }
    let mut body = vec![paragraph];
    for more in [switches(setter, &step.switches, inner), count_boxes(setter, &step.ticks, inner)] {
        pieces.extend(more.pieces);
        body.extend(more.nodes);
    }
    for text in &step.otherwise {
        let beside = otherwise(setter, text, inner);
        pieces.extend(beside.pieces);
        body.extend(beside.nodes);
    }
    let mut part = Part { pieces, nodes: Vec::new() };
    if step.irreversible {
        part = part.framed(width, ROOM, Some(242), Some(Pen::new(2.0, 0)));
    }
    // A step of up to a dozen lines is not parted; a longer one may be.
    let part = if part.pieces.len() <= 12 { part.together() } else { part };
    let item = vec![label_node, Node::Group(Tag::LBody.into(), body)];
    (part.after(ABOVE).pieces, Node::Group(Tag::LI.into(), item))
}

/// What to do where the step does not come true: beside it, without a box, behind a bar.
fn otherwise(setter: &mut Setter, text: &str, width: f64) -> Part {
    let (leaf, node) = setter.tagged(Tag::P);
    let mut pieces = setter.lines_at(
        &plain(text),
        Look { size: ASIDE.size + 0.6, grey: 0 },
        WORDS + 9.0,
        width,
        Some(leaf),
    );
    for (index, piece) in pieces.iter_mut().enumerate() {
        piece.space = if index == 0 { 2.5 } else { 0.0 };
        let bar = Area { left: WORDS, top: 0.0, width: 2.2, height: piece.height };
        piece.marks.insert(0, Mark::rectangle(bar, Some(110), None));
    }
    Part { pieces, nodes: vec![node] }
}

/// Width and height of a switch, its lever, and the room that each takes.
const SWITCH: (f64, f64) = (13.0, 26.0);
const LEVER: f64 = 11.0;
const PER_SWITCH: f64 = 34.0;

/// Switches in a row, each with its weight above it and its word below.
fn switches(setter: &mut Setter, switches: &[Switch], width: f64) -> Part {
    let fonts = setter.fonts;
    let in_row = (((width - WORDS) / PER_SWITCH) as usize).max(1);
    let line = ASIDE.size * LEADING;
    let mut whole = Part::default();
    for row in switches.chunks(in_row) {
        let mut piece = Piece { space: 4.0, height: 2.0 * line + SWITCH.1 + 4.0, ..Piece::default() };
        for (index, switch) in row.iter().enumerate() {
            let left = WORDS + PER_SWITCH * index as f64;
            let frame = Area { left, top: line + 1.0, width: SWITCH.0, height: SWITCH.1 };
            let down = if switch.is_on { 1.5 } else { SWITCH.1 - LEVER - 1.5 };
            let lever =
                Area { left: left + 1.5, top: frame.top + down, width: SWITCH.0 - 3.0, height: LEVER };
            piece.marks.push(Mark::rectangle(frame, None, Some(Pen::new(1.0, 0))));
            piece.marks.push(Mark::rectangle(lever, Some(0), None));
            let (leaf, node) = setter.tagged(Tag::P);
            let word = if switch.is_on { "on" } else { "off" };
            for (text, weight, top) in [
                (switch.weight.to_string(), Weight::Bold, 0.0),
                (word.into(), Weight::Regular, line + SWITCH.1 + 3.0),
            ] {
                let line = cut(fonts, &text, weight, (PER_SWITCH - 4.0) / ASIDE.size);
                let middle = left + (SWITCH.0 - line.ems * ASIDE.size) / 2.0;
                piece.marks.extend(marks_of(&line, (middle, top), ASIDE.size, 0, Some(leaf)));
            }
            whole.nodes.push(node);
        }
        whole.pieces.push(piece);
    }
    whole
}

/// Boxes in columns of one width, as many in a row as fit.
fn count_boxes(setter: &mut Setter, ticks: &[Tick], width: f64) -> Part {
    let fonts = setter.fonts;
    let room = width - WORDS;
    let label =
        |tick: &Tick| [bold(tick.presses.to_string()), plain(format!("shows {}", tick.shows))].concat();
    let wide = |tick: &Tick| super::words::extent(fonts, &label(tick)).1 * ASIDE.size;
    let cell = COUNT_BOX + 4.0 + ticks.iter().map(wide).fold(0.0, f64::max) + BETWEEN_COUNTS;
    let in_row = ((room / cell) as usize).max(1);
    let mut whole = Part::default();
    for row in ticks.chunks(in_row) {
        let mut piece = Piece { space: 3.0, height: ASIDE.size * LEADING, ..Piece::default() };
        for (index, tick) in row.iter().enumerate() {
            let left = WORDS + cell * index as f64;
            let side = Area { left, top: 1.4, width: COUNT_BOX, height: COUNT_BOX };
            piece.marks.push(Mark::rectangle(side, None, Some(Pen::new(0.7, 0))));
            let (leaf, node) = setter.tagged(Tag::P);
            let line =
                super::words::lines(fonts, &label(tick), (room - COUNT_BOX - 4.0).max(1.0) / ASIDE.size);
            let place = (left + COUNT_BOX + 4.0, 0.0);
            piece.marks.extend(
                line.first().into_iter().flat_map(|line| marks_of(line, place, ASIDE.size, 0, Some(leaf))),
            );
            whole.nodes.push(node);
        }
        whole.pieces.push(piece);
    }
    whole
}
