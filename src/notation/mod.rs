//! The `.tune` notation: text in, a tree out, and back.
//!
//! - [`tree`]: what a tune file says, statement by statement, every node with its place.
//!
//! Parsing never fails: what can't be understood becomes a [`tree::Statement::Broken`] or a broken bar or cell, with a
//! finding beside it, and reading goes on at the next bar or line. The tree knows nothing of pans: whether a part or a
//! pan exists is settled in `tune/`.

pub mod tree;
