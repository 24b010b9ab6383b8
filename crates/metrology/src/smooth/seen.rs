//! What a position or a speed says about the state: forward it moves the state; backward (Bryson & Frazier 1963; Bierman 1977,
//! Factorization Methods, ch. X) its innovation joins the adjoint, from which all smoothed states follow without an inverse.

use super::state::{Spread, State};
use nalgebra::{Matrix2, Vector2};

/// A position: it reads `p + b`.
pub(super) struct SeenPlace {
    /// Covariance of the state with what is seen.
    beside: [Matrix2<f64>; 3],
    gain: [Matrix2<f64>; 3],
    inverse: Matrix2<f64>,
    innovation: Vector2<f64>,
    /// Squared innovation in units of its variance, and the logarithm of that variance's determinant.
    pub(super) squared: f64,
    pub(super) log_determinant: f64,
}

impl SeenPlace {
    pub(super) fn new(state: &State, spread: &Spread, position: [f64; 2], white_m: f64) -> Option<SeenPlace> {
        let beside =
            [spread.pp + spread.pb, spread.pv.transpose() + spread.vb, spread.pb.transpose() + spread.bb];
        let variance = beside[0] + beside[2] + Matrix2::identity() * (white_m * white_m);
        let determinant = variance.determinant();
        let inverse = variance.try_inverse()?;
        let innovation = Vector2::from(position) - state.p - state.b;
        Some(SeenPlace {
            gain: beside.map(|block| block * inverse),
            beside,
            inverse,
            innovation,
            squared: innovation.dot(&(inverse * innovation)),
            log_determinant: determinant.max(f64::MIN_POSITIVE).ln(),
        })
    }

    pub(super) fn apply(&self, state: &mut State, spread: &mut Spread) {
        let [p, v, b] = &self.gain;
        state.p += p * self.innovation;
        state.v += v * self.innovation;
        state.b += b * self.innovation;
        spread.take_away(&self.gain, &self.beside);
        spread.even();
    }

    pub(super) fn back(&self, adjoint: &mut State) {
        let [p, v, b] = &self.gain;
        let told = p.transpose() * adjoint.p
            + v.transpose() * adjoint.v
            + b.transpose() * adjoint.b
            + self.inverse * self.innovation;
        adjoint.p -= told;
        adjoint.b -= told;
    }

    pub(super) fn back_spread(&self, s: &mut Spread) {
        let [p, v, b] = &self.gain;
        let of_p = s.pp * p + s.pv * v + s.pb * b;
        let of_v = s.pv.transpose() * p + s.vv * v + s.vb * b;
        let of_b = s.pb.transpose() * p + s.vb.transpose() * v + s.bb * b;
        let told = p.transpose() * of_p + v.transpose() * of_v + b.transpose() * of_b + self.inverse;
        s.pp += told - of_p - of_p.transpose();
        s.pv -= of_v.transpose();
        s.pb += told - of_b.transpose() - of_p;
        s.vb -= of_v;
        s.bb += told - of_b - of_b.transpose();
        s.even();
    }
}

/// A speed: it reads the component of `v` along a direction.
pub(super) struct SeenSpeed {
    direction: Vector2<f64>,
    gain: State,
    variance: f64,
    innovation: f64,
}

impl SeenSpeed {
    pub(super) fn new(
        state: &State,
        spread: &Spread,
        speed: f64,
        u: f64,
        direction: Vector2<f64>,
    ) -> SeenSpeed {
        let of_v = spread.vv * direction;
        let variance = direction.dot(&of_v) + u * u;
        let gain = State {
            p: spread.pv * direction / variance,
            v: of_v / variance,
            b: spread.vb.transpose() * direction / variance,
        };
        SeenSpeed { direction, gain, variance, innovation: speed - direction.dot(&state.v) }
    }

    pub(super) fn squared(&self) -> f64 {
        self.innovation * self.innovation / self.variance
    }

    pub(super) fn log_variance(&self) -> f64 {
        self.variance.ln()
    }

    pub(super) fn apply(&self, state: &mut State, spread: &mut Spread) {
        let State { p, v, b } = self.gain;
        state.p += p * self.innovation;
        state.v += v * self.innovation;
        state.b += b * self.innovation;
        spread.take_away(&[p, v, b], &[p, v, b].map(|of| of * self.variance));
    }

    pub(super) fn back(&self, adjoint: &mut State) {
        let told = self.gain.dot(adjoint) + self.innovation / self.variance;
        adjoint.v -= self.direction * told;
    }

    pub(super) fn back_spread(&self, s: &mut Spread) {
        let of = s.times(&self.gain);
        let told = self.gain.dot(&of) + 1.0 / self.variance;
        let along = self.direction.transpose();
        s.pv -= of.p * along;
        s.vb -= self.direction * of.b.transpose();
        let beside = of.v * along;
        s.vv += self.direction * along * told - beside - beside.transpose();
    }
}
