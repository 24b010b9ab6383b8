//! A short piece of the wave with its edges, for drawing.

use metrology::pulse::Edge;
use metrology::quantity::{Duration, Frequency};
use std::collections::VecDeque;

/// The piece ends at this rising edge: what comes before the first few may be hands on the clips.
const AT_EDGE: usize = 40;
/// Cycles in the piece.
const CYCLES: usize = 8;
/// Samples in the piece at most.
const POINTS: usize = 800;
/// Seconds kept: the edges are told a few seconds after their samples.
const KEPT_S: f64 = 8.0;

/// A piece of the wave.
#[derive(Clone, Debug, PartialEq)]
pub struct Wave {
    /// Samples with their times since the start.
    pub samples: Vec<(Duration, f64)>,
    /// Times of the edges that were counted, and the wave there.
    pub edges: Vec<(Duration, f64)>,
}

/// Keeps the latest samples until enough edges were told.
#[derive(Debug, Default)]
pub(super) struct Recent {
    rate_hz: f64,
    first: u64,
    kept: VecDeque<f64>,
    edges: Vec<Edge>,
    is_done: bool,
    piece: Vec<(f64, f64)>,
}

impl Recent {
    pub fn samples(&mut self, rate: Frequency, values: &[f64]) {
        if self.is_done {
            return;
        }
        self.rate_hz = rate.hz();
        self.kept.extend(values);
        let surplus = self.kept.len().saturating_sub((KEPT_S * self.rate_hz) as usize);
        self.kept.drain(..surplus);
        self.first += surplus as u64;
    }

    pub fn edge(&mut self, edge: Edge) {
        if self.is_done {
            return;
        }
        self.edges.push(edge);
        if self.edges.len() >= 2 * AT_EDGE {
            self.cut();
        }
    }

    /// Cuts the piece out and forgets the rest.
    fn cut(&mut self) {
        self.is_done = true;
        self.edges.drain(..self.edges.len().saturating_sub(2 * CYCLES));
        let (Some(first), Some(last)) = (self.edges.first(), self.edges.last()) else { return };
        let place =
            |time_s: f64| ((time_s * self.rate_hz).max(0.0) as u64).saturating_sub(self.first) as usize;
        // One step beyond the edges on both sides.
        let beside_s = (last.time_s - first.time_s) / (2 * CYCLES) as f64;
        let from = place(first.time_s - beside_s).min(self.kept.len());
        let to = place(last.time_s + beside_s).clamp(from, self.kept.len());
        let every = (to - from).div_ceil(POINTS).max(1);
        let at = |index: usize| ((self.first + index as u64) as f64 / self.rate_hz, self.kept[index]);
        self.piece = (from..to).step_by(every).map(at).collect();
        self.kept = VecDeque::new();
    }

    /// The piece with the edges of one direction.
    pub fn wave(&mut self, falling: bool) -> Option<Wave> {
        if !self.is_done {
            self.cut();
        }
        let value = |time_s: f64| {
            let behind = self.piece.partition_point(|(time, _)| *time < time_s);
            let (a, b) = (self.piece.get(behind.checked_sub(1)?)?, self.piece.get(behind)?);
            Some(a.1 + (b.1 - a.1) * (time_s - a.0) / (b.0 - a.0))
        };
        let counted = self.edges.iter().filter(|edge| edge.rising != falling);
        let edges =
            counted.filter_map(|edge| Some((Duration::from_s(edge.time_s), value(edge.time_s)?))).collect();
        let samples: Vec<(Duration, f64)> =
            self.piece.iter().map(|(time, value)| (Duration::from_s(*time), *value)).collect();
        (!samples.is_empty()).then_some(Wave { samples, edges })
    }
}
