//! A document as plain text.

use truing::problem::Severity;
use truing::report::document::{Block, ChainBox, Document, Step, Table, Tick};

/// The word for a severity, coloured where the terminal shows colour.
pub fn severity(severity: Severity) -> String {
    match severity {
        Severity::Note => "note".into(),
        Severity::Warning => "\u{1b}[1;33mwarning\u{1b}[0m".into(),
        Severity::Error => "\u{1b}[1;31merror\u{1b}[0m".into(),
    }
}

/// The text of a document in lines no wider than this; charts stay for page and paper.
pub fn render(document: &Document, width: usize) -> String {
    let mut out = LineWriter { out: String::new(), width };
    out.push(&document.title.to_uppercase());
    let mut number = 0;
    for block in &document.blocks {
        match block {
            Block::Heading(text) => {
                out.push("");
                out.push(&format!("{text}\n{}", "-".repeat(text.chars().count())));
            }
            Block::Answer(text) | Block::Sentence(text) => out.wrap("", text),
            Block::Caution(text) => out.wrap("CAUTION: ", text),
            Block::Table(table) => out.table(table),
            Block::Steps(steps) => {
                for step in steps {
                    number += 1;
                    let mark = if step.irreversible { " CANNOT BE TAKEN BACK:" } else { "" };
                    out.wrap(&format!("[ ] {number}.{mark} "), &step.text);
                    out.beside(step);
                }
            }
            Block::Chart(_) => {}
            Block::Chain(chain) => out.wrap("", &ChainBox::words(chain)),
            Block::Method(lines) => {
                for (index, line) in lines.iter().enumerate() {
                    out.wrap(&format!("{}. ", index + 1), line);
                }
            }
            Block::Drawing(which) => out.wrap("", which.says()),
            Block::Form(table) => out.table(table),
            Block::Lines(names) => names.iter().for_each(|name| out.push(&format!("{name}: ________"))),
            Block::Timeline(moments) => {
                for moment in moments {
                    let says = format!("{}: {}", moment.what, moment.says);
                    out.wrap(&format!("{}  ", moment.day), &says);
                }
            }
        }
    }
    out.out
}

/// Lines as they are made.
#[derive(Default)]
pub struct LineWriter {
    /// So far.
    pub out: String,
    /// How wide one may be.
    pub width: usize,
}

/// Narrower than this no column is made to fit a line.
const NARROWEST: usize = 10;

/// What stands beside a step stands below its words.
const BESIDE: &str = "       ";

impl LineWriter {
    /// Beside a step: where to compare the display, and what to do where it does not come true.
    fn beside(&mut self, step: &Step) {
        let tick = |tick: &Tick| format!("after {} {}", tick.presses, tick.shows);
        if !step.ticks.is_empty() {
            let ticks: Vec<String> = step.ticks.iter().map(tick).collect();
            self.wrap(BESIDE, &format!("It shows: {}.", ticks.join(", ")));
        }
        step.otherwise.iter().for_each(|text| self.wrap(BESIDE, text));
    }

    /// A line as it is.
    pub fn push(&mut self, line: &str) {
        self.out.push_str(line);
        self.out.push('\n');
    }

    /// Breaks a sentence into lines; those after the first stand below the text, not below its mark.
    pub fn wrap(&mut self, mark: &str, text: &str) {
        // A mark as wide as the line would leave no room beside it.
        let beside = mark.chars().count().min(self.width / 3);
        let indent = " ".repeat(beside);
        let mut line = mark.to_string();
        let mut used = mark.chars().count();
        for word in text.split_whitespace() {
            let length = word.chars().count();
            if used + length > self.width && used > indent.len() {
                self.push(line.trim_end());
                line = indent.clone();
                used = indent.len();
            }
            line.push_str(word);
            line.push(' ');
            used += length + 1;
        }
        self.push(line.trim_end());
    }

    /// A table with its caption; the widest columns are broken until it fits. One that has no room is told row by row.
    pub fn table(&mut self, table: &Table) {
        let rows = || std::iter::once(&table.head).chain(&table.rows);
        let most = |column: usize, of: fn(&str) -> usize| {
            rows().filter_map(|row| row.get(column)).map(|cell| of(cell)).max().unwrap_or(0)
        };
        let columns = 0..table.head.len();
        let least: Vec<usize> = columns.clone().map(|column| most(column, longest_word)).collect();
        let whole: Vec<usize> = columns.map(|column| most(column, |cell| cell.chars().count())).collect();
        self.push("");
        if !table.caption.is_empty() {
            self.wrap("", &table.caption);
        }
        let Some(widths) = narrowed(whole, &least, self.width) else { return self.row_by_row(table) };
        for row in rows() {
            let cells: Vec<Vec<String>> =
                row.iter().zip(&widths).map(|(cell, width)| cell_lines(cell, *width)).collect();
            for line in 0..cells.iter().map(Vec::len).max().unwrap_or(0) {
                let at = |(cell, width): (&Vec<String>, &usize)| {
                    let part = cell.get(line).map_or("", String::as_str);
                    format!("  {part:width$}")
                };
                self.push(cells.iter().zip(&widths).map(at).collect::<String>().trim_end());
            }
        }
    }

    fn row_by_row(&mut self, table: &Table) {
        for row in &table.rows {
            let mut cells = table.head.iter().zip(row);
            if let Some((_, first)) = cells.next() {
                self.wrap("  ", first);
            }
            cells.for_each(|(head, cell)| self.wrap("    ", &format!("{head}: {cell}")));
        }
    }
}

fn longest_word(cell: &str) -> usize {
    cell.split_whitespace().map(|word| word.chars().count()).max().unwrap_or(0)
}

/// Takes from the widest column until all fit on a line; none where the longest words do not.
fn narrowed(mut widths: Vec<usize>, least: &[usize], width: usize) -> Option<Vec<usize>> {
    while widths.iter().map(|width| width + 2).sum::<usize>() > width {
        let widest = widths.iter_mut().zip(least).filter(|(width, least)| **width > (**least).max(NARROWEST));
        let (widest, _) = widest.max_by_key(|(width, _)| **width)?;
        *widest -= 1;
    }
    Some(widths)
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
        for width in [96, 50, 30] {
            let mut lines = LineWriter { out: String::new(), width };
            lines.table(&table);
            let out = lines.out;
            assert!(out.lines().all(|line| line.chars().count() <= width), "{out}");
            // The number stands beside the first line of the words, and no word is lost.
            assert!(out.lines().nth(3).unwrap_or_default().ends_with("25"), "{out}");
            assert_eq!(out.matches("another").count(), long.matches("another").count());
        }
    }

    #[test]
    fn a_table_without_room_is_told_row_by_row() {
        let rows = vec![vec!["a measurement".into(), "0.13 %".into(), "unmistakable".into()]];
        let table = Table::new(None, "", &["measurement", "leaves", "what it changes"], rows);
        let told = |width| {
            let mut lines = LineWriter { out: String::new(), width };
            lines.table(&table);
            lines.out
        };
        assert_eq!(
            told(30),
            "\n  a measurement\n    leaves: 0.13 %\n    what it changes:\n    unmistakable\n"
        );
        assert!(told(60).contains("measurement    leaves"), "{}", told(60));
    }

    #[test]
    fn sentences_keep_to_the_width() {
        let mut document = Document::new("What to set");
        document.sentence("Store 1416. ".repeat(20)).caution("Local law comes first. ".repeat(9));
        for width in [40, 60, 96] {
            let out = render(&document, width);
            assert!(out.lines().all(|line| line.chars().count() <= width), "{width}: {out}");
            assert_eq!((out.matches("Store").count(), out.matches("law").count()), (20, 9));
        }
    }
}
