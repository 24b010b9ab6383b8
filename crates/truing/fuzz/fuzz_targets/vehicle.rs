//! Any bytes as in `answers.rs`, `advice`.
#![no_main]

#[path = "../answers.rs"]
mod answers;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| answers::advice(bytes));
