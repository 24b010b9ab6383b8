//! How the files of many drives are to be read.

use crate::work::drive::LogInputs;
use truing::logs::can::CanOptions;
use truing::logs::csv::CsvOptions;
use truing::problem::Problems;

/// How the files are to be read.
#[derive(Clone, Default)]
pub struct Reading {
    /// Columns of a track.
    pub track: CsvOptions,
    /// Columns of a vehicle log.
    pub vehicle: CsvOptions,
    /// The speed in a CAN log.
    pub can: CanOptions,
}

impl Reading {
    /// By what was said of columns and of the speed in a CAN log.
    pub fn new(logs: &LogInputs) -> Result<Self, Problems> {
        Ok(Self { track: logs.of_track()?, vehicle: logs.of_vehicle()?, can: logs.of_bus()? })
    }
}
