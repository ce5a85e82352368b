//! How thoroughly laws are tried.

/// How many of a law's cases are tried: a quarter, so that all tests together take minutes; all of them where `PANFOLD_ALL_CASES` is
/// set, as `.ci/run` does; a thirtieth where `PANFOLD_FEW_CASES` is, as `fuzz/mutants` does, which tries the laws hundreds of times.
pub fn cases(all: u64) -> u64 {
    let is_set = |name| std::env::var_os(name).is_some();
    let share = if is_set("PANFOLD_ALL_CASES") {
        1
    } else if is_set("PANFOLD_FEW_CASES") {
        30
    } else {
        4
    };
    all.div_ceil(share)
}
