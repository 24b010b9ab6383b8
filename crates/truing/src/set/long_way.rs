//! A way of so many presses that it is a matter of minutes and of slips.

use super::{Direction, Way};
use metrology::quantity::{Duration, Ratio};

/// From here on a way is long.
pub const LONG_WAY_PRESSES: usize = 100;
/// A few presses: no trouble to anybody (judgement).
pub const FEW_PRESSES: usize = 20;
/// A press that is counted and compared with the display (judgement).
pub const TIME_OF_A_PRESS_S: f64 = 1.0;
/// How often a press is missed or made twice: once in 500 (judgement).
pub const SLIP_IN_A_PRESS: f64 = 0.002;
/// A value farther than this from the target does not stand in for it (judgement).
const NEAR_ENOUGH: f64 = 0.01;

/// What a long way costs.
#[derive(Clone, Debug, PartialEq)]
pub struct LongWay {
    /// The presses.
    pub presses: usize,
    /// The time they take.
    pub duration: Duration,
    /// The chance of at least one slip.
    pub chance_of_a_slip: Ratio,
    /// The value nearest to the target among those a few presses away, where one is near enough.
    pub near: Option<Near>,
}

/// A value a few presses away.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    /// The value.
    pub value: String,
    /// The presses to it; none where the display shows it now.
    pub presses: usize,
    /// By how much it differs from the target.
    pub difference: Ratio,
}

/// Of a way, where it is long. `ways` says for each button how many presses it can make before an end that stops it;
/// `number` is the value at a position, and `shown` what it is called.
pub(super) fn long_way(
    way: &Way,
    target: usize,
    reachable: impl Fn(Direction, usize) -> Option<usize>,
    number: &dyn Fn(usize) -> f64,
    shown: &dyn Fn(usize) -> String,
) -> Option<LongWay> {
    let presses = way.presses();
    if presses < LONG_WAY_PRESSES {
        return None;
    }
    let difference = |place: usize| (number(place) / number(target) - 1.0).abs();
    let all = (0..=FEW_PRESSES).flat_map(|presses| {
        let places = [Direction::Up, Direction::Down].map(|direction| reachable(direction, presses));
        places.into_iter().flatten().map(move |place| (place, presses))
    });
    let nearest = all.min_by(|a, b| difference(a.0).total_cmp(&difference(b.0)).then(a.1.cmp(&b.1)));
    let near = nearest.filter(|(place, _)| difference(*place) <= NEAR_ENOUGH).map(|(place, presses)| Near {
        value: shown(place),
        presses,
        difference: Ratio::from_plain(difference(place)),
    });
    let exponent = i32::try_from(presses).unwrap_or(i32::MAX);
    Some(LongWay {
        presses,
        duration: Duration::from_s(presses as f64 * TIME_OF_A_PRESS_S),
        chance_of_a_slip: Ratio::from_plain(1.0 - (1.0 - SLIP_IN_A_PRESS).powi(exponent)),
        near,
    })
}
