//! Which open faults speak against which activity.

use crate::describe::fault::{Fault, Touches};
use schemars::JsonSchema;
use serde::Serialize;

/// Something that is done with the vehicle or with what was recorded.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Activity {
    /// Driving on the road.
    Drive,
    /// Driving on it in the dark.
    DriveInTheDark,
    /// Rolling it along a tape, with someone at the brake.
    Rollout,
    /// Running the wheels by the engine with the vehicle on stands.
    RunningOnStands,
    /// Letting the engine idle in a closed room.
    IdleIndoors,
    /// Reading a drive that was already recorded.
    ReadRecordedDrive,
    /// Working on the bench.
    Bench,
}

impl Activity {
    /// Those that a fault can hold back.
    pub const HELD_BACK: [Self; 5] =
        [Self::Drive, Self::Rollout, Self::RunningOnStands, Self::IdleIndoors, Self::DriveInTheDark];

    /// What must be sound for it.
    pub fn needs(self) -> &'static [Touches] {
        use Touches::{Brakes, Driveline, Exhaust, Lights, Seat, Steering, Tires};
        match self {
            Self::Drive => &[Brakes, Steering, Seat, Tires, Driveline],
            Self::DriveInTheDark => &[Lights],
            Self::Rollout => &[Brakes, Steering, Tires],
            Self::RunningOnStands => &[Driveline, Exhaust],
            Self::IdleIndoors => &[Exhaust],
            Self::ReadRecordedDrive | Self::Bench => &[],
        }
    }
}

/// The open faults that hold an activity back; empty when it may be advised.
pub fn held_back(faults: &[Fault], activity: Activity) -> Vec<&Fault> {
    faults.iter().filter(|fault| !fault.mended && activity.needs().contains(&fault.touches)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::describe::file::words::Words;

    fn fault(touches: Touches, mended: bool) -> Fault {
        Fault { touches, note: String::new(), mended, line: 1 }
    }

    #[test]
    fn holds_back_what_is_not_safe() {
        use Activity::{
            Bench, Drive, DriveInTheDark, IdleIndoors, ReadRecordedDrive, Rollout, RunningOnStands,
        };
        let all = [Drive, DriveInTheDark, Rollout, RunningOnStands, IdleIndoors, ReadRecordedDrive, Bench];
        for (touches, held) in [
            (Touches::Brakes, vec![Drive, Rollout]),
            (Touches::Steering, vec![Drive, Rollout]),
            (Touches::Seat, vec![Drive]),
            (Touches::Tires, vec![Drive, Rollout]),
            (Touches::Lights, vec![DriveInTheDark]),
            (Touches::Driveline, vec![Drive, RunningOnStands]),
            (Touches::Exhaust, vec![IdleIndoors, RunningOnStands]),
            (Touches::Other, vec![]),
        ] {
            for activity in all {
                let open = [fault(touches, false)];
                assert_eq!(
                    !held_back(&open, activity).is_empty(),
                    held.contains(&activity),
                    "{touches} {activity:?}"
                );
                assert!(held_back(&[fault(touches, true)], activity).is_empty(), "mended {touches}");
            }
        }
        assert_eq!(Touches::WORDS.len(), 8);
        let held = |activity: &Activity| !activity.needs().is_empty();
        assert!(all.iter().all(|one| Activity::HELD_BACK.contains(one) == held(one)));
    }
}
