//! Training logs (TCX), fed in chunks of any size.
//!
//! Each `Trackpoint` is a fix: its time, position, height, and the speed of its extension in m/s. A `Track` begins a
//! segment. Points without a position keep their speed.
//!
//! Source: the published schemas of version 2 of the format and of its extension for activities (from memory).

use super::Track;
use super::text::Blocks;
use super::xml::point::{Leaf, Point};
use super::xml::scan::{Document, Place, Root, Scan};
use crate::problem::Problem;
use quick_xml::events::BytesStart;

const ROOT: Root = Root { name: "TrainingCenterDatabase", says: "a training log (TCX)" };

/// A push parser for one TCX file; memory is bounded by one element beside the fixes themselves.
#[derive(Debug)]
pub struct TcxReader {
    blocks: Blocks,
    scan: Scan<Points>,
    source: String,
}

impl TcxReader {
    /// A reader of the input called `source` in problems.
    pub fn new(source: impl Into<String>) -> Self {
        Self { blocks: Blocks::default(), scan: Scan::default(), source: source.into() }
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
        let track = self.scan.finish(&self.source, ROOT, &mut problems).track;
        (track.with_dates(), problems)
    }
}

#[derive(Debug, Default)]
struct Points {
    track: Track,
    point: Option<(Point, usize)>,
    leaf: Option<Leaf>,
    segment_starts: bool,
}

impl Document for Points {
    fn open(&mut self, name: &str, _: &BytesStart<'_>, depth: usize, place: &mut Place<'_>) -> bool {
        match (name, &self.point) {
            ("Trackpoint", None) => self.point = Some((Point::at(place.line()), depth)),
            ("Track", None) => self.segment_starts = true,
            (name, Some(_)) => self.leaf = leaf(name),
            _ => {}
        }
        self.leaf.is_some()
    }

    fn close(&mut self, depth: usize, text: Option<&str>, place: &mut Place<'_>) {
        if let (Some((point, _)), Some(leaf), Some(text)) = (&mut self.point, self.leaf.take(), text) {
            return point.set(leaf, text, place);
        }
        let Some((point, _)) = self.point.take_if(|(_, point_depth)| *point_depth == depth) else { return };
        let mut fix = point.fix;
        if fix.latitude.is_none() || fix.longitude.is_none() {
            (fix.latitude, fix.longitude) = (None, None);
        }
        // A pause or a place without reception leaves points with nothing but a time.
        if fix.latitude.is_some() || fix.speed.is_some() {
            fix.starts_segment = core::mem::take(&mut self.segment_starts);
            self.track.fixes.push(fix);
        }
    }
}

fn leaf(local_name: &str) -> Option<Leaf> {
    match local_name {
        "Time" => Some(Leaf::Time),
        "LatitudeDegrees" => Some(Leaf::Latitude),
        "LongitudeDegrees" => Some(Leaf::Longitude),
        "AltitudeMeters" => Some(Leaf::Elevation),
        "Speed" => Some(Leaf::Speed),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::Clock;

    fn read(text: &str, chunk_bytes: usize) -> (Track, Vec<String>) {
        let mut reader = TcxReader::new("drive.tcx");
        text.as_bytes().chunks(chunk_bytes).for_each(|chunk| reader.feed(chunk));
        let (track, problems) = reader.finish();
        (track, problems.iter().map(Problem::to_string).collect())
    }

    fn file(points: &str) -> String {
        format!(
            "<?xml version='1.0'?><TrainingCenterDatabase xmlns='x' xmlns:ns3='y'><Activities><Activity><Lap><Track>\n\
             {points}</Track></Lap></Activity></Activities></TrainingCenterDatabase>"
        )
    }

    fn point(time: &str, latitude: &str, more: &str) -> String {
        format!(
            "<Trackpoint><Time>{time}</Time><Position><LatitudeDegrees>{latitude}</LatitudeDegrees>\
             <LongitudeDegrees>11.5</LongitudeDegrees></Position><AltitudeMeters>520.4</AltitudeMeters>{more}</Trackpoint>\n"
        )
    }

    /// How many fixes, and what is told.
    fn check(text: &str, fixes: usize, told: &[&str]) -> Track {
        let (track, problems) = read(text, 7);
        assert_eq!((track.fixes.len(), problems.len()), (fixes, told.len()), "{text}: {problems:?}");
        assert!(problems.iter().zip(told).all(|(found, told)| found.contains(told)), "{problems:?}");
        assert_eq!(read(text, 1 << 20).0, track);
        track
    }

    #[test]
    fn points_with_their_speeds() {
        let speed = "<Extensions><ns3:TPX><ns3:Speed>13.25</ns3:Speed></ns3:TPX></Extensions>";
        let track = check(&file(&point("2019-05-24T11:50:21Z", "48.25", speed)), 1, &[]);
        let fix = track.fixes.get(0).unwrap();
        assert_eq!((fix.speed.unwrap().m_per_s(), fix.latitude.unwrap().deg()), (13.25, 48.25));
        assert_eq!((fix.longitude.unwrap().deg(), fix.elevation.unwrap().m()), (11.5, 520.4));
        assert_eq!((fix.time.unwrap().s(), track.clock), (1_558_698_621.0, Clock::Absolute));
        assert!(fix.starts_segment && fix.line == 2);
    }

    #[test]
    fn damaged_points() {
        let good = point("2019-05-24T11:50:21Z", "48.25", "");
        let bad = point("soon", "91", "<Speed>-3</Speed>");
        let told = [
            "time: expected a time such",
            "latitude: expected a latitude from -90",
            "a speed in m/s from 0 to 500",
        ];
        check(&file(&format!("{good}{bad}")), 1, &told);
        check(&file("<Trackpoint><Time>2019-05-24T11:50:21Z</Time></Trackpoint>"), 0, &[]);
        let whole = file(&good.repeat(3));
        let cut = &whole[..whole.rfind("<AltitudeMeters>").unwrap()];
        check(cut, 2, &["the file was cut short"]);
        check("<rss><Trackpoint/></rss>", 0, &["expected a training log (TCX); found <rss>"]);
    }
}
