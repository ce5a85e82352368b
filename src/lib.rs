//! Panfold fits, checks, plays and prints plain-text arrangements for the pans that a steel band really has.
//!
//! A tune read, checked, put into the key that costs least on its band, and written as MIDI and as sound:
//!
//! ```
//! use panfold::{check, fit, midi, performance, sound};
//!
//! let opened = panfold::open("arrangements/sea-grape-road.tune")?;
//! for finding in check::check(&opened.tune, &check::Options::default()).findings {
//!     println!("{finding}");
//! }
//! let keys = fit::keys(&opened.open, &fit::Options::of(&opened.open));
//! let tune = &keys[0].tune;
//! let bytes = midi::write(&performance::perform(tune, &performance::Options::default()));
//! assert!(bytes.starts_with(b"MThd"));
//! let mut opening = performance::Options::default();
//! opening.section = Some(0);
//! let played = performance::perform(tune, &opening);
//! let settings = sound::Settings::default();
//! let tags = sound::tags(&played, &settings);
//! sound::render(sound::Format::Wav, &played, &tune.band, &settings, &tags, std::io::sink())?;
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! `examples/fit_and_render.rs` is much the same as a program. Options may get more fields with time: make them by their defaults,
//! and set what you want.
//!
//! Data flows one way, and the modules are the stations on that way:
//!
//! ```text
//! .tune text ─ notation ─► tree ─┐
//! band.toml ─── pan ─────► band ─┴─ tune ─► tune ─ fit ─► settled tune ─┬─ check ──────► findings
//!                                                                       ├─ performance ─► strokes ─┬─ midi
//!                                                                       │                         └─ sound
//!                                                                       ├─ exchange ───► MusicXML
//!                                                                       └─ drawing ────► pictures ────────┴─ page ──► a page to practise with
//! ```
//!
//! - [`text`]: sources, places, findings, edits. Knows no music.
//! - [`music`]: pitch, chords, keys, meters, exact time. Knows no pans.
//! - [`notation`]: the `.tune` notation.
//! - [`pan`]: pans, layouts, bands.
//! - [`tune`]: the tune with every name looked up and every length counted out.
//! - [`people`]: who plays what.
//! - [`hands`]: what two sticks can do.
//! - [`fit`]: exact optimisers.
//! - [`check`]: what is wrong and what to do about it.
//! - [`cover`]: pans against the tunes that a band plays.
//! - [`performance`]: the tune played out as timed strokes.
//! - [`midi`]: Standard MIDI Files.
//! - [`exchange`]: MIDI files and MusicXML as tunes, a tune as MusicXML.
//! - [`sound`]: synthesised practice tracks.
//! - [`drawing`]: pans and parts as pictures.
//! - [`page`]: the practice page.
//! - [`door`]: files, a tune with its band, JSON.
//! - [`cli`]: the program.
//!
//! A module uses only modules above it in this list.

// The kit for tests names the crate as those outside do, since it is theirs too.
#[cfg(test)]
extern crate self as panfold;

pub mod check;
#[cfg(feature = "cli")]
pub mod cli;
pub mod cover;
#[cfg(feature = "door")]
pub mod door;
pub mod drawing;
pub mod exchange;
pub mod fit;
pub mod hands;
#[cfg(test)]
mod kit;
pub mod midi;
pub mod music;
pub mod notation;
pub mod page;
pub mod pan;
pub mod people;
pub mod performance;
pub mod sound;
pub mod text;
pub mod tune;

#[cfg(feature = "door")]
pub use door::loaded::open;
