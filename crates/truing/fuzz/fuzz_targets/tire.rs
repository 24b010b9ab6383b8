//! Any bytes as in `answers.rs`, `tire`.
#![no_main]

#[path = "../answers.rs"]
mod answers;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| answers::tire(bytes));
