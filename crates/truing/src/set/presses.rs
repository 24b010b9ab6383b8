//! How often to press what, and what shows after each press.
//!
//! The values of an adjuster are positions 0 to n - 1, lowest value first. A button moves one position; at an
//! end the display either stops or passes to the other end.

use crate::problem::Problem;
use serde::Serialize;

/// Which way a button counts.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Direction {
    /// To higher values.
    Up,
    /// To lower values.
    Down,
}

impl core::fmt::Display for Direction {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(if *self == Self::Up { "up" } else { "down" })
    }
}

/// Which buttons there are.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Buttons {
    /// One that counts up.
    pub up: bool,
    /// One that counts down.
    pub down: bool,
}

impl Buttons {
    fn directions(self) -> impl Iterator<Item = Direction> {
        let up = self.up.then_some(Direction::Up);
        up.into_iter().chain(self.down.then_some(Direction::Down))
    }
}

/// An adjuster that is stepped through its values.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Counter {
    /// How many values there are.
    pub positions: usize,
    /// With what they are stepped through.
    pub buttons: Buttons,
    /// Whether the display passes from one end to the other.
    pub wraps: bool,
}

/// One way from the present value to the target.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Way {
    direction: Direction,
    presses: usize,
    present: usize,
    positions: usize,
}

impl Way {
    /// The button to press.
    pub fn direction(&self) -> Direction {
        self.direction
    }

    /// How often.
    pub fn presses(&self) -> usize {
        self.presses
    }

    /// The press at which the display passes from one end to the other, counted from 1.
    pub fn jump_at(&self) -> Option<usize> {
        let to_the_end = match self.direction {
            Direction::Up => self.positions - 1 - self.present,
            Direction::Down => self.present,
        };
        (self.presses > to_the_end).then_some(to_the_end + 1)
    }

    /// How often the display passes from one end to the other.
    pub fn wraps(&self) -> usize {
        usize::from(self.jump_at().is_some())
    }

    /// The position shown after so many presses; the way has none after its last.
    pub fn shows_after(&self, presses: usize) -> Option<usize> {
        if presses > self.presses {
            return None;
        }
        let to_the_jump = self.jump_at().filter(|jump_at| presses >= *jump_at);
        Some(match (self.direction, to_the_jump) {
            (Direction::Up, None) => self.present + presses,
            (Direction::Down, None) => self.present - presses,
            (Direction::Up, Some(jump_at)) => presses - jump_at,
            (Direction::Down, Some(jump_at)) => self.positions - 1 - (presses - jump_at),
        })
    }

    /// Where to compare the display on the way: after the first press, every fifty or, on a very long way, at
    /// a dozen places, on both sides of the jump, ten before the end, and at the end.
    pub fn checkpoints(&self) -> Vec<Checkpoint> {
        const AT_LEAST_EVERY: usize = 50;
        const PLACES: usize = 12;
        const BEFORE_THE_END: usize = 10;
        let every = self.presses.div_ceil(PLACES).max(AT_LEAST_EVERY);
        let mut after: Vec<usize> = (every..self.presses).step_by(every).collect();
        after.extend([1, self.presses.saturating_sub(BEFORE_THE_END), self.presses]);
        after.extend(self.jump_at().into_iter().flat_map(|press| [press - 1, press]));
        after.retain(|presses| (1..=self.presses).contains(presses));
        after.sort_unstable();
        after.dedup();
        let shown = |presses| Some(Checkpoint { presses, position: self.shows_after(presses)? });
        after.into_iter().filter_map(shown).collect()
    }
}

/// What the display shows at a point of the way.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Checkpoint {
    /// After so many presses.
    pub presses: usize,
    /// This position shows.
    pub position: usize,
}

/// Every way there is, the one with the fewest presses first; there is at least one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    best: Way,
    other: Option<Way>,
}

impl Plan {
    /// The way with the fewest presses; among equals the one that does not pass an end.
    pub fn best(&self) -> &Way {
        &self.best
    }

    /// The other way round, where there is one.
    pub fn other(&self) -> Option<&Way> {
        self.other.as_ref()
    }
}

impl Counter {
    /// The ways from the present position to the target. The same call plans again from whatever the display
    /// shows.
    pub fn plan(&self, present: usize, target: usize) -> Result<Plan, Problem> {
        self.in_range("present", present)?;
        self.in_range("target", target)?;
        if present == target {
            return Ok(Plan { best: self.way(self.first_direction(), present, 0), other: None });
        }
        let mut ways: Vec<Way> = self.ways(present, target).collect();
        ways.sort_by_key(|way| (way.presses, way.wraps()));
        let mut ways = ways.into_iter();
        match ways.next() {
            Some(best) => Ok(Plan { best, other: ways.next() }),
            None => Err(self.no_way(present, target)),
        }
    }

    /// The position after so many presses of a button; none without that button, or where an end stops it before.
    pub fn after(&self, present: usize, direction: Direction, presses: usize) -> Option<usize> {
        if !self.buttons.directions().any(|one| one == direction) || presses >= self.positions {
            return None;
        }
        let way = self.way(direction, present, presses);
        (self.wraps || way.wraps() == 0).then(|| way.shows_after(presses)).flatten()
    }

    fn ways(&self, present: usize, target: usize) -> impl Iterator<Item = Way> + '_ {
        let way = move |direction| {
            let presses = match direction {
                Direction::Up => self.steps_up(present, target),
                Direction::Down => self.steps_up(target, present),
            };
            let way = self.way(direction, present, presses);
            (self.wraps || way.wraps() == 0).then_some(way)
        };
        self.buttons.directions().filter_map(way)
    }

    /// Steps from a position up to another, past the end where it lies below.
    fn steps_up(&self, from: usize, to: usize) -> usize {
        if to >= from { to - from } else { self.positions - (from - to) }
    }

    fn way(&self, direction: Direction, present: usize, presses: usize) -> Way {
        Way { direction, presses, present, positions: self.positions }
    }

    fn first_direction(&self) -> Direction {
        self.buttons.directions().next().unwrap_or(Direction::Up)
    }

    fn in_range(&self, part: &str, position: usize) -> Result<(), Problem> {
        if position < self.positions {
            return Ok(());
        }
        let expected = match self.positions {
            0 => "at least one value to choose from".to_string(),
            n => format!("one of the {n} values of the adjuster"),
        };
        Err(Problem::error(
            "adjuster",
            expected,
            format!("position {} of its grid", position.saturating_add(1)),
        )
        .in_part(part)
        .hint("Check min, max and step of the adjuster, and the value itself"))
    }

    fn no_way(&self, present: usize, target: usize) -> Problem {
        let side = if target > present { "above" } else { "below" };
        let mut directions = self.buttons.directions();
        let (found, hint) = match directions.next() {
            None => (
                "no button at all".to_string(),
                "Name the buttons of the adjuster: up, down or both".to_string(),
            ),
            Some(only) => (
                format!("a button that only counts {only}, no wrap, and a target {side}"),
                format!(
                    "Choose a value that lies {} the present one, or see in the module's own instructions how it \
                     returns to the other end; if it does pass from one end to the other, say wraps = true",
                    if only == Direction::Up { "above" } else { "below" }
                ),
            ),
        };
        Problem::error("adjuster", "a way from the present value to the target", found)
            .in_part("buttons")
            .hint(hint)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn counter(positions: usize, up: bool, down: bool, wraps: bool) -> Counter {
        Counter { positions, buttons: Buttons { up, down }, wraps }
    }

    /// 3.00 to 9.00 by 0.01: 601 values, one button that counts down and passes from the low end to the high
    /// one.
    const DOWN_ONLY: Counter =
        Counter { positions: 601, buttons: Buttons { up: false, down: true }, wraps: true };

    /// Position of a value given in hundredths.
    fn hundredths(value: usize) -> usize {
        value - 300
    }

    #[test]
    fn the_long_way_round_and_the_short_one() {
        // By hand: 7.10 down to 3.00 is 410 presses, one more to 9.00, 186 down to 7.14: 597.
        let plan = DOWN_ONLY.plan(hundredths(710), hundredths(714)).unwrap();
        assert_eq!((plan.best().presses(), plan.best().wraps()), (597, 1));
        assert_eq!(plan.best().jump_at(), Some(411));
        assert_eq!(plan.best().shows_after(410), Some(hundredths(300)));
        assert_eq!(plan.best().shows_after(411), Some(hundredths(900)));
        assert_eq!(plan.other(), None);
        let plan = DOWN_ONLY.plan(hundredths(718), hundredths(714)).unwrap();
        assert_eq!((plan.best().presses(), plan.best().wraps()), (4, 0));
        let shown: Vec<_> = (0..=5).map(|k| plan.best().shows_after(k)).collect();
        let expected = [718, 717, 716, 715, 714].map(|value| Some(hundredths(value)));
        assert_eq!(shown[..5], expected);
        assert_eq!(shown[5], None);
    }

    #[test]
    fn corner_cases() {
        for (counter, present, target, presses, wraps) in [
            (counter(1, true, true, true), 0, 0, 0, 0),
            (counter(1, false, false, false), 0, 0, 0, 0),
            (counter(5, true, false, true), 4, 4, 0, 0),
            (counter(5, true, false, true), 4, 0, 1, 1),
            (counter(5, false, true, true), 0, 4, 1, 1),
            (counter(2, true, true, true), 0, 1, 1, 0),
            (counter(4, true, true, true), 0, 2, 2, 0),
            (counter(5, true, true, false), 0, 4, 4, 0),
        ] {
            let plan = counter.plan(present, target).unwrap();
            assert_eq!((plan.best().presses(), plan.best().wraps()), (presses, wraps), "{counter:?}");
        }
        assert_eq!(counter(5, true, true, true).plan(0, 4).unwrap().other().unwrap().presses(), 4);
        assert_eq!(counter(5, true, true, false).plan(0, 4).unwrap().other(), None);
    }

    #[test]
    fn says_when_there_is_no_way_and_what_to_do() {
        let check = |counter: Counter, present, target, found: &str, hint: &str| {
            let problem = counter.plan(present, target).unwrap_err();
            assert!(problem.found.contains(found) && problem.hint.contains(hint), "{problem}");
        };
        check(
            counter(9, true, false, false),
            5,
            2,
            "only counts up, no wrap, and a target below",
            "lies above",
        );
        check(
            counter(9, false, true, false),
            2,
            5,
            "only counts down, no wrap, and a target above",
            "lies below",
        );
        check(counter(9, false, false, true), 2, 5, "no button at all", "up, down or both");
        check(counter(9, true, true, true), 2, 9, "position 10", "min, max and step");
        check(counter(0, true, true, true), 0, 0, "position 1", "min, max and step");
    }

    #[test]
    fn checkpoints_stand_where_a_slip_would_show() {
        let way = *DOWN_ONLY.plan(hundredths(710), hundredths(714)).unwrap().best();
        let after: Vec<usize> = way.checkpoints().iter().map(|point| point.presses).collect();
        assert_eq!(after, [1, 50, 100, 150, 200, 250, 300, 350, 400, 410, 411, 450, 500, 550, 587, 597]);
        assert_eq!(way.checkpoints()[9].position, hundredths(300));
        let way = *DOWN_ONLY.plan(3, 2).unwrap().best();
        assert_eq!(way.checkpoints(), [Checkpoint { presses: 1, position: 2 }]);
        assert_eq!(DOWN_ONLY.plan(3, 3).unwrap().best().checkpoints(), []);
        let endless = counter(usize::MAX, false, true, true).plan(0, 1).unwrap();
        assert_eq!(endless.best().presses(), usize::MAX - 1);
        assert!(endless.best().checkpoints().len() < 20);
    }

    /// The obvious way: press until the target shows, or until every value was seen.
    fn pressed(counter: &Counter, direction: Direction, present: usize, target: usize) -> Option<Vec<usize>> {
        let (mut at, mut shown) = (present, vec![present]);
        while at != target {
            at = match (direction, counter.wraps) {
                (Direction::Up, _) if at + 1 < counter.positions => at + 1,
                (Direction::Up, true) => 0,
                (Direction::Down, _) if at > 0 => at - 1,
                (Direction::Down, true) => counter.positions - 1,
                _ => return None,
            };
            shown.push(at);
        }
        Some(shown)
    }

    proptest! {
        #[test]
        fn every_way_is_what_pressing_shows(
            positions in 1..80_usize, a in 0..80_usize, b in 0..80_usize,
            up in any::<bool>(), down in any::<bool>(), wraps in any::<bool>(),
        ) {
            let counter = counter(positions, up, down, wraps);
            let (present, target) = (a % positions, b % positions);
            prop_assume!(present != target);
            let expected: Vec<_> = counter.buttons.directions()
                .filter_map(|direction| Some((direction, pressed(&counter, direction, present, target)?)))
                .collect();
            let Ok(plan) = counter.plan(present, target) else {
                prop_assert!(expected.is_empty());
                return Ok(());
            };
            let ways: Vec<Way> = [Some(*plan.best()), plan.other().copied()].into_iter().flatten().collect();
            prop_assert_eq!(ways.len(), expected.len());
            for way in &ways {
                let (_, shown) = expected.iter().find(|(direction, _)| *direction == way.direction()).unwrap();
                let planned: Vec<usize> = (0..=way.presses()).filter_map(|k| way.shows_after(k)).collect();
                prop_assert_eq!(&planned, shown);
                let jumps = shown.windows(2).filter(|pair| pair[0].abs_diff(pair[1]) > 1).count();
                prop_assert!(positions == 2 || jumps == way.wraps());
            }
            prop_assert!(ways.iter().all(|way| way.presses() >= plan.best().presses()));
        }
    }
}
