//! Standard MIDI Files, out and in.
