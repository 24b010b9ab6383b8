//! In which units an answer is shown.

use clap::{Args, ValueEnum};
use truing::units::Units;

/// The units of the owner.
#[derive(Args)]
pub struct Owner {
    /// Units of what is shown; numbers in JSON keep the unit that their key names
    #[arg(long, value_enum, default_value_t)]
    units: Word,
}

#[derive(Copy, Clone, Debug, Default, PartialEq, Eq, ValueEnum)]
enum Word {
    /// Miles, miles per hour, inches
    #[default]
    Us,
    /// Kilometres, kilometres per hour, millimetres
    Metric,
    /// Miles and miles per hour on the road, millimetres on the tape
    Mixed,
}

impl Owner {
    /// The units asked for.
    pub fn units(&self) -> Units {
        match self.units {
            Word::Us => Units::Us,
            Word::Metric => Units::Metric,
            Word::Mixed => Units::Mixed,
        }
    }
}
