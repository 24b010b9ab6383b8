//! Tables: a caption, heads with their scope, and on a phone one card per row when there are many columns.

use maud::{Markup, html};
use truing::report::document::Table;

/// More columns than these do not stand side by side on a phone.
const COLUMNS_ON_A_PHONE: usize = 2;
/// Up to so many rows a table is not parted between two sheets of paper.
const ROWS_KEPT_TOGETHER: usize = 12;

/// A table of the report.
pub fn markup(table: &Table) -> Markup {
    let figures = figure_columns(table);
    let columns = figures.len();
    let wide = columns > COLUMNS_ON_A_PHONE;
    let bare = table.rows.iter().any(|row| is_bare(cell(row, 0)));
    let short = table.rows.len() <= ROWS_KEPT_TOGETHER;
    html! {
        table class={ @if wide { "wide " } @if short { "short" } } role="table" {
            caption { (table.caption) }
            @if table.rows.is_empty() { (nothing(columns)) }
            @else {
                (head(table, &figures))
                tbody role="rowgroup" { @for row in &table.rows { (line(table, row, &figures, bare)) } }
            }
        }
    }
}

/// For each column whether its digits should stand under each other; the first column names the rows.
pub fn figure_columns(table: &Table) -> Vec<bool> {
    let columns = table.rows.iter().map(Vec::len).chain([table.head.len()]).max().unwrap_or(0);
    (0..columns).map(|column| column > 0 && holds_figures(table, column)).collect()
}

fn nothing(columns: usize) -> Markup {
    html! {
        tbody role="rowgroup" {
            tr role="row" { th scope="row" role="rowheader" colspan=[(columns > 1).then_some(columns)] { "None." } }
        }
    }
}

fn head(table: &Table, figures: &[bool]) -> Markup {
    html! {
        @if !table.head.is_empty() {
            thead role="rowgroup" {
                tr role="row" {
                    @for (column, figure) in figures.iter().enumerate() {
                        th scope="col" role="columnheader" class=[figure.then_some("figure")] { (cell(&table.head, column)) }
                    }
                }
            }
        }
    }
}

/// A row; its first cell names it. Short rows are filled, so that every cell stands under its own head.
fn line(table: &Table, row: &[String], figures: &[bool], bare: bool) -> Markup {
    html! {
        tr role="row" {
            @for (column, figure) in figures.iter().enumerate() {
                @let class = figure.then_some("figure");
                @let name = table.head.get(column).filter(|name| !name.is_empty());
                @let text = cell(row, column);
                @if column == 0 { th scope="row" role="rowheader" class=[class] data-head=[name.filter(|_| bare)] { (text) } }
                @else { td role="cell" class=[class] data-head=[name] { (text) } }
            }
        }
    }
}

/// A number alone names no row: on a phone, where heads are gone, such a column keeps its own.
fn is_bare(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || ".,+-\u{2212}".contains(c))
}

fn cell(row: &[String], column: usize) -> &str {
    row.get(column).map_or("", String::as_str)
}

/// Whether a column is read by comparing digits, so that they should stand under each other.
fn holds_figures(table: &Table, column: usize) -> bool {
    let mut cells = table.rows.iter().map(|row| cell(row, column)).filter(|text| !text.is_empty()).peekable();
    let figure = |text: &str| {
        text.trim_start_matches(['+', '-', '\u{2212}']).starts_with(|c: char| c.is_ascii_digit())
    };
    cells.peek().is_some() && cells.all(|text| figure(text) && text.len() <= LONGEST_FIGURE)
}

/// Longer cells that begin with a digit are sentences or intervals, and read from the left.
const LONGEST_FIGURE: usize = 14;
