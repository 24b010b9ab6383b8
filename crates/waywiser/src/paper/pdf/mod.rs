//! Papers as PDF: laid out by a small layer of our own, tagged so that they can be read aloud and taken out as text.
//!
//! A document is a `piece::Part` (pieces in reading order, and the structure they belong to); `flow` puts the pieces on
//! pages, `draw` writes them. What is printed is black on white: grey loses nothing.

mod chain;
mod documents;
mod draw;
mod figure;
mod flow;
mod font;
mod form;
mod job;
mod piece;
mod setter;
mod sheet;
mod small;
mod steps;
mod table;
mod timeline;
mod words;

pub use piece::Area;

use super::sheet::{About, Paper};
use flow::{Edges, Frame, Pages};
use font::Fonts;
use piece::{Leaf, Node, Part};
use setter::Setter;
use std::collections::BTreeSet;
use truing::problem::Problem;
use truing::report::document::Document;
use truing::report::papers::door_frame::DoorFrameNote;
use truing::report::papers::job::JobSheet;
use truing::report::papers::speed_card::SpeedCard;

/// A job sheet is to be one sheet of paper: its front and its back.
const JOB_PAGES: usize = 2;
/// Sizes at which that is tried; at the least of them plain words are 8.2 points high, as the asides are elsewhere.
const JOB_SIZES: [f64; 4] = [1.0, 0.95, 0.9, 0.86];

/// A document with every mark in its place.
pub struct Laid {
    pages: Pages,
    nodes: Vec<Node>,
    headings: Vec<(String, Leaf)>,
    about: About,
}

/// Makes papers; its fonts are read once.
pub struct Press {
    fonts: Fonts,
}

impl Press {
    /// A press with the built-in fonts.
    ///
    /// # Errors
    /// Fonts that cannot be read, which is a fault of this program.
    pub fn new() -> Result<Self, Box<Problem>> {
        Ok(Self { fonts: Fonts::built_in()? })
    }

    /// The job sheet: on two pages where smaller words can do it, else on as many as it takes. With a code that holds an
    /// address, where one is given.
    pub fn job(&self, sheet: &JobSheet, link: Option<&str>, paper: Paper, about: &About) -> Laid {
        within(JOB_PAGES, |scale| {
            let frame = paper.frame().scaled(1.0 / scale);
            let link = link.map(|holds| job::Printed { holds, scale });
            let set = |setter: &mut Setter| job::job(setter, sheet, link, frame.text);
            self.laid(frame, Some(&sheet.vehicle), about, set)
        })
    }

    /// A sheet to be written on: on one page where smaller words can do it.
    pub fn one_page(&self, document: &Document, paper: Paper, about: &About) -> Laid {
        within(1, |scale| {
            let frame = paper.frame().scaled(1.0 / scale);
            self.laid(frame, Some(&document.title), about, |setter| {
                documents::document(setter, document, &about.kind, frame.text.width)
            })
        })
    }

    /// Any document of the report.
    pub fn document(&self, document: &Document, paper: Paper, about: &About) -> Laid {
        let frame = paper.frame();
        self.laid(frame, Some(&document.title), about, |setter| {
            documents::document(setter, document, &about.kind, frame.text.width)
        })
    }

    /// The speed card: a sheet of its own size, or cut out of `paper`.
    pub fn speed_card(&self, card: &SpeedCard, paper: Option<Paper>, about: &About) -> Laid {
        let frame = small::frame(small::CARD, paper);
        self.laid(frame, None, about, |setter| small::card(setter, card, &about.kind, frame.text))
    }

    /// The note for the door frame: a label of its own size, or cut out of `paper`.
    pub fn door_frame(&self, note: &DoorFrameNote, paper: Option<Paper>, about: &About) -> Laid {
        let frame = small::frame(small::LABEL, paper);
        self.laid(frame, None, about, |setter| small::label(setter, note, about, frame.text))
    }

    /// The file of a document.
    ///
    /// # Errors
    /// What the writer finds against PDF/A-2u or PDF/UA-1, which is a fault of this program.
    pub fn pdf(&self, laid: Laid) -> Result<Vec<u8>, Box<Problem>> {
        draw::pdf(&self.fonts, &laid.pages, laid.nodes, &laid.headings, &laid.about)
    }

    /// Lays out what `set` sets; pages with head and foot where there is a name for the head.
    fn laid(
        &self,
        frame: Frame,
        head: Option<&str>,
        about: &About,
        set: impl FnOnce(&mut Setter) -> Part,
    ) -> Laid {
        let mut setter = Setter::new(&self.fonts);
        let part = set(&mut setter);
        let headings = std::mem::take(&mut setter.headings);
        let mut pages = flow::pages(frame, &part);
        if let Some(head) = head {
            let day = about.date.map_or(String::new(), |day| format!(", as of {day}"));
            let record =
                about.record.as_ref().map_or(String::new(), |record| format!("; {}", record.short()));
            let foot = format!("{}{day}{record}", about.software);
            let edges = Edges { head: (about.kind.clone(), head.into()), foot };
            pages = pages.with_edges(&self.fonts, &edges);
        }
        let title = self.fonts.printable(&about.title);
        let title = if title.trim().is_empty() { about.kind.clone() } else { title };
        Laid { pages, nodes: part.nodes, headings, about: About { title, ..about.clone() } }
    }
}

/// At the largest size at which it takes no more than so many pages; at the full one where none does.
fn within(pages: usize, of_size: impl Fn(f64) -> Laid) -> Laid {
    let scaled = |scale: f64| {
        let laid = of_size(scale);
        Laid { pages: laid.pages.scaled(scale), ..laid }
    };
    let fits = |laid: &Laid| laid.pages() <= pages;
    JOB_SIZES.into_iter().map(scaled).find(fits).unwrap_or_else(|| scaled(1.0))
}

/// The letters of a text that the built-in font lacks, each once.
pub fn lacking(text: &str) -> Vec<char> {
    let Ok(fonts) = Fonts::built_in() else { return Vec::new() };
    let letters: BTreeSet<char> = text.chars().filter(|c| fonts.lacks(*c)).collect();
    letters.into_iter().collect()
}

impl Laid {
    /// How many pages it has.
    pub fn pages(&self) -> usize {
        self.pages.pages.len()
    }

    /// Where the words and the pictures of a page stand, in points from its upper left corner: for checks that
    /// nothing overflows or collides.
    pub fn areas(&self, page: usize) -> Vec<Area> {
        self.pages.seen(page).map(|mark| mark.area).collect()
    }

    /// Width and height of its pages.
    pub fn page_size(&self) -> (f64, f64) {
        self.pages.frame.page
    }
}
