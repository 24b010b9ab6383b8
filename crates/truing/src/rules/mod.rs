//! Rules on what may be indicated, as data, and the probability that a reading keeps to them.
//!
//! Each rule names its source, its edition and how it came to be known here. None of it is legal advice: the
//! law of the place decides, and its text is to be had from those who publish it.

mod band;
mod conformity;
mod integrate;
mod reading;
mod region;
mod remaining;
mod table;
mod test_speeds;

pub use band::{Band, Edge, SpeedInterval};
pub use conformity::{
    ACCEPT_FROM, Conformity, PointConformity, REJECT_UP_TO, Verdict, chance_of_breaking, conformity,
};
pub use reading::ReadingModel;
pub use remaining::{Floor, MOST_TIMES_FURTHER, distance_still_needed};
pub use table::{OUR_OWN_TOLERANCE_PERCENT, all, find};
pub use test_speeds::{TestPoint, TestSpeeds};

use crate::problem::Problem;
use metrology::quantity::Speed;
use std::borrow::Cow;

/// What a rule is about.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum What {
    /// The speed on the dial.
    Dial,
    /// The distance counted.
    Odometer,
    /// Whatever indicates.
    Any,
}

/// How a text came to be known here.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum HowKnown {
    /// Read in the document itself or a faithful copy.
    ReadInTheDocument,
    /// Read in something that reports the document.
    ReadSecondHand,
    /// From memory; to be checked before anything hangs on it.
    FromMemory,
    /// No standard: a default of our own.
    OurOwn,
    /// Given by the owner.
    Given,
}

impl HowKnown {
    /// The same in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::ReadInTheDocument => "read in the document",
            Self::ReadSecondHand => "read second-hand",
            Self::FromMemory => "from memory",
            Self::OurOwn => "no standard; our own default",
            Self::Given => "given by the owner",
        }
    }
}

/// A rule: what it permits, where it is judged, and where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// The word by which a person asks for it.
    pub id: Cow<'static, str>,
    /// The rule in a few words.
    pub title: Cow<'static, str>,
    /// What it is about.
    pub what: What,
    /// What it permits.
    pub band: Band,
    /// Where it is judged.
    pub test_speeds: TestSpeeds,
    /// Whether a setting must be chosen so that the rule is kept. The rule `true` asks for the truth alone.
    pub constrains_choice: bool,
    /// Who made it, and where it stands.
    pub source: Cow<'static, str>,
    /// Which edition.
    pub edition: Cow<'static, str>,
    /// How the band is known.
    pub how_known: HowKnown,
    /// How the test speeds are known, where that differs from the band.
    pub test_speeds_known: HowKnown,
    /// What else the reader should know.
    pub note: Cow<'static, str>,
}

impl Rule {
    /// A rule of the owner's own, judged at the given true speeds; without speeds it is judged on distance,
    /// and its band must then be free of offsets.
    pub fn custom(title: String, band: Band, true_speeds: Vec<Speed>) -> Result<Self, Problem> {
        if let Some(speed) = true_speeds.iter().find(|speed| !usable(**speed)) {
            return Err(speed_problem(*speed));
        }
        if true_speeds.is_empty() && !band.is_ratio_only() {
            return Err(Problem::error("rule", "test speeds for a band with an offset", "none")
                .in_part("speeds")
                .hint("Name the true speeds at which to judge, or give the band in per cent alone."));
        }
        let on_distance = true_speeds.is_empty();
        Ok(Self {
            id: "custom".into(),
            title: title.into(),
            what: What::Any,
            band,
            test_speeds: if on_distance { TestSpeeds::None } else { TestSpeeds::True(true_speeds) },
            constrains_choice: true,
            source: "the owner".into(),
            edition: "".into(),
            how_known: HowKnown::Given,
            test_speeds_known: HowKnown::Given,
            note: "Local law decides.".into(),
        })
    }
}

fn usable(speed: Speed) -> bool {
    speed.m_per_s() > 0.0 && speed.m_per_s().is_finite()
}

fn speed_problem(speed: Speed) -> Problem {
    Problem::error("rule", "a test speed above zero", format!("{} km/h", speed.km_per_h()))
        .in_part("speeds")
        .hint("Leave it out or give a speed the vehicle can hold.")
}
