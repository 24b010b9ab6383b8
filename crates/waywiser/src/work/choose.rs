//! What to store, from all that was measured.

use super::load::Loaded;
use truing::choose::{Choice, choose};
use truing::measure::fusion::VehicleEstimate;
use truing::problem::Problems;
use truing::report::answers::state_line::{Believed, StateLine};

/// Measures and chooses for a loaded vehicle.
pub fn chosen(
    loaded: &mut Loaded,
    rule: Option<&str>,
    reserve: Option<u32>,
) -> Result<(VehicleEstimate, Choice), Problems> {
    let estimate = loaded.fused()?;
    match choose(&loaded.source, &loaded.vehicle, &estimate, rule, reserve) {
        Ok(choice) => Ok((estimate, choice)),
        Err(problem) => {
            let mut problems = std::mem::take(&mut loaded.problems);
            problems.push(problem);
            Err(problems.into())
        }
    }
}

/// How a loaded vehicle stands by its file alone, in the sentence that the garage shows with what its record adds.
pub fn state_line(loaded: &Loaded, estimate: &VehicleEstimate) -> String {
    let vehicle = &loaded.vehicle;
    let choice = choose(&loaded.source, vehicle, estimate, None, None).ok();
    StateLine::new(Some(Believed { vehicle, estimate, choice: choice.as_ref() }), &[]).line
}
