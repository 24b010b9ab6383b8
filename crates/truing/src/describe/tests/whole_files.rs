//! Whole files read into typed values. All numbers are invented.

use super::EXAMPLE;
use crate::describe::adjuster::setting::Setting;
use crate::describe::adjuster::{Adjuster, AdjusterKind, Button, PulseRange};
use crate::describe::chain::reader::{Branch, Needle, Role, Takes};
use crate::describe::chain::{AlsoFeeds, SensorAt, Transport};
use crate::describe::evidence::{EvidenceKind, PulseSource, PulseSpan, TappedAt, TurnsOf, WheelsTurned};
use crate::describe::fault::Touches;
use crate::describe::file::decimal::decimal;
use crate::describe::usage::{Judges, MakeTrue, Rule, RuleId};
use crate::describe::vehicle::Vehicle;
use jiff::civil::date;
use metrology::quantity::{PerLength, Ratio, Speed};

/// A file without any problem.
#[track_caller]
fn vehicle(text: &str) -> Vehicle {
    let (vehicle, problems) = Vehicle::read("truck.toml", text);
    assert_eq!(problems, [], "in\n{text}");
    vehicle.unwrap()
}

fn adjuster(lines: &str) -> Adjuster {
    vehicle(&format!("[adjuster]\n{lines}")).adjusters.remove(0)
}

fn evidence(lines: &str) -> EvidenceKind {
    vehicle(&format!("[[evidence]]\n{lines}")).evidence.remove(0).kind
}

fn number(text: &str) -> Setting {
    Setting::Number(decimal(text).unwrap())
}

#[test]
fn the_example_what_is_on_it() {
    let (vehicle, _) = Vehicle::read("truck.toml", EXAMPLE);
    let vehicle = vehicle.unwrap();
    assert_eq!(vehicle.name, "The grey half-ton");
    let tire = vehicle.mounted().unwrap();
    assert_eq!(tire.size.as_deref(), Some("LT265/75R16"));
    assert_eq!(tire.published_revs, Some(PerLength::from_per_mi(655.0)));
    let chain = &vehicle.chain;
    assert_eq!((chain.sensor_at, chain.transport), (Some(SensorAt::AxleRing), Transport::Electric));
    assert_eq!(chain.ring_teeth.all(), [60]);
    assert_eq!(chain.axle_ratio.single().unwrap().to_string(), "41/11");
    assert_eq!(chain.also_feeds, [AlsoFeeds::Transmission]);
    let [adjuster] = &vehicle.adjusters[..] else { panic!("one adjuster") };
    let AdjusterKind::SteppedConstant(constant) = &adjuster.kind else { panic!("{:?}", adjuster.kind) };
    assert_eq!((constant.grid.len(), constant.grid.min().to_string()), (401, "4.00".to_string()));
    assert_eq!((&constant.buttons[..], constant.wraps), (&[Button::Up][..], true));
    // The file says 8.20, its last write 7.86: the write is what the module holds.
    assert_eq!(constant.present.unwrap().to_string(), "7.86");
    assert_eq!((constant.display.as_deref(), adjuster.writes_left), (Some("820"), Some(4)));
}

#[test]
fn the_example_what_was_done_with_it() {
    let (vehicle, _) = Vehicle::read("truck.toml", EXAMPLE);
    let vehicle = vehicle.unwrap();
    let usage = &vehicle.usage;
    assert_eq!((usage.make_true, &usage.rule), (MakeTrue::Distance, &Rule::Known(RuleId::True)));
    assert_eq!(usage.speeds, Some((Speed::from_mi_per_h(25.0), Speed::from_mi_per_h(70.0))));
    let [rollout, drive] = &vehicle.evidence[..] else { panic!("two pieces") };
    let EvidenceKind::Rollout { turns: 5, lengths } = &rollout.kind else { panic!("{rollout:?}") };
    // 40 ft 3 1/2 in = 483.5 in
    assert!((lengths[0].value.inches() - 483.5).abs() < 1e-9);
    let EvidenceKind::Drive { track, shown, .. } = &drive.kind else { panic!("{drive:?}") };
    assert_eq!((track.as_str(), shown.holds.len(), shown.odometer), ("drive.gpx", 3, None));
    assert_eq!((drive.date, drive.line), (Some(date(2026, 5, 2)), 39));
    assert_eq!(drive.settings, [(None, number("8.20"))]);
    assert_eq!(vehicle.written[0].to, number("7.86"));
    assert_eq!((vehicle.faults[0].touches, vehicle.faults[0].mended), (Touches::Brakes, false));
    // The rollout carries no setting and no date: with a write recorded its setting is not known.
    assert_eq!(vehicle.setting_then(drive, &vehicle.adjusters[0]), Some(number("8.20")));
    assert_eq!(vehicle.setting_then(rollout, &vehicle.adjusters[0]), None);
}

#[test]
fn decimals_are_taken_as_written() {
    for (min, present) in [("4.00", "8.20"), ("\"4.00\"", "\"8.20\""), ("4", "8.2"), ("4.0_0", "+8.20")] {
        let it = adjuster(&format!(
            "kind = \"stepped-constant\"\nmin = {min}\nmax = 12.00\nstep = 0.02\nbuttons = [\"up\", \"down\", \"up\"]\npresent = {present}"
        ));
        assert_eq!(it.present(), Some(number("8.2")), "{min} {present}");
        let AdjusterKind::SteppedConstant(constant) = it.kind else { panic!("{it:?}") };
        assert_eq!((constant.grid.len(), &constant.buttons[..]), (401, &[Button::Down, Button::Up][..]));
        // The text is kept: trailing zeros say how it is shown.
        assert_eq!(constant.present.unwrap().to_string(), present.trim_matches(['"', '+']));
    }
}

#[test]
fn adjusters_of_every_kind() {
    for (lines, present) in [
        (
            "kind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 9000\npresent = 4000",
            "4000",
        ),
        ("kind = \"gear-pair\"\ndrive_gears = [7, 8]\ndriven_gears = [18, 20]\npresent = \"8/20\"", "8/20"),
        ("kind = \"pulse-ratio\"\nnumerator_max = 99\ndenominator_max = 99\npresent = \"1/1\"", "1/1"),
        ("kind = \"pulse-ratio\"\nswitch_weights = [1, 2, 4, 8]\npresent = \"11/16\"", "11/16"),
        (
            "kind = \"declared-tire-axle\"\nrevs_per_mile = { min = 500, max = 900, step = 1 }\n\
             axle_ratios = [3.55, \"41/11\"]\npresent = \"700 x 3.55\"",
            "700 x 3.55",
        ),
        ("kind = \"cable-adapter\"\nratios = [\"16/15\", \"14/15\"]\npresent = \"1/1\"", "1/1"),
        ("kind = \"tone-ring\"\nteeth = [92, 96, 104]\npresent = 96", "96"),
    ] {
        assert_eq!(adjuster(lines).present().unwrap().to_string(), present, "{lines}");
    }
    let tires = adjuster("kind = \"tires\"\nsizes = [\"235/75R15\", \"31x10.50R15LT\"]");
    assert_eq!((tires.present(), tires.called()), (None, "tires"));
    let gears =
        adjuster("kind = \"gear-pair\"\ndrive_gears = [7, 8]\ndriven_gears = [18, 20]\nmeshing = [\"7/18\"]");
    let AdjusterKind::GearPair(gears) = gears.kind else { panic!("{gears:?}") };
    assert_eq!(gears.pairs().iter().map(ToString::to_string).collect::<Vec<_>>(), ["7/18"]);
    let switches = adjuster("kind = \"pulse-ratio\"\nswitch_weights = [1, 2, 4, 8]");
    let AdjusterKind::PulseRatio(switches) = switches.kind else { panic!("{switches:?}") };
    assert_eq!(switches.range, PulseRange::Switches { weights: vec![1, 2, 4, 8], denominator: 16 });
}

#[test]
fn readers_long_and_short() {
    let long = vehicle(
        "[[reader]]\nname = \"dial\"\nafter = \"sensor\"\ncounts_per_mile = 4000\nneedle = \"analog\"\n\
         [[reader]]\nname = \"the clock on the dash\"\nturns_per_km = 625",
    );
    let [dial, clock] = &long.readers[..] else { panic!("two readers") };
    assert_eq!((&dial.roles[..], dial.after), (&[Role::Dial][..], Some(Branch::Sensor)));
    assert_eq!(dial.takes, Some(Takes::Counts(PerLength::from_per_mi(4000.0))));
    assert_eq!((&clock.roles[..], clock.needle), (&[][..], None));
    assert_eq!(clock.takes, Some(Takes::Turns(PerLength::from_per_km(625.0))));
    let short = vehicle("[head]\nturns_per_mile = 1000\nneedle = \"analog\"");
    assert_eq!(short.readers[0].roles, [Role::Dial, Role::Odometer]);
    assert_eq!(short.readers[0].needle, Some(Needle::Analog));
}

#[test]
fn a_rule_of_ones_own() {
    let band =
        "rule = { over_percent = 10, over_offset = \"4 km/h\", judges = \"needle\", speeds_mph = [50] }";
    let Rule::Own(band) = vehicle(&format!("[use]\n{band}")).usage.rule else { panic!("own") };
    assert_eq!((band.over_share, band.under_share), (Ratio::from_percent(10.0), Ratio::from_plain(0.0)));
    assert!((band.over_offset.km_per_h() - 4.0).abs() < 1e-12);
    assert_eq!((band.judges, band.speeds), (Judges::Needle, vec![Speed::from_mi_per_h(50.0)]));
    assert_eq!(vehicle("[use]\nrule = \"un-r39\"").usage.rule, Rule::Known(RuleId::UnR39));
}

#[test]
fn evidence_of_every_kind() {
    for (lines, expected) in [
        ("kind = \"rollout\"\nturns = 5\nlengths = [\"12.55 m\", \"12.56 m\"]", "Rollout"),
        ("kind = \"loaded-radius\"\nradius = \"14 3/4 in\"", "LoadedRadius"),
        ("kind = \"published\"\nrevs_per_mile = 655", "Published"),
        (
            "kind = \"timed-mile\"\nindicated = \"60 mph\"\nseconds = [62.4, 62.1]\ndistance = \"1 mi\"",
            "TimedMile",
        ),
        ("kind = \"timed-mile\"\nindicated = \"60 mph\"\nseconds = 62.4", "TimedMile"),
        (
            "kind = \"odometer-distance\"\nindicated = \"9.4 mi\"\ntrue = \"9.70 mi +/- 0.02\"\nresolution = \"0.1 mi\"",
            "OdometerDistance",
        ),
        ("kind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"57.5 mph\"\nread_from = \"driver\"", "Hold"),
        ("kind = \"drive\"\ntrack = \"a.gpx\"\nvehicle_log = \"a.csv\"", "Drive"),
        (
            "kind = \"drive\"\ntrack = \"a.gpx\"\nodometer_start = \"0 mi\"\nodometer_end = \"9.4 mi\"",
            "Drive",
        ),
        (
            "kind = \"drive\"\ntrack = \"a.gpx\"\nodometer_start = \"0 mi\"\nodometer_end = \"9.4 mi\"\nodometer_read = \"as-it-turned\"",
            "Drive",
        ),
        ("kind = \"pulses\"\nfile = \"a.wav\"\ndistance = \"1 mi\"\ntapped_at = \"module-output\"", "Pulses"),
        ("kind = \"pulses\"\nfile = \"a.wav\"", "Pulses"),
        ("kind = \"pulses\"\nfile = \"a.wav\"\nchannel = \"2\"\ntrack = \"a.gpx\"", "Pulses"),
        (
            "kind = \"shaft-speed\"\nrpm = 2400\ntrue = \"55 mph\"\nshaft = \"transmission-output\"",
            "ShaftSpeed",
        ),
        (
            "kind = \"engine-speed\"\nrpm = 2400\ntrue = \"55 mph\"\ngear_ratio = \"1.00\"\nlow_range = true",
            "EngineSpeed",
        ),
        ("kind = \"shaft-turns\"\nshaft = 3.7\nwheel = 2\nwheels = \"one\"", "ShaftTurns"),
        ("kind = \"earlier\"\nrevs_per_mile = 655\nstandard_uncertainty = 2.5", "Earlier"),
    ] {
        let kind = format!("{:?}", evidence(lines));
        assert!(kind.starts_with(&format!("{expected} {{")), "{lines} -> {kind}");
    }
    let by_wheel =
        evidence("kind = \"pulses\"\ncount = 960\nturns = 10\nturns_of = \"wheel\"\nwheels = \"both\"");
    let turns = decimal("10").unwrap();
    let span = PulseSpan::Turns { turns, of: TurnsOf::Wheel, wheels: Some(WheelsTurned::Both) };
    let expected =
        EvidenceKind::Pulses { source: PulseSource::Count(960), span, tapped_at: TappedAt::Sensor };
    assert_eq!(by_wheel, expected);
}

#[test]
fn several_tires_and_adjusters() {
    let it = vehicle(
        "[[tire]]\nname = \"summer\"\nsize = \"235/75R15\"\n[[tire]]\nname = \"winter\"\nmounted = true\n\
         [[adjuster]]\nname = \"ring\"\nkind = \"tone-ring\"\nteeth = [92, 96]\npresent = 96\n\
         [[adjuster]]\nname = \"box\"\nkind = \"pulse-ratio\"\nnumerator_max = 99\ndenominator_max = 99\npresent = \"2/1\"\n\
         [[written]]\ndate = \"2026-05-09\"\nadjuster = \"box\"\nfrom = \"1/1\"\nto = \"2/1\"\nodometer = \"84210.3 mi\"\n\
         [[evidence]]\nkind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"57.5 mph\"\nread_from = \"passenger\"\ndate = 2026-05-01\n\
         setting = { box = \"1/1\", ring = 92 }\ntires = \"summer\"",
    );
    assert_eq!(it.mounted().unwrap().name.as_deref(), Some("winter"));
    let settings: Vec<String> =
        it.adjusters.iter().map(|one| it.setting_then(&it.evidence[0], one).unwrap().to_string()).collect();
    assert_eq!(settings, ["92", "1/1"]);
    assert_eq!(
        (it.chain.ring_teeth.all(), it.chain.conditioner.all()[0].to_string()),
        (&[96][..], "2/1".into())
    );
}

/// Two texts say the same, to what the turning of units leaves; and both at once are refused.
#[track_caller]
fn check_twins(head: &str, in_miles: &str, in_km: &str, number: impl Fn(&Vehicle) -> f64) {
    let read = |lines: &str| vehicle(&format!("{head}\n{lines}"));
    let (miles, km) = (number(&read(in_miles)), number(&read(in_km)));
    assert!((miles / km - 1.0).abs() < 1e-9, "{in_miles} is {miles}, {in_km} is {km}");
    let (_, problems) = Vehicle::read("truck.toml", &format!("{head}\n{in_miles}\n{in_km}"));
    assert!(problems.iter().any(|problem| problem.to_string().contains("Keep one of them")), "{problems:?}");
}

#[test]
fn keys_in_kilometres_say_what_those_in_miles_say() {
    // 1 mile is 1.609344 km and 1 psi is 6.894757293168 kPa, by definition.
    check_twins("[use]", "speeds_mph = [25, 70]", "speeds_km_h = [40.2336, 112.65408]", |it| {
        it.usage.speeds.unwrap().1.m_per_s()
    });
    check_twins("[use]", "top_speed_mph = 50", "top_speed_km_h = 80.4672", |it| {
        it.usage.top_speed.unwrap().m_per_s()
    });
    check_twins("[use]", "tire_pressure_psi = 50", "tire_pressure_kpa = 344.737864658", |it| {
        it.usage.tire_pressure.unwrap().plain()
    });
    check_twins(
        "[tire]\nsize = \"LT275/75R17\"",
        "published_revs_per_mile = 643.7376",
        "published_revs_per_km = 400",
        |it| it.tires[0].published_revs.unwrap().per_mi(),
    );
    check_twins("[[plan]]\ntires = \"LT275/75R17\"", "miles = 1000", "km = 1609.344", |it| {
        it.ahead[0].distance.m()
    });
    let stepped =
        "[adjuster]\nkind = \"stepped-constant\"\nmin = 900\nmax = 2100\nstep = 3\nbuttons = [\"up\"]";
    let per_unit = |it: &Vehicle| match &it.adjusters[0].kind {
        AdjusterKind::SteppedConstant(constant) => constant.per_unit.unwrap().per_length().per_mi(),
        other => panic!("{other:?}"),
    };
    check_twins(stepped, "counts_per_mile_per_unit = 40.2336", "counts_per_km_per_unit = 25", per_unit);
    let earlier = |it: &Vehicle| match it.evidence[0].kind {
        EvidenceKind::Earlier { standard_uncertainty, revs } => revs.per_mi() / standard_uncertainty.per_mi(),
        _ => panic!("earlier"),
    };
    let head = "[[evidence]]\nkind = \"earlier\"\nstandard_uncertainty = 2";
    check_twins(head, "revs_per_mile = 400", "revs_per_km = 400", earlier);
    let problem = "[use]\nspeeds_km_h = [110, 40]";
    let (_, problems) = Vehicle::read("truck.toml", problem);
    assert!(problems[0].to_string().contains("found [110.0, 40.0]. Write as in [40, 110]"), "{problems:?}");
}
