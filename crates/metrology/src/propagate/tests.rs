use super::*;

#[test]
fn a_straight_model_of_normal_inputs_needs_no_drawing() {
    let inputs = [
        Distribution::Normal { mean: 1.0, standard_deviation: 0.3 },
        Distribution::Normal { mean: 2.0, standard_deviation: 0.4 },
    ];
    let both = propagate(&inputs, |x| x[0] - 2.0 * x[1], &Settings::default());
    assert!((both.linear.standard_uncertainty - (0.09f64 + 0.64).sqrt()).abs() < 1e-12);
    assert!(both.monte_carlo.is_stable);
    assert_eq!(both.linear_is_good_enough(), Some(true));
    assert!(
        (both.monte_carlo.standard_uncertainty - both.linear.standard_uncertainty).abs() < both.tolerance
    );
}

#[test]
fn same_seed_same_draws_and_other_seed_other_draws() {
    let inputs = [Distribution::Student { mean: 1.0, scale: 0.3, dof: 5.0 }];
    let run = |seed| propagate(&inputs, |x| x[0], &Settings { seed, most_draws: 100_000 });
    assert_eq!(run(7), run(7));
    assert_ne!(run(7).monte_carlo.mean, run(8).monte_carlo.mean);
}

#[test]
fn few_observations_follow_the_t_distribution() {
    // The 97.5 % point of t with 5 degrees of freedom is 2.571 (JCGM 100:2008, table G.2).
    let inputs = [Distribution::Student { mean: 0.0, scale: 1.0, dof: 5.0 }];
    let both = propagate(&inputs, |x| x[0], &Settings::default());
    assert!((both.linear.high_95 - 2.571).abs() < 1e-3);
    assert!((both.monte_carlo.high_95 - 2.571).abs() < 0.03);
}

#[test]
fn adaptive_stopping_stops_early_and_gives_up_in_time() {
    let rectangle = [Distribution::Rectangular { low: 0.0, high: 1.0 }];
    let both = propagate(&rectangle, |x| x[0], &Settings { seed: 3, most_draws: 1_000_000 });
    assert!(
        both.monte_carlo.is_stable && both.monte_carlo.draws < 500_000,
        "{} draws",
        both.monte_carlo.draws
    );
    assert_eq!(both.linear_is_good_enough(), Some(false));
    let hasty = propagate(&rectangle, |x| x[0], &Settings { seed: 3, most_draws: 15_000 });
    assert_eq!(hasty.monte_carlo.draws, 10 * BATCH);
    let exact = [Distribution::Normal { mean: 2.0, standard_deviation: 0.0 }];
    let none = propagate(&exact, |x| x[0], &Settings::default());
    assert_eq!((none.monte_carlo.draws, none.monte_carlo.standard_uncertainty), (10 * BATCH, 0.0));
    assert_eq!(none.linear_is_good_enough(), Some(true));
}

#[test]
fn a_model_outside_its_domain_is_not_called_settled() {
    let inputs = [Distribution::Normal { mean: 0.0, standard_deviation: 1.0 }];
    let both = propagate(&inputs, |x| x[0].ln(), &Settings { seed: 1, most_draws: 100_000 });
    assert!(both.monte_carlo.mean.is_nan() && !both.monte_carlo.is_stable);
    assert_eq!(both.linear_is_good_enough(), None);
}
