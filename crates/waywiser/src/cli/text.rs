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

fn render_table(out: &mut String, table: &Table) {
    let rows = || std::iter::once(&table.head).chain(&table.rows);
    let widths: Vec<usize> = (0..table.head.len())
        .map(|column| {
            rows().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0)
        })
        .collect();
    push(out, &format!("\n{}", table.caption));
    for row in rows() {
        let Some((last, cells)) = row.split_last() else { continue };
        let padded = cells.iter().zip(&widths).map(|(cell, width)| format!("{cell:width$}"));
        let mark = format!("  {}", padded.map(|cell| cell + "  ").collect::<String>());
        // A long last cell goes on below itself.
        wrap(out, &mark, last);
    }
}
