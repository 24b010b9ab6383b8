//! Whether a drive shows that a rule is kept, after JCGM 106:2012: the probability that the true error lies in the permitted
//! band.

use crate::describe::chain::reader::{Needle, Role};
use crate::describe::vehicle::Vehicle;
use crate::measure::drive::{Doubt, DriveEstimate, Reads};
use crate::measure::fusion::NEEDLE_U;
use crate::problem::Problem;
use crate::rules::{Conformity, Floor, ReadingModel, Rule, Verdict, What, conformity, distance_still_needed};
use metrology::quantity::{Length, Speed};

/// Offset of an analog needle that a bus speed does not show: within 1 mph, evenly likely (GUM 4.3.7; from memory for the 1 mph).
const NEEDLE_OFFSET_U_MPH: f64 = 0.577;
/// What no longer drive takes away of the ratio: conditions of the day and the track's own scale (judgement).
const LASTING_U: f64 = 0.0011;

/// What a verdict takes for granted.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Note {
    /// The odometer was judged by the needle, whose gain widens the uncertainty.
    OdometerByNeedle,
    /// The vehicle's logged speed is that of the module that was set.
    SpeedOfTheModule,
    /// The dial shows digits and was judged by something else that was read.
    DigitsBy(Reads),
    /// The dial has a needle and was judged by something else that was read; its gain and offset widen the uncertainty.
    DialBy(Reads),
}

/// The proof.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// The rule.
    pub rule: Rule,
    /// The probability at each test speed, jointly, and the verdict.
    pub conformity: Conformity,
    /// How the reading was judged.
    pub model: ReadingModel,
    /// Further distance to drive before the verdict would fall, if the values stay; none where driving does not settle it.
    pub more_distance: Option<Length>,
    /// The same in further called-out speeds, where these were read.
    pub more_holds: Option<usize>,
    /// What was assumed to judge one indication by another, and other things to know.
    pub notes: Vec<Note>,
}

/// Judges a drive.
pub fn prove(vehicle: &Vehicle, drive: &DriveEstimate, rule: Rule) -> Result<Proof, Problem> {
    if let Some(doubt) = drive.doubts.iter().find(|doubt| !matches!(doubt, Doubt::Wide { .. })) {
        let problem = Problem::error("the drive", "a drive whose ratio can be told", doubt.found());
        return Err(problem.hint("nothing is proved by it; repair the files or drive again"));
    }
    let Some(ratio) = drive.reading_ratio else {
        return Err(
            Problem::error("the drive", "a reading ratio", "none").hint("see the problems of the drive")
        );
    };
    let mut notes = Vec::new();
    let mut model = ReadingModel {
        ln_ratio: ratio.value.plain().ln(),
        u_ln_ratio: ratio.relative_uncertainty().plain(),
        dof: ratio.dof,
        offset_m_per_s: 0.0,
        u_offset_m_per_s: 0.0,
        covariance_m_per_s: 0.0,
    };
    if let Some(offset) = drive.offset {
        model.offset_m_per_s = offset.value.m_per_s();
        model.u_offset_m_per_s = offset.standard_uncertainty.m_per_s();
        model.covariance_m_per_s = drive.ratio_offset_correlation * model.u_ln_ratio * model.u_offset_m_per_s;
    }
    let mut floor = Floor { u_ln_ratio: LASTING_U, u_offset_m_per_s: 0.0 };
    match (rule.what, drive.reads) {
        (What::Dial | What::Any, Reads::Needle) => floor.u_offset_m_per_s = 0.5 * model.u_offset_m_per_s,
        (What::Dial, Reads::Channel | Reads::Distance) => {
            judge_dial(vehicle, drive, &mut model, &mut floor, &mut notes)
        }
        (What::Odometer, Reads::Needle) => {
            notes.push(Note::OdometerByNeedle);
            model.u_ln_ratio = f64::hypot(model.u_ln_ratio, NEEDLE_U);
            floor.u_ln_ratio = f64::hypot(floor.u_ln_ratio, NEEDLE_U);
            without_offset(&mut model);
        }
        // An odometer counts; rounding and the offset of a speed channel are no part of it.
        (What::Odometer | What::Any, _) => without_offset(&mut model),
    }
    if drive.reads == Reads::Channel {
        notes.push(Note::SpeedOfTheModule);
    }
    let top = vehicle.usage.top_speed;
    let conformity = conformity(&rule, &model, top);
    let more_distance = match conformity.verdict {
        Verdict::Undecided => distance_still_needed(&rule, &model, drive.compared_distance, floor, top),
        _ => None,
    };
    let more_holds = more_distance.and_then(|more| holds_for(drive, more));
    Ok(Proof { rule, conformity, model, more_distance, more_holds, notes })
}

/// As many more holds, of the kind that were driven, as a further distance has room for.
fn holds_for(drive: &DriveEstimate, more: Length) -> Option<usize> {
    let driven = drive.holds.len();
    let times = more / drive.compared_distance;
    (driven > 0 && times.is_finite()).then(|| (times * driven as f64).ceil() as usize)
}

fn without_offset(model: &mut ReadingModel) {
    model.offset_m_per_s = 0.0;
    model.u_offset_m_per_s = 0.0;
    model.covariance_m_per_s = 0.0;
}

/// A rule about the dial, judged by the channel or the odometer: the needle's own gain and offset are added, and said.
fn judge_dial(
    vehicle: &Vehicle,
    drive: &DriveEstimate,
    model: &mut ReadingModel,
    floor: &mut Floor,
    notes: &mut Vec<Note>,
) {
    let dial = vehicle.readers.iter().find(|reader| reader.roles.contains(&Role::Dial));
    let by = drive.reads;
    if dial.and_then(|reader| reader.needle) == Some(Needle::Digital) {
        notes.push(Note::DigitsBy(by));
        return;
    }
    notes.push(Note::DialBy(by));
    let offset_u = Speed::from_mi_per_h(NEEDLE_OFFSET_U_MPH).m_per_s();
    without_offset(model);
    model.u_ln_ratio = f64::hypot(model.u_ln_ratio, NEEDLE_U);
    model.u_offset_m_per_s = offset_u;
    *floor = Floor { u_ln_ratio: f64::hypot(LASTING_U, NEEDLE_U), u_offset_m_per_s: offset_u };
}
