//! Sheets of paper as they are sold, in points.

use super::flow::Frame;
use super::piece::Area;
use crate::paper::sheet::Paper;

/// Room at the sides of a sheet, above and below its text.
const SIDE: f64 = 46.0;
const ABOVE: f64 = 52.0;
const BELOW: f64 = 46.0;

impl Paper {
    /// Width and height.
    pub(super) fn size(self) -> (f64, f64) {
        let mm = |length: f64| length * 72.0 / 25.4;
        match self {
            Self::Letter => (612.0, 792.0),
            Self::A4 => (mm(210.0), mm(297.0)),
        }
    }

    /// A page of it, with room around its text.
    pub(super) fn frame(self) -> Frame {
        let (width, height) = self.size();
        let text = Area { left: SIDE, top: ABOVE, width: width - 2.0 * SIDE, height: height - ABOVE - BELOW };
        Frame { page: (width, height), text, cut: None }
    }
}
