//! A document as plain text.

use truing::problem::Severity;
use truing::report::document::{Block, Document, Table};

/// Widest line of a sentence.
const WIDTH: usize = 96;

/// The word for a severity, coloured where the terminal shows colour.
pub fn severity(severity: Severity) -> String {
    match severity {
        Severity::Note => "note".into(),
        Severity::Warning => "\u{1b}[1;33mwarning\u{1b}[0m".into(),
        Severity::Error => "\u{1b}[1;31merror\u{1b}[0m".into(),
    }
}

/// The text of a document; charts stay for page and paper.
pub fn render(document: &Document) -> String {
    let mut out = String::new();
    push(&mut out, &document.title.to_uppercase());
    let mut number = 0;
    for block in &document.blocks {
        match block {
            Block::Heading(text) => {
                out.push('\n');
                push(&mut out, &format!("{text}\n{}", "-".repeat(text.chars().count())));
            }
            Block::Sentence(text) => wrap(&mut out, "", text),
            Block::Caution(text) => wrap(&mut out, "CAUTION: ", text),
            Block::Table(table) => render_table(&mut out, table),
            Block::Steps(steps) => {
                for step in steps {
                    number += 1;
                    let mark = if step.irreversible { " CANNOT BE TAKEN BACK:" } else { "" };
                    wrap(&mut out, &format!("[ ] {number}.{mark} "), &step.text);
                }
            }
            Block::Chart(_) => {}
            Block::Timeline(moments) => {
                for moment in moments {
                    wrap(
                        &mut out,
                        &format!("{}  ", moment.day),
                        &format!("{}: {}", moment.what, moment.says),
                    );
                }
            }
        }
    }
    out
}

fn push(out: &mut String, line: &str) {
    out.push_str(line);
    out.push('\n');
}

/// Breaks a sentence into lines; those after the first stand below the text, not below its mark.
fn wrap(out: &mut String, mark: &str, text: &str) {
    let indent = " ".repeat(mark.chars().count());
    let mut line = mark.to_string();
    let mut used = mark.chars().count();
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if used + length > WIDTH && used > indent.len() {
            push(out, line.trim_end());
            line = indent.clone();
            used = indent.len();
        }
        line.push_str(word);
        line.push(' ');
        used += length + 1;
    }
    push(out, line.trim_end());
}

/// Narrower than this no column is made to fit a line.
const NARROWEST: usize = 10;

fn render_table(out: &mut String, table: &Table) {
    let rows = || std::iter::once(&table.head).chain(&table.rows);
    let widest = |column: usize| {
        rows().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let mut widths: Vec<usize> = (0..table.head.len()).map(widest).collect();
    narrow(&mut widths);
    push(out, &format!("\n{}", table.caption));
    for row in rows() {
        let cells: Vec<Vec<String>> =
            row.iter().zip(&widths).map(|(cell, width)| cell_lines(cell, *width)).collect();
        for line in 0..cells.iter().map(Vec::len).max().unwrap_or(0) {
            let at = |(cell, width): (&Vec<String>, &usize)| {
                let part = cell.get(line).map_or("", String::as_str);
                format!("  {part:width$}")
            };
            push(out, cells.iter().zip(&widths).map(at).collect::<String>().trim_end());
        }
    }
}

/// Takes from the widest column until all fit on a line.
fn narrow(widths: &mut [usize]) {
    while widths.iter().map(|width| width + 2).sum::<usize>() > WIDTH {
        match widths.iter_mut().max().filter(|width| **width > NARROWEST) {
            Some(width) => *width -= 1,
            None => return,
        }
    }
}

/// The words of a cell in lines of a width; a word that is longer stays whole.
fn cell_lines(cell: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in cell.split_whitespace() {
        let line = lines
            .last_mut()
            .filter(|line| line.is_empty() || line.chars().count() + 1 + word.chars().count() <= width);
        match line {
            Some(line) if line.is_empty() => line.push_str(word),
            Some(line) => {
                line.push(' ');
                line.push_str(word);
            }
            None => lines.push(word.to_string()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_tables_wrap_their_widest_column() {
        let long = "a word and another ".repeat(8);
        let rows = vec![vec![long.clone(), "25".into()]];
        let table = Table::new(None, "what", &["measurement", "minutes"], rows);
        let mut out = String::new();
        render_table(&mut out, &table);
        assert!(out.lines().all(|line| line.chars().count() <= WIDTH), "{out}");
        // The number stands beside the first line of the words, and no word is lost.
        let row = out.lines().nth(3).unwrap_or_default();
        assert!(row.ends_with("25"), "{out}");
        assert_eq!(out.matches("another").count(), long.matches("another").count());
    }
}
