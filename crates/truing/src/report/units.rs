//! The units a paper is printed in: those of the dial in front of its reader.

use metrology::quantity::{Length, Speed};

/// Miles or kilometres.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Miles, miles per hour, inches.
    #[default]
    Us,
    /// Kilometres, kilometres per hour, millimetres.
    Metric,
}

impl Units {
    /// What speeds are in.
    pub fn speed_word(self) -> &'static str {
        match self {
            Self::Us => "mph",
            Self::Metric => "km/h",
        }
    }

    /// A speed as a number in these units.
    pub fn of_speed(self, speed: Speed) -> f64 {
        match self {
            Self::Us => speed.mi_per_h(),
            Self::Metric => speed.km_per_h(),
        }
    }

    /// A speed from a number in these units.
    pub fn speed(self, number: f64) -> Speed {
        match self {
            Self::Us => Speed::from_mi_per_h(number),
            Self::Metric => Speed::from_km_per_h(number),
        }
    }

    /// From one row of a speed card to the next: as dials are marked.
    pub fn speed_step(self) -> Speed {
        match self {
            Self::Us => Speed::from_mi_per_h(5.0),
            Self::Metric => Speed::from_km_per_h(10.0),
        }
    }

    /// What short lengths are in, and how many decimals they need.
    pub fn of_short(self, length: Length) -> (f64, &'static str) {
        match self {
            Self::Us => (length.inches(), "in"),
            Self::Metric => (length.mm(), "mm"),
        }
    }
}
