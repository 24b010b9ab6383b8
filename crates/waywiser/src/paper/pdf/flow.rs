//! Pieces onto pages: what belongs together stays together as far as a page is tall enough.

use super::font::{Fonts, Weight};
use super::piece::{Area, Mark, Part, Pen, Piece, What};
use super::setter::marks_of;
use super::words::{Line, cut};

/// Size of the words at the head and the foot of a page.
const EDGE_SIZE: f64 = 8.0;
/// Lengths are added up in another order than they were measured in; a page takes this much more.
const SLACK: f64 = 1e-6;

/// A page and the part of it that is written on.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Frame {
    /// Width and height of the page.
    pub page: (f64, f64),
    /// Where the text stands.
    pub text: Area,
    /// Where it is to be cut out, if it is.
    pub cut: Option<Area>,
}

impl Frame {
    /// The same larger or smaller.
    pub fn scaled(self, by: f64) -> Self {
        let page = (self.page.0 * by, self.page.1 * by);
        Self { page, text: self.text.scaled(by), cut: self.cut.map(|cut| cut.scaled(by)) }
    }
}

/// What stands on every page.
#[derive(Clone, Debug, Default)]
pub struct Edges {
    /// At the top left, and at the top right.
    pub head: (String, String),
    /// At the bottom left; the number of the page stands at the right.
    pub foot: String,
}

/// Where every mark stands.
pub struct Pages {
    /// The frame of all of them.
    pub frame: Frame,
    /// Marks of each page, from its upper left corner, in reading order.
    pub pages: Vec<Vec<Mark>>,
    /// How many marks at the start of each page are its head, and how many after them its foot.
    pub edges: Vec<(usize, usize)>,
}

/// Lays the pieces out.
pub fn pages(frame: Frame, part: &Part) -> Pages {
    let mut filling = Filling { frame, pages: vec![Vec::new()], used: 0.0 };
    let mut rest = part.pieces.as_slice();
    while !rest.is_empty() {
        let bound = rest.iter().position(|piece| !piece.with_next).map_or(rest.len(), |last| last + 1);
        // A new page inside what is bound together parts it.
        let bound = rest
            .iter()
            .skip(1)
            .take(bound - 1)
            .position(|piece| piece.on_new_page)
            .map_or(bound, |at| at + 1);
        let (group, others) = rest.split_at(bound);
        filling.put(group);
        rest = others;
    }
    if let Some(cut) = frame.cut {
        let along = Pen { dashes: vec![4.0, 3.0], ..Pen::new(0.5, 110) };
        filling.pages.iter_mut().for_each(|page| page.push(Mark::rectangle(cut, None, Some(along.clone()))));
    }
    let edges = vec![(0, 0); filling.pages.len()];
    Pages { frame, pages: filling.pages, edges }
}

struct Filling {
    frame: Frame,
    pages: Vec<Vec<Mark>>,
    used: f64,
}

impl Filling {
    fn room(&self) -> f64 {
        self.frame.text.height - self.used + SLACK
    }

    /// A group on this page where it fits, else on the next; piece by piece where no page is tall enough.
    fn put(&mut self, group: &[Piece]) {
        let height: f64 = group.iter().enumerate().map(|(index, piece)| self.needs(piece, index == 0)).sum();
        let begins = group.first().is_some_and(|piece| piece.on_new_page) && self.used > 0.0;
        if begins || (height > self.room() && self.used > 0.0) {
            self.turn(group.first());
        }
        for piece in group {
            if self.needs(piece, false) > self.room() && self.used > 0.0 {
                self.turn(Some(piece));
            }
            self.place(piece);
        }
    }

    fn needs(&self, piece: &Piece, is_first: bool) -> f64 {
        let space = if is_first && self.used == 0.0 { 0.0 } else { piece.space };
        space + piece.height
    }

    fn turn(&mut self, next: Option<&Piece>) {
        self.pages.push(Vec::new());
        self.used = 0.0;
        if let Some(head) = next.and_then(|piece| piece.head.clone()) {
            // The structure holds the head once; here it is ornament.
            let bare = head.marks.iter().cloned().map(|mark| Mark { leaf: None, ..mark }).collect();
            self.place(&Piece { marks: bare, space: 0.0, ..(*head).clone() });
        }
    }

    fn place(&mut self, piece: &Piece) {
        self.used += if self.used > 0.0 { piece.space } else { 0.0 };
        let (left, top) = (self.frame.text.left, self.frame.text.top + self.used);
        let moved = piece.marks.iter().cloned().map(|mark| mark.moved(left, top));
        self.pages.last_mut().into_iter().for_each(|page| page.extend(moved.clone()));
        self.used += piece.height;
    }
}

impl Pages {
    /// Head and foot on every page; both are ornament.
    pub fn with_edges(mut self, fonts: &Fonts, edges: &Edges) -> Self {
        let count = self.pages.len();
        let text = self.frame.text;
        let half = text.width / 2.0 - 6.0;
        let words = |words: &str, weight| cut(fonts, words, weight, half / EDGE_SIZE);
        for (index, page) in self.pages.iter_mut().enumerate() {
            let number = format!("page {} of {count}", index + 1);
            let top = text.top - 24.0;
            let bottom = text.top + text.height + 10.0;
            let mut head =
                row(&text, top, words(&edges.head.0, Weight::Bold), words(&edges.head.1, Weight::Regular));
            head.push(rule(&text, top + 14.0));
            let mut foot = vec![rule(&text, bottom)];
            foot.extend(row(
                &text,
                bottom + 3.0,
                words(&edges.foot, Weight::Regular),
                words(&number, Weight::Regular),
            ));
            self.edges[index] = (head.len(), foot.len());
            *page = [head, foot, std::mem::take(page)].concat();
        }
        self
    }

    /// Everything larger or smaller, the pages too.
    pub fn scaled(mut self, by: f64) -> Self {
        self.frame = self.frame.scaled(by);
        for page in &mut self.pages {
            *page = std::mem::take(page).into_iter().map(|mark| mark.scaled(by)).collect();
        }
        self
    }

    /// Every mark of a page with words or a picture in it, for measuring.
    pub fn seen(&self, page: usize) -> impl Iterator<Item = &Mark> {
        let marks = self.pages.get(page).into_iter().flatten();
        marks.filter(|mark| matches!(mark.what, What::Words(..) | What::Picture(_)))
    }
}

fn row(text: &Area, top: f64, left: Line, right: Line) -> Vec<Mark> {
    let start = text.left + text.width - right.ems * EDGE_SIZE;
    let right = marks_of(&right, (start, top), EDGE_SIZE, 60, None);
    [marks_of(&left, (text.left, top), EDGE_SIZE, 60, None), right].concat()
}

fn rule(text: &Area, top: f64) -> Mark {
    Mark::line((text.left, top), (text.left + text.width, top), Pen::new(0.5, 120))
}
