//! Tables: columns as wide as their words ask for, rows that are not parted, heads repeated on every page.

use super::font::LEADING;
use super::piece::{Leaf, Mark, Node, Part, Pen, Piece};
use super::setter::{BETWEEN, Look, SMALL, Setter, marks_of};
use super::words::{Run, bold, extent, led, lines, plain};
use crate::paper::table::figure_columns;
use krilla::tagging::{TableHeaderScope, Tag, TagKind};
use std::rc::Rc;
use truing::report::document::Table;

/// Size of the words in a table.
const SIZE: f64 = 8.8;
/// Room between two columns, in parts of the size of the words.
const GUTTER: f64 = 1.35;
/// Room above and below the words of a row.
const ROOM: f64 = 1.6;
/// Smaller words than these are not worth a cell on one line.
const LEAST_FOR_CELLS: f64 = 8.0;
/// Tables of up to so many rows are not parted.
const ROWS_TOGETHER: usize = 10;

/// A column: where it starts, how wide it is, and whether it holds figures.
#[derive(Copy, Clone, Debug)]
struct Column {
    left: f64,
    width: f64,
    figures: bool,
}

/// How a table looks.
#[derive(Copy, Clone, Debug)]
pub struct TableLook {
    /// Size of its words.
    pub size: f64,
    /// Whether its columns are spread over the whole width.
    pub spread: bool,
}

/// A table with its caption.
pub fn table(setter: &mut Setter, table: &Table, width: f64) -> Part {
    table_of(setter, table, width, TableLook { size: SIZE, spread: false })
}

/// The same with another look; without a caption where that is empty.
pub fn table_of(setter: &mut Setter, table: &Table, width: f64, table_look: TableLook) -> Part {
    let look = Look { size: table_look.size, grey: 0 };
    // In a column of its own a word that says so would be as narrow as the head.
    if table.rows.is_empty() {
        return setter.paragraph(&led(format!("{}:", table.caption), "nothing yet."), look, width);
    }
    let (mut pieces, mut nodes) = caption(setter, &table.caption, width);
    let columns = columns(setter, table, width, table_look);
    let mut body = Vec::new();
    let head = head(setter, table, &columns, look, &mut nodes);
    let rows = &table.rows;
    for (index, cells) in rows.iter().enumerate() {
        let (mut row, node) = row(setter, cells, &columns, look, None);
        let short = rows.len() <= ROWS_TOGETHER && index + 1 < rows.len();
        row.iter_mut().for_each(|piece| piece.head = head.clone());
        row.last_mut().into_iter().for_each(|last| last.with_next = short);
        pieces.extend(row);
        body.push(node);
    }
    if let Some(head) = head {
        let first_row = pieces.iter().take_while(|piece| piece.head.is_none()).count();
        pieces.insert(first_row, Piece { with_next: true, ..(*head).clone() });
    }
    nodes.push(Node::Group(Tag::TBody.into(), body));
    Part { pieces, nodes: vec![Node::Group(Tag::Table.into(), nodes)] }.after(BETWEEN + 3.0)
}

fn caption(setter: &mut Setter, text: &str, width: f64) -> (Vec<Piece>, Vec<Node>) {
    if text.trim().is_empty() {
        return (Vec::new(), Vec::new());
    }
    let (leaf, node) = setter.tagged(Tag::Caption);
    let mut pieces =
        setter.lines_at(&bold(text), Look { size: SMALL + 0.6, grey: 0 }, 0.0, width, Some(leaf));
    pieces.iter_mut().for_each(|piece| piece.with_next = true);
    (pieces, vec![node])
}

/// The row of heads, which stands on every page of the table.
fn head(
    setter: &mut Setter,
    table: &Table,
    columns: &[Column],
    look: Look,
    nodes: &mut Vec<Node>,
) -> Option<Rc<Piece>> {
    if table.head.is_empty() || table.rows.is_empty() {
        return None;
    }
    let (pieces, node) = row(setter, &table.head, columns, look, Some(TableHeaderScope::Column));
    nodes.push(Node::Group(Tag::THead.into(), vec![node]));
    Some(Rc::new(Part { pieces, nodes: Vec::new() }.into_one().0))
}

/// Widths: what the widest cell asks for where there is room, else between that and the longest word.
fn columns(setter: &Setter, table: &Table, width: f64, TableLook { size, spread }: TableLook) -> Vec<Column> {
    let figures = figure_columns(table);
    let count = figures.len().max(1);
    let gutter = GUTTER * size;
    let room = width - gutter * (count - 1) as f64;
    let asked: Vec<ColumnWidths> = (0..count).map(|column| asked(setter, table, column)).collect();
    let by_cells = asked.iter().map(|one| one.cells * size).sum::<f64>() <= room;
    let extents: Vec<(f64, f64)> = asked
        .iter()
        .map(|one| (size * if by_cells { one.cells } else { one.words }, size * one.whole))
        .collect();
    let (least, most): (f64, f64) = extents.iter().fold((0.0, 0.0), |sum, e| (sum.0 + e.0, sum.1 + e.1));
    let spare = if spread { (room - most).max(0.0) / (count - 1).max(1) as f64 } else { 0.0 };
    let wide = |(word, whole): &(f64, f64)| {
        if most <= room {
            *whole
        } else if least <= room {
            word + (whole - word) * (room - least) / (most - least)
        } else {
            word * room / least
        }
    };
    let mut left = 0.0;
    let mut placed = Vec::new();
    for (index, extent) in extents.iter().enumerate() {
        let column =
            Column { left, width: wide(extent), figures: figures.get(index).copied().unwrap_or(false) };
        left += column.width + gutter + spare;
        placed.push(column);
    }
    placed
}

/// What a column asks for, in parts of the size of its words: so wide that no word is broken, that no cell is though its head
/// may be, and that neither is.
struct ColumnWidths {
    words: f64,
    cells: f64,
    whole: f64,
}

/// A little more than measured, for what rounding takes away (parts of the size of the words).
const SPARE: f64 = 0.002;

fn asked(setter: &Setter, table: &Table, column: usize) -> ColumnWidths {
    let head = table.head.get(column).map_or((0.0, 0.0), |head| extent(setter.fonts, &bold(head)));
    let cells = table.rows.iter().filter_map(|row| row.get(column)).map(plain);
    let (word, cell) = cells
        .map(|cell| extent(setter.fonts, &cell))
        .fold((0.1, 0.1), |most: (f64, f64), cell| (most.0.max(cell.0), most.1.max(cell.1)));
    let [words, cells, whole] = [word.max(head.0), cell.max(head.0), cell.max(head.1)];
    ColumnWidths { words: words + SPARE, cells: cells + SPARE, whole: whole + SPARE }
}

/// A row as one piece for each of its lines, so that one higher than a page can still be parted.
fn row(
    setter: &mut Setter,
    cells: &[String],
    columns: &[Column],
    look: Look,
    scope: Option<TableHeaderScope>,
) -> (Vec<Piece>, Node) {
    let mut lined = Vec::new();
    let mut nodes = Vec::new();
    for (index, column) in columns.iter().enumerate() {
        let text = cells.get(index).filter(|cell| !cell.trim().is_empty()).map_or("\u{2013}", String::as_str);
        let (tag, runs): (TagKind, Vec<Run>) = match scope {
            Some(scope) => (Tag::TH(scope).into(), bold(text)),
            None if index == 0 => (Tag::TH(TableHeaderScope::Row).into(), plain(text)),
            None => (Tag::TD.into(), plain(text)),
        };
        let (leaf, node) = setter.tagged(tag);
        nodes.push(node);
        lined.push((*column, leaf, lines(setter.fonts, &runs, column.width / look.size)));
    }
    let count = lined.iter().map(|(_, _, lines)| lines.len()).max().unwrap_or(0).max(1);
    let thick = if scope.is_some() { Pen::new(0.9, 0) } else { Pen::new(0.4, 150) };
    let right = columns.last().map_or(0.0, |column| column.left + column.width);
    let piece = |line: usize| {
        let (first, last) = (line == 0, line + 1 == count);
        let top = if first { ROOM } else { 0.0 };
        let height = top + look.size * LEADING + if last { ROOM } else { 0.0 };
        let mut marks: Vec<Mark> = lined
            .iter()
            .flat_map(|(column, leaf, lines)| cell_line(lines.get(line), *column, *leaf, look, top))
            .collect();
        if last {
            marks.push(Mark::line((0.0, height), (right, height), thick.clone()));
        }
        Piece { height, marks, with_next: !last, ..Piece::default() }
    };
    ((0..count).map(piece).collect(), Node::Group(Tag::TR.into(), nodes))
}

fn cell_line(
    line: Option<&super::words::Line>,
    column: Column,
    leaf: Leaf,
    look: Look,
    top: f64,
) -> Vec<Mark> {
    let Some(line) = line else { return Vec::new() };
    let inset = if column.figures { column.width - line.ems * look.size } else { 0.0 };
    marks_of(line, (column.left + inset, top), look.size, look.grey, Some(leaf))
}

/// The largest of some sizes at which no cell of a table is broken, or no word where even that asks for too small ones; the
/// last where none is.
pub fn size_that_fits(setter: &Setter, table: &Table, width: f64, sizes: &[f64]) -> f64 {
    let asked: Vec<ColumnWidths> =
        (0..figure_columns(table).len()).map(|column| asked(setter, table, column)).collect();
    let fits = |size: f64, width_of: fn(&ColumnWidths) -> f64| {
        let wide: f64 = asked.iter().map(|one| width_of(one) * size).sum();
        wide + GUTTER * size * asked.len().saturating_sub(1) as f64 <= width
    };
    let cells = |size: &f64| *size >= LEAST_FOR_CELLS && fits(*size, |one| one.cells);
    let words = |size: &f64| fits(*size, |one| one.words);
    let found = sizes.iter().copied().find(cells).or_else(|| sizes.iter().copied().find(words));
    found.or(sizes.last().copied()).unwrap_or(SIZE)
}
