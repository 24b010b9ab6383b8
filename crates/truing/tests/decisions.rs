//! Every decision case of `data/decisions.toml` through the library.

#[path = "decisions/mod.rs"]
mod decisions;

use decisions::{cases, check};
use truing::choose::choose;
use truing::describe::vehicle::Vehicle;
use truing::measure::fusion::fuse;
use truing::report::answers::choice::ChoiceReport;
use truing::units::Units;

/// The table is not to shrink.
const LEAST_CASES: usize = 40;

#[test]
fn every_case_is_decided_so() {
    let cases = cases();
    assert!(cases.len() >= LEAST_CASES, "{}", cases.len());
    let wrong = |case: &decisions::Case| {
        let (vehicle, problems) = Vehicle::read("truck.toml", &case.file);
        let Some(vehicle) = vehicle else { return Some(format!("{}: {problems:?}", case.name)) };
        let (estimate, _) = fuse("truck.toml", &vehicle, Vec::new());
        let choice = match choose("truck.toml", &vehicle, &estimate, None, None) {
            Ok(choice) => choice,
            Err(problem) => return Some(format!("{}: {problem:?}", case.name)),
        };
        let report = ChoiceReport::new(&vehicle, &choice, Vec::new(), Units::Us);
        let json = serde_json::to_value(&report).map_err(|error| error.to_string());
        json.and_then(|json| check(case, &json)).err()
    };
    let wrong: Vec<String> = cases.iter().filter_map(wrong).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
