//! What is on the vehicle.

pub mod tire;
