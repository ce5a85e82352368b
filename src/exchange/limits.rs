//! How much of anything a file from elsewhere may hold. The limits are far above real music; they keep a wrong or hostile file
//! from filling the memory or running for hours.

/// Bytes of a MusicXML file, unpacked: 32 MiB, as much as a source may have. A symphony is about half of that.
pub const MAX_XML_BYTES: usize = crate::text::source::MAX_SOURCE_BYTES;

/// Elements within elements: MusicXML has about a dozen.
pub const MAX_DEPTH: usize = 64;

/// Attributes of an element: MusicXML has about twenty. Each is compared with all others.
pub const MAX_ATTRIBUTES: usize = 100;

/// Measures, as written and as played: an evening's programme is about five thousand.
pub const MAX_MEASURES: usize = 20_000;

/// Parts after splitting voices: a large orchestra has about sixty.
pub const MAX_PARTS: usize = 256;

/// Notes of a MIDI file: three hours of a band that strikes twenty a second.
pub const MAX_NOTES: usize = 200_000;

/// Measures of all parts together, as played: 2 million, twenty hours of a band of forty.
pub const MAX_PART_MEASURES: usize = 2_000_000;

/// Parts that one voice may be split into.
pub const MAX_ROWS: usize = 32;

/// Quarter notes of a whole file: more than 100,000 measures of 4/4.
pub const MAX_QUARTERS: i64 = 1_000_000;

/// The finest piece that a quarter note is cut into; MIDI's finest is 32,767.
pub const FINEST: i64 = 1_000_000;
