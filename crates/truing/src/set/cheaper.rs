//! An equally good value that is far fewer presses away.

use super::{Counter, Way};

/// Far fewer means at most one press for so many.
pub const FAR_FEWER_TIMES: usize = 4;

/// And at least so many saved: nobody minds a handful.
pub const FAR_FEWER_PRESSES: usize = 20;

/// A value to be preferred for the hands' sake.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Cheaper {
    /// Its position.
    pub target: usize,
    /// The way there; no presses at all where it is stored already.
    pub way: Way,
    /// Presses saved.
    pub presses_saved: usize,
}

impl Counter {
    /// The value nearest in presses among `equally_good` ones, if it is far nearer than the target. Which
    /// values are equally good is for the choice to say; positions that cannot be reached are passed over.
    pub fn cheaper_equivalent(
        &self,
        present: usize,
        target: usize,
        equally_good: &[usize],
    ) -> Option<Cheaper> {
        let planned = self.plan(present, target).ok()?.best().presses();
        let reached = |position: &usize| Some((*position, *self.plan(present, *position).ok()?.best()));
        let ways = equally_good.iter().filter_map(reached);
        let (position, way) = ways.min_by_key(|(_, way)| way.presses())?;
        let presses_saved = planned.saturating_sub(way.presses());
        let far_fewer = way.presses() * FAR_FEWER_TIMES <= planned && presses_saved >= FAR_FEWER_PRESSES;
        far_fewer.then_some(Cheaper { target: position, way, presses_saved })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::set::Buttons;

    #[test]
    fn offers_a_value_only_when_it_saves_much() {
        let counter = Counter { positions: 601, buttons: Buttons { up: false, down: true }, wraps: true };
        let check = |target, equally_good: &[usize], expected: Option<(usize, usize, usize)>| {
            let found = counter.cheaper_equivalent(410, target, equally_good);
            assert_eq!(found.map(|c| (c.target, c.way.presses(), c.presses_saved)), expected, "{target}");
        };
        // One above costs the whole round, 600 presses; one below costs one.
        check(411, &[409], Some((409, 1, 599)));
        check(411, &[412, 408, 409], Some((409, 1, 599)));
        check(411, &[410], Some((410, 0, 600)));
        // 19 presses saved are not many; one for 3.9 is not far fewer.
        check(390, &[409], None);
        check(389, &[409], Some((409, 1, 20)));
        check(370, &[400], Some((400, 10, 30)));
        check(371, &[400], None);
        check(411, &[], None);
        check(411, &[9999], None);
        check(9999, &[409], None);
    }
}
