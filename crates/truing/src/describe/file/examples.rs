//! An example of every key, as it is written in the file: for starting files and for the reference. Every number is invented.

use crate::describe::file::key::AnyKey;
use crate::units::Units;

/// The keys of a section, or of one kind of it, each with its example.
type Examples = (&'static str, &'static str, &'static [(&'static str, &'static str)]);

/// Section, kind (empty for what every kind may have), and the examples.
const EXAMPLES: &[Examples] = &[
    ("", "", &[("name", "\"The green hauler\"")]),
    (
        "tire",
        "",
        &[
            ("name", "\"winter\""),
            ("size", "\"LT275/75R17\""),
            ("published_revs_per_mile", "612"),
            ("published_revs_per_km", "380"),
            ("diameter", "\"33.2 in\""),
            ("tread_depth_new", "\"15/32 in\""),
            ("tread_depth", "\"9/32 in\""),
            ("rated_pressure_psi", "65"),
            ("rated_pressure_kpa", "450"),
            ("mounted", "true"),
        ],
    ),
    (
        "chain",
        "",
        &[
            ("sensor_at", "\"transmission-output\""),
            ("transport", "\"electric\""),
            ("ring_teeth", "[92, 96]"),
            ("counts_per_turn", "22"),
            ("drive_gear", "8"),
            ("driven_gear", "[18, 19, 20]"),
            ("transfer_low_ratio", "\"2.45\""),
            ("axle_ratio", "\"46/11\""),
            ("gear_ratios", "[\"3.20\", \"1.90\", \"1.30\", \"1.00\"]"),
            ("conditioner", "\"16/15\""),
            ("also_feeds", "[\"transmission\"]"),
            ("others_read", "\"sensor\""),
        ],
    ),
    ("head", "", READER),
    ("reader", "", READER),
    (
        "adjuster",
        "",
        &[
            ("name", "\"speed module\""),
            ("writes_left", "5"),
            ("puts_out_per_mile", "4000"),
            ("puts_out_per_km", "2485"),
        ],
    ),
    (
        "adjuster",
        "stepped-constant",
        &[
            ("counts_per_mile_per_unit", "40"),
            ("counts_per_km_per_unit", "25"),
            ("min", "\"900\""),
            ("max", "\"2100\""),
            ("step", "\"3\""),
            ("buttons", "[\"up\", \"down\"]"),
            ("wraps", "false"),
            ("present", "\"1479\""),
            ("display", "\"1479\""),
        ],
    ),
    (
        "adjuster",
        "free-constant",
        &[("unit", "\"pulses-per-mile\""), ("min", "1000"), ("max", "65000"), ("present", "4100")],
    ),
    (
        "adjuster",
        "gear-pair",
        &[
            ("drive_gears", "[7, 8]"),
            ("driven_gears", "[18, 19, 20, 21]"),
            ("meshing", "[\"8/19\", \"8/20\"]"),
            ("present", "\"8/20\""),
        ],
    ),
    (
        "adjuster",
        "pulse-ratio",
        &[
            ("numerator_max", "99"),
            ("denominator_max", "99"),
            ("switch_weights", "[1, 2, 4, 8]"),
            ("switch_denominator", "16"),
            ("present", "\"1/1\""),
        ],
    ),
    (
        "adjuster",
        "declared-tire-axle",
        &[
            ("revs_per_mile", "{ min = 500, max = 900, step = 1 }"),
            ("axle_ratios", "[3.42, 3.73, 4.18]"),
            ("present", "\"655 x 3.73\""),
        ],
    ),
    ("adjuster", "cable-adapter", &[("ratios", "[\"1/1\", \"16/15\", \"14/15\"]"), ("present", "\"1/1\"")]),
    ("adjuster", "tone-ring", &[("teeth", "[92, 96, 104]"), ("present", "96")]),
    ("adjuster", "tires", &[("sizes", "[\"LT275/75R17\", \"LT265/75R16\"]")]),
    (
        "use",
        "",
        &[
            ("make_true", "\"distance\""),
            ("speeds_mph", "[25, 70]"),
            ("speeds_km_h", "[40, 110]"),
            ("top_speed_mph", "85"),
            ("top_speed_km_h", "140"),
            ("rule", "\"true\""),
            ("reserve", "1"),
            ("vehicle_log", "false"),
            ("worth_a_write_percent", "0.5"),
            ("worth_measuring_percent", "0.25"),
            ("worth_deciding_percent", "0.05"),
            ("chance_worth_measuring_percent", "20"),
            ("chance_of_breaking_percent", "5"),
            ("slow_counts_percent", "150"),
            ("slow_hazard_percent", "1"),
            ("chance_of_worse_percent", "1"),
            ("far_off_percent", "50"),
            ("tire_pressure_psi", "50"),
            ("tire_pressure_kpa", "350"),
            ("tire_load_percent", "60"),
        ],
    ),
    (
        "evidence",
        "",
        &[
            ("label", "\"chalk and tape in the yard\""),
            ("date", "2026-05-02"),
            ("setting", "\"1479\""),
            ("tires", "\"winter\""),
            ("low_range", "false"),
            ("tire_pressure_psi", "50"),
            ("tire_pressure_kpa", "350"),
            ("tire_load_percent", "60"),
            ("measured_to_nearest", "\"10 ft\""),
        ],
    ),
    (
        "evidence",
        "rollout",
        &[
            ("turns", "5"),
            ("measured_to_nearest", "\"1/4 in\""),
            ("length", "\"42 ft 10 3/4 in\""),
            ("lengths", "[\"42 ft 10 1/2 in\", \"42 ft 11 in\", \"42 ft 10 3/4 in\"]"),
        ],
    ),
    ("evidence", "loaded-radius", &[("radius", "\"15 3/8 in\""), ("measured_to_nearest", "\"1/8 in\"")]),
    ("evidence", "published", &[("revs_per_mile", "612"), ("revs_per_km", "380")]),
    (
        "evidence",
        "timed-mile",
        &[
            ("indicated", "\"60 mph\""),
            ("seconds", "[57.6, 57.9, 57.4]"),
            ("measured_to_nearest", "\"10 ft\""),
            ("distance", "\"1.000 mi\""),
        ],
    ),
    (
        "evidence",
        "odometer-distance",
        &[
            ("indicated", "\"9.6 mi\""),
            ("odometer_start", "\"128406.3 mi\""),
            ("odometer_end", "\"128415.9 mi\""),
            ("true", "\"10.00 mi +/- 0.02\""),
            ("measured_to_nearest", "\"50 ft\""),
            ("resolution", "\"0.1 mi\""),
            ("odometer_read", "\"digits\""),
        ],
    ),
    (
        "evidence",
        "hold",
        &[("indicated", "\"60 mph\""), ("true", "\"62.4 mph +/- 0.3\""), ("read_from", "\"passenger\"")],
    ),
    (
        "evidence",
        "drive",
        &[
            ("track", "\"drive.gpx\""),
            ("vehicle_log", "\"drive-log.csv\""),
            ("holds", "[\"30 mph\", \"45 mph\", \"60 mph\"]"),
            ("read_from", "\"passenger\""),
            ("odometer_start", "\"128406.3 mi\""),
            ("odometer_end", "\"128417.0 mi\""),
            ("odometer_read", "\"as-it-turned\""),
            ("marked", "\"holds\""),
            ("track_columns", "\"time=t s, speed=v m/s\""),
            ("vehicle_columns", "\"time=clock s, speed=kph km/h\""),
            ("can_signal", "\"id=0x61D byte=4 length=14 order=little factor=0.025 unit=km/h\""),
            ("dbc", "\"bus.dbc\""),
            ("signal", "\"MESSAGE.SIGNAL\""),
            ("hilly", "true"),
        ],
    ),
    (
        "evidence",
        "pulses",
        &[
            ("file", "\"ten-turns.wav\""),
            ("channel", "\"2\""),
            ("count", "920"),
            ("measured_to_nearest", "\"10 ft\""),
            ("distance", "\"1.000 mi\""),
            ("track", "\"drive.gpx\""),
            ("turns", "10"),
            ("turns_of", "\"wheel\""),
            ("wheels", "\"both\""),
            ("tapped_at", "\"sensor\""),
        ],
    ),
    (
        "evidence",
        "shaft-speed",
        &[("rpm", "2575"), ("true", "\"60 mph\""), ("shaft", "\"transmission-output\"")],
    ),
    ("evidence", "engine-speed", &[("rpm", "2575"), ("true", "\"60 mph\""), ("gear_ratio", "\"1.00\"")]),
    ("evidence", "shaft-turns", &[("shaft", "\"41.8\""), ("wheel", "10"), ("wheels", "\"both\"")]),
    (
        "evidence",
        "earlier",
        &[("revs_per_mile", "615.8"), ("revs_per_km", "382.6"), ("standard_uncertainty", "1.1")],
    ),
    (
        "written",
        "",
        &[
            ("date", "2026-05-09"),
            ("from", "\"1479\""),
            ("to", "\"1416\""),
            ("adjuster", "\"speed module\""),
            ("odometer", "\"128430.1 mi\""),
        ],
    ),
    (
        "plan",
        "",
        &[
            ("tires", "\"LT275/75R17\""),
            ("miles", "9000"),
            ("km", "15000"),
            ("axle_ratio", "\"46/11\""),
            ("tread_at_end", "\"5/32 in\""),
        ],
    ),
    ("fault", "", &[("touches", "\"brakes\""), ("note", "\"pedal soft\""), ("mended", "false")]),
    ("revs_per_mile", "", &[("min", "500"), ("max", "900"), ("step", "1")]),
    (
        "rule",
        "",
        &[
            ("over_percent", "10"),
            ("over_offset", "\"2 mph\""),
            ("under_percent", "0"),
            ("under_offset", "\"0 mph\""),
            ("judges", "\"needle\""),
            ("speeds_mph", "[50]"),
            ("speeds_km_h", "[80]"),
        ],
    ),
];

const READER: &[(&str, &str)] = &[
    ("name", "\"dial\""),
    ("after", "\"adjuster\""),
    ("counts_per_mile", "4000"),
    ("counts_per_km", "2485"),
    ("turns_per_mile", "1000"),
    ("turns_per_km", "625"),
    ("needle", "\"analog\""),
];

/// What an owner of metric rulers and signs would write instead: key, kind (empty for any), example.
const METRIC: &[(&str, &str, &str)] = &[
    ("diameter", "", "\"843 mm\""),
    ("tread_depth_new", "", "\"12 mm\""),
    ("tread_depth", "", "\"9 mm\""),
    ("tread_at_end", "", "\"4 mm\""),
    ("length", "", "\"13.07 m\""),
    ("lengths", "", "[\"13.07 m\", \"13.08 m\", \"13.07 m\"]"),
    ("radius", "", "\"390 mm\""),
    ("indicated", "odometer-distance", "\"15.5 km\""),
    ("true", "odometer-distance", "\"16.00 km +/- 0.03\""),
    ("resolution", "", "\"0.1 km\""),
    ("measured_to_nearest", "", "\"5 m\""),
    ("indicated", "", "\"100 km/h\""),
    ("true", "hold", "\"104.1 km/h +/- 0.5\""),
    ("true", "", "\"100 km/h\""),
    ("distance", "", "\"1.000 km\""),
    ("measured_to_nearest", "rollout", "\"5 mm\""),
    ("measured_to_nearest", "loaded-radius", "\"2 mm\""),
    ("measured_to_nearest", "", "\"3 m\""),
    ("holds", "", "[\"50 km/h\", \"70 km/h\", \"90 km/h\"]"),
    ("odometer_start", "", "\"206650.2 km\""),
    ("odometer_end", "", "\"206667.4 km\""),
    ("odometer", "", "\"206689.0 km\""),
    ("over_offset", "", "\"4 km/h\""),
    ("under_offset", "", "\"0 km/h\""),
    ("unit", "", "\"pulses-per-km\""),
    ("seconds", "", "[35.8, 36.0, 35.7]"),
];

/// Keys that say in miles or psi what another says in kilometres or kPa.
const TWINS: [(&str, &str); 11] = [
    ("published_revs_per_mile", "published_revs_per_km"),
    ("revs_per_mile", "revs_per_km"),
    ("rated_pressure_psi", "rated_pressure_kpa"),
    ("tire_pressure_psi", "tire_pressure_kpa"),
    ("counts_per_mile", "counts_per_km"),
    ("turns_per_mile", "turns_per_km"),
    ("puts_out_per_mile", "puts_out_per_km"),
    ("counts_per_mile_per_unit", "counts_per_km_per_unit"),
    ("speeds_mph", "speeds_km_h"),
    ("top_speed_mph", "top_speed_km_h"),
    ("miles", "km"),
];

/// Whether a key is one of the owner's units: of two that say the same in two units, one is. `among` are the keys beside it.
pub fn is_of(units: Units, key: &str, among: &[&'static dyn AnyKey]) -> bool {
    let stands = |name: &str| among.iter().any(|key| key.name() == name);
    TWINS.iter().all(|(in_miles, in_km)| match units.in_miles() {
        true => key != *in_km || !stands(in_miles),
        false => key != *in_miles || !stands(in_km),
    })
}

/// How a key is written, by way of example. What a kind says itself comes before what every kind may have.
pub fn example(section: &str, kind: &str, key: &str, units: Units) -> Option<&'static str> {
    let metric = |of: &str| METRIC.iter().find(|(name, one, _)| *name == key && *one == of);
    if let Some((.., metric)) = metric(kind).or(metric("")).filter(|_| !units.in_miles()) {
        return Some(metric);
    }
    let of = |kind: &str| {
        let mut places = EXAMPLES.iter().filter(|(name, one, _)| *name == section && *one == kind);
        places.find_map(|(.., examples)| examples.iter().find(|(name, _)| *name == key))
    };
    of(kind).or(of("")).map(|(_, example)| *example)
}
