//! Tires as they roll on the road: construction, wear, slip, pressure and load, and what a pair of measurements teaches of them.

use metrology::measured::Measured;
use metrology::quantity::{PerLength, Ratio};
use truing::describe::Vehicle;
use truing::describe::tire::Construction;
use truing::describe::tire::circumference::load_share;
use truing::measure::fusion::fuse;

fn revs(text: &str) -> Measured<PerLength> {
    let (vehicle, problems) = Vehicle::read("test", text);
    let vehicle = vehicle.unwrap_or_else(|| panic!("{problems:?}"));
    assert!(problems.iter().all(|problem| !problem.is_error()), "{problems:?}");
    fuse("test", &vehicle, Vec::new()).0.over_all.revs.expect("revolutions per mile")
}

/// Revolutions per mile and their relative standard uncertainty, from one set of tires and one piece of evidence on it.
fn of(tire: &str, evidence: &str) -> (f64, f64) {
    let found = revs(&format!("[tire]\n{tire}\n[[evidence]]\n{evidence}\n"));
    (found.value.per_mi(), found.relative_uncertainty().plain())
}

/// A size of which the table says nothing beside radial or bias; its own promise is far less sure than a tape.
const RADIAL: &str = "size = \"7.50R16LT\"";
const BIAS: &str = "size = \"7.50-16LT\"";
const ROLLOUT: &str = "kind = \"rollout\"\nturns = 5\nlength = \"12.550 m\"";

#[test]
fn a_bias_tire_is_told_less_surely_by_tape_and_ruler() {
    let (radial, radial_u) = of(RADIAL, ROLLOUT);
    let (bias, bias_u) = of(BIAS, ROLLOUT);
    // Slow roll 0.46 % instead of 0.30, the day 0.4 instead of 0.1, slip 0.2 for both: 0.64 and 0.37 %, the size adds a little.
    assert!((0.0033..0.0039).contains(&radial_u), "{radial_u}");
    assert!((0.0055..0.0066).contains(&bias_u), "{bias_u}");
    // On the road a bias tire turns 0.6 % less often than the tape says.
    assert!(bias < radial * 0.997, "{bias} {radial}");
    // 1.04 instead of 1.05 of the loaded radius: more turns, within what the size pulls.
    let radius = "kind = \"loaded-radius\"\nradius = \"0.3800 m\"";
    assert!(of(BIAS, radius).0 > of(RADIAL, radius).0);
}

#[test]
fn wear_and_slip_only_add_turns() {
    // A book of 660 for new tires: 0.007 x sqrt(2/pi) = 0.559 % more turns where the wear is not told, none where it is none.
    let of = |tread: &str| revs(&format!("[tire]\npublished_revs_per_mile = 660\n{tread}")).value.per_mi();
    assert!((of("") / 660.0 - 1.00560).abs() < 5e-5, "{}", of(""));
    let new = "size = \"LT265/75R16\"\ntread_depth_new = \"12 mm\"\n";
    let unworn = of(&format!("{new}tread_depth = \"12 mm\"\n"));
    let worn = of(&format!("{new}tread_depth = \"4 mm\"\n"));
    assert!(worn > unworn * 1.008, "{worn} {unworn}");
    // Driven wheels slip: a tape's turns are 0.3 % fewer than theirs; a wheel's own ring sees none of it.
    let at = |sensor: &str| {
        let chain = format!("[chain]\nsensor_at = \"{sensor}\"\nring_teeth = 96\n");
        revs(&format!("{chain}[[evidence]]\n{ROLLOUT}\n")).value.per_mi()
    };
    assert!((at("axle-ring") / at("wheel-ring") - 1.003005).abs() < 1e-5);
}

/// A textbook's shape D atan(B x) + E x with B 8.4, D 0.27, E 0.07, by hand: atan(8.4) = 1.45230, atan(4.2) = 1.33705,
/// atan(12.6) = 1.49160.
#[test]
fn a_radial_gives_way_less_with_every_further_load() {
    let share = |construction, x| load_share(construction, Ratio::from_plain(x));
    let full = 0.27 * 1.45230 + 0.07;
    for (x, expected) in [
        (0.0, 0.0),
        (0.5, (0.27 * 1.33705 + 0.035) / full),
        (1.0, 1.0),
        (1.5, (0.27 * 1.49160 + 0.105) / full),
    ] {
        assert!((share(Construction::Radial, x) - expected).abs() < 2e-5, "{x}");
        assert!((share(Construction::Bias, x) - x).abs() < 1e-12, "{x}");
    }
    assert!(share(Construction::Radial, 0.5) > 0.8, "most of it comes with little load");
}

/// Turns per mile at 80 psi of tires that make 660 at 45 psi, as N goes with pressure to the power of -`effect`.
fn rollout_at(psi: f64, effect: f64, date: u32) -> String {
    let metres = 5.0 * 1609.344 / (660.0 * (psi / 45.0).powf(-effect));
    format!(
        "[[evidence]]\nkind = \"rollout\"\ndate = 2026-05-0{date}\nturns = 5\nlength = \"{metres:.4} m +/- 0.002 m\"\ntire_pressure_psi = {psi}\n"
    )
}

fn at_80_psi(size: &str, rollouts: &str) -> (f64, f64) {
    let at = |psi: f64| {
        revs(&format!(
            "[tire]\n{size}\nrated_pressure_psi = 45\n[use]\ntire_pressure_psi = {psi}\n{rollouts}"
        ))
    };
    let (at_80, at_45) = (at(80.0), at(45.0));
    let effect = -(at_80.value / at_45.value).ln() / (80.0_f64 / 45.0).ln();
    (effect, at_80.relative_uncertainty().plain())
}

/// The coefficient before any measurement is 0.06 with 0.03 for a bias tire, 0.015 with 0.01 for a radial.
#[test]
fn two_pressures_of_one_set_of_tires_teach_the_coefficient() {
    for (size, prior, truth) in [(BIAS, 0.06, 0.10), (RADIAL, 0.015, 0.03)] {
        let pair = |second_psi| rollout_at(45.0, truth, 1) + &rollout_at(second_psi, truth, 2);
        let (untaught, untaught_u) = at_80_psi(size, &pair(45.0));
        let (taught, taught_u) = at_80_psi(size, &pair(75.0));
        assert!((untaught - prior).abs() < 0.15 * prior, "one pressure teaches nothing: {untaught}");
        assert!(taught > untaught + 0.25 * (truth - prior) && taught < truth * 1.02, "{size}: {taught}");
        assert!(taught_u < 0.85 * untaught_u, "{size}: {taught_u} {untaught_u}");
    }
    // Without its pressure a measurement teaches nothing either, and moves nothing.
    let untold = format!("[[evidence]]\n{ROLLOUT}\n");
    let at = |psi| revs(&format!("[tire]\n{RADIAL}\n[use]\ntire_pressure_psi = {psi}\n{untold}")).value;
    assert_eq!(at(45), at(80));
}

#[test]
fn what_is_measured_at_one_pressure_and_load_holds_for_those_in_use() {
    let of = |used: &str, then: &str| {
        revs(&format!("[tire]\n{BIAS}\n{used}[[evidence]]\n{ROLLOUT}\n{then}")).value.per_mi()
    };
    let hard = of("[use]\ntire_pressure_psi = 45\n", "tire_pressure_psi = 60\n");
    let same = of("[use]\ntire_pressure_psi = 45\n", "tire_pressure_psi = 45\n");
    // 0.06 x ln(60/45) = 1.73 % fewer turns at 60 psi than at 45: the size, which promises 666, pulls a little.
    assert!((0.015..0.021).contains(&(hard / same).ln()), "{hard} {same}");
    let laden = of("[use]\ntire_load_percent = 100\n", "tire_load_percent = 50\n");
    let alike = of("[use]\ntire_load_percent = 100\n", "tire_load_percent = 100\n");
    // 4.8 % from no load to the rated one: half of it more turns under load; the size, which promises 666, pulls it up.
    assert!((0.020..0.030).contains(&(laden / alike).ln()), "{laden} {alike}");
    // A size is rated at a pressure: in use at another it promises other turns.
    let size =
        |rated: &str| revs(&format!("[tire]\n{BIAS}\n{rated}[use]\ntire_pressure_psi = 45\n")).value.per_mi();
    assert!((size("rated_pressure_psi = 60\n") / size("")).ln() > 0.015);
}
