//! Findings: what is wrong with a tune on a band's pans, where, and what to do about it.
