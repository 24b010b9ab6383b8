//! What a file is.

/// What a file looks like by its beginning.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Positions over time.
    Track,
    /// The same with what a passenger marked, as the run page writes it.
    Marked,
    /// Speeds over time.
    VehicleLog,
    /// Positions, and in a column of its own the vehicle's speed.
    Both,
    /// A signal.
    Recording,
    /// Frames of a CAN bus, none of which holds a speed that every vehicle would call so.
    Bus,
    /// A DBC file: where what stands in the frames of a CAN bus.
    Signals,
    /// Nothing that can be read here.
    Unknown,
}

impl Kind {
    /// For a person.
    pub fn says(self) -> &'static str {
        match self {
            Self::Track => "a track: positions over time",
            Self::Marked => "a drive recorded with marks",
            Self::VehicleLog => "a log of speeds over time",
            Self::Both => "positions and speeds over time",
            Self::Recording => "a recording of a signal",
            Self::Bus => "a CAN log in which no standard says where the speed stands",
            Self::Signals => "a DBC file: where the speed stands in a CAN log",
            Self::Unknown => "nothing that can be read here",
        }
    }
}
