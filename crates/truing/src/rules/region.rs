//! Which readings conform at all test points: the part of the plane of offset and ratio that the bands allow.
//!
//! At a true speed `v` the band asks `low(v) <= a + R v <= high(v)`; at an indicated speed `i` it asks that
//! the true one, `(i - a) / R`, lies in the inverse band. Either way, for a given offset `a` (m/s) the ratio
//! R must lie between straight lines in `a`.

use super::{Band, TestPoint};

/// A limit of R: `constant + per_offset x a`, with `a` in m/s.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct Limit {
    pub constant: f64,
    pub per_offset: f64,
}

impl Limit {
    fn level(constant: f64) -> Self {
        Self { constant, per_offset: 0.0 }
    }

    pub fn at(self, offset_m_per_s: f64) -> f64 {
        self.constant + self.per_offset * offset_m_per_s
    }

    /// The offset at which two lines cross.
    fn crossing(self, other: Self) -> Option<f64> {
        let offset_m_per_s = (other.constant - self.constant) / (self.per_offset - other.per_offset);
        offset_m_per_s.is_finite().then_some(offset_m_per_s)
    }
}

/// All limits of R.
#[derive(Clone, Debug, Default)]
pub(super) struct Region {
    low: Vec<Limit>,
    high: Vec<Limit>,
}

impl Region {
    pub fn new(band: &Band, points: &[TestPoint]) -> Self {
        let mut region = Self::default();
        for point in points {
            region.add(band, *point);
        }
        region
    }

    fn add(&mut self, band: &Band, point: TestPoint) {
        let (low, high) = (band.low(), band.high());
        match point {
            TestPoint::Ratio => {
                self.low.push(Limit::level(low.slope.plain()));
                self.high.push(Limit::level(high.slope.plain()));
            }
            TestPoint::True(speed) => {
                let v = speed.m_per_s();
                let line = |edge: super::Edge| Limit {
                    constant: edge.indicated_at(speed).m_per_s() / v,
                    per_offset: -1.0 / v,
                };
                self.low.push(line(low));
                self.high.push(line(high));
            }
            TestPoint::Indicated(speed) => self.add_indicated(band, speed.m_per_s()),
        }
    }

    /// `R (i - high offset) <= high slope (i - a)` and `R (i - low offset) >= low slope (i - a)`. Below its
    /// own offset the high edge allows every true speed and the low edge none.
    fn add_indicated(&mut self, band: &Band, i: f64) {
        let line = |edge: super::Edge| {
            let rest = i - edge.offset.m_per_s();
            let slope = edge.slope.plain() / rest;
            (rest > 0.0).then_some(Limit { constant: slope * i, per_offset: -slope })
        };
        self.low.push(line(band.low()).unwrap_or(Limit::level(f64::INFINITY)));
        self.high.extend(line(band.high()));
    }

    /// Lowest and highest R allowed at an offset; empty where the lowest is above the highest.
    pub fn limits_at(&self, offset_m_per_s: f64) -> (f64, f64) {
        let low = self.low.iter().map(|line| line.at(offset_m_per_s)).fold(f64::NEG_INFINITY, f64::max);
        let high = self.high.iter().map(|line| line.at(offset_m_per_s)).fold(f64::INFINITY, f64::min);
        (low, high)
    }

    /// Whether the offset plays no part.
    pub fn is_level(&self) -> bool {
        self.lines().all(|line| line.per_offset == 0.0)
    }

    pub fn lines(&self) -> impl Iterator<Item = Limit> + '_ {
        self.low.iter().chain(&self.high).copied()
    }

    /// Offsets at which another line becomes the limit or the region closes, in m/s.
    pub fn corners(&self) -> Vec<f64> {
        let lines: Vec<Limit> = self.lines().collect();
        let mut corners = Vec::new();
        for (i, line) in lines.iter().enumerate() {
            corners.extend(lines[i + 1..].iter().filter_map(|other| line.crossing(*other)));
        }
        corners
    }
}
