//! Lengths between the points of a path, and where it breaks.

use metrology::smooth::PathPoint;

/// Length since the start and number of breaks at each point.
#[derive(Clone, Debug, Default)]
pub struct Legs {
    time_s: Vec<f64>,
    length_m: Vec<f64>,
    breaks: Vec<usize>,
}

impl Legs {
    /// Of a smoothed path.
    pub fn of_path(points: &[PathPoint]) -> Legs {
        let mut legs = Legs::default();
        let mut before = 0.0;
        for point in points {
            legs.push(point.time_s, point.speed_m_per_s, Some(point.middle_m_per_s), before, point.breaks);
            before = point.speed_m_per_s;
        }
        legs
    }

    /// Of speeds at rising times, with those half way where they are known.
    pub fn of_speeds(time_s: &[f64], speeds: &[f64], middles: &[Option<f64>], breaks: &[bool]) -> Legs {
        let mut legs = Legs::default();
        for index in 0..time_s.len() {
            let before = index.checked_sub(1).map_or(0.0, |k| speeds[k]);
            legs.push(time_s[index], speeds[index], middles[index], before, breaks[index]);
        }
        legs
    }

    fn push(&mut self, time_s: f64, speed: f64, middle: Option<f64>, before: f64, breaks: bool) {
        let last = self.time_s.last().zip(self.length_m.last()).zip(self.breaks.last());
        let (length_m, broken) = last.map_or((0.0, 0), |((last_s, length_m), broken)| {
            if breaks {
                (*length_m, broken + 1)
            } else {
                (length_m + step_m(time_s - last_s, before, middle, speed), *broken)
            }
        });
        self.time_s.push(time_s);
        self.length_m.push(length_m);
        self.breaks.push(broken);
    }

    /// The same at some of the points.
    pub fn at(&self, indices: &[usize]) -> Legs {
        let kept = || indices.iter().copied().filter(|index| *index < self.len());
        Legs {
            time_s: kept().map(|k| self.time_s[k]).collect(),
            length_m: kept().map(|k| self.length_m[k]).collect(),
            breaks: kept().map(|k| self.breaks[k]).collect(),
        }
    }

    /// Number of points.
    pub fn len(&self) -> usize {
        self.time_s.len()
    }

    /// Length between two points (m); nothing across a break.
    pub fn between(&self, from: usize, to: usize) -> Option<f64> {
        let whole = self.breaks.get(from)? == self.breaks.get(to)?;
        whole.then(|| self.length_m[to] - self.length_m[from])
    }

    /// Length of all of it, without the breaks (m).
    pub fn total_m(&self) -> f64 {
        self.length_m.last().copied().unwrap_or(0.0)
    }

    /// Time between two points (s).
    pub fn span_s(&self, from: usize, to: usize) -> f64 {
        self.time_s[to] - self.time_s[from]
    }
}

/// Length of a step (m): Simpson's rule, exact for the cubic's velocity along a straight road. Without a speed half way, the mean of both.
pub fn step_m(span_s: f64, before: f64, middle: Option<f64>, after: f64) -> f64 {
    let mean = 0.5 * (before + after);
    span_s * (mean + 2.0 * middle.unwrap_or(mean)) / 3.0
}
