//! Random bytes as MIDI files.
#![no_main]

mod oracle;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| oracle::imported(bytes));
