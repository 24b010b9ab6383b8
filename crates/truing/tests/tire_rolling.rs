//! Rolling circumference: the product, its corrections and its budget; and how the answer reads.

use metrology::measured::Measured;
use metrology::quantity::{Length, Ratio, Speed};
use proptest::prelude::*;
use truing::describe::tire::circumference::{
    RollingConditions, ln_diameter_prior, ln_factor_prior, ln_revs_per_mile_prior, roll,
};
use truing::describe::tire::{Construction, TireSize};
use truing::report::answers::tire::TireReport;
use truing::report::document::Block;
use truing::report::words::{interval, percent, value_and_uncertainty};
use truing::units::Units;

fn read(text: &str) -> TireSize {
    TireSize::parse(text).unwrap_or_else(|problem| panic!("{problem}"))
}

fn ln_circumference(size: &str, conditions: RollingConditions) -> f64 {
    roll(&read(size), &conditions).expect("in range").circumference.value.m().ln()
}

/// What a condition does to the circumference, on the logarithm.
fn effect(size: &str, conditions: RollingConditions) -> f64 {
    ln_circumference(size, conditions) - ln_circumference(size, RollingConditions::default())
}

#[test]
fn priors_multiply_to_revs_per_mile() {
    for size in ["LT265/75R16", "31x10.50R15LT", "7.50-16LT", "31.2 in"] {
        let tire = read(size);
        let (diameter, factor) = (ln_diameter_prior(&tire), ln_factor_prior(&tire));
        let revs = ln_revs_per_mile_prior(&tire, &RollingConditions::default()).unwrap();
        assert!((revs.ln - (1609.344f64.ln() - diameter.ln - factor.ln)).abs() < 1e-12, "{size}");
        // the corrections that are not told add to what the two leave open
        assert!(revs.standard_uncertainty > diameter.standard_uncertainty.hypot(factor.standard_uncertainty));
    }
}

#[test]
fn the_factor_follows_the_construction() {
    let factor = |size| ln_factor_prior(&read(size)).ln.exp();
    assert!((factor("LT265/75R16") - 3.05).abs() < 1e-12); // ETRTO design guide, from memory
    assert!((factor("7.50-16LT") - 2.99).abs() < 1e-12); // the same
    let spread = |size| ln_factor_prior(&read(size)).standard_uncertainty;
    assert!(spread("31.2 in") > spread("31.2 in radial"), "not told how it is built");
}

#[test]
fn the_interval_covers_the_design_tolerance() {
    // ETRTO circumference tolerance, from memory: +1.5 %, -2.5 %
    let circumference = roll(&read("LT265/75R16"), &RollingConditions::default()).unwrap().circumference;
    let relative = |end: Length| end / circumference.value - 1.0;
    assert!(relative(circumference.low_95) < -0.025 && relative(circumference.high_95) > 0.015);
    assert!(circumference.relative_uncertainty().percent() < 2.0, "yet not useless");
}

#[test]
fn wear_counts_for_half_to_two_thirds_of_geometry() {
    // size, tread lost in 1/32 in, geometric loss of diameter in per cent: computed by hand
    for (size, lost, geometric_percent) in [
        ("P235/75R15", 8.0, 1.7),
        ("LT265/75R16", 14.0, 2.8),
        ("33x12.50R15", 16.0, 3.1),
        ("11R22.5", 18.0, 2.7),
    ] {
        let tread_lost = Some(Length::from_in(lost / 32.0));
        let seen = -effect(size, RollingConditions { tread_lost, ..Default::default() });
        let part = seen / (geometric_percent / 100.0);
        assert!((0.5..0.667).contains(&part), "{size}: {part}");
    }
}

#[test]
fn without_load_a_tire_rolls_as_a_rigid_wheel() {
    // the two published factors and pi come from three places; the load rule joins them within 0.2 %
    let unloaded = RollingConditions { load_over_rated: Some(Ratio::from_plain(0.0)), ..Default::default() };
    for size in ["LT265/75R16", "7.50-16LT"] {
        let tire = read(size);
        let factor = roll(&tire, &unloaded).unwrap().circumference.value / tire.diameter.value;
        assert!((factor / core::f64::consts::PI - 1.0).abs() < 0.002, "{size}: {factor}");
    }
}

#[test]
fn pressure_and_speed_have_their_sign_and_size() {
    let at_speed = |mph| RollingConditions { speed: Some(Speed::from_mi_per_h(mph)), ..Default::default() };
    let growth = |size| effect(size, at_speed(70.0)) - effect(size, at_speed(30.0));
    // from memory: 0.1 to 0.3 % for a radial, about 1 % for a bias tire
    assert!((growth("LT265/75R16") - 0.002).abs() < 1e-9);
    assert!((growth("7.50-16LT") - 0.01).abs() < 1e-9);
    let reference = effect("LT265/75R16", at_speed(60.0 / 1.609344));
    assert!(reference.abs() < 1e-12, "the factor holds at 60 km/h: {reference}");
    let soft = RollingConditions { pressure_over_rated: Some(Ratio::from_plain(0.9)), ..Default::default() };
    // from memory: at most 0.1 to 0.2 % per 10 % of pressure, several times that for bias
    assert!((-0.002..-0.001).contains(&effect("LT265/75R16", soft)));
    assert!(effect("7.50-16LT", soft) < 3.0 * effect("LT265/75R16", soft));
}

#[test]
fn telling_a_condition_narrows_the_answer() {
    let tire = read("LT265/75R16");
    let u = |conditions| ln_revs_per_mile_prior(&tire, &conditions).unwrap().standard_uncertainty;
    let untold = u(RollingConditions::default());
    let as_new = RollingConditions { tread_lost: Some(Length::from_mm(0.0)), ..Default::default() };
    let rated = RollingConditions { load_over_rated: Some(Ratio::from_plain(1.0)), ..as_new };
    assert!(u(rated) < u(as_new) && u(as_new) < untold);
    let worn = RollingConditions { tread_lost: Some(Length::from_mm(10.0)), ..Default::default() };
    assert!(u(worn) > u(as_new), "a correction is less sure than none to make");
}

#[test]
fn conditions_out_of_range_are_refused() {
    let refused = |conditions| roll(&read("LT265/75R16"), &conditions).expect_err("refused").to_string();
    assert_eq!(
        refused(RollingConditions { tread_lost: Some(Length::from_mm(-1.0)), ..Default::default() }),
        "rolling conditions, tread lost: expected 0 to 40 mm; found -1 mm. leave it out if it is not known"
    );
    let nothing =
        RollingConditions { load_over_rated: Some(Ratio::from_plain(f64::NAN)), ..Default::default() };
    assert!(refused(nothing).contains("load over rated"));
    let metres_for_mm = Measured::exact(Length::from_m(792.0));
    assert!(TireSize::of_diameter(metres_for_mm, None).is_err());
    let taped = Measured::symmetric(Length::from_mm(792.0), Length::from_mm(2.0), 9.0);
    let tire = TireSize::of_diameter(taped, Some(Construction::Bias)).unwrap();
    assert_eq!((tire.diameter, tire.construction), (taped, Construction::Bias));
}

proptest! {
    #[test]
    fn shares_add_up_and_answers_are_numbers(
        tread_mm in proptest::option::of(0.0..30.0f64),
        pressure in proptest::option::of(0.3..1.8f64),
        load in proptest::option::of(0.0..1.8f64),
        speed in proptest::option::of(0.0..200.0f64),
        size in proptest::sample::select(vec!["LT265/75R16", "7.50-16LT", "31.2 in", "16.00R20"]),
    ) {
        let conditions = RollingConditions {
            tread_lost: tread_mm.map(Length::from_mm),
            pressure_over_rated: pressure.map(Ratio::from_plain),
            load_over_rated: load.map(Ratio::from_plain),
            speed: speed.map(Speed::from_km_per_h),
        };
        let tire = read(size);
        let rolling = roll(&tire, &conditions).unwrap();
        let budget = &rolling.budget;
        let shares: f64 = budget.iter().map(|part| part.share.plain()).sum();
        prop_assert!((shares - 1.0).abs() < 1e-12);
        let squares: f64 = budget.iter().map(|part| part.in_revs_per_mile.per_mi().powi(2)).sum();
        let u = rolling.revs_per_mile.standard_uncertainty.per_mi();
        prop_assert!((squares.sqrt() / u - 1.0).abs() < 1e-12);
        prop_assert!((rolling.circumference.value * rolling.revs_per_mile.value - 1.0).abs() < 1e-12);
        prop_assert!(rolling.revs_per_mile.low_95 < rolling.revs_per_mile.value);
    }
}

#[test]
fn the_report_has_the_promised_keys() {
    let report =
        TireReport::new(&read("LT265/75R16 10PR"), &RollingConditions::default(), Units::Us).unwrap();
    let json = serde_json::to_value(&report).unwrap();
    assert_eq!(json["size"], "LT265/75R16 10PR");
    assert_eq!(json["construction"], "radial");
    assert_eq!(json["system"], "light-truck-metric");
    assert_eq!(json["how_known"], "computed");
    assert_eq!(json["marks"]["ply_rating"], 10);
    for (key, expected) in
        [("diameter_mm", 803.9), ("rolling_circumference_mm", 2451.895), ("revs_per_mile", 656.37)]
    {
        let number = |part: &str| json[key][part].as_f64().unwrap();
        assert!((number("value") - expected).abs() < 0.005, "{key}: {}", number("value"));
        assert!(number("standard_uncertainty") > 0.0);
        assert!(number("low_95") < number("value") && number("value") < number("high_95"));
    }
    assert_eq!(json["budget"].as_array().unwrap().len(), 6);
}

#[test]
fn the_document_says_it_in_sentences() {
    let report =
        TireReport::new(&read("31x10.50R15LT"), &RollingConditions::default(), Units::Mixed).unwrap();
    let document = report.document();
    let sentences: Vec<&str> = document
        .blocks
        .iter()
        .filter_map(|block| if let Block::Sentence(text) = block { Some(text.as_str()) } else { None })
        .collect();
    assert_eq!(document.title, "Tire 31x10.50R15LT");
    let expected = [
        "31x10.50R15LT is a flotation size, radial; its diameter is taken from the diameter printed in the size (from \
         memory).",
        "It stands 777.7 ± 9.6 mm tall when new.",
        "It rolls 2372 ± 43 mm per turn.",
        "It makes 678 ± 12 revolutions per mile; with 95 % probability 655 to 703.",
        "The printed diameter is a name: the tables give about half an inch less for a highway tread and a quarter inch \
         less for a traction tread. The value stands between the two.",
    ];
    assert_eq!(sentences[..5], expected);
    let table = document
        .blocks
        .iter()
        .find_map(|block| if let Block::Table(table) = block { Some(table) } else { None });
    assert_eq!(table.unwrap().rows[0][1], "777.7 ± 9.6 mm");
}

#[test]
fn numbers_are_rounded_to_their_uncertainty() {
    for (value, u, expected) in [
        (803.9, 7.8, "803.9 ± 7.8"),
        (803.9, 0.0996, "803.90 ± 0.10"), // two digits of u, also where rounding lengthens it
        (803.9, 9.96, "804 ± 10"),
        (803.9, 99.6, "800 ± 100"),
        (12345.0, 456.0, "12350 ± 460"),
        (-0.004, 0.12, "0.00 ± 0.12"),
        (2.5, 0.0, "2.5 ± 0"),
        (f64::NAN, 1.0, "unknown ± 1.0"),
        (1.0, f64::INFINITY, "1 ± unknown"),
    ] {
        assert_eq!(value_and_uncertainty(value, u), expected);
    }
    assert_eq!(interval(788.61, 819.23, 7.8), "788.6 to 819.2");
    assert_eq!(percent(Ratio::from_plain(0.0312)), "3.1 %");
    assert_eq!(Units::Us.say_speed(Speed::from_mi_per_h(59.84), 1), "59.8 mph");
}
