//! What stands on paper before it has a place: marks in a piece, pieces in a part, and the structure they belong to.
//!
//! Lengths are in points, 72 to an inch, from the left and down from the top.

use super::font::Shaped;
use krilla::tagging::TagKind;
use std::rc::Rc;

/// A rectangle, in points from the upper left corner.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct Area {
    /// Its left edge.
    pub left: f64,
    /// Its upper edge.
    pub top: f64,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
}

impl Area {
    /// The same moved.
    pub fn moved(self, right: f64, down: f64) -> Self {
        Self { left: self.left + right, top: self.top + down, ..self }
    }

    /// The same larger or smaller, seen from the corner of the page.
    pub fn scaled(self, by: f64) -> Self {
        let [left, top, width, height] = [self.left, self.top, self.width, self.height].map(|one| one * by);
        Self { left, top, width, height }
    }
}

/// Names the place in the structure that a mark belongs to.
pub type Leaf = usize;

/// How dark: 0 is black, 255 white.
pub type Grey = u8;

/// A line: its width, how dark, and the lengths of its dashes and gaps.
#[derive(Clone, Debug)]
pub struct Pen {
    pub width: f64,
    pub grey: Grey,
    pub dashes: Vec<f64>,
}

impl Pen {
    /// An unbroken line.
    pub fn new(width: f64, grey: Grey) -> Self {
        Self { width, grey, dashes: Vec::new() }
    }
}

/// What a mark is.
#[derive(Clone)]
pub enum What {
    /// Words on one line, of a size.
    Words(Shaped, f64, Grey),
    /// An outline through points, closed or not, with what it is filled and drawn with. The points lie from the
    /// corner of the mark's area.
    Outline { runs: Vec<Vec<(f64, f64)>>, closed: bool, fill: Option<Grey>, pen: Option<Pen> },
    /// Black bars of whole squares, each with its column, its row and how many squares it is long; and the side of a
    /// square. Written in whole numbers, which are shorter than places in points.
    Bars(Vec<(usize, usize, usize)>, f64),
    /// A picture.
    Picture(Rc<usvg::Tree>),
}

/// Something drawn. What belongs to no leaf is ornament.
#[derive(Clone)]
pub struct Mark {
    pub area: Area,
    pub what: What,
    pub leaf: Option<Leaf>,
}

impl Mark {
    /// A rectangle.
    pub fn rectangle(area: Area, fill: Option<Grey>, pen: Option<Pen>) -> Self {
        let (w, h) = (area.width, area.height);
        let runs = vec![vec![(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)]];
        Self { area, what: What::Outline { runs, closed: true, fill, pen }, leaf: None }
    }

    /// A straight line.
    pub fn line(from: (f64, f64), to: (f64, f64), pen: Pen) -> Self {
        let area = Area {
            left: from.0.min(to.0),
            top: from.1.min(to.1),
            width: (to.0 - from.0).abs(),
            height: (to.1 - from.1).abs(),
        };
        let at = |point: (f64, f64)| (point.0 - area.left, point.1 - area.top);
        let runs = vec![vec![at(from), at(to)]];
        Self { area, what: What::Outline { runs, closed: false, fill: None, pen: Some(pen) }, leaf: None }
    }

    /// The same moved.
    pub fn moved(mut self, right: f64, down: f64) -> Self {
        self.area = self.area.moved(right, down);
        self
    }

    /// The same larger or smaller, seen from the corner of the page.
    pub fn scaled(mut self, by: f64) -> Self {
        self.area = self.area.scaled(by);
        match &mut self.what {
            What::Words(_, size, _) => *size *= by,
            What::Bars(_, square) => *square *= by,
            What::Outline { runs, pen, .. } => {
                runs.iter_mut().flatten().for_each(|point| *point = (point.0 * by, point.1 * by));
                if let Some(pen) = pen {
                    pen.width *= by;
                    pen.dashes.iter_mut().for_each(|dash| *dash *= by);
                }
            }
            What::Picture(_) => {}
        }
        self
    }
}

/// The least that is not parted between two pages.
#[derive(Clone, Default)]
pub struct Piece {
    /// Room kept free above, except at the top of a page.
    pub space: f64,
    /// Its height.
    pub height: f64,
    /// What is drawn, from its upper left corner.
    pub marks: Vec<Mark>,
    /// Whether it is to stand on the page of the next one.
    pub with_next: bool,
    /// What is repeated above it where a page begins with it.
    pub head: Option<Rc<Piece>>,
    /// Whether a page begins with it.
    pub on_new_page: bool,
}

/// The structure of a document.
pub enum Node {
    /// A tag and what it holds.
    Group(TagKind, Vec<Node>),
    /// What is marked with this leaf.
    Leaf(Leaf),
}

/// Pieces one under another, and their structure.
#[derive(Default)]
pub struct Part {
    pub pieces: Vec<Piece>,
    pub nodes: Vec<Node>,
}

impl Part {
    /// This and another under it.
    pub fn then(&mut self, other: Part) {
        self.pieces.extend(other.pieces);
        self.nodes.extend(other.nodes);
    }

    /// Room above it.
    #[must_use]
    pub fn after(mut self, space: f64) -> Self {
        self.pieces.first_mut().into_iter().for_each(|first| first.space = space);
        self
    }

    /// Kept together with what follows.
    #[must_use]
    pub fn with_next(mut self) -> Self {
        self.pieces.iter_mut().for_each(|piece| piece.with_next = true);
        self
    }

    /// Kept together in itself.
    #[must_use]
    pub fn together(mut self) -> Self {
        let last = self.pieces.len().saturating_sub(1);
        self.pieces.iter_mut().take(last).for_each(|piece| piece.with_next = true);
        self
    }

    /// On a page of its own.
    #[must_use]
    pub fn on_new_page(mut self) -> Self {
        self.pieces.first_mut().into_iter().for_each(|first| first.on_new_page = true);
        self
    }

    /// Its height when it is not parted.
    pub fn height(&self) -> f64 {
        let spaces: f64 = self.pieces.iter().skip(1).map(|piece| piece.space).sum();
        spaces + self.pieces.iter().map(|piece| piece.height).sum::<f64>()
    }

    /// All of it as one piece that is not parted.
    pub fn into_one(self) -> (Piece, Vec<Node>) {
        let (height, mut top) = (self.height(), 0.0);
        let mut marks = Vec::new();
        for (index, piece) in self.pieces.into_iter().enumerate() {
            top += if index > 0 { piece.space } else { 0.0 };
            marks.extend(piece.marks.into_iter().map(|mark| mark.moved(0.0, top)));
            top += piece.height;
        }
        (Piece { height, marks, ..Piece::default() }, self.nodes)
    }

    /// Parts side by side, each with its left edge, as one piece.
    pub fn beside(parts: Vec<(f64, Part)>) -> Self {
        let mut whole = Piece::default();
        let mut nodes = Vec::new();
        for (left, part) in parts {
            let (piece, own) = part.into_one();
            whole.height = whole.height.max(piece.height);
            whole.marks.extend(piece.marks.into_iter().map(|mark| mark.moved(left, 0.0)));
            nodes.extend(own);
        }
        Self { pieces: vec![whole], nodes }
    }

    /// The same inside a frame with room around it, as one piece.
    pub fn framed(self, width: f64, room: f64, fill: Option<Grey>, pen: Option<Pen>) -> Self {
        let (piece, nodes) = self.into_one();
        let height = piece.height + 2.0 * room;
        let mut marks = vec![Mark::rectangle(Area { width, height, ..Area::default() }, fill, pen)];
        marks.extend(piece.marks.into_iter().map(|mark| mark.moved(room, room)));
        Self { pieces: vec![Piece { height, marks, ..piece }], nodes }
    }
}
