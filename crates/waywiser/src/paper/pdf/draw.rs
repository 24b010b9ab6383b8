//! Pages to PDF: marks drawn, and the structure written beside them, so that the text can be read aloud and taken out.
//!
//! Written to PDF/UA-1, and to PDF/A-2u where the input has a date; the writer refuses what breaks a rule that it can
//! check. The same input gives the same bytes: the date is the input's own.

use super::flow::Pages;
use super::font::Fonts;
use super::piece::{Area, Grey, Leaf, Mark, Node, Pen, What};
use super::setter::base_line;
use crate::paper::sheet::About;
use krilla::Document;
use krilla::SerializeSettings;
use krilla::color::luma;
use krilla::configure::{Accessibility, Archival, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Rect, Size, Transform};
use krilla::metadata::{DateTime, Metadata};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    self, Artifact, ArtifactType, BBox, ContentTag, Identifier, SpanTag, TagGroup, TagKind, TagTree,
};
use krilla_svg::{SurfaceExt, SvgSettings};
use std::collections::BTreeMap;
use truing::problem::Problem;

/// The language of every document.
const LANGUAGE: &str = "en";

/// Where each leaf was drawn.
#[derive(Default)]
struct Drawn {
    identifiers: BTreeMap<Leaf, Vec<Identifier>>,
    areas: BTreeMap<Leaf, (usize, Area)>,
}

/// The document as a file.
pub fn pdf(
    fonts: &Fonts,
    pages: &Pages,
    nodes: Vec<Node>,
    headings: &[(String, Leaf)],
    about: &About,
) -> Result<Vec<u8>, Box<Problem>> {
    let standards = ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1);
    // PDF/A asks for a date; where the input has none, none is made up.
    let standards = match about.date {
        Some(_) => standards.with_archival_validator(Archival::A2_U),
        None => standards,
    };
    let configuration = standards.finish().map_err(|error| refused(format!("{error:?}")))?;
    let mut document =
        Document::new_with(SerializeSettings { configuration, ..SerializeSettings::default() });
    let mut drawn = Drawn::default();
    let (width, height) = pages.frame.page;
    for (index, marks) in pages.pages.iter().enumerate() {
        let settings = PageSettings::from_wh(width as f32, height as f32);
        let mut page = document.start_page_with(settings.ok_or_else(|| refused("an empty page"))?);
        let mut surface = page.surface();
        draw_page(fonts, &mut surface, marks, (index, pages.edges[index]), &mut drawn);
        surface.finish();
        page.finish();
    }
    document.set_outline(outline(headings, &drawn));
    document.set_metadata(metadata(about));
    let mut tree = TagTree::new().with_lang(Some(LANGUAGE.into()));
    nodes.into_iter().flat_map(|node| structure(node, &mut drawn)).for_each(|node| tree.push(node));
    document.set_tag_tree(tree);
    document.finish().map_err(|error| refused(format!("{error:?}")))
}

fn refused(found: impl Into<String>) -> Box<Problem> {
    let found: String = found.into().chars().take(200).collect();
    let problem = Problem::error("the document", "pages that can be written as PDF/A and PDF/UA", found);
    Box::new(problem.hint("this is a fault of this program; the HTML sheet prints as well"))
}

/// Marks that follow each other in one leaf are one stretch of its content.
fn draw_page(
    fonts: &Fonts,
    surface: &mut Surface,
    marks: &[Mark],
    (page, edges): (usize, (usize, usize)),
    drawn: &mut Drawn,
) {
    let mut rest = marks;
    let mut at = 0;
    while let Some(first) = rest.first() {
        let region = |index: usize| usize::from(index >= edges.0) + usize::from(index >= edges.0 + edges.1);
        let same =
            |(offset, mark): &(usize, &Mark)| mark.leaf == first.leaf && region(at + offset) == region(at);
        let count = rest.iter().enumerate().take_while(same).count();
        let (stretch, others) = rest.split_at(count);
        let identifier = surface.start_tagged(tag_of(stretch, region(at)));
        stretch.iter().for_each(|mark| draw(fonts, surface, mark));
        surface.end_tagged();
        if let Some(leaf) = first.leaf {
            drawn.identifiers.entry(leaf).or_default().push(identifier);
            stretch.iter().for_each(|mark| drawn.note(leaf, page, mark.area));
        }
        at += count;
        rest = others;
    }
}

fn tag_of(stretch: &[Mark], region: usize) -> ContentTag<'static> {
    let is_words = stretch.iter().all(|mark| matches!(mark.what, What::Words(..)));
    match (stretch.first().and_then(|mark| mark.leaf), region) {
        (Some(_), _) if is_words => ContentTag::Span(SpanTag::empty()),
        (Some(_), _) => ContentTag::Other,
        (None, 0) => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Header)),
        (None, 1) => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Footer)),
        (None, _) => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
    }
}

impl Drawn {
    /// Keeps the smallest area around a leaf, on the first page it stands on.
    fn note(&mut self, leaf: Leaf, page: usize, area: Area) {
        let (first, around) = self.areas.entry(leaf).or_insert((page, area));
        if *first == page {
            let right = (around.left + around.width).max(area.left + area.width);
            let bottom = (around.top + around.height).max(area.top + area.height);
            (around.left, around.top) = (around.left.min(area.left), around.top.min(area.top));
            (around.width, around.height) = (right - around.left, bottom - around.top);
        }
    }
}

fn draw(fonts: &Fonts, surface: &mut Surface, mark: &Mark) {
    let Area { left, top, width, height } = mark.area;
    match &mark.what {
        What::Words(shaped, size, grey) => {
            surface.set_fill(Some(fill(*grey)));
            surface.set_stroke(None);
            let start = Point::from_xy(left as f32, (top + base_line(*size)) as f32);
            let font = fonts.font(shaped.weight);
            surface.draw_glyphs(start, &shaped.glyphs, font, &shaped.text, *size as f32, false);
        }
        What::Outline { runs, closed, fill: inside, pen } => {
            surface.set_fill(inside.map(fill));
            surface.set_stroke(pen.as_ref().map(stroke));
            if let Some(path) = path(runs, *closed, (left, top)) {
                surface.draw_path(&path);
            }
        }
        What::Bars(bars, square) => {
            surface.set_fill(Some(fill(0)));
            surface.set_stroke(None);
            let square = *square as f32;
            surface.push_transform(&Transform::from_row(square, 0.0, 0.0, square, left as f32, top as f32));
            if let Some(path) = path_of(bars) {
                surface.draw_path(&path);
            }
            surface.pop();
        }
        What::Picture(tree) => {
            if let Some(size) = Size::from_wh(width as f32, height as f32) {
                surface.push_transform(&Transform::from_translate(left as f32, top as f32));
                let _ = surface.draw_svg(tree, size, SvgSettings::default());
                surface.pop();
            }
        }
    }
}

fn fill(grey: Grey) -> Fill {
    Fill { paint: luma::Color::new(grey).into(), ..Fill::default() }
}

fn stroke(pen: &Pen) -> Stroke {
    let dash = (!pen.dashes.is_empty())
        .then(|| StrokeDash { array: pen.dashes.iter().map(|length| *length as f32).collect(), offset: 0.0 });
    Stroke { paint: luma::Color::new(pen.grey).into(), width: pen.width as f32, dash, ..Stroke::default() }
}

fn path(runs: &[Vec<(f64, f64)>], closed: bool, (left, top): (f64, f64)) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for run in runs {
        for (index, (x, y)) in run.iter().enumerate() {
            let (x, y) = ((left + x) as f32, (top + y) as f32);
            if index == 0 { builder.move_to(x, y) } else { builder.line_to(x, y) }
        }
        if closed {
            builder.close();
        }
    }
    builder.finish()
}

fn path_of(bars: &[(usize, usize, usize)]) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for (column, row, count) in bars {
        Rect::from_xywh(*column as f32, *row as f32, *count as f32, 1.0)
            .into_iter()
            .for_each(|bar| builder.push_rect(bar));
    }
    builder.finish()
}

/// The structure with what was drawn of it; figures say where they are.
fn structure(node: Node, drawn: &mut Drawn) -> Vec<tagging::Node> {
    match node {
        Node::Leaf(leaf) => {
            drawn.identifiers.remove(&leaf).unwrap_or_default().into_iter().map(tagging::Node::Leaf).collect()
        }
        Node::Group(tag, children) => {
            let tag = match (tag, children.first()) {
                (TagKind::Figure(figure), Some(Node::Leaf(leaf))) => {
                    TagKind::Figure(figure.with_bbox(drawn.areas.get(leaf).and_then(around)))
                }
                (tag, _) => tag,
            };
            let children: Vec<_> = children.into_iter().flat_map(|child| structure(child, drawn)).collect();
            vec![tagging::Node::Group(TagGroup::with_children(tag, children))]
        }
    }
}

fn around((page, area): &(usize, Area)) -> Option<BBox> {
    let [left, top, width, height] =
        [area.left, area.top, area.width, area.height].map(|length| length as f32);
    Rect::from_xywh(left, top, width, height).map(|rect| BBox::new(*page, rect))
}

fn outline(headings: &[(String, Leaf)], drawn: &Drawn) -> Outline {
    let mut outline = Outline::new();
    for (text, leaf) in headings {
        if let Some((page, area)) = drawn.areas.get(leaf) {
            let place = XyzDestination::new(*page, Point::from_xy(area.left as f32, area.top as f32));
            outline.push_child(OutlineNode::new(text.clone(), place));
        }
    }
    outline
}

fn metadata(about: &About) -> Metadata {
    let metadata = Metadata::new()
        .title(about.title.clone())
        .description(about.kind.clone())
        .language(LANGUAGE.into())
        .creator(about.software.clone())
        .producer(about.software.clone());
    match about.date {
        Some(date) => {
            let number = |part: i8| u8::try_from(part).unwrap_or(1);
            let day = DateTime::new(u16::try_from(date.year()).unwrap_or(0));
            metadata.creation_date(day.month(number(date.month())).day(number(date.day())))
        }
        None => metadata,
    }
}
