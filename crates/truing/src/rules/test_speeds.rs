//! At which speeds a rule is judged.

use metrology::quantity::Speed;

/// Unequal only by rounding of the unit conversion.
const ROUNDING_KM_PER_H: f64 = 1e-9;

/// A speed at which an indication is judged.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum TestPoint {
    /// The vehicle truly goes this fast; what it indicates is judged.
    True(Speed),
    /// The vehicle indicates this; what is true is judged.
    Indicated(Speed),
    /// No speed: the ratio of indicated to true distance is judged.
    Ratio,
}

/// How a rule sets its test speeds.
#[derive(Clone, Debug, PartialEq)]
pub enum TestSpeeds {
    /// UN R39 5.2.5, from memory: by the maximum speed the vehicle is built for.
    ByMaximumSpeed,
    /// These true speeds.
    True(Vec<Speed>),
    /// These indicated speeds.
    Indicated(Vec<Speed>),
    /// None: the rule is about distance.
    None,
}

impl TestSpeeds {
    /// The points to judge. A maximum speed that is not known is taken to be above 150 km/h, where UN R39
    /// tests at 40, 80 and 120 km/h.
    pub fn points(&self, maximum_speed: Option<Speed>) -> Vec<TestPoint> {
        match self {
            Self::ByMaximumSpeed => {
                by_maximum_speed(maximum_speed).into_iter().map(TestPoint::True).collect()
            }
            Self::True(speeds) => speeds.iter().copied().map(TestPoint::True).collect(),
            Self::Indicated(speeds) => speeds.iter().copied().map(TestPoint::Indicated).collect(),
            Self::None => vec![TestPoint::Ratio],
        }
    }
}

/// UN R39 5.2.5, from memory. Up to 45 km/h: 80 % of the maximum. Up to 100: 40, and 80 % of the maximum
/// where that gives 55 or more. Up to 150: 40, 80, and 80 % of the maximum where that gives 100 or more.
/// Above: 40, 80 and 120 km/h.
fn by_maximum_speed(maximum_speed: Option<Speed>) -> Vec<Speed> {
    let maximum_km_per_h = maximum_speed.map_or(f64::INFINITY, Speed::km_per_h);
    let up_to = |limit: f64| maximum_km_per_h <= limit + ROUNDING_KM_PER_H;
    let most = 0.8 * maximum_km_per_h;
    let at_least = |least: f64| (most >= least - ROUNDING_KM_PER_H).then_some(most);
    let speeds_km_per_h: Vec<f64> = if up_to(45.0) {
        vec![most]
    } else if up_to(100.0) {
        [Some(40.0), at_least(55.0)].into_iter().flatten().collect()
    } else if up_to(150.0) {
        [Some(40.0), Some(80.0), at_least(100.0)].into_iter().flatten().collect()
    } else {
        vec![40.0, 80.0, 120.0]
    };
    speeds_km_per_h.into_iter().map(Speed::from_km_per_h).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn speeds_by_maximum_speed() {
        // UN R39 5.2.5, from memory; both sides of every limit.
        let lines: [(f64, &[f64]); 10] = [
            (30.0, &[24.0]),
            (45.0, &[36.0]),
            (46.0, &[40.0]),
            (68.75, &[40.0, 55.0]),
            (68.0, &[40.0]),
            (100.0, &[40.0, 80.0]),
            (124.0, &[40.0, 80.0]),
            (125.0, &[40.0, 80.0, 100.0]),
            (150.0, &[40.0, 80.0, 120.0]),
            (190.0, &[40.0, 80.0, 120.0]),
        ];
        for (maximum, expected) in lines {
            let found = by_maximum_speed(Some(Speed::from_km_per_h(maximum)));
            assert_eq!(found.len(), expected.len(), "{maximum}");
            for (speed, expected) in found.iter().zip(expected) {
                assert!((speed.km_per_h() - expected).abs() < 1e-9, "{maximum}: {speed:?}");
            }
        }
        assert_eq!(by_maximum_speed(None).len(), 3);
    }

    #[test]
    fn a_distance_rule_has_one_point_without_speed() {
        assert_eq!(TestSpeeds::None.points(None), [TestPoint::Ratio]);
    }
}
