//! What is on the vehicle.
