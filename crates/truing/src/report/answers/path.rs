//! Where a truck stands on its way through the six stages, and what comes next.

use crate::choose::Advice;
use crate::describe::vehicle::Vehicle;
use crate::record::{Proved, VehicleState};
use crate::report::words::held_back_by;

/// How a stage stands.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum StageStanding {
    /// There is an answer.
    Done,
    /// It comes next.
    Next,
    /// Something before it is missing.
    Missing,
    /// An open fault, or a contradiction, holds it back.
    HeldBack,
}

impl StageStanding {
    /// In a word or two.
    pub fn says(self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::Next => "next",
            Self::Missing => "missing",
            Self::HeldBack => "held back",
        }
    }
}

/// What comes next.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum NextStep {
    /// To say what can be set.
    WhatCanBeSet,
    /// To measure how far off it reads.
    HowFarOff,
    /// To measure more before anything is stored.
    MeasureMore,
    /// To look at evidence that contradicts.
    LookAtEvidence,
    /// To store what is advised.
    Store,
    /// To prove on the road that it is true.
    Prove,
    /// To repair what holds the drive back.
    Repair,
    /// Nothing: it is proved.
    Nothing,
}

impl NextStep {
    /// As a question or a statement.
    pub fn says(self) -> &'static str {
        match self {
            Self::WhatCanBeSet => "Now: what can be set?",
            Self::HowFarOff => "Now: how far off does it read?",
            Self::MeasureMore => "Now: one more measurement, before anything is stored.",
            Self::LookAtEvidence => "Now: something does not fit. Look at the evidence.",
            Self::Store => "Now: what to store?",
            Self::Prove => "Now: is it true on the road?",
            Self::Repair => "Now: repair what holds the drive back.",
            Self::Nothing => "Nothing is left to do. It is proved.",
        }
    }
}

/// What the path is told from.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub struct PathFacts {
    /// Whether anything is known that can be set.
    pub can_be_set: bool,
    /// Whether it is known how far off it reads.
    pub reads: bool,
    /// What is advised, where that is worked out.
    pub advice: Option<Advice>,
    /// Whether an open fault holds a drive back.
    pub is_held_back: bool,
    /// Whether the present setting is proved.
    pub is_proved: bool,
    /// Whether the record has an entry of it.
    pub is_recorded: bool,
}

impl PathFacts {
    /// From a vehicle file and its record, beside what its evidence came to.
    pub fn new(vehicle: &Vehicle, reads: bool, advice: Option<Advice>, state: &VehicleState) -> Self {
        Self {
            can_be_set: !vehicle.adjusters.is_empty(),
            reads,
            advice,
            is_held_back: !held_back_by(&vehicle.faults).is_empty(),
            is_proved: matches!(state.proved, Proved::Yes { .. }),
            is_recorded: state.last_entry > 0,
        }
    }

    /// What comes next.
    pub fn next(&self) -> NextStep {
        match (self.can_be_set, self.reads, self.advice) {
            (_, false, _) if self.is_held_back => NextStep::Repair,
            (_, false, _) => NextStep::HowFarOff,
            (false, true, _) => NextStep::WhatCanBeSet,
            (true, true, Some(Advice::Write)) => NextStep::Store,
            (true, true, Some(Advice::CheckFirst)) => NextStep::LookAtEvidence,
            (true, true, Some(Advice::Leave)) if self.is_proved => NextStep::Nothing,
            (true, true, Some(Advice::Leave)) if self.is_held_back => NextStep::Repair,
            (true, true, Some(Advice::Leave)) => NextStep::Prove,
            (true, true, Some(Advice::MeasureFirst) | None) => NextStep::MeasureMore,
        }
    }

    /// How the six stages stand, in order.
    pub fn standings(&self) -> [StageStanding; 6] {
        use StageStanding::{Done, HeldBack, Missing};
        let done = |is: bool| if is { Done } else { Missing };
        let is_advised = matches!(self.advice, Some(Advice::Write | Advice::Leave));
        let choose = match self.advice {
            Some(Advice::CheckFirst) => HeldBack,
            _ => done(is_advised),
        };
        let road = |is: bool| if !is && self.is_held_back { HeldBack } else { done(is) };
        let measured = self.reads && self.advice != Some(Advice::MeasureFirst);
        let is_set = self.advice == Some(Advice::Leave);
        let mut all = [
            done(self.can_be_set),
            road(measured),
            choose,
            done(is_set),
            road(is_set && self.is_proved),
            done(self.is_recorded),
        ];
        if let Some(at) = self.next().stage() {
            all[at] = StageStanding::Next;
        }
        all
    }
}

impl NextStep {
    /// The place of the stage it belongs to; none where there is nothing to do, or something to repair.
    pub fn stage(self) -> Option<usize> {
        match self {
            Self::WhatCanBeSet => Some(0),
            Self::HowFarOff | Self::MeasureMore | Self::LookAtEvidence => Some(1),
            Self::Store => Some(3),
            Self::Prove => Some(4),
            Self::Repair | Self::Nothing => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(known: PathFacts, next: NextStep, standings: &str) {
        assert_eq!(known.next(), next, "{known:?}");
        let said = known.standings().map(|standing| match standing {
            StageStanding::Done => 'd',
            StageStanding::Next => 'n',
            StageStanding::Missing => '-',
            StageStanding::HeldBack => 'h',
        });
        assert_eq!(said.iter().collect::<String>(), standings, "{known:?}");
    }

    #[test]
    fn one_stage_comes_next() {
        let empty = PathFacts::default();
        check(empty, NextStep::HowFarOff, "-n----");
        check(PathFacts { reads: true, ..empty }, NextStep::WhatCanBeSet, "nd----");
        let named = PathFacts { can_be_set: true, ..empty };
        check(named, NextStep::HowFarOff, "dn----");
        let measured = PathFacts { reads: true, ..named };
        check(PathFacts { advice: Some(Advice::MeasureFirst), ..measured }, NextStep::MeasureMore, "dn----");
        check(PathFacts { advice: Some(Advice::CheckFirst), ..measured }, NextStep::LookAtEvidence, "dnh---");
        check(PathFacts { advice: Some(Advice::Write), ..measured }, NextStep::Store, "dddn--");
        let left = PathFacts { advice: Some(Advice::Leave), ..measured };
        check(left, NextStep::Prove, "ddddn-");
        check(PathFacts { is_proved: true, is_recorded: true, ..left }, NextStep::Nothing, "dddddd");
    }

    #[test]
    fn a_fault_holds_the_drives_back() {
        let faulty = PathFacts { can_be_set: true, is_held_back: true, ..PathFacts::default() };
        check(faulty, NextStep::Repair, "dh--h-");
        let left = PathFacts { reads: true, advice: Some(Advice::Leave), ..faulty };
        check(left, NextStep::Repair, "ddddh-");
        // What was recorded before counts all the same, and nothing is driven to store it.
        check(PathFacts { reads: true, advice: Some(Advice::Write), ..faulty }, NextStep::Store, "dddnh-");
    }
}
