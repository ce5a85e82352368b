//! The program `panfold`.

fn main() {}
