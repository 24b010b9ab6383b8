use super::*;

/// Expected value and resolution in SI units.
fn check<Q: Typable>(text: &str, value: f64, resolution: f64) {
    let typed = read::<Q>(text).unwrap_or_else(|error| panic!("{text}: {error}"));
    let near = |found: f64, expected: f64| (found - expected).abs() <= 1e-12 * expected.abs();
    assert!(near(typed.value.si(), value), "{text}: {} is not {value}", typed.value.si());
    assert!(near(typed.resolution.si(), resolution), "{text}: resolves {}", typed.resolution.si());
}

fn refused<Q: Typable>(text: &str, hint: &str) {
    match read::<Q>(text) {
        Ok(typed) => panic!("{text} was read as {typed:?}"),
        Err(error) => {
            assert!(error.hint.contains(hint), "{text}: hint is {}", error.hint);
            assert!(!error.expected.is_empty() && !error.found.is_empty(), "{error}");
        }
    }
}

#[test]
fn lengths() {
    let quarter = 0.25 * 0.0254;
    check::<Length>("41 ft 2 1/4 in", 494.25 * 0.0254, quarter);
    check::<Length>("41ft 2 1/4in", 494.25 * 0.0254, quarter);
    check::<Length>("41' 2 1/4\"", 494.25 * 0.0254, quarter);
    check::<Length>("41’ 2¼”", 494.25 * 0.0254, quarter);
    check::<Length>("12' 3\"", 147.0 * 0.0254, 0.0254);
    check::<Length>("12' 3''", 147.0 * 0.0254, 0.0254);
    check::<Length>("12'-3\"", 147.0 * 0.0254, 0.0254);
    check::<Length>("41 ft. 2-1/4 in.", 494.25 * 0.0254, quarter);
    check::<Length>("12'", 12.0 * 0.3048, 0.3048);
    check::<Length>("3.05 m", 3.05, 0.01);
    check::<Length>("12.550 M", 12.55, 0.001);
    check::<Length>("10/32 in", 10.0 / 32.0 * 0.0254, 0.0254 / 32.0);
    check::<Length>("½ in", 0.0127, 0.0127);
    check::<Length>(".5 in", 0.0127, 0.00254);
    check::<Length>("5 mm", 0.005, 0.001);
    check::<Length>("31.5 cm", 0.315, 0.001);
    check::<Length>("9.70 mi", 9.70 * 1609.344, 16.09344);
    check::<Length>(" 1.2km ", 1200.0, 100.0);
    check::<Length>("0 m", 0.0, 1.0);
}

#[test]
fn speeds_pressures_and_times() {
    check::<Speed>("60 mph", 26.8224, 0.44704);
    check::<Speed>("60mi/h", 26.8224, 0.44704);
    check::<Speed>("90.0 km/h", 25.0, 0.1 / 3.6);
    check::<Speed>("27.8 m/s", 27.8, 0.1);
    check::<Speed>("12 kn", 12.0 * 1852.0 / 3600.0, 1852.0 / 3600.0);
    check::<Pressure>("35 psi", 35.0 * 6894.757293168, 6894.757293168);
    check::<Pressure>("240 kPa", 240e3, 1e3);
    check::<Pressure>("2.4 bar", 2.4e5, 1e4);
    check::<Duration>("12 min", 720.0, 60.0);
    check::<Duration>("65.3 s", 65.3, 0.1);
    check::<Duration>("1 h 5 min 3.5 s", 3903.5, 0.1);
}

#[test]
fn uncertainty_after_the_sign_is_one_standard_uncertainty() {
    let in_miles = |text| {
        let typed = length(text).unwrap();
        (typed.value.mi(), typed.standard_uncertainty.unwrap().mi())
    };
    for text in ["9.70 mi +/- 0.02", "9.70 +/- 0.02 mi", "9.70 mi ± 0.02 mi", "9.70mi+-0.02"] {
        let (value, u) = in_miles(text);
        assert!((value - 9.70).abs() < 1e-12 && (u - 0.02).abs() < 1e-12, "{text}: {value} {u}");
    }
    let mixed = length("1.2 km +/- 5 m").unwrap();
    assert_eq!(mixed.standard_uncertainty, Some(Length::from_m(5.0)));
    assert_eq!(length("1.2 km").unwrap().standard_uncertainty, None);
}

#[test]
fn refusals() {
    refused::<Length>("12,5 m", "write \"12.5 m\"");
    refused::<Length>("5,280 ft", "\"5280 ft\" for thousands");
    refused::<Length>("12.5", "\"12.5 m\" or \"12.5 mm\"");
    refused::<Speed>("60", "\"60 mph\" or \"60 km/h\"");
    refused::<Length>("5' 11", "if 11 is meant in in, type \"5' 11 in\"");
    refused::<Length>("", "3.05 m");
    refused::<Length>("m", "3.05 m");
    refused::<Length>("3 psi", "3.05 m");
    refused::<Length>("-3 m", "3.05 m");
    refused::<Length>("3-4 m", "3.05 m");
    refused::<Length>("3 - 1/4 in", "3.05 m");
    refused::<Length>("3 m 4 km", "3.05 m");
    refused::<Length>("3 in 4 ft", "3.05 m");
    refused::<Length>("5 ft 13 in", "12 in make one ft");
    refused::<Length>("2 5/4 in", "3.05 m");
    refused::<Length>("1/0 in", "3.05 m");
    refused::<Length>("1.2.3 m", "3.05 m");
    refused::<Length>("1/ in", "3.05 m");
    refused::<Length>("1e3 m", "3.05 m");
    refused::<Length>("3 m +/- ", "3.05 m");
    refused::<Length>("3 m +/- 1 +/- 2", "3.05 m");
    refused::<Length>(&"9".repeat(400), "3.05 m");
    refused::<Duration>("1:05", "65.3 s");
}

#[test]
fn lists_share_the_last_unit() {
    let mph = |text| -> Vec<f64> {
        let list = read_list::<Speed>(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        list.iter().map(|typed| (typed.value.mi_per_h() * 1e6).round() / 1e6).collect()
    };
    assert_eq!(mph("30,45,60mph"), [30.0, 45.0, 60.0]);
    assert_eq!(mph("30, 45 mph"), [30.0, 45.0]);
    assert_eq!(mph("30,45mph"), [30.0, 45.0]);
    assert_eq!(mph("30 mph; 45.5 mph"), [30.0, 45.5]);
    assert_eq!(mph("60 mph"), [60.0]);
    let glued = read_list::<Speed>("30,5 mph").unwrap_err();
    assert_eq!(glued.hint, "write \"30.5 mph\" for one number, \"30, 5 mph\" for two");
    for text in ["30,05 mph", "30,45,60", "", "30,,45 mph", "30 mph,"] {
        assert!(read_list::<Speed>(text).is_err(), "{text} was read");
    }
}

#[test]
fn rounding_follows_two_digits_of_uncertainty() {
    // GUM H.2, last column of table H.3 (JCGM 100:2008): R 127.732 (0.071), Z 254.260 (0.236 -> 0.24).
    for (value, u, expected) in [
        (127.73217, 0.07108, "127.732 +/- 0.071"),
        (254.25978, 0.23634, "254.26 +/- 0.24"),
        (1.0, 0.0996, "1.00 +/- 0.10"),
        (-0.0004, 0.012, "0.000 +/- 0.012"),
        (53_249.0, 1_234.0, "53200 +/- 1200"),
        (2.5, 0.0, "2.5"),
        (2.5, f64::INFINITY, "2.5"),
    ] {
        assert_eq!(round_to_uncertainty(value, u), expected);
    }
}

#[test]
fn printing_in_a_unit() {
    let printed = |text: &str, unit: &str| print(&length(text).unwrap(), unit).unwrap();
    assert_eq!(printed("12.550 m", "m"), "12.550 m");
    assert_eq!(printed("9.70 mi +/- 0.02", "mi"), "9.700 +/- 0.020 mi");
    assert_eq!(printed("2 1/4 in", "in"), "2.25 in");
    assert_eq!(printed("10/32 in", "in"), "0.31250 in");
    assert_eq!(printed("41 ft 2 1/4 in", "in"), "494.25 in");
    assert_eq!(print(&length("1 m").unwrap(), "psi"), None);
}
