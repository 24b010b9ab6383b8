//! Any bytes as in `answers.rs`, `sheet_code`.
#![no_main]

#[path = "../answers.rs"]
mod answers;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| answers::sheet_code(bytes));
