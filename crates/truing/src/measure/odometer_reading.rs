//! How well an odometer was read, by the way in which it was read.
//!
//! | read | where the last wheel may have stood | standard uncertainty of one reading, w being a step of the last digit typed |
//! |---|---|---|
//! | `digits` | anywhere within a step, evenly likely | w / √12 (JCGM 100:2008, F.2.2.1) |
//! | `between-digits` | a tenth of the wheel's step either way, evenly likely; and the wheel's play | w / √3, and 10 w / 36 |
//! | `as-it-turned` | at the edge of the digit, but for the wheel's play | w / 36 |
//!
//! Whether an odometer cuts off or rounds does not matter: both readings do it alike.

use crate::describe::evidence::OdometerRead;
use metrology::quantity::Length;

/// Starting or stopping a watch or a recording at what is seen (s, each; common practice, no source).
pub(super) const REACTION_S: f64 = 0.15;
/// Play of the last wheel and of the eye before it (share of the wheel's step): a degree on a wheel whose ten digits stand 36
/// degrees apart (judgement). Wheels that snap and displays have less.
const PLAY: f64 = 1.0 / 36.0;
/// The estimated digit is a tenth of the wheel's step.
const TENTHS: f64 = 10.0;

/// Standard uncertainty of one reading whose last digit counts in steps of `step`.
pub(super) fn reading_u(read: OdometerRead, step: Length) -> Length {
    let steps = match read {
        OdometerRead::Digits => 1.0 / 12f64.sqrt(),
        OdometerRead::BetweenDigits => f64::hypot(1.0 / 3f64.sqrt(), TENTHS * PLAY),
        OdometerRead::AsItTurned => PLAY,
    };
    Length::from_m(steps * step.m())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_in_steps() {
        let u = |read, step_mi| reading_u(read, Length::from_mi(step_mi)).mi();
        // JCGM 100:2008, F.2.2.1: 0.29 of a step.
        assert!((u(OdometerRead::Digits, 0.1) - 0.029).abs() < 2e-4);
        // 0.01 mi / sqrt 3 = 0.00577 mi, and 0.1 mi / 36 = 0.00278 mi: together 0.0064 mi.
        assert!((u(OdometerRead::BetweenDigits, 0.01) - 0.0064).abs() < 1e-5);
        assert!((u(OdometerRead::AsItTurned, 0.1) - 0.1 / 36.0).abs() < 1e-12);
    }
}
