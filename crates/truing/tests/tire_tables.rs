//! Tire sizes held against a regulated table, computed sizes and what is recalled of the standards.

use truing::describe::tire::circumference::{RollingConditions, geometric_revs_per_mile, roll};
use truing::describe::tire::{Construction, DiameterBasis, HowKnown, System, TireSize};

/// The table's own resolution is 0.5 mm and better; its metric rows equal the formula.
const REGULATED_TOLERANCE_MM: f64 = 0.1;
/// Half of the last digit printed in the computed table.
const PRINTED_MM: f64 = 0.05;
/// The same for revolutions per mile, which were printed to 0.01, or to 0.1 for bias tires.
const PRINTED_REVS: f64 = 0.0051;
const PRINTED_REVS_BIAS: f64 = 0.051;

fn read(text: &str) -> TireSize {
    TireSize::parse(text).unwrap_or_else(|problem| panic!("{problem}"))
}

/// Rows of data/regulated-sizes.csv; origin in data/SOURCES.md.
fn regulated() -> Vec<(&'static str, f64)> {
    include_str!("data/regulated-sizes.csv")
        .lines()
        .skip(1)
        .map(|line| line.split_once(',').expect("two columns"))
        .map(|(size, diameter)| (size, diameter.parse().expect("a number")))
        .collect()
}

#[test]
fn metric_rows_of_the_regulated_table() {
    let metric: Vec<_> = regulated().into_iter().filter(|(size, _)| size.contains('/')).collect();
    assert_eq!(metric.len(), 24);
    for (size, diameter_mm) in metric {
        let tire = read(size);
        assert!((tire.diameter.value.mm() - diameter_mm).abs() < REGULATED_TOLERANCE_MM, "{size}");
        assert_eq!(tire.diameter_basis, DiameterBasis::Formula, "{size}");
    }
}

#[test]
fn code_rows_of_the_regulated_table() {
    let code: Vec<_> = regulated().into_iter().filter(|(size, _)| !size.contains('/')).collect();
    assert_eq!(code.len(), 16);
    let (doubtful, sure): (Vec<_>, Vec<_>) =
        code.into_iter().partition(|(size, _)| ["10.00 R 20", "16.00 R 20"].contains(size));
    assert_eq!(doubtful.len(), 2);
    for (size, diameter_mm) in sure {
        let tire = read(size);
        assert_eq!(tire.diameter.value.mm().round(), diameter_mm, "{size}");
        assert_eq!(tire.how_known, HowKnown::PublicTable, "{size}");
    }
    // the table read, and UN R54 Annex V as recalled: both must lie inside one standard uncertainty
    for (size, other_mm) in doubtful.iter().zip([1052.0, 1370.0]).map(|((size, _), other)| (*size, other)) {
        let read_mm = other_mm - 27.0;
        let tire = read(size);
        assert_eq!(tire.how_known, HowKnown::Doubtful, "{size}");
        let u_mm = tire.diameter.standard_uncertainty.mm();
        assert!((tire.diameter.value.mm() - read_mm).abs() < u_mm, "{size}");
        assert!((tire.diameter.value.mm() - other_mm).abs() < u_mm, "{size}");
        assert!(u_mm > 1.2 * read("11.00R20").diameter.standard_uncertainty.mm(), "{size}");
    }
}

#[test]
fn doubt_covers_the_bias_version_too() {
    assert_eq!(read("10.00-20").how_known, HowKnown::Doubtful);
}

/// Sizes computed by hand from rim + 2 x width x aspect, then 63360 in / (pi D) and mile / (F D).
#[rustfmt::skip]
const COMPUTED: [(&str, f64, f64, f64); 22] = [
    ("P235/75R15", 733.5, 698.39, 719.36), ("P205/75R14", 663.1, 772.54, 795.74), ("P215/65R15", 660.5, 775.58, 798.87),
    ("LT215/85R16", 771.9, 663.65, 683.58), ("LT225/75R16", 743.9, 688.63, 709.31), ("LT235/85R16", 805.9, 635.65, 654.74),
    ("LT245/75R16", 773.9, 661.93, 681.81), ("LT265/75R16", 803.9, 637.23, 656.37), ("LT285/75R16", 833.9, 614.31, 632.75),
    ("LT305/70R16", 833.4, 614.67, 633.13), ("LT315/75R16", 878.9, 582.85, 600.36), ("LT265/70R17", 802.8, 638.10, 657.27),
    ("LT285/70R17", 830.8, 616.60, 635.12), ("LT315/70R17", 872.8, 586.93, 604.55), ("ST205/75R15", 688.5, 744.04, 766.38),
    ("ST235/80R16", 782.4, 654.74, 674.40), ("T145/80D18", 689.2, 743.28, 781.0), ("205/55R16", 631.9, 810.68, 835.03),
    ("225/70R19.5", 810.3, 632.20, 651.18), ("285/75R24.5", 1049.8, 487.97, 502.62), ("130/90-16", 640.4, 799.92, 840.5),
    ("180/55ZR17", 629.8, 813.39, 837.81),
];

#[test]
fn computed_sizes() {
    for (size, diameter_mm, geometric, revs) in COMPUTED {
        let tire = read(size);
        assert_eq!(tire.to_string(), size);
        assert!((tire.diameter.value.mm() - diameter_mm).abs() <= PRINTED_MM + 1e-9, "{size}");
        let found = geometric_revs_per_mile(tire.diameter.value).per_mi();
        assert!((found - geometric).abs() < PRINTED_REVS, "{size}: geometric {found}");
        let found = roll(&tire, &RollingConditions::default()).unwrap().revs_per_mile.value.per_mi();
        let tolerance =
            if tire.construction == Construction::Radial { PRINTED_REVS } else { PRINTED_REVS_BIAS };
        assert!((found - revs).abs() < tolerance, "{size}: {found}");
    }
}

/// UN R54 Annex V Part II as recalled: highway tread (mm); traction treads add 6 mm.
#[rustfmt::skip]
const FLOTATION_HIGHWAY_MM: [(&str, f64); 12] = [
    ("27x8.50-14LT", 674.0), ("28x8.50-15LT", 699.0), ("29x9.50-15LT", 724.0), ("30x9.50-15LT", 750.0),
    ("31x10.50-15LT", 775.0), ("31x11.50-15LT", 775.0), ("32x11.50-15LT", 801.0), ("33x12.50-15LT", 826.0),
    ("35x12.50-15LT", 877.0), ("37x12.50-15LT", 928.0), ("31X10.50R15LT", 775.0), ("33/12.50R15", 826.0),
];

#[test]
fn a_printed_31_is_not_31_inches() {
    for (size, highway_mm) in FLOTATION_HIGHWAY_MM {
        let tire = read(size);
        let (value_mm, printed_mm) = (tire.diameter.value.mm(), tire.printed_diameter.unwrap().mm());
        assert_eq!(tire.system, System::Flotation, "{size}");
        assert_eq!(tire.diameter_basis, DiameterBasis::Nominal, "{size}");
        // between the two treads, within a millimetre of rounding
        assert!(value_mm > highway_mm - 1.0 && value_mm < highway_mm + 6.0, "{size}: {value_mm}");
        assert!(value_mm < printed_mm - 9.0, "{size}: {value_mm}");
        assert!(
            (highway_mm..highway_mm + 6.0).contains(&tire.diameter.low_95.mm().max(highway_mm)),
            "{size}"
        );
        assert!(tire.diameter.high_95.mm() > highway_mm + 6.0, "{size}");
    }
}

#[test]
fn uncertainty_is_honest_by_system() {
    let relative = |size| read(size).diameter.relative_uncertainty().percent();
    // what UN R30 and R54 permit between makers, about -1.5 to +2 % of the diameter
    let metric = relative("LT265/75R16");
    assert!((0.9..1.2).contains(&metric), "{metric}");
    assert!(relative("31x10.50R15LT") > metric);
    assert!(relative("7.50-16LT") > metric);
    assert!(relative("G78-15") > relative("G78-15LT"));
    assert!(relative("11R22.5") < relative("11R24.5"), "a row read is surer than a row recalled");
    assert!(relative("31.2 in") < metric);
    assert!(relative("9.5-17.5") > relative("9.5R17.5"), "no bias row of its own");
    assert!(relative("31 in") > 2.0 * relative("31.0 in"), "a whole inch is a coarse figure");
    assert!(relative("31 1/4 in") > relative("31.25 in"));
    let maker = read("LT265/75R16").diameter;
    // 12 mm below to 16 mm above, the growth limits of a 200 mm section height, lie inside the 95 % interval
    assert!(maker.low_95.mm() < 791.9 && maker.high_95.mm() > 819.9);
}

#[rustfmt::skip]
const RECALLED_MM: [(&str, f64, System); 16] = [
    // UN R54 Annex V, Part II and Part I, from memory
    ("7.50-16LT", 808.0, System::LightTruckNumeric), ("7.50R16LT", 808.0, System::LightTruckNumeric),
    ("7.50R16", 802.0, System::CommercialCode), ("7.50-16", 806.0, System::CommercialCode),
    ("7.5-16", 806.0, System::CommercialCode), ("10-16.5LT", 762.0, System::WideNumeric),
    ("12-16.5", 818.0, System::WideNumeric), ("G78-15LT", 711.0, System::Alphanumeric),
    ("H78-15LT", 727.0, System::Alphanumeric), ("LR78-15LT", 749.0, System::Alphanumeric),
    // the metric size fitted instead: common practice, no source
    ("LR78-15", 733.5, System::Alphanumeric), ("G78-15", 703.5, System::Alphanumeric),
    ("MT90-16", 640.4, System::MotorcycleAlphanumeric),
    // UN R30 Annex V, from memory
    ("185R14", 650.0, System::MetricWithoutAspect), ("195R14C", 666.0, System::MetricWithoutAspect),
    ("205R16", 736.0, System::MetricWithoutAspect),
];

#[test]
fn sizes_from_memory_say_so() {
    for (size, diameter_mm, system) in RECALLED_MM {
        let tire = read(size);
        assert!((tire.diameter.value.mm() - diameter_mm).abs() < 1e-6, "{size}");
        assert_eq!((tire.how_known, tire.system), (HowKnown::FromMemory, system), "{size}");
        assert!(!tire.notes.is_empty(), "{size}");
    }
}

#[test]
fn other_systems() {
    for (size, diameter_mm, system) in [
        ("190/65R390", 637.0, System::MillimetricRim), // 390 + 2 x 190 x 0.65
        ("235-710R460", 710.0, System::RunFlatSpecial), // the middle number
        ("31.2 in", 792.48, System::GivenDiameter),
        ("792 mm", 792.0, System::GivenDiameter),
        ("31 1/4 in", 793.75, System::GivenDiameter),
    ] {
        let tire = read(size);
        assert!((tire.diameter.value.mm() - diameter_mm).abs() < 1e-9, "{size}");
        assert_eq!(tire.system, system, "{size}");
    }
}
