//! Every problem as a person reads it.

use super::{EXAMPLE, problems_of};

/// A file and the one problem it has, without the name of the file.
#[track_caller]
fn check_problem(text: &str, expected: &str) {
    let found = problems_of(text);
    assert_eq!(found, [format!("truck.toml, {expected}")], "for\n{text}");
}

/// The same for a stepped constant of which one line is different.
#[track_caller]
fn check_constant(line: &str, expected: &str) {
    let key = line.split(['=', ' ']).next().unwrap();
    let good = [
        "kind = \"stepped-constant\"",
        "min = \"4.00\"",
        "max = \"12.00\"",
        "step = \"0.02\"",
        "buttons = [\"up\"]",
        "present = \"8.20\"",
    ];
    let kept: Vec<&str> = good.iter().copied().filter(|good| !good.starts_with(&format!("{key} "))).collect();
    check_problem(&format!("[adjuster]\n{line}\n{}", kept.join("\n")), expected);
}

#[test]
fn keys_and_words() {
    check_problem(
        "[chain]\nsensor_at = \"axle-ring\"\nring_teth = 96",
        "line 3, [chain] ring_teth: expected a known key; found `ring_teth`. Did you mean `ring_teeth`?",
    );
    check_problem(
        "[chian]\nsensor_at = \"axle-ring\"\n[use]",
        "line 1: expected a known [section]; found `chian`. Did you mean `chain`?",
    );
    check_problem(
        "[chain]\nsensor_at = \"axel-ring\"",
        "line 2, [chain] sensor_at: expected axle-ring, wheel-ring, transmission-output or transfer-case-output; \
         found \"axel-ring\". Did you mean \"axle-ring\"?",
    );
    check_problem(
        "[[evidence]]\nkind = \"rolout\"\nturns = 5",
        "line 2, [[evidence]] kind: expected a kind of evidence; found \"rolout\". Did you mean `rollout`?",
    );
    check_problem(
        "[[evidence]]\nkind = \"published\"\nrevs_per_mile = 655\nturns = 5",
        "line 4, [[evidence]] turns: expected a known key; found `turns`. Did you mean `tires`?",
    );
    check_problem(
        "[chain]",
        "line 1, [chain] sensor_at: expected axle-ring, wheel-ring, transmission-output or transfer-case-output; \
         found nothing. Add `sensor_at = ...`",
    );
    check_problem(
        "[fault]\ntouches = \"brakes\"",
        "line 1, fault: expected [[fault]]; found [fault]. Write two brackets",
    );
    check_problem("tire = 4", "line 1, tire: expected [tire], or [[tire]] for several; found 4");
}

#[test]
fn values() {
    check_problem(
        "[chain]\nsensor_at = \"axle-ring\"\nring_teeth = \"ninety\"",
        "line 3, [chain] ring_teeth: expected a whole number from 1 to 1000; found \"ninety\"",
    );
    check_problem(
        "[chain]\nsensor_at = \"axle-ring\"\nring_teeth = [92, 0]",
        "line 3, [chain] ring_teeth: expected a whole number from 1 to 1000; found 0",
    );
    check_problem(
        "[chain]\nsensor_at = \"axle-ring\"\naxle_ratio = \"3,73\"",
        "line 3, [chain] axle_ratio: expected an axle ratio between 1 and 20, such as \"46/11\" or 4.18; \
         found \"3,73\". Ring gear teeth over pinion teeth, or the decimal with a point",
    );
    check_problem(
        "[[evidence]]\nkind = \"loaded-radius\"\nradius = 380",
        "line 3, [[evidence]] radius: expected a length with its unit, such as \"41 ft 2 1/4 in\", \"12.55 m\" or \
         \"9.70 mi +/- 0.02\"; found 380. Put it in quotes with its unit; a bare number would leave the unit to guess",
    );
    check_problem(
        "[[evidence]]\nkind = \"published\"\nrevs_per_mile = 655\ndate = \"May 2\"",
        "line 4, [[evidence]] date: expected a date such as 2026-05-02; found \"May 2\". Write year, month and day",
    );
    check_problem(
        "[[fault]]\ntouches = \"brakes\"\nmended = \"no\"",
        "line 3, [[fault]] mended: expected true or false; found \"no\". Write true or false, without quotes",
    );
    check_problem(
        "[use]\nspeeds_mph = [70, 25]",
        "line 2, [use] speeds_mph: expected two speeds, the lesser first; found [70.0, 25.0]. Write as in [25, 70]",
    );
    for (key, value, found) in [
        ("speeds_mph", "[25, 1000000000]", "1000000000"),
        ("speeds_mph", "[25, 301]", "301"),
        ("top_speed_mph", "301", "301"),
        ("top_speed_mph", "0", "0"),
    ] {
        let expected = "a number of miles per hour, above zero and up to 300";
        let problem = format!("line 2, [use] {key}: expected {expected}; found {found}");
        check_problem(&format!("[use]\n{key} = {value}"), &problem);
    }
    check_problem(
        "[use]\nrule = { over_precent = 5, over_offset = \"1 mph\" }",
        "line 2, [use] rule.over_precent: expected a known key; found `over_precent`. Did you mean `over_percent`?",
    );
    check_problem(
        "[head]\ncounts_per_mile = 4000\nturns_per_mile = 1000",
        "line 1, [head]: expected one of the four keys for a mile or km; found counts_per_mile, turns_per_mile. \
         Keep one of them",
    );
}

#[test]
fn stepped_constants() {
    check_constant(
        "present = \"8.21\"",
        "line 2, [adjuster] present: expected a value from 4.00 to 12.00 in steps of 0.02; found \"8.21\". \
         The present value must be one that can be set",
    );
    check_constant(
        "step = \"-0.02\"",
        "line 2, [adjuster] step: expected a step above zero; found \"-0.02\"",
    );
    check_constant(
        "step = \"0.03\"",
        "line 2, [adjuster] step: expected a step that leads from 4.00 exactly to 12.00; found \"0.03\". \
         Both ends are values themselves: see whether one of the three is mistyped",
    );
    check_constant("max = 3", "line 2, [adjuster] max: expected more than the lowest value, 4.00; found 3");
    check_constant(
        "min = \"4,00\"",
        "line 2, [adjuster] min: expected a decimal above zero; found \"4,00\". \
         Write the decimal with a point, as in 8.20",
    );
    check_constant(
        "buttons = []",
        "line 2, [adjuster] buttons: expected a list, each down or up; found an empty list. \
         Leave the key out where there is nothing to say",
    );
    check_constant(
        "writes_left = -1",
        "line 2, [adjuster] writes_left: expected a whole number from 0 to 1000000000; found -1",
    );
}

#[test]
fn other_adjusters() {
    for (lines, expected) in [
        (
            "kind = \"gear-pair\"\ndrive_gears = [7, 8]\ndriven_gears = [18, 19]\npresent = \"8/20\"",
            "line 5, [adjuster] present: expected a pair of the gears listed that mesh, drive/driven; found \"8/20\". \
             The present value must be one that can be set",
        ),
        (
            "kind = \"pulse-ratio\"\nnumerator_max = 99",
            "line 1, [adjuster] denominator_max: expected a whole number from 1 to 1000000000; found nothing. \
             Add `denominator_max = ...`",
        ),
        (
            "kind = \"pulse-ratio\"\nnumerator_max = 9\ndenominator_max = 9\npresent = \"10/9\"",
            "line 5, [adjuster] present: expected a fraction up to 9 over up to 9; found \"10/9\". \
             The present value must be one that can be set",
        ),
        (
            "kind = \"declared-tire-axle\"\nrevs_per_mile = { min = 500, max = 900, step = 1 }\n\
             axle_ratios = [3.55]\npresent = \"700 x 4.10\"",
            "line 5, [adjuster] present: expected revs per mile on the grid and, where axles are listed, one of them; \
             found \"700 x 4.10\". The present value must be one that can be set",
        ),
        (
            "kind = \"free-constant\"\nunit = \"pulses-per-km\"\nmin = 900\nmax = 800",
            "line 5, [adjuster] max: expected more than the lowest value, 900; found 800",
        ),
    ] {
        check_problem(&format!("[adjuster]\n{lines}"), expected);
    }
}

#[test]
fn how_the_files_of_a_drive_are_read() {
    let drive = |lines: &str| format!("[[evidence]]\nkind = \"drive\"\ntrack = \"a.csv\"\n{lines}");
    let with_log = |lines: &str| drive(&format!("vehicle_log = \"bus.log\"\n{lines}"));
    check_problem(
        &with_log("can_signal = \"id=0x61D byte=4 length=14 order=up unit=km/h\""),
        "line 5, [[evidence]] can_signal order: expected order=big or order=little; found up. \
         write for example: id=0x61D byte=4 length=14 order=little factor=0.025 offset=-12.5 unit=km/h",
    );
    check_problem(
        &with_log("vehicle_columns = \"speed=v furlongs, velocity=v\""),
        "line 5, [[evidence]] vehicle_columns \"velocity=v\": expected one of the keys time, lat, lon, ele, speed, \
         course, hdop, dates; found \"velocity\". write for example: time=gps_sec s, speed=obd_speed m/s",
    );
    check_problem(
        &with_log("can_signal = \"id=1 byte=0 length=8 order=big unit=mph\"\ndbc = \"bus.dbc\""),
        "line 1, [[evidence]]: expected exactly one of can_signal or dbc; found can_signal and dbc. Keep one of them",
    );
    check_problem(
        &with_log("signal = \"SPEED\""),
        "line 1, [[evidence]] dbc: expected a text in quotes; found nothing. Add `dbc = ...`",
    );
    check_problem(
        &drive("holds = [\"30 mph\"]\ndbc = \"bus.dbc\""),
        "line 1, [[evidence]] vehicle_log: expected a text in quotes; found nothing. Add `vehicle_log = ...`",
    );
    check_problem(
        &with_log("dbc = 5"),
        "line 5, [[evidence]] dbc: expected a text in quotes; found 5. Put the text in quotes",
    );
}

#[test]
fn evidence_that_does_not_hang_together() {
    check_problem(
        "[[evidence]]\nkind = \"rollout\"\nturns = 5",
        "line 1, [[evidence]]: expected exactly one of length or lengths; found nothing. Add `length = ...`",
    );
    check_problem(
        "[[evidence]]\nkind = \"drive\"\ntrack = \"a.gpx\"",
        "line 1, [[evidence]]: expected something that the vehicle showed on the drive; found nothing. \
         Add `vehicle_log`, `holds`, `odometer_start` and `odometer_end`, or `marked`",
    );
    check_problem(
        "[[evidence]]\nkind = \"drive\"\ntrack = \"a.gpx\"\nodometer_start = \"20 mi\"\nodometer_end = \"10 mi\"",
        "line 5, [[evidence]] odometer_end: expected more than at the start; found \"10 mi\". \
         See whether the two are swapped",
    );
    check_problem(
        "[[evidence]]\nkind = \"drive\"\ntrack = \"a.gpx\"\nholds = [\"30 mph\"]\nread_from = \"driver\"\nodometer_read = \"digits\"",
        "line 1, [[evidence]] odometer_start: expected an odometer reading with its unit, such as \"84210.3 mi\"; \
         found nothing. Add `odometer_start = ...`",
    );
    check_problem(
        "[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"9.4 mi\"\ntrue = \"9.7 mi\"\nodometer_read = \"as-it-turn\"",
        "line 5, [[evidence]] odometer_read: expected digits, between-digits or as-it-turned; found \"as-it-turn\". Did you mean \"as-it-turned\"?",
    );
    check_problem(
        "[[evidence]]\nkind = \"pulses\"\ncount = 960\nturns = 10\nturns_of = \"wheel\"",
        "line 1, [[evidence]] wheels: expected one or both; found nothing. Add `wheels = ...`",
    );
    check_problem(
        "[[evidence]]\nkind = \"pulses\"\ncount = 960",
        "line 1, [[evidence]]: expected what the counted pulses belong to; found nothing. \
         Add `distance`, or `turns` and `turns_of`",
    );
    check_problem(
        "[[tire]]\nname = \"summer\"\n[[tire]]\nname = \"winter\"\n\
         [[evidence]]\nkind = \"published\"\nrevs_per_mile = 655\ntires = \"wintre\"",
        "line 5, [[evidence]] tires: expected the name of a set of tires; found \"wintre\". Did you mean `winter`?",
    );
}

#[test]
fn several_sets_of_tires() {
    check_problem(
        "[[tire]]\nname = \"summer\"\n[[tire]]\nname = \"winter\"\n\
         [[evidence]]\nkind = \"published\"\nrevs_per_mile = 655",
        "line 5, [[evidence]] tires: expected which set was on, since there are several; found nothing. \
         Add `tires = \"...\"`; the set that is on now is assumed",
    );
    check_problem(
        "[[tire]]\nname = \"summer\"\n[[tire]]\nsize = \"235/75R15\"",
        "line 3, [tire] name: expected a name for each set, where there are several; found nothing. \
         Add `name = \"...\"`",
    );
    check_problem(
        "[[tire]]\nname = \"summer\"\nmounted = true\n[[tire]]\nname = \"winter\"\nmounted = true",
        "line 4, [tire] mounted: expected one set that is on now; found a second. Keep one `mounted`",
    );
}

/// A constant, one write of it, and evidence after that.
fn written(evidence: &str) -> String {
    format!(
        "[adjuster]\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 9000\npresent = 4100\n\
         [[written]]\ndate = 2026-05-09\nfrom = 4000\nto = 4100\n[[evidence]]\n{evidence}"
    )
}

#[test]
fn indicated_values_and_writes() {
    let hold = "kind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"57.5 mph\"\nread_from = \"driver\"";
    check_problem(
        &written(hold),
        "line 11, [[evidence]] setting: expected the setting in force then, since writes are recorded; found nothing. \
         Add `setting = \"...\"`: an indicated value means nothing without the setting it was read with",
    );
    check_problem(
        &written(&format!("{hold}\nsetting = 4100\ndate = 2026-05-02")),
        "line 11, [[evidence]] setting: expected 4000 on 2026-05-02, as the writes say; found 4100. \
         See whether the date, the setting or a write is mistyped",
    );
    for right in ["setting = 4000\ndate = 2026-05-02", "setting = 4100\ndate = 2026-06-01", "setting = 4000"]
    {
        assert_eq!(problems_of(&written(&format!("{hold}\n{right}"))), Vec::<String>::new(), "{right}");
    }
    assert_eq!(problems_of(&written("kind = \"published\"\nrevs_per_mile = 655")), Vec::<String>::new());
    check_problem(
        &written("kind = \"published\"\nrevs_per_mile = 655\nsetting = \"8/20\""),
        "line 11, [[evidence]] setting: expected a setting that the typed constant can have; found 8/20. \
         See whether it is mistyped",
    );
    check_problem(
        "[[written]]\ndate = 2026-05-09\nfrom = 4000\nto = 4100",
        "line 1, [[written]]: expected an [adjuster] that was written; found nothing. Add what can be set, with its own section",
    );
}

#[test]
fn a_present_value_against_the_chain() {
    let chain = |teeth: &str| {
        format!(
            "[adjuster]\nkind = \"tone-ring\"\nteeth = [92, 96]\npresent = 96\n\
             [chain]\nsensor_at = \"axle-ring\"\nring_teeth = {teeth}"
        )
    };
    check_problem(
        &chain("[92, 104]"),
        "line 5, [chain] ring_teeth: expected 96, as the present value of the tone ring says; found 92, 104. \
         Leave it out, or correct the one that is wrong",
    );
    assert_eq!(problems_of(&chain("96")), Vec::<String>::new());
    assert_eq!(problems_of(&chain("[92, 96]")), Vec::<String>::new());
}

#[test]
fn text_that_is_not_toml() {
    check_problem(
        "[chain]\nsensor_at = \"axle-ring\"\naxle_ratio = 3,73",
        "line 3: expected TOML; found \"axle_ratio = 3,73\". Write a decimal with a point, as in 8.20 \
         (unexpected key or value, expected newline, `#`)",
    );
    let both = problems_of("[chain]\nsensor_at = axle\nring_teth = 4\nlength = 40 ft");
    let lines: Vec<&str> = both.iter().map(|problem| &problem[12..18]).collect();
    assert_eq!(lines, ["line 2", "line 3", "line 4"], "{both:#?}");
    assert!(super::super::Vehicle::read("truck.toml", "a b").0.is_none());
    assert_eq!(
        problems_of(""),
        ["truck.toml: expected at least one section, such as [tire] or [adjuster]; found nothing. \
          Say what is on the vehicle or what was measured"]
    );
}

#[test]
fn all_problems_at_once_in_the_order_of_the_lines() {
    let spoiled = EXAMPLE
        .replace("ring_teeth = 60", "ring_teeth = \"many\"")
        .replace("step = \"0.02\"", "step = \"0\"")
        .replace("turns = 5", "truns = 5")
        .replace("touches = \"brakes\"", "touches = \"brake\"");
    let lines: Vec<String> =
        problems_of(&spoiled).iter().map(|problem| problem.split(", ").nth(1).unwrap().to_string()).collect();
    assert_eq!(lines, ["line 10", "line 20", "line 34", "line 36", "line 48", "line 54"]);
}

#[test]
fn the_example_has_one_thing_to_look_at() {
    // The example stores a present value that its last write has replaced.
    check_problem(
        EXAMPLE,
        "line 15, [adjuster] present: expected 7.86, as the last write left; found 8.20. \
         Taken as the write left it; change `present`, or record the write that is missing",
    );
}
