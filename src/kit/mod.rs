//! What the tests of all rooms share: bands and tunes from short texts, the demo, seeded numbers. For tests only, so it may use
//! every room, and every room's tests may use it.

mod cases;
mod demo;
mod numbers;
mod reading;

pub use cases::cases;
pub use demo::{DEMO, demo, demo_band, demo_text};
pub use numbers::Numbers;
pub use reading::{ONE_LEAD, band, open, pans, playable, read, seated, told, tune};
