//! Random texts as tunes, up to what each player gets.
#![no_main]

mod oracle;

libfuzzer_sys::fuzz_target!(|text: &str| oracle::packed(text));
