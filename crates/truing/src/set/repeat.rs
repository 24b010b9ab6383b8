//! A button that goes on by itself while it is held down.

use super::Way;
use metrology::quantity::{Duration, Frequency};

/// Presses left for single ones: what a finger overruns at a few presses a second (judgement).
pub(super) const MADE_SINGLY: usize = 10;

/// How a held button goes on.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Repeat {
    /// Steps a second.
    pub rate: Frequency,
    /// Time from the first step until it goes on by itself.
    pub delay: Duration,
}

/// How long a button is held.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Hold {
    /// Steps made while it is held, the first one among them.
    pub presses: usize,
    /// For so long.
    pub duration: Duration,
}

impl Repeat {
    /// The hold for a way; none for one that is pressed singly anyway, or a rate that is no rate.
    pub fn hold(self, way: &Way) -> Option<Hold> {
        let presses = way.presses().checked_sub(MADE_SINGLY).filter(|presses| *presses > MADE_SINGLY)?;
        if !(self.rate.hz() > 0.0 && self.rate.hz().is_finite()) {
            return None;
        }
        let going_on_s = (presses - 1) as f64 / self.rate.hz();
        Some(Hold { presses, duration: Duration::from_s(self.delay.s() + going_on_s) })
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Buttons, Counter};
    use super::*;

    #[test]
    fn holds_until_shortly_before_the_end() {
        let counter = Counter { positions: 401, buttons: Buttons { up: true, down: false }, wraps: true };
        let repeat = Repeat { rate: Frequency::from_hz(5.0), delay: Duration::from_s(1.0) };
        let hold = |from: usize, to: usize| repeat.hold(counter.plan(from, to).unwrap().best());
        // 111 presses: the first at once, 100 more at 5 a second from one second on, 10 singly: 1 + 100 / 5 = 21 s.
        let held = hold(100, 211).unwrap();
        assert_eq!((held.presses, held.duration.s()), (101, 21.0));
        assert_eq!(hold(100, 120), None, "20 presses are made singly");
        let broken = Repeat { rate: Frequency::from_hz(0.0), ..repeat };
        assert_eq!(broken.hold(counter.plan(100, 300).unwrap().best()), None);
    }
}
