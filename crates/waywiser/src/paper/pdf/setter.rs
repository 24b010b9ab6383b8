//! Sets words: headings, paragraphs, cautions.

use super::font::{ASCENT, Fonts, LEADING};
use super::piece::{Area, Grey, Leaf, Mark, Node, Part, Pen, Piece, What};
use super::words::{Line, Run, bold, led, lines};
use krilla::tagging::{Tag, TagKind};
use std::num::NonZeroU16;

/// Size of plain words.
pub const BODY: f64 = 9.6;
/// Size of what is less important.
pub const SMALL: f64 = 8.2;
/// Room between two paragraphs.
pub const BETWEEN: f64 = 4.0;
const HEADING: f64 = 12.5;
const ABOVE_HEADING: f64 = 12.0;
/// Paragraphs of up to so many lines are not parted; of longer ones two lines at least stand together.
const LINES_TOGETHER: usize = 5;

/// How words look.
#[derive(Copy, Clone, Debug)]
pub struct Look {
    pub size: f64,
    pub grey: Grey,
}

/// Plain words.
pub const PLAIN: Look = Look { size: BODY, grey: 0 };
/// What is less important.
pub const ASIDE: Look = Look { size: SMALL, grey: 60 };

/// Sets words with one stock of fonts, and counts the leaves of the structure.
pub struct Setter<'f> {
    pub fonts: &'f Fonts,
    leaves: usize,
    /// What goes into the outline: headings with their leaves.
    pub headings: Vec<(String, Leaf)>,
}

impl<'f> Setter<'f> {
    /// A new document.
    pub fn new(fonts: &'f Fonts) -> Self {
        Self { fonts, leaves: 0, headings: Vec::new() }
    }

    /// A place in the structure.
    pub fn leaf(&mut self) -> Leaf {
        self.leaves += 1;
        self.leaves - 1
    }

    /// A group with one leaf.
    pub fn tagged(&mut self, tag: impl Into<TagKind>) -> (Leaf, Node) {
        let leaf = self.leaf();
        (leaf, Node::Group(tag.into(), vec![Node::Leaf(leaf)]))
    }

    /// Lines one under another, moved in from the left.
    pub fn lines_at(
        &self,
        runs: &[Run],
        look: Look,
        left: f64,
        width: f64,
        leaf: Option<Leaf>,
    ) -> Vec<Piece> {
        let all = lines(self.fonts, runs, (width - left) / look.size);
        let count = all.len();
        let piece = |(index, line): (usize, &Line)| Piece {
            height: look.size * LEADING,
            marks: marks_of(line, (left, 0.0), look.size, look.grey, leaf),
            with_next: index + 1 < count && (count <= LINES_TOGETHER || index == 0 || index + 2 == count),
            ..Piece::default()
        };
        all.iter().enumerate().map(piece).collect()
    }

    /// A paragraph.
    pub fn paragraph(&mut self, runs: &[Run], look: Look, width: f64) -> Part {
        let (leaf, node) = self.tagged(Tag::P);
        Part { pieces: self.lines_at(runs, look, 0.0, width, Some(leaf)), nodes: vec![node] }.after(BETWEEN)
    }

    /// A heading; it stays with what follows. The first level is the title of the document.
    pub fn heading(&mut self, text: &str, level: u16, size: f64, width: f64) -> Part {
        let printable = self.fonts.printable(text);
        let level = NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
        let (leaf, node) = self.tagged(Tag::Hn(level, Some(printable.clone())));
        let look = Look { size, grey: 0 };
        let pieces = self.lines_at(&bold(text), look, 0.0, width, Some(leaf));
        if pieces.is_empty() {
            return Part::default();
        }
        self.headings.push((printable, leaf));
        Part { pieces, nodes: vec![node] }.with_next()
    }

    /// A heading within the document.
    pub fn section(&mut self, text: &str, width: f64) -> Part {
        self.heading(text, 2, HEADING, width).after(ABOVE_HEADING)
    }

    /// A caution: a bar at its side, on grey ground, with the word before it.
    pub fn caution(&mut self, text: &str, width: f64) -> Part {
        const BAR: f64 = 3.0;
        const ROOM: f64 = 3.0;
        let (leaf, node) = self.tagged(Tag::P);
        let mut pieces = self.lines_at(&led("Caution:", text), PLAIN, 10.0, width - 6.0, Some(leaf));
        let last = pieces.len().saturating_sub(1);
        for (index, piece) in pieces.iter_mut().enumerate() {
            let above = if index == 0 { ROOM } else { 0.0 };
            let below = if index == last { ROOM } else { 0.0 };
            piece.height += above + below;
            let ground = Area { width, height: piece.height, ..Area::default() };
            let bar = Area { width: BAR, ..ground };
            let words = std::mem::take(&mut piece.marks).into_iter().map(|mark| mark.moved(0.0, above));
            let ornaments = [Mark::rectangle(ground, Some(234), None), Mark::rectangle(bar, Some(0), None)];
            piece.marks = ornaments.into_iter().chain(words).collect();
        }
        Part { pieces, nodes: vec![node] }.after(BETWEEN + 1.0)
    }

    /// A line across.
    pub fn rule(&self, width: f64, pen: Pen) -> Part {
        let marks = vec![Mark::line((0.0, 0.0), (width, 0.0), pen)];
        Part {
            pieces: vec![Piece { height: 1.0, marks, space: BETWEEN, ..Piece::default() }],
            nodes: Vec::new(),
        }
    }
}

/// The words of a line, its upper left corner at a place.
pub fn marks_of(
    line: &Line,
    (left, top): (f64, f64),
    size: f64,
    grey: Grey,
    leaf: Option<Leaf>,
) -> Vec<Mark> {
    let mark = |(at, shaped): &(f64, super::font::Shaped)| {
        let area = Area { left: left + at * size, top, width: shaped.ems * size, height: size * LEADING };
        Mark { area, what: What::Words(shaped.clone(), size, grey), leaf }
    };
    line.spans.iter().map(mark).collect()
}

/// Where the base line of words lies, from the top of their area.
pub fn base_line(size: f64) -> f64 {
    ASCENT * size
}
