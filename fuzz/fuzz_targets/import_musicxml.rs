//! Random bytes as MusicXML, plain and in its container.
#![no_main]

mod oracle;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| oracle::imported(bytes));
