//! The state in pairs of east and north, and how it goes from one fix to the next.
//!
//! Position `p`, velocity `v` and slow error `b` make a 6-vector, its covariance a 6 by 6 matrix of 2 by 2 blocks. Most blocks of
//! the transition are zero or the same turn, so that block by block a step costs a fifth of the whole product.

use super::{LONGEST_STEP_S, Levels};
use nalgebra::{Matrix2, SMatrix, Vector2};

/// Position (m), velocity (m/s) and slow position error (m); or their counterparts in the pass backward.
#[derive(Copy, Clone, Debug, Default)]
pub(super) struct State {
    pub(super) p: Vector2<f64>,
    pub(super) v: Vector2<f64>,
    pub(super) b: Vector2<f64>,
}

/// The upper blocks of a symmetric matrix.
#[derive(Copy, Clone, Debug, Default)]
pub(super) struct Spread {
    pub(super) pp: Matrix2<f64>,
    pub(super) pv: Matrix2<f64>,
    pub(super) pb: Matrix2<f64>,
    pub(super) vv: Matrix2<f64>,
    pub(super) vb: Matrix2<f64>,
    pub(super) bb: Matrix2<f64>,
}

impl State {
    pub(super) fn dot(&self, other: &State) -> f64 {
        self.p.dot(&other.p) + self.v.dot(&other.v) + self.b.dot(&other.b)
    }
}

impl Spread {
    /// Next to nothing known: these variances, east and north alike.
    pub(super) fn diagonal(place_m2: f64, speed_m2_per_s2: f64, slow_m2: f64) -> Spread {
        let of = |variance: f64| Matrix2::identity() * variance;
        Spread { pp: of(place_m2), vv: of(speed_m2_per_s2), bb: of(slow_m2), ..Spread::default() }
    }

    pub(super) fn times(&self, x: &State) -> State {
        State {
            p: self.pp * x.p + self.pv * x.v + self.pb * x.b,
            v: self.pv.transpose() * x.p + self.vv * x.v + self.vb * x.b,
            b: self.pb.transpose() * x.p + self.vb.transpose() * x.v + self.bb * x.b,
        }
    }

    /// Takes away what was seen tells: the gain times the covariance of the state with what is seen, of one or of two components.
    pub(super) fn take_away<const SEEN: usize>(
        &mut self,
        [p, v, b]: &[SMatrix<f64, 2, SEEN>; 3],
        beside: &[SMatrix<f64, 2, SEEN>; 3],
    ) {
        let [to_p, to_v, to_b] = beside.map(|block| block.transpose());
        self.pp -= p * to_p;
        self.pv -= p * to_v;
        self.pb -= p * to_b;
        self.vv -= v * to_v;
        self.vb -= v * to_b;
        self.bb -= b * to_b;
    }

    /// Takes away what rounding makes uneven.
    pub(super) fn even(&mut self) {
        for block in [&mut self.pp, &mut self.vv, &mut self.bb] {
            let beside = 0.5 * (block[(0, 1)] + block[(1, 0)]);
            (block[(0, 1)], block[(1, 0)]) = (beside, beside);
        }
    }

    /// Block of the velocity in `self - self * adjoint * self`.
    pub(super) fn velocity_less(&self, adjoint: &Spread) -> Matrix2<f64> {
        let (to_p, to_b) = (self.pv, self.vb.transpose());
        let p = adjoint.pp * to_p + adjoint.pv * self.vv + adjoint.pb * to_b;
        let v = adjoint.pv.transpose() * to_p + adjoint.vv * self.vv + adjoint.vb * to_b;
        let b = adjoint.pb.transpose() * to_p + adjoint.vb.transpose() * self.vv + adjoint.bb * to_b;
        self.vv - (self.pv.transpose() * p + self.vv * v + self.vb * b)
    }
}

/// The step to a fix: the velocity turns and walks at random, the slow error decays.
pub(super) struct Way {
    /// Velocity before into way: on an arc it is the chord, in the direction of the middle.
    chord: Matrix2<f64>,
    turn: Matrix2<f64>,
    keep: f64,
    dt: f64,
    walk: f64,
    slow: f64,
}

impl Way {
    pub(super) fn new(dt: f64, levels: &Levels, turn_rad: f64, slow_weight: f64, wander: f64) -> Way {
        let dt = dt.min(LONGEST_STEP_S);
        let (keep, slow_m2) = slow_error(dt, levels, wander);
        let half = 0.5 * turn_rad;
        let (chord, turn) = if half.abs() < 1e-6 {
            (Matrix2::identity() * dt, Matrix2::identity())
        } else {
            (rotation(half) * (dt * half.sin() / half), rotation(turn_rad))
        };
        Way { chord, turn, keep, dt, walk: levels.walk_m2_per_s3, slow: slow_m2 / slow_weight }
    }

    pub(super) fn state(&self, x: &State) -> State {
        State { p: x.p + self.chord * x.v, v: self.turn * x.v, b: x.b * self.keep }
    }

    pub(super) fn spread(&self, s: &Spread) -> Spread {
        let (chord, turned) = (self.chord.transpose(), self.turn.transpose());
        let carried = s.pv * chord;
        let moved = s.pv + self.chord * s.vv;
        let mut next = Spread {
            pp: s.pp + carried + (self.chord * s.pv.transpose()) + self.chord * s.vv * chord,
            pv: moved * turned,
            pb: (s.pb + self.chord * s.vb) * self.keep,
            vv: self.turn * s.vv * turned,
            vb: self.turn * s.vb * self.keep,
            bb: s.bb * (self.keep * self.keep),
        };
        let (dt, walk) = (self.dt, self.walk);
        for axis in 0..2 {
            next.pp[(axis, axis)] += walk * dt * dt * dt / 3.0;
            next.pv[(axis, axis)] += walk * dt * dt / 2.0;
            next.vv[(axis, axis)] += walk * dt;
            next.bb[(axis, axis)] += self.slow;
        }
        next
    }

    /// The transposed step, backward.
    pub(super) fn back(&self, x: &State) -> State {
        State { p: x.p, v: self.chord.transpose() * x.p + self.turn.transpose() * x.v, b: x.b * self.keep }
    }

    pub(super) fn back_spread(&self, s: &Spread) -> Spread {
        let (chord, turn) = (self.chord.transpose(), self.turn.transpose());
        let pv = s.pp * self.chord + s.pv * self.turn;
        let vv = s.pv.transpose() * self.chord + s.vv * self.turn;
        Spread {
            pp: s.pp,
            pv,
            pb: s.pb * self.keep,
            vv: chord * pv + turn * vv,
            vb: (chord * s.pb + turn * s.vb) * self.keep,
            bb: s.bb * (self.keep * self.keep),
        }
    }
}

/// What is left of the slow error after a time (s), and the variance (m²) of what is added, with a wander of so much (m²/s) beside it.
pub(super) fn slow_error(span_s: f64, levels: &Levels, wander: f64) -> (f64, f64) {
    let keep = (-span_s / levels.slow_time_s).exp();
    (keep, levels.slow_m * levels.slow_m * (1.0 - keep * keep) + wander * span_s)
}

fn rotation(angle_rad: f64) -> Matrix2<f64> {
    let (sine, cosine) = angle_rad.sin_cos();
    Matrix2::new(cosine, -sine, sine, cosine)
}
