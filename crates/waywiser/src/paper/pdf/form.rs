//! What is filled in by hand: tables with room in their cells, and names with a line each.

use super::font::LEADING;
use super::piece::{Leaf, Mark, Node, Part, Pen, Piece};
use super::setter::{ASIDE, BETWEEN, BODY, Look, SMALL, Setter, marks_of};
use super::words::{bold, extent, lines, plain};
use krilla::tagging::{TableHeaderScope, Tag, TagKind};
use truing::report::document::Table;

/// Height of a row to write in, and room beside its rules.
const ROW: f64 = 23.0;
const INSET: f64 = 4.0;
/// Height of a line to write on.
const LINE: f64 = 24.0;
/// Least room for a name and its line, room to write at least, and room between two of them.
const LEAST_FIELD: f64 = 150.0;
const TO_WRITE: f64 = 60.0;
const FIELDS_APART: f64 = 12.0;

/// A table to be filled in: all its columns but the first are equally wide.
pub fn form(setter: &mut Setter, table: &Table, width: f64) -> Part {
    let look = Look { size: SMALL + 0.4, grey: 0 };
    let begins = |row: &Vec<String>| row.first().map_or(0.0, |cell| extent(setter.fonts, &plain(cell)).1);
    let first = table.rows.iter().map(begins).fold(0.0, f64::max) * look.size + 2.0 * INSET;
    let count = table.head.len().max(1);
    let first = if count == 1 { width } else { first.clamp(46.0, width / 3.0) };
    let other = (width - first) / (count - 1).max(1) as f64;
    let left = |column: usize| if column == 0 { 0.0 } else { first + other * (column - 1) as f64 };
    let wide = |column: usize| if column == 0 { first } else { other };
    let places: Vec<(f64, f64)> = (0..count).map(|column| (left(column), wide(column))).collect();
    let (caption, caption_node) = setter.tagged(Tag::Caption);
    let mut pieces = setter.lines_at(&bold(&table.caption), look, 0.0, width, Some(caption));
    pieces.iter_mut().for_each(|piece| piece.with_next = true);
    let (head, head_node) = row(setter, &table.head, &places, look, true);
    pieces.push(head);
    let mut body = Vec::new();
    for cells in &table.rows {
        let (piece, node) = row(setter, cells, &places, look, false);
        pieces.push(piece);
        body.push(node);
    }
    let groups = vec![
        caption_node,
        Node::Group(Tag::THead.into(), vec![head_node]),
        Node::Group(Tag::TBody.into(), body),
    ];
    Part { pieces, nodes: vec![Node::Group(Tag::Table.into(), groups)] }.together().after(BETWEEN + 4.0)
}

fn row(
    setter: &mut Setter,
    cells: &[String],
    places: &[(f64, f64)],
    look: Look,
    is_head: bool,
) -> (Piece, Node) {
    let mut set: Vec<(f64, Leaf, Vec<super::words::Line>)> = Vec::new();
    let mut nodes = Vec::new();
    for (column, (left, wide)) in places.iter().enumerate() {
        let text = cells.get(column).map_or("", String::as_str);
        let tag: TagKind = match (is_head, column) {
            (true, _) => Tag::TH(TableHeaderScope::Column).into(),
            (false, 0) => Tag::TH(TableHeaderScope::Row).into(),
            _ => Tag::TD.into(),
        };
        let (leaf, node) = setter.tagged(tag);
        nodes.push(node);
        let runs = if is_head { bold(text) } else { plain(text) };
        set.push((left + INSET, leaf, lines(setter.fonts, &runs, (wide - 2.0 * INSET) / look.size)));
    }
    let step = look.size * LEADING;
    let tall = set.iter().map(|(_, _, lines)| lines.len()).max().unwrap_or(0) as f64 * step + 4.0;
    let height = if is_head { tall } else { tall.max(ROW) };
    let mut marks = Vec::new();
    for (left, leaf, lines) in &set {
        let from = height - 2.0 - step * lines.len() as f64;
        for (index, line) in lines.iter().enumerate() {
            let place = (*left, from + step * index as f64);
            marks.extend(marks_of(line, place, look.size, look.grey, Some(*leaf)));
        }
    }
    let right = places.last().map_or(0.0, |(left, wide)| left + wide);
    let pen = || Pen::new(0.8, 60);
    if is_head {
        marks.push(Mark::line((0.0, 0.0), (right, 0.0), pen()));
    }
    marks.push(Mark::line((0.0, height), (right, height), pen()));
    let uprights = places.iter().map(|(left, _)| *left).chain([right]);
    marks.extend(uprights.map(|at| Mark::line((at, 0.0), (at, height), pen())));
    (Piece { height, marks, ..Piece::default() }, Node::Group(Tag::TR.into(), nodes))
}

/// Names with a line each, as many in a row as leave room to write.
pub fn fields(setter: &mut Setter, names: &[String], width: f64) -> Part {
    let longest = names.iter().map(|name| extent(setter.fonts, &plain(name)).1).fold(0.0, f64::max);
    let least = (longest * ASIDE.size + TO_WRITE).max(LEAST_FIELD);
    let in_row = ((width / least) as usize).max(1);
    let wide = (width - FIELDS_APART * (in_row - 1) as f64) / in_row as f64;
    let mut rows = Part::default();
    for row in names.chunks(in_row) {
        let one = |(index, name): (usize, &String)| {
            ((wide + FIELDS_APART) * index as f64, field(setter, name, wide))
        };
        let parts = row.iter().enumerate().map(one).collect();
        rows.then(Part::beside(parts));
    }
    rows.together()
}

fn field(setter: &mut Setter, name: &str, width: f64) -> Part {
    let mut field = setter.paragraph(&plain(name), ASIDE, width);
    let used = extent(setter.fonts, &plain(name)).1 * ASIDE.size + 5.0;
    let line = Mark::line((used, LINE - 3.0), (width, LINE - 3.0), Pen::new(0.6, 60));
    for piece in &mut field.pieces {
        let words = std::mem::take(&mut piece.marks).into_iter();
        piece.marks = words.map(|mark| mark.moved(0.0, LINE - 3.0 - BODY)).collect();
        piece.marks.push(line.clone());
        piece.height = LINE;
    }
    field
}
