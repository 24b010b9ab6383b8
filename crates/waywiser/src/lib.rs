//! What a report looks like: pictures and paper. Layout only; every number comes from the report.

pub mod chart;
pub mod paper;
