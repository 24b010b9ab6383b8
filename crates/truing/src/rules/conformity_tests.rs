//! Probabilities against scipy 1.16.3 (norm.cdf, t.cdf; 12-point Gauss-Legendre on 4000 panels and
//! integrate.quad, which agree to 1e-8) and against seeded simulation.

use super::*;
use crate::rules::{Band, Edge, find};
use proptest::prelude::*;
use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};

/// What the outside quadrature itself is good for.
const CLOSE: f64 = 3e-8;

#[track_caller]
fn check(found: Ratio, expected: f64, closeness: f64) {
    assert!((found.plain() - expected).abs() < closeness, "{} {expected}", found.plain());
}

fn band(low_percent: f64, high_percent: f64) -> Rule {
    let edge = |percent| Edge::new(percent, Speed::default());
    let band = Band::new(edge(low_percent), edge(high_percent)).unwrap();
    Rule::custom("test".to_string(), band, vec![]).unwrap()
}

#[test]
fn a_ratio_in_a_band() {
    // cdf((ln high - m) / u) - cdf((ln low - m) / u), scipy 1.16.3 norm.cdf and t.cdf.
    let endless = f64::INFINITY;
    for (rule, ln_ratio, u, dof, expected) in [
        ("odometer-4", 0.03, 0.01, endless, 0.8217543109825669),
        ("tachograph-2", 0.985_f64.ln(), 0.01, endless, 0.6943512316372322),
        ("true", 0.0, 0.005, endless, 0.9544961365679061),
        ("odometer-4", 0.03, 0.01, 4.0, 0.7946140363355745),
        ("true", 0.005, 0.004, 9.0, 0.8741742319984382),
    ] {
        let found = conformity(&find(rule).unwrap(), &ReadingModel::of_ratio(ln_ratio, u, dof), None);
        check(found.probability, expected, 1e-9);
        check(found.points[0].probability, expected, 1e-9);
    }
}

#[test]
fn a_one_sided_limit_is_the_normal_probability() {
    // JCGM 106:2012, 7.3 (number from memory): with one limit, p = cdf((limit - best) / u). As in the standard's own
    // example (its numbers from memory: a breakdown voltage of -5.47 V, u = 0.05 V, limit -5.40 V), (limit - best) / u = 1.4; norm.cdf(1.4) = 0.9192433407662289 (scipy 1.16.3). The other edge lies 60 u away.
    let best = 1.1_f64.ln() - 0.014;
    let found = conformity(&band(50.0, 110.0), &ReadingModel::of_ratio(best, 0.01, f64::INFINITY), None);
    check(found.probability, 0.9192433407662289, 1e-9);
    assert_eq!(found.verdict, Verdict::Undecided);
}

fn model(ratio: f64, u_ln_ratio: f64, dof: f64, offset: [f64; 3]) -> ReadingModel {
    let [offset_m_per_s, u_offset_m_per_s, covariance_m_per_s] = offset;
    let ln_ratio = ratio.ln();
    ReadingModel { ln_ratio, u_ln_ratio, dof, offset_m_per_s, u_offset_m_per_s, covariance_m_per_s }
}

#[test]
fn jointly_over_the_test_speeds_of_un_r39() {
    let rule = find("un-r39").unwrap();
    let endless = f64::INFINITY;
    // Joint; at 40, 80, 120 km/h.
    for (model, joint, each) in [
        (
            model(1.03, 0.01, endless, [0.2, 0.3, 0.0]),
            0.9517404242408772,
            [0.9518622925403063, 0.9894024321839964, 0.995955386134995],
        ),
        (
            model(1.03, 0.01, endless, [0.2, 0.3, -0.0024]),
            0.9925952242615098,
            [0.9925952251225182, 0.9999992541715687, 0.9999999975801509],
        ),
        (
            model(1.03, 0.01, 5.0, [0.2, 0.3, -0.0015]),
            0.9494169649023794,
            [0.9508143222544213, 0.987990896790517, 0.9932365982512475],
        ),
    ] {
        let found = conformity(&rule, &model, None);
        check(found.probability, joint, CLOSE);
        for (point, expected) in found.points.iter().zip(each) {
            check(point.probability, expected, CLOSE);
        }
    }
}

#[test]
fn at_one_true_speed_and_at_one_indicated_speed() {
    let found =
        conformity(&find("us-393.82").unwrap(), &model(1.08, 0.02, f64::INFINITY, [0.1, 0.45, 0.0]), None);
    check(found.probability, 0.6989363209102608, CLOSE);
    let found =
        conformity(&find("jp-2007").unwrap(), &model(0.97, 0.02, f64::INFINITY, [-0.3, 0.4, 0.002]), None);
    check(found.probability, 0.5438184826127819, CLOSE);
}

/// Indicated and true speeds of drawn readings, held against the rule as it is worded.
fn simulated(rule: &Rule, model: &ReadingModel, draws: usize) -> f64 {
    let mut chance = rand_chacha::ChaCha8Rng::seed_from_u64(39);
    let correlation = model.covariance_m_per_s / (model.u_ln_ratio * model.u_offset_m_per_s);
    let rest = (1.0 - correlation * correlation).sqrt();
    let points = rule.test_speeds.points(None);
    let mut kept = 0_usize;
    for _ in 0..draws {
        let (x, y): (f64, f64) = (StandardNormal.sample(&mut chance), StandardNormal.sample(&mut chance));
        let a = model.offset_m_per_s + model.u_offset_m_per_s * x;
        let r = (model.ln_ratio + model.u_ln_ratio * (correlation * x + rest * y)).exp();
        kept += usize::from(points.iter().all(|point| keeps(rule, *point, a, r)));
    }
    kept as f64 / draws as f64
}

fn keeps(rule: &Rule, point: TestPoint, a: f64, r: f64) -> bool {
    match point {
        TestPoint::True(v) => {
            let indicated = Speed::from_m_per_s(a + r * v.m_per_s());
            let allowed = rule.band.indicated_at(v);
            allowed.low <= indicated && indicated <= allowed.high
        }
        TestPoint::Indicated(i) => {
            let v = Speed::from_m_per_s((i.m_per_s() - a) / r);
            let allowed = rule.band.true_at(i);
            allowed.low <= v && v <= allowed.high
        }
        TestPoint::Ratio => (rule.band.low().slope.plain()..=rule.band.high().slope.plain()).contains(&r),
    }
}

#[test]
fn agrees_with_simulation() {
    const DRAWS: usize = 200_000;
    for id in ["un-r39", "us-393.82", "jp-2006", "jp-2007", "odometer-4", "true"] {
        for model in [
            model(1.02, 0.02, f64::INFINITY, [0.3, 0.5, 0.004]),
            model(0.97, 0.03, f64::INFINITY, [-0.2, 0.9, -0.02]),
            model(1.09, 0.004, f64::INFINITY, [0.0, 0.2, 0.0]),
        ] {
            let rule = find(id).unwrap();
            let found = conformity(&rule, &model, None).probability;
            // Five standard deviations of the simulated share at its widest.
            check(found, simulated(&rule, &model, DRAWS), 5.0 * 0.5 / (DRAWS as f64).sqrt());
        }
    }
}

#[test]
fn ten_per_cent_just_passes_at_fifty_miles_per_hour() {
    // 49 CFR 393.82: 45 to 55 mph indicated at a true 50 mph; a pure scale error of 10 % lies on the edge.
    let judge = |rule: &str, ratio: f64| {
        conformity(&find(rule).unwrap(), &ReadingModel::of_ratio(ratio.ln(), 0.0, f64::INFINITY), None)
            .verdict
    };
    for (ratio, verdict) in [
        (1.1, Verdict::Conforms),
        (0.9, Verdict::Conforms),
        (1.100_001, Verdict::DoesNotConform),
        (0.899_999, Verdict::DoesNotConform),
    ] {
        assert_eq!(judge("us-393.82", ratio), verdict, "{ratio}");
    }
    // UN R39 rejects any reading below true.
    assert_eq!(judge("un-r39", 1.0), Verdict::Conforms);
    assert_eq!(judge("un-r39", 0.999_999), Verdict::DoesNotConform);
}

#[test]
fn the_verdict_turns_at_95_and_5_per_cent() {
    for (percent, verdict) in [
        (95.0, Verdict::Conforms),
        (94.99, Verdict::Undecided),
        (5.01, Verdict::Undecided),
        (5.0, Verdict::DoesNotConform),
        (f64::NAN, Verdict::Undecided),
    ] {
        assert_eq!(Verdict::from_probability(Ratio::from_percent(percent)), verdict, "{percent}");
    }
}

#[test]
fn the_truth_constrains_nothing_and_a_rule_does() {
    let fast = ReadingModel::of_ratio(0.2, 0.01, f64::INFINITY);
    assert_eq!(chance_of_breaking(&find("true").unwrap(), &fast, None).plain(), 0.0);
    check(chance_of_breaking(&find("un-r39").unwrap(), &fast, None), 1.0, 1e-9);
    check(
        chance_of_breaking(&find("un-r39").unwrap(), &ReadingModel::of_ratio(0.0, 0.01, 1e9), None),
        0.5,
        1e-9,
    );
}

#[test]
fn what_is_no_number_is_undecided() {
    for broken in [
        ReadingModel::of_ratio(f64::NAN, 0.01, 9.0),
        ReadingModel::of_ratio(0.0, -0.01, 9.0),
        ReadingModel::of_ratio(0.0, 0.01, f64::NAN),
        ReadingModel { covariance_m_per_s: f64::INFINITY, ..ReadingModel::of_ratio(0.0, 0.01, 9.0) },
    ] {
        let found = conformity(&find("un-r39").unwrap(), &broken, None);
        assert!(found.probability.plain().is_nan());
        assert_eq!(found.verdict, Verdict::Undecided);
    }
}

#[test]
fn a_needle_sharp_ratio_still_finds_its_sliver_of_offsets() {
    // With R exact but for 1e-9 the band allows offsets from -0.5 to 0.5 mph, and the best value is only
    // known to 100 mph. At zero P = 2 cdf(0.005) - 1 = 0.003989406181481581, at 33 mph, between two even
    // nodes, P = cdf(-0.325) - cdf(-0.335) = 0.00377799273793078 (scipy 1.16.3).
    for (offset_mi_per_h, expected) in [(0.0, 0.003989406181481581), (33.0, 0.00377799273793078)] {
        let [offset, u] = [offset_mi_per_h, 100.0].map(|mi_per_h| Speed::from_mi_per_h(mi_per_h).m_per_s());
        let model = model(1.0, 1e-9, f64::INFINITY, [offset, u, 0.0]);
        check(conformity(&narrow_rule(), &model, None).probability, expected, 1e-8);
    }
}

fn narrow_rule() -> Rule {
    let half = Speed::from_mi_per_h(0.5);
    let band = Band::new(Edge::new(100.0, Speed::default() - half), Edge::new(100.0, half)).unwrap();
    Rule::custom("narrow".to_string(), band, vec![Speed::from_mi_per_h(50.0)]).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// More test speeds can only make it harder, and no more so than the sum of what each rejects.
    #[test]
    fn jointly_lies_between_the_bounds_of_probability(
        ratio in 0.9..1.15_f64, u in 1e-4..0.05_f64, a in -1.0..1.0_f64, u_a in 1e-3..1.5_f64,
        correlation in -1.0..=1.0_f64, dof in 1.0..40.0_f64,
    ) {
        let model = model(ratio, u, dof, [a, u_a, correlation * u * u_a]);
        let found = conformity(&find("un-r39").unwrap(), &model, None);
        let each: Vec<f64> = found.points.iter().map(|point| point.probability.plain()).collect();
        let least = each.iter().copied().fold(1.0, f64::min);
        let rejected: f64 = each.iter().map(|p| 1.0 - p).sum();
        let joint = found.probability.plain();
        prop_assert!(joint <= least + 1e-6 && joint >= 1.0 - rejected - 1e-6, "{joint} {each:?}");
    }

    /// Any numbers at all give a probability or none, and never a panic.
    #[test]
    fn never_panics(numbers in proptest::array::uniform6(proptest::num::f64::ANY)) {
        let [ln_ratio, u, dof, a, u_a, covariance] = numbers;
        let model = ReadingModel { ln_ratio, u_ln_ratio: u, dof, offset_m_per_s: a, u_offset_m_per_s: u_a,
            covariance_m_per_s: covariance };
        let p = conformity(&find("un-r39").unwrap(), &model, None).probability.plain();
        prop_assert!(p.is_nan() || (0.0..=1.0).contains(&p));
    }
}

/// A two-sided tolerance and a normal distribution, as JCGM 106:2012 has it in 7.4 (number from memory): with the measured value
/// at the part `place` of the tolerance and the measurement capability index `T / (4 u)`,
/// `p = cdf(4 C (1 - place)) - cdf(-4 C place)`. Worked from that formula with the error function of another language's
/// standard library (Python 3 `math.erfc`).
#[test]
fn the_conformity_probability_of_a_two_sided_tolerance() {
    let rule = band(95.0, 105.0);
    let (low, high) = (0.95_f64.ln(), 1.05_f64.ln());
    for (capability, place, expected) in [
        (1.0, 0.5, 0.9544997361036416),
        (1.0, 0.0, 0.4999683287581669),
        (0.5, 0.25, 0.624655260005155),
        (2.0, 0.1, 0.7881446014163023),
        (1.0, 1.1, 0.344572845845768),
        (3.0, 0.05, 0.7257468822499265),
        (0.25, 0.5, 0.38292492254802624),
        (1.5, -0.1, 0.27425311772951566),
        // The standard's own example, its numbers from memory: engine oil of 12.5 to 16.3 mm²/s, measured 13.6 with
        // u = 0.24: T / (4 u) = 3.8 / 0.96, place 1.1 / 3.8.
        (3.8 / 0.96, 1.1 / 3.8, 0.999997711891713),
    ] {
        let u = (high - low) / (4.0 * capability);
        let model = ReadingModel::of_ratio(low + place * (high - low), u, f64::INFINITY);
        let found = conformity(&rule, &model, None);
        check(found.probability, expected, 1e-9);
        let verdict = match expected {
            p if p >= ACCEPT_FROM => Verdict::Conforms,
            p if p <= REJECT_UP_TO => Verdict::DoesNotConform,
            _ => Verdict::Undecided,
        };
        assert_eq!(found.verdict, verdict, "{capability} {place}");
    }
}
