//! Sound: the stroke bank, voices, mix, loudness, files.
