//! Every kind of evidence by hand: what it says and how far off it may be.

mod by_hand;
mod trucks;

use by_hand::{BY_HAND, ROUNDING, U_BY_HAND, alone, near, plain, revs, u};
use trucks::fused;
use truing::measure::fusion::VehicleEstimate;

/// A file whose only evidence is this, on a chain before the axle.
fn single(evidence: &str) -> VehicleEstimate {
    alone(&format!(
        "[chain]\nsensor_at = \"transmission-output\"\naxle_ratio = \"41/11\"\ncounts_per_turn = 8\n[head]\ncounts_per_mile = 20000\n[[evidence]]\n{evidence}\n"
    ))
}

#[test]
fn hand_evidence_of_turns_agrees_with_hand_figures() {
    for (evidence, per_mile, relative_u) in [
        // 63360 / (2 pi 14.6 x 1.05) = 657.80, driven 0.3 % more: 659.78; factor 1.2 %, slip 0.2 %, a tenth of an inch 0.198 %.
        ("kind = \"loaded-radius\"\nradius = \"14.6 in\"", 659.78, 0.01233),
        // 2000 / (41/11 x 0.70) = 766.55 per minute at a mile a minute; reading 0.5 %, speed 0.5 %, day 0.1 %.
        (
            "kind = \"engine-speed\"\nrpm = 2000\ntrue = \"60 mph +/- 0.3 mph\"\ngear_ratio = \"0.70\"",
            766.55,
            0.00714,
        ),
        // 2500 / (41/11) = 670.73.
        (
            "kind = \"shaft-speed\"\nrpm = 2500\ntrue = \"60 mph +/- 0.3 mph\"\nshaft = \"transmission-output\"",
            670.73,
            0.00714,
        ),
        // 20000 counts a mile over 8 x 41/11 = 670.73; a count over sqrt(6) is 0.002 %, 0.1 % distance, 0.1 % day.
        ("kind = \"pulses\"\ncount = 20000\ndistance = \"1 mi +/- 0.001 mi\"", 670.73, 0.001414),
        ("kind = \"earlier\"\nrevs_per_mile = 660\nstandard_uncertainty = 3.3", 660.0, 0.005),
    ] {
        let estimate = single(evidence);
        near(revs(&estimate), per_mile, BY_HAND);
        near(u(estimate.over_all.revs), relative_u, U_BY_HAND);
    }
}

#[test]
fn hand_evidence_of_the_dial_agrees_with_hand_figures() {
    for (evidence, needle, relative_u) in [
        // 60 s and 62 s a mile: 60 and 58.065 mph, mean 59.032; 60 / 59.032 = 1.01639. Watch 0.348 %, glance 1 %, both over
        // sqrt(2); posts 0.765 %; habit 0.962 %; day 0.1 %.
        ("kind = \"timed-mile\"\nindicated = \"60 mph\"\nseconds = [60, 62]", 1.01639, 0.01444),
        // 60 / 58.5 = 1.02564; glance 1 %, habit 0.962 %, 0.2 / 58.5 = 0.342 %, day 0.1 %.
        (
            "kind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"58.5 mph +/- 0.2 mph\"\nread_from = \"driver\"",
            1.02564,
            0.01433,
        ),
        // From the passenger's seat: each reading 1 and 0.72 / 60 = 1.2 % more, the same at every speed 0.962 and 1.2 / 60 = 2 %:
        // sqrt(1^2 + 1.2^2 + 0.962^2 + 2^2 + 0.342^2 + 0.1^2) = 2.739 %.
        (
            "kind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"58.5 mph +/- 0.2 mph\"\nread_from = \"passenger\"",
            1.02564,
            0.02739,
        ),
        ("kind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"58.5 mph +/- 0.2 mph\"", 1.02564, 0.02739),
    ] {
        let estimate = single(evidence);
        near(plain(estimate.over_all.needle_ratio), needle, BY_HAND);
        near(u(estimate.over_all.needle_ratio), relative_u, U_BY_HAND);
        // The odometer is a pointer's gain away.
        near(u(estimate.over_all.distance_ratio), f64::hypot(relative_u, 0.015), U_BY_HAND);
    }
    // 97.0 / 100.0: a tenth over sqrt(6) of 97 is 0.042 %, posts +/- 0.1 %, day 0.1 %.
    let estimate =
        single("kind = \"odometer-distance\"\nindicated = \"97.0 mi\"\ntrue = \"100.0 mi +/- 0.1 mi\"");
    near(plain(estimate.over_all.distance_ratio), 0.97, ROUNDING);
    near(u(estimate.over_all.distance_ratio), 0.001475, U_BY_HAND);
}

#[test]
fn one_wheel_turns_the_axle_half_as_often() {
    // An axle of 41/11 that the file does not know, found by hand; 670.73 x 8 x 41/11 = 20000 counts.
    for (evidence, sensor) in [
        ("kind = \"shaft-turns\"\nshaft = 41\nwheel = 11\nwheels = \"both\"", "transmission-output"),
        ("kind = \"shaft-turns\"\nshaft = 41\nwheel = 22\nwheels = \"one\"", "transmission-output"),
        (
            "kind = \"pulses\"\ncount = 328\nturns = 11\nturns_of = \"wheel\"\nwheels = \"both\"",
            "transmission-output",
        ),
        (
            "kind = \"pulses\"\ncount = 328\nturns = 22\nturns_of = \"wheel\"\nwheels = \"one\"",
            "transmission-output",
        ),
    ] {
        let text = format!(
            "[chain]\nsensor_at = \"{sensor}\"\ncounts_per_turn = 8\n[[evidence]]\n{evidence}\n[[evidence]]\nkind = \"earlier\"\nrevs_per_mile = 670.73\nstandard_uncertainty = 1\n"
        );
        near(alone(&text).over_all.counts.unwrap().value.per_mi(), 20000.0, BY_HAND);
    }
}

#[test]
fn turns_of_shaft_wheel_and_ring_reach_a_ring_each_in_its_way() {
    // A ring of 96 behind an axle of 41/11. A wheel pair turns it once, a shaft 11/41 times, a single wheel half; a ring on
    // the wheel turns with that wheel.
    for (sensor, count, turns) in [
        ("axle-ring", 960, "turns = 10\nturns_of = \"wheel\"\nwheels = \"both\""),
        ("axle-ring", 480, "turns = 10\nturns_of = \"wheel\"\nwheels = \"one\""),
        ("wheel-ring", 960, "turns = 10\nturns_of = \"wheel\"\nwheels = \"one\""),
        ("axle-ring", 1056, "turns = 41\nturns_of = \"shaft\""),
        ("axle-ring", 96, "turns = 1\nturns_of = \"ring\""),
    ] {
        let text = format!(
            "[chain]\nsensor_at = \"{sensor}\"\naxle_ratio = \"41/11\"\n[[evidence]]\nkind = \"pulses\"\ncount = {count}\n{turns}\n\
             [[evidence]]\nkind = \"earlier\"\nrevs_per_mile = 700\nstandard_uncertainty = 1\n"
        );
        near(alone(&text).over_all.counts.unwrap().value.per_mi(), 67200.0, ROUNDING);
    }
}

#[test]
fn counts_at_the_output_of_a_module() {
    // It reckons a mile for 70 000 counts and puts out 4000 for it; over 10 true miles 39 000 came: it reckoned 9.75, and
    // reads 2.5 % slow: 68 250 counts per mile.
    let truck = |module: &str| {
        format!(
            "[chain]\nsensor_at = \"axle-ring\"\nring_teeth = 104\n[adjuster]\n{module}\n\
             [[evidence]]\nkind = \"pulses\"\ncount = 39000\ndistance = \"10 mi +/- 0.001\"\ntapped_at = \"module-output\"\n"
        )
    };
    let constant =
        "kind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 90000\npresent = 70000\n";
    let known = alone(&truck(&format!("{constant}puts_out_per_mile = 4000")));
    near(known.over_all.distance_ratio.unwrap().value.plain(), 0.975, BY_HAND);
    near(known.over_all.counts.unwrap().value.per_mi(), 68250.0, BY_HAND);
    // One that multiplies by 3/4: 52 000 for each mile before it, 39 000 behind it.
    let ratio = "kind = \"pulse-ratio\"\nnumerator_max = 9\ndenominator_max = 9\npresent = \"3/4\"";
    let multiplied = alone(&truck(ratio).replace("count = 39000", "count = 390000"));
    near(multiplied.over_all.counts.unwrap().value.per_mi(), 39000.0, BY_HAND);
    near(revs(&multiplied), 500.0, BY_HAND);
    // Without what it puts out, nothing is known from it.
    let (estimate, problems) = fused(&truck(constant), &[]);
    assert!(problems.iter().any(|problem| problem.expected.contains("puts_out_per_mile")), "{problems:?}");
    assert!(estimate.over_all.counts.is_none());
}

#[test]
fn readings_by_one_person_share_a_habit() {
    let hold = "kind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"60 mph +/- 0.01 mph\"\ndate = 2026-05-02\nread_from = \"driver\"";
    let many = [hold; 16].join("\n[[evidence]]\n");
    // Glances average out, 1 % / 4; the habit of 0.962 % and the day's 0.1 % do not: 0.999 %.
    near(u(single(&many).over_all.needle_ratio), 0.00999, U_BY_HAND);
}

#[test]
fn worn_tires_turn_more_often_and_share_their_wear() {
    let text = |depths: &str| {
        format!(
            "[tire]\nsize = \"LT265/75R16\"\npublished_revs_per_mile = 655\n{depths}[chain]\nsensor_at = \"axle-ring\"\n"
        )
    };
    let unsaid = alone(&text(""));
    let new = alone(&text("tread_depth_new = \"16/32 in\"\ntread_depth = \"16/32 in\"\n"));
    let said = alone(&text("tread_depth_new = \"16/32 in\"\ntread_depth = \"6/32 in\"\n"));
    // 10/32 in off an 803.9 mm tire both sides: 15.875 / 803.9 = 1.97 %, of which a radial shows 0.6: about 1.2 %.
    let more = revs(&said) / revs(&new) - 1.0;
    assert!((0.010..0.014).contains(&more), "{more}");
    // Where the depths are not told, some wear is: between both.
    assert!(revs(&new) < revs(&unsaid) && revs(&unsaid) < revs(&said));
    assert!(u(said.over_all.revs) < u(unsaid.over_all.revs));
}

/// One of each kind, on a truck that needs several of them for some answers.
const ONE_OF_EACH: [&str; 11] = [
    "kind = \"rollout\"\nturns = 5\nlengths = [\"12.28 m\", \"12.29 m\", \"12.27 m\"]",
    "kind = \"loaded-radius\"\nradius = \"14.6 in\"",
    "kind = \"published\"\nrevs_per_mile = 655",
    "kind = \"timed-mile\"\nindicated = \"60 mph\"\nseconds = [60, 62]",
    "kind = \"odometer-distance\"\nindicated = \"97.0 mi\"\ntrue = \"100.0 mi\"",
    "kind = \"hold\"\nindicated = \"45 mph\"\ntrue = \"46 mph\"",
    "kind = \"pulses\"\ncount = 328\nturns = 11\nturns_of = \"wheel\"\nwheels = \"both\"",
    "kind = \"shaft-speed\"\nrpm = 2450\ntrue = \"60 mph\"\nshaft = \"transfer-case-output\"",
    "kind = \"engine-speed\"\nrpm = 1715\ntrue = \"60 mph\"\ngear_ratio = \"0.70\"",
    "kind = \"shaft-turns\"\nshaft = \"3.7\"\nwheel = 1\nwheels = \"both\"",
    "kind = \"earlier\"\nrevs_per_mile = 660\nstandard_uncertainty = 3",
];

#[test]
fn any_subset_of_evidence_is_answered() {
    let known = |estimate: &VehicleEstimate| {
        let all = &estimate.over_all;
        [all.revs.is_some(), all.counts.is_some(), all.distance_ratio.is_some(), all.needle_ratio.is_some()]
    };
    let mut answers = Vec::new();
    for subset in 0..1_u32 << ONE_OF_EACH.len() {
        let chosen = ONE_OF_EACH.iter().enumerate().filter(|(index, _)| subset >> index & 1 == 1);
        let pieces: Vec<String> = chosen.map(|(_, piece)| format!("[[evidence]]\n{piece}\n")).collect();
        let (estimate, problems) =
            fused(&format!("[chain]\nsensor_at = \"transmission-output\"\n{}", pieces.concat()), &[]);
        let known = known(&estimate);
        assert!(problems.is_empty(), "{subset:b}: {problems:?}");
        // What is not known has its sentence, and what a piece fewer knows is still known.
        assert_eq!(estimate.unknowable.len(), known.iter().filter(|known| !**known).count(), "{subset:b}");
        for without in (0..ONE_OF_EACH.len())
            .filter(|index| subset >> index & 1 == 1)
            .map(|index| subset & !(1 << index))
        {
            let fewer: &[bool; 4] = &answers[without as usize];
            assert!(fewer.iter().zip(known).all(|(fewer, now)| !fewer || now), "{subset:b} {without:b}");
        }
        answers.push(known);
    }
    // Nothing tells nothing; a tape the turns; the odometer its own ratio and, a pointer's gain away, the needle's.
    assert_eq!(answers[0], [false; 4]);
    assert_eq!(answers[1], [true, false, false, false]);
    assert_eq!(answers[1 << 4], [false, false, true, true]);
    // Turns from the tape and counts for each of them.
    assert_eq!(answers[1 | 1 << 6], [true, true, false, false]);
}
