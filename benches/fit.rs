//! How fast a line of 10,000 notes is fitted exactly, in 13 keys, on one core.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use panfold::fit::octaves::{Written, cost};
use panfold::music::Pitch;
use panfold::pan::Costs;
use panfold::pan::layout;

/// A line that wanders over five octaves, with a rest every eight notes.
fn line(notes: u32) -> Vec<Written> {
    let mut state = 20_251_125u32;
    let mut at = 72i32;
    (0..notes)
        .map(|number| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            at = (at + (state >> 16) as i32 % 15 - 7).clamp(42, 102);
            let pitch = Pitch::new(at.unsigned_abs() as u8).expect("a key");
            Written { after_rest: number % 8 == 0, ..Written::note(pitch) }
        })
        .collect()
}

fn octaves(c: &mut Criterion) {
    let set = layout("lead-c").expect("a layout").note_set();
    let line = line(10_000);
    let costs = Costs::default();
    c.bench_function("10,000 notes in 13 keys", |bencher| {
        bencher.iter(|| {
            for semitones in -6..=6 {
                let moved: Vec<Written> = line.iter().filter_map(|written| written.up(semitones)).collect();
                black_box(cost(&moved, set, &costs));
            }
        });
    });
}

criterion_group!(benches, octaves);
criterion_main!(benches);
