//! The records of the file, as they are written.

use serde::Serialize;

/// The version of the format that is written.
const VERSION: u64 = 1;

/// One line of the file; moments are seconds of this machine's steady clock.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "run", rename_all = "kebab-case")]
pub enum Record {
    /// The first line.
    Start {
        /// Of the format.
        version: u64,
    },
    /// Recording began, or began again.
    Segment,
    /// Where the truck was.
    Fix {
        /// When it was delivered.
        delivered: f64,
        #[serde(flatten)]
        fix: Fix,
    },
    /// The dial showed a speed.
    Hold {
        /// With its unit.
        shown: String,
        start: f64,
        end: f64,
    },
    /// The odometer turned.
    Odometer {
        /// To this, with its unit.
        shown: String,
        at: f64,
    },
    /// Nothing was recorded.
    Gap {
        /// Why, in a word.
        reason: &'static str,
        start: f64,
        end: f64,
    },
    /// Words.
    Note { text: String, at: f64 },
}

impl Record {
    /// The first line of every file.
    pub const FIRST: Self = Self::Start { version: VERSION };
}

/// A fix, as far as the receiver said it.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Fix {
    /// By the receiver (UTC).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub time: Option<String>,
    /// Degrees north.
    pub latitude: f64,
    /// Degrees east.
    pub longitude: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accuracy_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub speed_m_per_s: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub course_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
}
