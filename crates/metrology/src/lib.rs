//! Quantities, values with uncertainty, adjustment and signals.
//!
//! This crate is mathematics only. It knows no trade, file, clock or chance: a function that needs random
//! numbers takes a seed. Inside, slices and matrices are plain `f64` with their units in the doc; what crosses a
//! module boundary as a measured thing is a [`quantity`] or a [`measured::Measured`].

pub mod adjust;
pub mod align;
pub mod bounds;
pub mod cycle;
pub mod geodesy;
pub mod measured;
pub mod order;
pub mod plan;
pub mod pulse;
pub mod quantity;
pub mod ratio;
pub mod smooth;
pub mod text;
