//! Checks against what was published outside: standards, handbooks, worked examples. Each value has its source beside it, and
//! says where it is from memory. Independent libraries look at the program's output in `.ci/run`, with the scripts beside
//! this file.

#[path = "../../benches/band/mod.rs"]
mod band;
mod cover;
mod drawing;
mod drills;
mod engine_room;
mod exchange;
mod fit;
mod found;
mod hands;
#[path = "../../src/kit/reading.rs"]
mod kit;
mod midi;
mod music;
#[path = "../../src/kit/numbers.rs"]
mod numbers;
mod odd_midi;
mod pans;
mod round;
mod scatter;
mod scores;
mod seating;
mod seats;
mod sound;
mod sound_levels;
mod sound_mixes;
mod strums;
