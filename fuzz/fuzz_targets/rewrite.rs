//! Random texts as tunes that are tidied and fitted on one file.
#![no_main]

mod oracle;

libfuzzer_sys::fuzz_target!(|text: &str| oracle::rewritten(text));
