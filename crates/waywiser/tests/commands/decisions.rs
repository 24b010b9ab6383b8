//! Every decision case of `truing/tests/data/decisions.toml` through the command line; and what `set` and `sheet` make of it.

#[path = "../../../truing/tests/decisions/mod.rs"]
mod cases;

use super::{answer, folder, waywiser, write};
use cases::{Case, cases, check};

#[test]
fn every_case_is_decided_so() {
    let folder = folder("decisions");
    let wrong = |case: &Case| {
        write(&folder, "truck.toml", &case.file);
        check(case, &answer(&folder, &["choose", "truck.toml"])).err()
    };
    let wrong: Vec<String> = cases().iter().filter_map(wrong).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn nothing_is_pressed_while_something_is_odd() {
    let folder = folder("odd");
    let odd = cases().into_iter().filter(|case| case.advice == "check-first");
    let mut despite = 0;
    for case in odd {
        write(&folder, "truck.toml", &case.file);
        let set = answer(&folder, &["set", "truck.toml"]);
        assert_eq!(set["nothing_to_do"]["cause"], "check-first", "{}", case.name);
        assert_eq!(
            (&set["total_presses"], set["steps"].as_array().unwrap().len()),
            (&0.into(), 0),
            "{}",
            case.name
        );
        let chosen = answer(&folder, &["choose", "truck.toml"]);
        if chosen["best"]["is_present"] == false {
            let set = answer(&folder, &["set", "truck.toml", "--despite", "I counted it myself"]);
            assert_eq!(set["despite"], "I counted it myself", "{}", case.name);
            assert!(!set["steps"].as_array().unwrap().is_empty(), "{}", case.name);
            despite += 1;
        }
        let said = waywiser(&folder, &["sheet", "truck.toml", "--out", "sheet.html", "--force"]);
        assert_eq!(said.code, 0, "{}: {}", case.name, said.err);
        let sheet = super::read(&folder, "sheet.html");
        assert!(sheet.contains("Check first.") && !sheet.contains("Store "), "{}", case.name);
    }
    assert!(despite > 3, "{despite}");
    // A blank reason is none.
    let set = answer(&folder, &["set", "truck.toml", "--despite", " "]);
    assert!(set["nothing_to_do"].is_object() || set["despite"].is_null(), "{set}");
}

#[test]
fn what_is_advised_can_be_set() {
    let folder = folder("feasible");
    for case in cases().into_iter().filter(|case| case.advice == "write") {
        write(&folder, "truck.toml", &case.file);
        let set = answer(&folder, &["set", "truck.toml"]);
        assert!(
            set["nothing_to_do"].is_null() && !set["steps"].as_array().unwrap().is_empty(),
            "{}: {set}",
            case.name
        );
    }
}

#[test]
fn the_numbers_of_a_decision_are_told_and_changed() {
    let folder = folder("numbers");
    let usual = answer(&folder, &["describe", "decision"]);
    let of = |report: &serde_json::Value, key: &str| {
        let numbers = report["numbers"].as_array().unwrap();
        numbers.iter().find(|one| one["key"] == key).unwrap()["percent"].as_f64().unwrap()
    };
    assert_eq!(of(&usual, "worth_a_write_percent"), 0.5);
    write(&folder, "truck.toml", "[use]\nworth_a_write_percent = 2\nslow_counts_percent = 300\n");
    let own = answer(&folder, &["describe", "decision", "truck.toml"]);
    assert_eq!((of(&own, "worth_a_write_percent"), of(&own, "slow_counts_percent")), (2.0, 300.0));
    assert_eq!(of(&own, "far_off_percent"), of(&usual, "far_off_percent"));
}
