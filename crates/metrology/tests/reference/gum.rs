//! Examples of JCGM 100:2008 (GUM), annex H: sums and lines of evidence by the adjustment.

use crate::near;
use metrology::adjust::{Adjustment, Equation, Solution};
use metrology::measured::student_quantile;
use metrology::text::round_to_uncertainty;

/// One unknown for each input, with what is known of it: name, value, standard uncertainty, degrees of freedom.
fn inputs(known: &[(&str, f64, f64, f64)]) -> Adjustment {
    let mut adjustment = Adjustment::new(known.iter().map(|input| input.0.to_string()).collect());
    for (index, &(name, value, u, dof)) in known.iter().enumerate() {
        adjustment.push(Equation::evidence(name, [(index, 1.0)], value, u).with_dof(dof));
    }
    adjustment
}

/// H.1: values as in JCGM 100:2008, table H.1; lengths in nm, temperatures in kelvin. The comparator's three parts:
/// repeated observations, random effects, systematic effects.
#[test]
fn h1_end_gauge() {
    let standard = 50_000_623.0;
    let known = [
        ("standard", standard, 25.0, 18.0),
        ("repeated observations", 215.0, 5.8, 24.0),
        ("random effects", 0.0, 3.9, 5.0),
        ("systematic effects", 0.0, 6.7, 8.0),
        ("expansion difference", 0.0, 1e-6 / 3f64.sqrt(), 50.0),
        ("temperature difference", 0.0, 0.05 / 3f64.sqrt(), 2.0),
    ];
    // H.1.3: sensitivities 1 (the standard and the comparator), -l_s theta (theta -0.1 K), -l_s alpha (alpha 11.5e-6/K).
    let length = [(0, 1.0), (1, 1.0), (2, 1.0), (3, 1.0), (4, 0.1 * standard), (5, -11.5e-6 * standard)];
    let solution = inputs(&known).solve().unwrap();
    let combined = solution.estimate(&length).unwrap();
    // H.1.5: l = 50.000 838 mm; H.1.4: u_c = 32 nm; H.1.6: 16 degrees of freedom, U_99 = 93 nm.
    near(combined.value, 50_000_838.0, 0.5);
    assert_eq!(combined.standard_uncertainty.round(), 32.0);
    assert_eq!(combined.dof.floor(), 16.0);
    near(student_quantile(0.995, 16.0), 2.92, 0.005);
    near(student_quantile(0.995, combined.dof.floor()) * combined.standard_uncertainty, 93.0, 0.6);
    // Table H.1, last column: contributions 25, 9.7 (in three parts), 2.9, 16.6 nm.
    let shares = solution.contributions(&length);
    let contribution = |share: f64| share.sqrt() * combined.standard_uncertainty;
    near(contribution(shares[0]), 25.0, 0.01);
    near(contribution(shares[1..4].iter().sum()), 9.7, 0.05);
    near(contribution(shares[4]), 2.9, 0.05);
    near(contribution(shares[5]), 16.6, 0.05);
}

const VOLTS: [f64; 5] = [5.007, 4.994, 5.005, 4.990, 4.999];
const AMPERES: [f64; 5] = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3];
const RADIANS: [f64; 5] = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433];

/// H.2, approach 1: correlated means of five simultaneous observations.
fn impedance() -> Solution {
    let series = [&VOLTS, &AMPERES, &RADIANS];
    let of = |index: usize| {
        let (one, names) = (series[index], ["V", "I", "phase"]);
        (names[index], mean(one), covariance_of_means(one, one).sqrt(), 4.0)
    };
    let mut adjustment = inputs(&[of(0), of(1), of(2)]);
    for (a, b) in [(0, 1), (0, 2), (1, 2)] {
        adjustment.correlate(a, b, covariance_of_means(series[a], series[b]));
    }
    adjustment.solve().unwrap()
}

#[test]
fn h2_resistance_and_reactance() {
    let solution = impedance();
    let (v, i, phase) = (mean(&VOLTS), mean(&AMPERES), mean(&RADIANS));
    let z = v / i;
    // R = V/I cos phi, X = V/I sin phi, Z = V/I, each with its derivatives to V, I and phi.
    let (cos, sin) = (phase.cos(), phase.sin());
    let by = |along: f64, turned: f64| vec![(0, along / i), (1, -z * along / i), (2, z * turned)];
    let results = [(z * cos, by(cos, -sin)), (z * sin, by(sin, cos)), (z, by(1.0, 0.0))];
    let u = |index: usize| solution.estimate(&results[index].1).unwrap().standard_uncertainty;
    // Table H.3: R 127.732 (0.071), X 219.847 (0.295; 0.2956 unrounded), Z 254.260 (0.236) ohm.
    for (index, (value, expected_u)) in
        [(127.732, 0.071), (219.847, 0.2956), (254.260, 0.236)].into_iter().enumerate()
    {
        near(results[index].0, value, 5e-4);
        near(u(index), expected_u, 6e-4);
    }
    // The same table: correlations of the results.
    for (a, b, expected) in [(0, 1, -0.588), (0, 2, -0.485), (1, 2, 0.993)] {
        near(solution.covariance(&results[a].1, &results[b].1).unwrap() / (u(a) * u(b)), expected, 5e-4);
    }
    assert_eq!(round_to_uncertainty(results[0].0, u(0)), "127.732 +/- 0.071");
}

fn mean(series: &[f64]) -> f64 {
    series.iter().sum::<f64>() / series.len() as f64
}

fn covariance_of_means(a: &[f64], b: &[f64]) -> f64 {
    let (a_mean, b_mean, n) = (mean(a), mean(b), a.len() as f64);
    a.iter().zip(b).map(|(x, y)| (x - a_mean) * (y - b_mean)).sum::<f64>() / (n * (n - 1.0))
}

/// H.3: calibration line of a thermometer, t0 = 20: intercept y1, slope y2, uncertainties by the scatter.
#[test]
fn h3_thermometer() {
    let t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
    let b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
    let mut adjustment = Adjustment::new(vec!["y1".into(), "y2".into()]);
    for (t, b) in t.into_iter().zip(b) {
        adjustment.push(Equation::evidence("", [(0, 1.0), (1, t - 20.0)], b, 1.0));
    }
    let solution = adjustment.solve().unwrap();
    let scatter = solution.birge_ratio().unwrap();
    let found = |functional: &[(usize, f64)]| {
        let estimate = solution.estimate(functional).unwrap();
        (estimate.value, scatter * estimate.standard_uncertainty)
    };
    // H.3.3: y1 -0.1712 (0.0029), y2 0.00218 (0.00067), r -0.930, s 0.0035; H.3.4: b(30) -0.1494 (0.0041).
    let (intercept, slope) = (found(&[(0, 1.0)]), found(&[(1, 1.0)]));
    near(intercept.0, -0.1712, 5e-5);
    near(intercept.1, 0.0029, 5e-5);
    near(slope.0, 0.00218, 5e-6);
    near(slope.1, 0.00067, 5e-6);
    let covariance = scatter * scatter * solution.covariance(&[(0, 1.0)], &[(1, 1.0)]).unwrap();
    near(covariance / (intercept.1 * slope.1), -0.930, 5e-4);
    near(scatter, 0.0035, 5e-5);
    assert_eq!(solution.redundancy(), 9);
    let correction = found(&[(0, 1.0), (1, 10.0)]);
    near(correction.0, -0.1494, 5e-5);
    near(correction.1, 0.0041, 5e-5);
}
