//! The command line: arguments, screens, JSON, progress, files.

pub mod render_json;
