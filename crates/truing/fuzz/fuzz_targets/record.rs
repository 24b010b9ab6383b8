//! Any bytes as in `answers.rs`, `record`.
#![no_main]

#[path = "../answers.rs"]
mod answers;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| answers::record(bytes));
