//! Random texts as band files.
#![no_main]

mod oracle;

libfuzzer_sys::fuzz_target!(|text: &str| oracle::as_band(text));
