//! Random texts as tunes.
#![no_main]

mod oracle;

libfuzzer_sys::fuzz_target!(|text: &str| oracle::notated(text));
