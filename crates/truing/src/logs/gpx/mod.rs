//! GPX 1.0 and 1.1 tracks, fed in chunks of any size.
//!
//! Elements are matched by local name, so any namespace prefix serves. Speed (m/s) and course (degrees) are taken
//! from the point itself (GPX 1.0) or from anywhere inside it (extensions of any namespace); the first one wins.
//! Entities of a document type definition are never expanded. A file that stops in the middle keeps every
//! complete point before the cut and says where it stops; that needs a check of the depth at the end, because a
//! file cut between two elements ends without an error of the XML library.
//!
//! The `extensions` of the file itself may hold marks of a passenger (`docs/recording.md`).
//!
//! Source: GPX 1.1 schema, <https://www.topografix.com/GPX/1/1/>; times are UTC there.

use super::Track;
use super::marks::{Marking, RawMark};
use super::text::Blocks;
use super::xml::point::{Leaf, Point};
use super::xml::scan::{Document, Place, Root, Scan};
use crate::problem::Problem;
use quick_xml::events::BytesStart;

const ROOT: Root = Root { name: "gpx", says: "a GPX file, which begins with <gpx>" };

/// A push parser for one GPX file; memory is bounded by one element beside the fixes themselves.
#[derive(Debug)]
pub struct GpxReader {
    blocks: Blocks,
    scan: Scan<Points>,
    source: String,
}

impl GpxReader {
    /// A reader of the input called `source_name` in problems.
    pub fn new(source_name: impl Into<String>) -> Self {
        Self { blocks: Blocks::default(), scan: Scan::default(), source: source_name.into() }
    }

    /// Takes the next bytes, in chunks of any size.
    pub fn feed(&mut self, bytes: &[u8]) {
        let Self { blocks, scan, .. } = self;
        blocks.feed(bytes, |text| scan.block(text, false));
    }

    /// What was understood, and what was not.
    pub fn finish(mut self) -> (Track, Vec<Problem>) {
        self.scan.block(self.blocks.rest(), true);
        let mut problems = super::encoding_problems(&self.blocks.decoder, &self.source);
        let points = self.scan.finish(&self.source, ROOT, &mut problems);
        if points.points == 0 && points.routes_and_waypoints > 0 {
            let found = "only a route or single places";
            let hint = "export the recorded track, not the planned route";
            problems.push(Problem::warning(&self.source, "track points (trkpt)", found).hint(hint));
        }
        let Points { mut track, marking, .. } = points;
        track.marks = marking.finish(&self.source, &mut track.fixes, &mut problems);
        (track.with_dates(), problems)
    }
}

/// The points that were read so far.
#[derive(Debug, Default)]
struct Points {
    track: Track,
    /// The point being read and its depth.
    point: Option<(Point, usize)>,
    /// The value being read.
    leaf: Option<Leaf>,
    segment_starts: bool,
    /// Within the extensions of the file itself.
    in_extensions: bool,
    marking: Marking,
    points: usize,
    routes_and_waypoints: usize,
}

impl Document for Points {
    fn open(&mut self, name: &str, element: &BytesStart<'_>, depth: usize, place: &mut Place<'_>) -> bool {
        match (name, &self.point) {
            ("trkpt", None) => {
                self.points += 1;
                let line = place.line();
                self.point = Some((Point::start(element, line, place.tally), depth));
            }
            ("trkseg", None) => self.segment_starts = true,
            ("extensions", None) if depth == EXTENSIONS_DEPTH => self.in_extensions = true,
            (kind, None) if self.in_extensions && depth == EXTENSIONS_DEPTH + 1 => {
                mark(kind, element, place.line(), &mut self.marking);
            }
            ("rtept" | "wpt", None) => self.routes_and_waypoints += 1,
            (name, Some((_, point_depth))) => self.leaf = leaf(name, depth == point_depth + 1),
            _ => {}
        }
        self.leaf.is_some()
    }

    fn close(&mut self, depth: usize, text: Option<&str>, place: &mut Place<'_>) {
        if let (Some((point, _)), Some(leaf), Some(text)) = (&mut self.point, self.leaf.take(), text) {
            return point.set(leaf, text, place);
        }
        if depth == EXTENSIONS_DEPTH {
            self.in_extensions = false;
        }
        if let Some((mut point, _)) = self.point.take_if(|(_, point_depth)| *point_depth == depth)
            && point.usable
            && self.marking.is_precise(point.accuracy_m)
        {
            self.marking.fix(self.track.fixes.len(), point.fix.time, point.delivered_s);
            point.fix.starts_segment = core::mem::take(&mut self.segment_starts);
            self.track.fixes.push(point.fix);
        }
    }
}

/// How deep the extensions of the file itself lie.
const EXTENSIONS_DEPTH: usize = 2;

/// Takes a mark from the attributes of its element; elements of others are none.
fn mark(kind: &str, element: &BytesStart<'_>, line: usize, marking: &mut Marking) {
    if !["hold", "odometer", "gap", "note"].contains(&kind) {
        return;
    }
    let unescaped = |value: &str| quick_xml::escape::unescape(value).ok().map(|text| text.into_owned());
    let mut all: Vec<(String, Option<String>)> = Vec::new();
    for one in element.attributes().with_checks(false).flatten() {
        all.push((one.key.as_ref().to_string(), unescaped(&one.value)));
    }
    let said = |name: &str| all.iter().find(|(key, _)| key == name).and_then(|(_, value)| value.as_deref());
    let raw = RawMark {
        kind,
        shown: said("shown"),
        at: said("at"),
        start: said("start"),
        end: said("end"),
        text: said("text").or_else(|| said("reason")),
    };
    marking.mark(line, &raw);
}

/// The value an element stands for; `direct` when it is a child of the point itself.
fn leaf(local_name: &str, direct: bool) -> Option<Leaf> {
    match local_name {
        "ele" if direct => Some(Leaf::Elevation),
        "time" if direct => Some(Leaf::Time),
        "hdop" if direct => Some(Leaf::Hdop),
        "speed" => Some(Leaf::Speed),
        "course" => Some(Leaf::Course),
        "accuracy" => Some(Leaf::Accuracy),
        "delivered" => Some(Leaf::Delivered),
        _ => None,
    }
}

#[cfg(test)]
mod tests;
