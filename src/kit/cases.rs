//! How thoroughly laws are tried.

/// How many of a law's cases are tried: a quarter, so that all tests together take minutes; all of them where `PANFOLD_ALL_CASES` is
/// set, as `.ci/run` does.
pub fn cases(all: u64) -> u64 {
    if std::env::var_os("PANFOLD_ALL_CASES").is_some() { all } else { all.div_ceil(4) }
}
