use super::*;
use crate::measure::drive::types::DriveConditions;
use metrology::smooth::PathFix;

fn straight(count: usize, change: impl Fn(usize, &mut PathFix)) -> Truth {
    let mut fixes: Vec<PathFix> = (0..count)
        .map(|k| PathFix { time_s: k as f64, position_m: Some([20.0 * k as f64, 0.0]), ..PathFix::default() })
        .collect();
    fixes.iter_mut().enumerate().for_each(|(k, fix)| change(k, fix));
    truth(&mut Clean { fixes, ..Clean::default() }, &DriveConditions::default())
}

/// The noiseless smoother settles within millimetres of the truth.
const SETTLED: f64 = 0.01;

#[test]
fn speed_between_fixes_and_nothing_outside() {
    let truth = straight(60, |_, _| ());
    let (speed, rate, u) = truth.at(30.5, &mut 0).unwrap();
    assert!((speed - 20.0).abs() < SETTLED && rate.abs() < SETTLED && u > 0.0, "{speed} {rate} {u}");
    assert_eq!((truth.at(-0.5, &mut 0), truth.at(59.5, &mut 0)), (None, None));
    assert!((truth.moving_s(5.0) - 59.0).abs() < 1e-9);
}

#[test]
fn a_time_is_found_from_anywhere() {
    let truth = straight(60, |k, fix| fix.time_s += if k > 30 { 5.5 } else { 0.0 });
    for time_s in [-1.0, 0.0, 0.5, 29.0, 30.0, 33.0, 36.5, 50.2, 64.5, 70.0] {
        let slow = truth.time_s.iter().filter(|t| **t < time_s).count();
        assert!([0, 1, 29, 31, 59, 60, 99].iter().all(|near| truth.upper(time_s, *near) == slow), "{time_s}");
    }
}

fn check_distance(truth: &Truth, expected_m: f64) {
    let distance = truth.distance().unwrap();
    assert!((distance.value.m() - expected_m).abs() < 1.0, "{distance:?}");
    assert!(distance.low_95.m() < expected_m && expected_m < distance.high_95.m());
}

#[test]
fn distance_over_holes_and_leaps() {
    check_distance(&straight(60, |_, _| ()), 20.0 * 59.0);
    // A pause of 100 s: the road is at least the chord.
    let paused = straight(60, |k, fix| {
        if k >= 30 {
            fix.time_s += 100.0;
            fix.starts = k == 30;
        }
    });
    check_distance(&paused, 20.0 * 59.0);
    assert_eq!(paused.gaps().1, 1);
    assert!(paused.at(80.0, &mut 0).is_none());
    // Thirty fixes 3 km to the side: nobody drove there.
    check_distance(
        &straight(120, |k, fix| {
            if (40..70).contains(&k) {
                fix.position_m = Some([20.0 * k as f64, 3000.0]);
            }
        }),
        20.0 * 119.0,
    );
}

#[test]
fn a_reported_speed_stands_alone_where_positions_are_missing() {
    let truth = straight(120, |k, fix| {
        fix.speed_m_per_s = Some(20.0);
        if (40..80).contains(&k) {
            fix.position_m = None;
            fix.speed_m_per_s = Some(25.0);
        }
    });
    assert!((truth.at(60.0, &mut 0).unwrap().0 - 25.0).abs() < SETTLED);
    assert!((truth.at(20.0, &mut 0).unwrap().0 - 20.0).abs() < SETTLED);
}

#[test]
fn positions_far_apart_make_the_scale_less_sure() {
    let slow = straight(60, |k, fix| {
        fix.time_s = 5.0 * k as f64;
        fix.position_m = Some([100.0 * k as f64, 0.0]);
    });
    assert_eq!((straight(60, |_, _| ()).coarseness(), slow.coarseness()), (1.0, 5.0));
}

/// A gap that nothing bridges leaves the length unknown and says where it is; a short one does not.
#[test]
fn speeds_alone_with_a_gap() {
    let with_gap = |gap_s: f64| {
        straight(120, |k, fix| {
            fix.position_m = None;
            fix.speed_m_per_s = Some(20.0);
            if k >= 60 {
                fix.time_s += gap_s;
                fix.starts = k == 60;
            }
        })
    };
    let long = with_gap(600.0);
    assert_eq!(long.distance(), None);
    let (from, to) = long.missing().unwrap();
    assert_eq!((from.s(), to.s()), (59.0, 660.0));
    // A traffic light long: what the speeds at both ends would cover, and unsure to match.
    let short = with_gap(30.0);
    let distance = short.distance().unwrap();
    assert!((distance.value.m() / (20.0 * 149.0) - 1.0).abs() < 0.01, "{distance:?}");
    assert!(distance.standard_uncertainty.m() > 0.2 * 20.0 * 30.0, "{distance:?}");
}

/// Positions missing in part and a pause in that part: a length or none, never something that is no number.
#[test]
fn a_pause_where_positions_are_missing() {
    for gap_s in [30.0, 600.0] {
        let truth = straight(120, |k, fix| {
            fix.speed_m_per_s = Some(20.0);
            if (40..80).contains(&k) {
                fix.position_m = None;
            }
            if k >= 60 {
                fix.time_s += gap_s;
                fix.starts = k == 60;
            }
        });
        let distance = truth.distance();
        assert_eq!(distance.is_some(), gap_s < 60.0);
        assert!(distance.is_none_or(|distance| distance.value.m().is_finite()));
    }
}

/// A truck that stands for a minute while its positions wander by metres goes nowhere.
#[test]
fn standing_at_a_light_adds_nothing() {
    let wander = |k: usize| 6.0 * [(0.11 * k as f64).sin(), (0.07 * k as f64).cos()][k % 2];
    let truth = straight(260, |k, fix| {
        let along_m = 12.0 * (k.min(100) + k.saturating_sub(200)) as f64;
        let slow = 4.0 * [(0.05 * k as f64).sin(), (0.041 * k as f64).cos()][0];
        fix.position_m = Some([along_m + slow, 0.02 * wander(k) + 3.0 * (0.047 * k as f64).cos()]);
    });
    let distance = truth.distance().unwrap();
    let expected_m = 12.0 * 159.0;
    assert!(
        (distance.value.m() - expected_m).abs() < 2.0 * distance.standard_uncertainty.m(),
        "{distance:?}"
    );
    assert!((distance.value.m() / expected_m - 1.0).abs() < 0.01, "{distance:?}");
}

/// Reported speeds that come late are put where the positions are; the length does not suffer, and the times lie half way.
#[test]
fn late_speeds() {
    let speed = |t: f64| 12.0 + 8.0 * (t / 15.0).sin();
    let place = |t: f64| 12.0 * t - 120.0 * (t / 15.0).cos();
    let truth = straight(400, |k, fix| {
        let wobble = 0.5 * [1.0, -0.3, -1.0, 0.5, -0.2][k % 5];
        fix.position_m = Some([place(fix.time_s) + wobble, wobble]);
        fix.speed_m_per_s = Some(speed(fix.time_s - 2.0));
    });
    assert!((truth.time_s[100] - 101.0).abs() < 0.2, "{}", truth.time_s[100]);
    assert!((truth.speed_m_per_s[100] - speed(100.0)).abs() < 0.2, "{}", truth.speed_m_per_s[100]);
    check_distance(&truth, place(399.0) - place(0.0));
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(200))]

    /// Whatever the fixes: a length that is a number, not below zero and within its interval, or none; speeds that are numbers.
    #[test]
    fn hostile_fixes(fixes in proptest::collection::vec(
        (0_u8..6, 0_u8..8, -1.0_f64..1.0, -1.0_f64..1.0, 0.0_f64..1.0, proptest::bool::ANY), 0..60,
    )) {
        let mut time_s = 0.0;
        let mut fixes: Vec<PathFix> = fixes.into_iter().map(|(step, kind, east, north, speed, starts)| {
            time_s += [1e-6, 0.1, 1.0, 30.0, 4000.0, 3e9][usize::from(step)];
            let size = [1.0, 30.0, 1e4, 1e7][usize::from(kind % 4)];
            PathFix {
                time_s,
                position_m: (kind != 5).then_some([east * size, north * size]),
                speed_m_per_s: (kind > 3).then_some(speed * 99.0),
                starts,
                ..PathFix::default()
            }
        }).collect();
        if let Some(first) = fixes.first_mut() {
            first.speed_m_per_s.get_or_insert(0.0);
        }
        let heights = fixes.iter().map(|fix| (fix.time_s, fix.time_s % 1e3)).collect();
        let truth = truth(&mut Clean { fixes, heights, ..Clean::default() }, &DriveConditions::default());
        for speed in &truth.speed_m_per_s {
            proptest::prop_assert!(speed.is_finite(), "{speed}");
        }
        if let Some(distance) = truth.distance() {
            let (low, value, high) = (distance.low_95.m(), distance.value.m(), distance.high_95.m());
            proptest::prop_assert!(low >= 0.0 && low <= value && value <= high && high.is_finite(), "{distance:?}");
        }
        proptest::prop_assert!(truth.moving_scale_u().is_finite());
    }
}
