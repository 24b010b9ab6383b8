//! How far the vehicle truly travels for what it indicates.
//!
//! [`drive`] reads one drive, [`pulses`] one recording of the sensor; [`fusion`] joins all evidence; [`gearing`] turns it
//! into engine speeds.

pub mod drive;
pub mod fusion;
pub mod gearing;
mod odometer_reading;
pub mod pulses;
