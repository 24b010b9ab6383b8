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
