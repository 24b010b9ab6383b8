//! The answers of the commands, each as plain data that serialises to JSON and makes a document.

pub mod another;
pub mod batch;
pub mod bench;
pub mod choice;
pub mod decision;
pub mod description;
pub mod drive;
pub mod engine;
pub mod errors;
pub mod evidence;
pub mod garage;
pub mod keep;
pub mod mileage;
pub mod outlook;
pub mod proof;
pub mod pulses;
pub mod reason;
pub mod record;
pub mod record_head;
pub mod rolled;
pub mod rules;
pub mod steps;
pub mod stored;
pub mod tire;
pub mod tire_choice;
pub mod vehicle;
