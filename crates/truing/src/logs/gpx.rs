//! GPX 1.0 and 1.1 tracks, fed in chunks of any size.
//!
//! Elements are matched by local name, so any namespace prefix serves. Speed (m/s) and course (degrees) are taken
//! from the point itself (GPX 1.0) or from anywhere inside it (extensions of any namespace); the first one wins.
//! Entities of a document type definition are never expanded. A file that stops in the middle keeps every
//! complete point before the cut and says where it stops; that needs a check of the depth at the end, because a
//! file cut between two elements ends without an error of the XML library.
//!
//! Source: GPX 1.1 schema, <https://www.topografix.com/GPX/1/1/>; times are UTC there.

mod plain;
mod point;
mod scan;

use super::Track;
use super::text::Blocks;
use crate::problem::Problem;
use scan::Scan;

/// A push parser for one GPX file; memory is bounded by one element beside the fixes themselves.
#[derive(Debug)]
pub struct GpxReader {
    blocks: Blocks,
    scan: Scan,
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
        let track = self.scan.finish(&self.source, &mut problems);
        (track, problems)
    }
}

#[cfg(test)]
mod tests;
