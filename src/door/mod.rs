//! The door between the rooms and the world: what every program with panfold in it needs, whatever its screens are.
//!
//! - [`files`]: reading files, and writing them whole or not at all; [`target`]: where they may be written; `made`:
//!   recognising what panfold itself wrote; [`unfinished`]: files being written, and what stopped runs left;
//! - [`names`]: names of files that every system takes;
//! - [`loaded`]: a tune with its band, from their files;
//! - [`findings_json`], [`performance_json`], [`notes_json`], [`fit_json`], [`cover_json`]: results for other programs,
//!   and [`json`], how they are written;
//! - [`kinds`]: the kinds of finding about files.

pub mod cover_json;
pub mod files;
pub mod findings_json;
pub mod fit_json;
pub mod json;
pub mod kinds;
pub mod loaded;
mod made;
pub mod names;
pub mod notes_json;
pub mod performance_json;
pub mod target;
pub mod unfinished;
