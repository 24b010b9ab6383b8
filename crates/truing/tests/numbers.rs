//! Numbers with sign, unit and digits, and verbs that fit what is set.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use truing::choose::choose;
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::fuse;
use truing::report::answers::choice::ChoiceReport;
use truing::report::document::{Block, TableId};
use truing::units::Units;

fn report(text: &str, units: Units) -> ChoiceReport {
    let (vehicle, problems) = Vehicle::read("truck.toml", text);
    let vehicle = vehicle.unwrap();
    assert_eq!(problems, [], "{text}");
    let (estimate, _) = fuse("truck.toml", &vehicle, Vec::new());
    let choice = choose("truck.toml", &vehicle, &estimate, None, None).unwrap();
    ChoiceReport::new(&vehicle, &choice, Vec::new(), units)
}

/// An odometer that showed so many miles for 100 true ones.
fn shown(miles: f64) -> String {
    format!(
        "[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"{miles:.3} mi\"\ntrue = \"100 mi +/- 0.05\"\nresolution = \"0.001 mi\"\n"
    )
}

const RING: &str = "[adjuster]\nkind = \"tone-ring\"\nteeth = [96, 100, 104]\npresent = 100\n";
const FREE: &str = "[adjuster]\nkind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 90000\npresent = 18500\n";

/// The head of the column of fuel, and what stands there for the ring that is fitted.
fn fuel(units: Units) -> (String, String) {
    let document = report(&(RING.to_string() + &shown(96.0)), units).document();
    let table = document.blocks.iter().find_map(|block| match block {
        Block::Table(table) if table.id == Some(TableId::Settings) => Some(table),
        _ => None,
    });
    let table = table.unwrap();
    let column = table.head.iter().position(|head| head.contains("times")).unwrap();
    let now = table.rows.iter().find(|row| row[0] == "100 (now)").unwrap();
    (table.head[column].clone(), now[column].clone())
}

/// An odometer that counts 96 for 100 makes fuel look worse than it is: 1 / 0.96 as many miles to the gallon, 0.96 as many
/// litres to 100 km.
#[test]
fn fuel_in_both_ways_of_saying_it() {
    let check = |units, head: &str, factor: &str| {
        assert_eq!(fuel(units), (head.to_string(), factor.to_string()));
    };
    check(Units::Us, "miles per gallon times", "1.042");
    check(Units::Metric, "litres per 100 km times", "0.960");
}

/// The sentence that says how it reads now.
fn reading(text: &str) -> String {
    let report = report(text, Units::Us);
    report.why.iter().find(|why| why.contains("exactly true") || why.contains("call for")).unwrap().clone()
}

#[test]
fn what_would_be_exactly_true_has_the_digits_it_deserves() {
    // 18500 x 0.96 = 17760. Known to 0.05 %, and the day's 0.1 %: 20 of it; to 1 %: 180, of which two digits are the tens.
    let rough = shown(96.0).replace("+/- 0.05", "+/- 1");
    for (evidence, says) in [(shown(96.0), "would be 17760."), (rough, "would be 17760.")] {
        let said = reading(&(FREE.to_string() + &evidence));
        assert!(said.contains(says), "{said}");
    }
    // 17764.8 is 17765 to one part in a thousand (20 of it are two digits), and 17760 to one in a hundred.
    let fine = shown(96.026);
    let rough = fine.replace("+/- 0.05", "+/- 1");
    for (evidence, says) in [(fine, "would be 17765."), (rough, "would be 17760.")] {
        let said = reading(&(FREE.to_string() + &evidence));
        assert!(said.contains(says), "{said}");
    }
}

#[test]
fn the_sum_on_paper_stands_beside_the_result() {
    let truck = |miles: f64| {
        format!(
            "[tire]\nname = \"a\"\npublished_revs_per_mile = 656\n[chain]\nsensor_at = \"axle-ring\"\nring_teeth = 100\n[adjuster]\n\
             kind = \"stepped-constant\"\ncounts_per_mile_per_unit = 8000\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.01\"\n\
             buttons = [\"up\", \"down\"]\npresent = \"8.20\"\nwrites_left = 3\n{}label = \"marked road\"\nsetting = \"8.20\"\n",
            shown(miles)
        )
    };
    // 656 x 100 / 8000 = 8.2; what the road showed moves it by about one and a half in a hundred.
    let said = reading(&truck(98.5));
    for part in ["By hand it would be 8.2 (656 turns per mile x 100 / 8000)", "makes -1.", "marked road"] {
        assert!(said.contains(part), "{part}: {said}");
    }
    // A constant that counts pulses is divided by nothing.
    let free = truck(98.5)
        .replace("kind = \"stepped-constant\"\ncounts_per_mile_per_unit = 8000\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.01\"\nbuttons = [\"up\", \"down\"]\npresent = \"8.20\"\nwrites_left = 3\n", "kind = \"free-constant\"\nunit = \"pulses-per-mile\"\nmin = 1000\nmax = 90000\npresent = 65600\n")
        .replace("\"8.20\"", "\"65600\"");
    let said = reading(&free);
    assert!(said.contains("By hand it would be 65600 (656 turns per mile x 100):"), "{said}");
}

#[test]
fn each_kind_in_its_own_verb() {
    let kinds = [
        (RING.to_string(), "Fit the ring with 104 teeth."),
        (FREE.to_string(), "Store 17760."),
        (
            "[adjuster]\nkind = \"pulse-ratio\"\nnumerator_max = 99\ndenominator_max = 99\npresent = \"1/1\"\n".into(),
            "Set the conditioner to 25/24.",
        ),
        (
            "[adjuster]\nkind = \"gear-pair\"\ndrive_gears = [8, 9]\ndriven_gears = [24, 25, 26]\npresent = \"8/25\"\n".into(),
            "Fit the gears 8/24 (drive/driven).",
        ),
        (
            "[adjuster]\nkind = \"cable-adapter\"\nratios = [\"1/1\", \"26/25\"]\npresent = \"1/1\"\n".into(),
            "Fit the adapter 26/25.",
        ),
    ];
    for (adjuster, says) in kinds {
        assert_eq!(report(&(adjuster + &shown(96.0)), Units::Us).headline(), says);
    }
}

#[test]
fn a_chance_is_said_where_it_tells_apart() {
    let says = |text: String| {
        let blocks = report(&text, Units::Us).document().blocks;
        blocks
            .iter()
            .any(|block| matches!(block, Block::Sentence(text) if text.contains("no other setting is truer")))
    };
    // The next ring is four per cent off; the next number is as good.
    assert!(says(RING.to_string() + &shown(96.0)));
    assert!(!says(FREE.to_string() + &shown(96.0)));
}
