//! `waywiser manual`: the manual in the terminal.

use super::answer::{Answer, Outcome};
use super::text::LineWriter;
use super::width::width;
use crate::book::{CHAPTERS, Chapter, chapter};
use clap::Args;
use pulldown_cmark::{CodeBlockKind, Event, HeadingLevel, Options, Parser, Tag, TagEnd};
use serde_json::json;
use truing::report::document::Table;

/// The manual: how to measure well, what to do if, the method, every word.
#[derive(Args)]
#[command(
    after_help = "Example:\n  waywiser manual\n  waywiser manual measure-well\n  waywiser manual what-if"
)]
pub struct Manual {
    /// Which chapter; without one, what there is
    #[arg(value_parser = clap::builder::PossibleValuesParser::new(CHAPTERS.iter().map(|chapter| chapter.word)))]
    chapter: Option<String>,
}

impl Manual {
    /// Runs it.
    pub fn run(&self) -> Outcome {
        let text = match self.chapter.as_deref().and_then(chapter) {
            Some(chapter) => as_lines(chapter.text, width()),
            None => contents(),
        };
        Ok(Answer::kept(json!({}), text))
    }
}

fn contents() -> String {
    let mut lines = LineWriter { out: String::new(), width: width() };
    lines.push("THE MANUAL");
    let row = |chapter: &Chapter| vec![chapter.word.to_string(), chapter.about.to_string()];
    let rows = CHAPTERS.iter().map(row).collect();
    lines.table(&Table::new(None, "Chapters: waywiser manual CHAPTER", &["chapter", "what is in it"], rows));
    lines.push("");
    lines.wrap("", "The page shows it too, under /manual. What a command takes: waywiser COMMAND --help");
    lines.out
}

/// A chapter in lines of a width.
fn as_lines(markdown: &str, width: usize) -> String {
    let mut page = Page { lines: LineWriter { out: String::new(), width }, ..Page::default() };
    for event in Parser::new_ext(markdown, Options::ENABLE_TABLES) {
        page.take(event);
    }
    page.lines.out
}

/// A chapter on its way.
#[derive(Default)]
struct Page {
    lines: LineWriter,
    /// What stands on the line that is being gathered.
    said: String,
    /// The numbers of the lists that are open; none for one with points.
    lists: Vec<Option<u64>>,
    /// What stands before the next paragraph.
    mark: String,
    /// Cells of the table that is open.
    rows: Vec<Vec<String>>,
    in_code: bool,
    in_quote: bool,
}

impl Page {
    fn take(&mut self, event: Event<'_>) {
        match event {
            Event::Start(tag) => self.open(tag),
            Event::End(tag) => self.close(tag),
            Event::Text(text) if self.in_code => {
                text.lines().for_each(|line| self.lines.push(&format!("    {line}")));
            }
            Event::Text(text) | Event::Code(text) => self.said.push_str(&text),
            Event::SoftBreak | Event::HardBreak => self.said.push(' '),
            _ => {}
        }
    }

    fn open(&mut self, tag: Tag<'_>) {
        match tag {
            Tag::Heading { .. } => self.lines.push(""),
            Tag::Paragraph if self.lists.is_empty() => self.lines.push(""),
            Tag::CodeBlock(kind) => {
                self.lines.push("");
                if let CodeBlockKind::Fenced(kind) = kind
                    && let Some((_, file)) = kind.split_once(' ')
                {
                    self.lines.push(&format!("    # {file}"));
                }
                self.in_code = true;
            }
            Tag::BlockQuote(_) => self.in_quote = true,
            Tag::Table(_) => self.rows = vec![Vec::new()],
            Tag::List(start) => {
                if self.lists.is_empty() {
                    self.lines.push("");
                }
                self.tell();
                self.lists.push(start);
            }
            Tag::Item => self.mark = self.next_mark(),
            Tag::Image { .. } => self.said.push_str("[Picture: "),
            _ => {}
        }
    }

    fn next_mark(&mut self) -> String {
        let indent = "   ".repeat(self.lists.len().saturating_sub(1));
        match self.lists.last_mut() {
            Some(Some(number)) => {
                *number += 1;
                format!("{indent}{}. ", *number - 1)
            }
            _ => format!("{indent}- "),
        }
    }

    fn close(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Heading(level) => self.heading(level),
            TagEnd::Paragraph | TagEnd::Item => self.tell(),
            TagEnd::CodeBlock => self.in_code = false,
            TagEnd::BlockQuote(_) => self.in_quote = false,
            TagEnd::List(_) => {
                self.lists.pop();
            }
            TagEnd::Image => self.said.push(']'),
            TagEnd::TableCell => {
                let cell = std::mem::take(&mut self.said);
                if let Some(row) = self.rows.last_mut() {
                    row.push(cell);
                }
            }
            TagEnd::TableHead | TagEnd::TableRow => self.rows.push(Vec::new()),
            TagEnd::Table => self.table(),
            _ => {}
        }
    }

    fn heading(&mut self, level: HeadingLevel) {
        let text = std::mem::take(&mut self.said);
        let rule = "-".repeat(text.chars().count().min(self.lines.width));
        match level {
            HeadingLevel::H1 => self.lines.push(&text.to_uppercase()),
            HeadingLevel::H2 => self.lines.push(&format!("{text}\n{rule}")),
            _ => self.lines.push(&format!("{text}:")),
        }
    }

    /// Breaks what was gathered into lines.
    fn tell(&mut self) {
        let text = std::mem::take(&mut self.said);
        let mut mark = std::mem::take(&mut self.mark);
        if self.in_quote {
            mark.push_str("! ");
        }
        if !text.trim().is_empty() {
            self.lines.wrap(&mark, &text);
        }
    }

    fn table(&mut self) {
        let mut rows = std::mem::take(&mut self.rows).into_iter().filter(|row| !row.is_empty());
        let head = rows.next().unwrap_or_default();
        self.lines.table(&Table { id: None, caption: String::new(), head, rows: rows.collect() });
    }
}
