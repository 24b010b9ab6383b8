//! Pictures: charts of the report, and codes that a phone reads.

use super::font::{FAMILY, Fonts};
use super::piece::{Area, Mark, Part, Piece, What};
use super::setter::{ASIDE, Setter};
use super::words::bold;
use crate::chart;
use crate::paper::code::{self, Code};
use krilla::tagging::Tag;
use std::rc::Rc;
use truing::report::document::{Chart, Drawing};

/// Side of a square of a code that a phone still reads from paper, in points (0.4 mm; judgement).
const LEAST_SQUARE: f64 = 0.4 * 72.0 / 25.4;

/// A drawing of how something is done.
pub fn drawing(setter: &mut Setter, which: Drawing, width: f64) -> Part {
    let Some(tree) = tree_of(setter.fonts, &chart::drawing(which).into_string()) else {
        return Part::default();
    };
    let height = width * f64::from(tree.size().height()) / f64::from(tree.size().width());
    let (leaf, node) = setter.tagged(Tag::Figure(Some(which.says().into())));
    let area = Area { width, height, ..Area::default() };
    let mark = Mark { area, what: What::Picture(Rc::new(tree)), leaf: Some(leaf) };
    let piece = Piece { space: 4.0, height, marks: vec![mark], ..Piece::default() };
    Part { pieces: vec![piece], nodes: vec![node] }
}

/// A chart with its title over it.
pub fn figure(setter: &mut Setter, drawing: &Chart, width: f64) -> Part {
    let mut part = setter.paragraph(&bold(&drawing.title), ASIDE, width).with_next();
    let Some(tree) = tree(setter.fonts, drawing) else { return part };
    let height = width * f64::from(tree.size().height()) / f64::from(tree.size().width());
    let (leaf, node) = setter.tagged(Tag::Figure(Some(alternative(setter.fonts, drawing))));
    let area = Area { width, height, ..Area::default() };
    let mark = Mark { area, what: What::Picture(Rc::new(tree)), leaf: Some(leaf) };
    part.then(Part {
        pieces: vec![Piece { space: 3.0, height, marks: vec![mark], ..Piece::default() }],
        nodes: vec![node],
    });
    part
}

/// What whoever does not see the picture hears; a figure without any words is not allowed.
fn alternative(fonts: &Fonts, drawing: &Chart) -> String {
    let words = [&drawing.description, &drawing.title].map(|text| fonts.printable(text));
    let said = words.into_iter().find(|text| !text.trim().is_empty());
    said.unwrap_or_else(|| "A picture of which nothing is said.".into())
}

/// The picture as it is drawn, with words in the fonts of the document. It is black on white: series differ by dash
/// and marker, so grey loses nothing.
fn tree(fonts: &Fonts, drawing: &Chart) -> Option<usvg::Tree> {
    tree_of(fonts, &chart::svg(drawing).into_string())
}

fn tree_of(fonts: &Fonts, svg: &str) -> Option<usvg::Tree> {
    let svg = fonts.printable_picture(svg);
    let options = usvg::Options {
        font_family: FAMILY.into(),
        fontdb: fonts.for_pictures(),
        ..usvg::Options::default()
    };
    usvg::Tree::from_str(&svg.replacen("<svg ", "<svg xmlns=\"http://www.w3.org/2000/svg\" ", 1), &options)
        .ok()
}

/// A code that holds a text, so wide when it is printed at a scale; none where the text is too long for squares that a phone
/// reads.
pub fn code(setter: &mut Setter, text: &str, what: &str, (printed, scale): (f64, f64)) -> Option<Part> {
    let Code { squares, bars } = code::of(text)?;
    let squares = squares as f64;
    if printed / squares < LEAST_SQUARE {
        return None;
    }
    let side = printed / scale;
    let square = side / squares;
    let (leaf, node) = setter.tagged(Tag::Figure(Some(what.into())));
    let area = Area { width: side, height: side, ..Area::default() };
    let what = What::Bars(bars, square);
    let piece =
        Piece { height: side, marks: vec![Mark { area, what, leaf: Some(leaf) }], ..Piece::default() };
    Some(Part { pieces: vec![piece], nodes: vec![node] })
}
