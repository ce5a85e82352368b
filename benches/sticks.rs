//! How fast the sticks of 20,000 strokes are chosen exactly, and the highest tempo of as many found, on one core.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use panfold::hands::movement::Hands;
use panfold::hands::sticking::{Stroke, solve};
use panfold::hands::tempo::limit;
use panfold::pan::{Level, layout};

/// Strokes all over a pan, an eighth or a sixteenth at 120 apart, every ninth one of two notes.
fn line(hands: &Hands, strokes: usize) -> Vec<Stroke> {
    let mut state = 20_251_125u32;
    let mut at = 0;
    let mut below = |n: usize| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 16) as usize % n
    };
    (0..strokes)
        .map(|number| {
            at += if below(3) == 0 { 250_000 } else { 125_000 };
            let mut stroke = Stroke::single(at, below(hands.notes()) as u16);
            stroke.second = (number % 9 == 0).then(|| below(hands.notes()) as u16).filter(|note| *note != stroke.note);
            stroke
        })
        .collect()
}

fn sticks(c: &mut Criterion) {
    for name in ["lead-c", "double-second"] {
        let hands = Hands::new(layout(name).expect("a layout"), Level::Intermediate);
        let line = line(&hands, 20_000);
        c.bench_function(&format!("20,000 strokes, {name}"), |b| b.iter(|| black_box(solve(&hands, black_box(&line)))));
        c.bench_function(&format!("the tempo limit of 20,000 strokes, {name}"), |b| {
            b.iter(|| black_box(limit(&hands, black_box(&line), false)));
        });
    }
}

criterion_group!(benches, sticks);
criterion_main!(benches);
