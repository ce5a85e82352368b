//! The command line: arguments, screens, JSON, progress, files.
