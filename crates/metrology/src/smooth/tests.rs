use super::*;
use nalgebra::{DMatrix, DVector};

const LEVELS: Levels =
    Levels { white_m: 0.8, slow_m: 2.0, slow_time_s: 60.0, walk_m2_per_s3: 0.7, reported_m_per_s: 0.1 };

/// Uneven steps, positions that wander, one of them missing.
fn fixes() -> Vec<PathFix> {
    let times = [0.0, 1.0, 2.0, 2.5, 4.0, 5.0, 6.0, 7.5, 8.0, 9.0, 10.0, 12.0];
    times
        .iter()
        .enumerate()
        .map(|(k, t)| {
            let wobble = 0.3 * [1.0, -1.0, 0.4, -0.7][k % 4];
            let position = [12.0 * t + wobble, 3.0 * t + 0.2 * t * t - wobble];
            PathFix { time_s: *t, position_m: (k != 5).then_some(position), ..PathFix::default() }
        })
        .collect()
}

fn vector(x: &State) -> [f64; 6] {
    [x.p[0], x.p[1], x.v[0], x.v[1], x.b[0], x.b[1]]
}

fn unit(k: usize) -> State {
    let mut unit = State::default();
    [&mut unit.p, &mut unit.v, &mut unit.b][k / 2][k % 2] = 1.0;
    unit
}

/// The whole of a matrix that is known by what it makes of the six units.
fn whole(of: impl Fn(&State) -> State) -> DMatrix<f64> {
    DMatrix::from_columns(
        &(0..6).map(|k| DVector::from_column_slice(&vector(&of(&unit(k))))).collect::<Vec<_>>(),
    )
}

/// The obvious way: every state of every fix an unknown, every statement of the model a weighted row, one dense solution.
/// States, and covariances of all of them.
fn dense(fixes: &[PathFix], guide: Guide) -> (DVector<f64>, DMatrix<f64>) {
    let size = 6 * fixes.len();
    let (mut information, mut right) = (DMatrix::<f64>::zeros(size, size), DVector::<f64>::zeros(size));
    let mut state = |rows: &DMatrix<f64>, seen: &DVector<f64>, spread: DMatrix<f64>| {
        let weight = spread.try_inverse().unwrap();
        information += rows.transpose() * &weight * rows;
        right += rows.transpose() * weight * seen;
    };
    let at = |k: usize, block: &DMatrix<f64>, scale: f64| {
        let mut rows = DMatrix::zeros(block.nrows(), size);
        rows.view_mut((0, 6 * k), (block.nrows(), 6)).copy_from(&(block * scale));
        rows
    };
    let (begin, spread) = start(fixes, &LEVELS);
    let one = DMatrix::identity(6, 6);
    state(&at(0, &one, 1.0), &DVector::from_column_slice(&vector(&begin)), whole(|x| spread.times(x)));
    for k in 1..fixes.len() {
        let way = Way::new(fixes[k].time_s - fixes[k - 1].time_s, &LEVELS, guide.turn(k), 1.0, 0.0);
        let noise = way.spread(&Spread::default());
        let rows = at(k, &one, 1.0) - at(k - 1, &whole(|x| way.state(x)), 1.0);
        state(&rows, &DVector::zeros(6), whole(|x| noise.times(x)));
    }
    let mut reads = DMatrix::zeros(2, 6);
    for axis in 0..2 {
        (reads[(axis, axis)], reads[(axis, axis + 4)]) = (1.0, 1.0);
    }
    for (k, fix) in fixes.iter().enumerate() {
        if let Some(position) = fix.position_m {
            let white = DMatrix::identity(2, 2) * LEVELS.white_m.powi(2);
            state(&at(k, &reads, 1.0), &DVector::from_column_slice(&position), white);
        }
        for (_, (speed, u, along)) in components(fix, guide.velocity(k), &LEVELS) {
            let row = DMatrix::from_row_slice(1, 6, &[0.0, 0.0, along[0], along[1], 0.0, 0.0]);
            state(&at(k, &row, 1.0), &DVector::from_element(1, speed), DMatrix::from_element(1, 1, u * u));
        }
    }
    let cholesky = information.cholesky().unwrap();
    (cholesky.solve(&right), cholesky.inverse())
}

/// The dense matrix has a condition number of about 1e8: eight digits of sixteen are left.
const DENSE_WITHIN: f64 = 1e-6;

fn check_dense(fixes: &[PathFix], guide: Guide) {
    // All weights the same: what is checked is the linear algebra.
    let mut run = Run {
        levels: LEVELS,
        steps: Vec::new(),
        weights: vec![[1.0; 3]; fixes.len()],
        breaks: Vec::new(),
        wander: Vec::new(),
        log_likelihood: 0.0,
    };
    run.filter(fixes, guide);
    run.backward::<true>(fixes, guide);
    let (states, spreads) = dense(fixes, guide);
    for (k, step) in run.steps.iter().enumerate() {
        assert!(!step.position_rejected && !step.speed_rejected && !step.breaks, "{k}");
        let expected = states.rows(6 * k, 6);
        for (found, expected) in vector(&step.state).iter().zip(expected.iter()) {
            assert!((found - expected).abs() < DENSE_WITHIN, "{k}: {:?} {expected}", step.state);
        }
        let expected = spreads.view((6 * k + 2, 6 * k + 2), (2, 2));
        assert!((step.spread.vv - expected).amax() < DENSE_WITHIN, "{k}: {} {expected}", step.spread.vv);
    }
}

#[test]
fn agrees_with_dense_least_squares() {
    check_dense(&fixes(), Guide::NONE);
}

/// With bends and speeds along them: a quarter turn over the path, and a fix at which the body stands.
#[test]
fn agrees_with_dense_least_squares_on_a_bend() {
    let angle = |k: usize| 0.15 * k as f64;
    let guide: Vec<Vector2<f64>> =
        (0..12).map(|k| Vector2::new(12.0 * angle(k).cos(), 12.0 * angle(k).sin())).collect();
    let mut place = Vector2::zeros();
    let mut fixes = fixes();
    for k in 0..fixes.len() {
        let dt = if k > 0 { fixes[k].time_s - fixes[k - 1].time_s } else { 0.0 };
        place += guide[k] * dt;
        let wobble = 0.3 * [1.0, -1.0, 0.4, -0.7][k % 4];
        fixes[k].position_m = fixes[k].position_m.map(|_| [place[0] + wobble, place[1] - wobble]);
        fixes[k].speed_m_per_s = (k % 3 != 0).then_some(12.0 + 0.2 * wobble);
    }
    check_dense(&fixes, Guide(&guide));
}

/// A circle of 200 m at 20 m/s: without the turn in the model the smoothed path is shorter than the road.
#[test]
fn a_bend_is_not_cut() {
    let fixes: Vec<PathFix> = (0..120)
        .map(|k| {
            let angle = 0.1 * k as f64;
            let noise = 0.8 * [1.0, -0.3, -1.0, 0.5, -0.2][k % 5];
            let radius = 200.0 + noise;
            PathFix {
                time_s: k as f64,
                position_m: Some([radius * angle.cos(), radius * angle.sin()]),
                ..PathFix::default()
            }
        })
        .collect();
    let path = smooth(&fixes);
    let inside = &path.points[20..100];
    let mean = inside.iter().map(|p| p.speed_m_per_s).sum::<f64>() / inside.len() as f64;
    // Chord against arc, 1/24 of a tenth squared, and the noise left of 80 fixes.
    assert!((mean / 20.0 - 1.0).abs() < 2e-3, "{mean}");
}

#[test]
fn outliers_are_marked_and_a_new_place_is_believed() {
    let mut fixes: Vec<PathFix> = (0..80)
        .map(|k| PathFix { time_s: k as f64, position_m: Some([15.0 * k as f64, 0.0]), ..PathFix::default() })
        .collect();
    fixes[20].position_m = Some([300.0, 150.0]);
    fixes[50..].iter_mut().for_each(|fix| fix.position_m = fix.position_m.map(|p| [p[0], 4000.0]));
    let points = smooth(&fixes).points;
    let marked: Vec<usize> = (0..80).filter(|k| points[*k].position_rejected).collect();
    assert_eq!(marked, [20]);
    let breaks: Vec<usize> = (0..80).filter(|k| points[*k].breaks).collect();
    assert_eq!(breaks, [50]);
    for k in [10, 20, 40, 60, 75] {
        assert!((points[k].speed_m_per_s - 15.0).abs() < 0.1, "{k} {:?}", points[k]);
    }
}

#[test]
fn a_reported_speed_sharpens_and_a_false_one_is_marked() {
    let wobble = |k: usize| 0.8 * [1.0, -0.3, -1.0, 0.5, -0.2][k % 5];
    let with = |speed: Option<f64>| -> Vec<PathFix> {
        (0..80)
            .map(|k| PathFix {
                time_s: k as f64,
                position_m: Some([15.0 * k as f64 + wobble(k), wobble(k + 2)]),
                speed_m_per_s: speed,
                ..PathFix::default()
            })
            .collect()
    };
    let mut fixes = with(Some(15.0));
    fixes[40].speed_m_per_s = Some(0.0);
    let (with, without) = (smooth(&fixes).points, smooth(&with(None)).points);
    assert!(with[30].speed_uncertainty_m_per_s < 0.5 * without[30].speed_uncertainty_m_per_s);
    assert!(with[40].speed_rejected && (with[40].speed_m_per_s - 15.0).abs() < 0.1, "{:?}", with[40]);
}

#[test]
fn no_position_is_an_empty_path() {
    assert!(smooth(&[]).points.is_empty());
    assert!(smooth(&[PathFix { speed_m_per_s: Some(3.0), ..PathFix::default() }]).points.is_empty());
}
