//! Random texts as pan files.
#![no_main]

mod oracle;

libfuzzer_sys::fuzz_target!(|text: &str| oracle::as_pan(text));
