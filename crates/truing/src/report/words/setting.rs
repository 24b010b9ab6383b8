//! Words of the steps to a setting: what a long way costs, and a value that is not the advised one.

use super::{counted, percent};
use crate::set::{LongWay, SLIP_IN_A_PRESS};

/// What a long way costs, and what lies nearer.
pub fn long_way(way: &LongWay) -> String {
    let minutes = way.duration.s() / 60.0;
    let cost = format!(
        "{} presses take about {minutes:.0} minutes, with a {:.0} % chance of at least one slip (one press in {:.0} missed or made twice, a judgement).",
        way.presses,
        100.0 * way.chance_of_a_slip.plain(),
        1.0 / SLIP_IN_A_PRESS
    );
    let Some(near) = &way.near else { return cost };
    let away = match near.presses {
        0 => "shown now, without a press".to_string(),
        presses => format!("{} away", counted(presses as u64, "press")),
    };
    format!("{cost} {} is {away}, and differs by {}.", near.value, percent(near.difference))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::set::Near;
    use metrology::quantity::{Duration, Ratio};

    #[test]
    fn names_minutes_slips_and_the_nearest() {
        let near = Near { value: "7.10".into(), presses: 0, difference: Ratio::from_plain(0.0056) };
        let way = LongWay {
            presses: 597,
            duration: Duration::from_s(597.0),
            chance_of_a_slip: Ratio::from_plain(0.697),
            near: Some(near),
        };
        assert_eq!(
            long_way(&way),
            "597 presses take about 10 minutes, with a 70 % chance of at least one slip (one press in 500 missed or made twice, a judgement). 7.10 is shown now, without a press, and differs by 0.6 %."
        );
    }
}
