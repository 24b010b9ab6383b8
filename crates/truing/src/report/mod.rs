//! Plain data for faces: words, rounded numbers and chart series. No HTML, no terminal.
//!
//! Each answer is a struct that serialises to the JSON a script relies on, and makes a [`document::Document`] that every face
//! prints. Command line, page and paper show the same.

pub mod batch;
pub mod bench;
pub mod came_about;
pub mod cautions;
pub mod choice;
mod choice_charts;
pub mod description;
pub mod document;
pub mod door_frame;
pub mod drive;
pub mod drive_charts;
pub mod engine;
pub mod evidence;
pub mod evidence_chart;
pub mod garage;
pub mod history;
pub mod job;
pub mod keep;
pub mod life;
pub mod mileage;
pub mod missing;
pub mod origin;
pub mod origin_distance;
pub mod origin_record;
pub mod origin_target;
pub mod outlook;
pub mod papers;
pub mod price;
pub mod proof;
mod proof_chart;
mod pulse_charts;
pub mod pulses;
pub mod record;
pub mod record_head;
pub mod rules;
pub mod sheet;
pub mod speed_card;
pub mod steps;
pub mod timeline;
pub mod tire;
pub mod tire_choice;
pub mod value;
pub mod vehicle;
pub mod words;
