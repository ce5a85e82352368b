//! How fast sound is: the bank, the mix, and a whole track.

mod band;

use std::hint::black_box;
use std::io;

use criterion::{Criterion, criterion_group, criterion_main};
use panfold::sound::bank::Bank;
use panfold::sound::mixer::Mixer;
use panfold::sound::plan::Plan;
use panfold::sound::{Settings, render_flac, render_wav};

fn whole_track(c: &mut Criterion) {
    let (performance, band) = (band::twelve_parts(90), band::plain_band());
    let settings = Settings::default();
    let report = render_wav(&performance, &band, &settings, &[], io::sink()).expect("a sink takes all");
    println!("{report:?}");
    c.bench_function("three minutes of twelve parts to WAV", |b| {
        b.iter(|| render_wav(&performance, &band, &settings, &[], io::sink()).expect("a sink takes all"));
    });
    let in_room = Settings { room: true, ..settings.clone() };
    c.bench_function("three minutes of twelve parts to WAV, in a room", |b| {
        b.iter(|| render_wav(&performance, &band, &in_room, &[], io::sink()).expect("a sink takes all"));
    });
    c.bench_function("three minutes of twelve parts to FLAC", |b| {
        b.iter(|| render_flac(&performance, &band, &settings, &[], io::sink()).expect("a sink takes all"));
    });
    let plan = Plan::new(&performance, &band, &settings);
    c.bench_function("bank of three minutes", |b| {
        b.iter(|| black_box(Bank::build(&plan.bodies, &plan.wanted, 44_100.0)));
    });
    let bank = Bank::build(&plan.bodies, &plan.wanted, 44_100.0);
    c.bench_function("mix of three minutes", |b| {
        let (mut left, mut right) = (vec![0.0; 8192], vec![0.0; 8192]);
        b.iter(|| {
            let mut mixer = Mixer::new(&plan, &bank, None);
            for _ in 0..180 * 44_100 / 8192 {
                mixer.fill(&mut left, &mut right);
            }
            black_box(left[0])
        });
    });
}

criterion_group! {
    name = sound;
    config = Criterion::default().sample_size(10);
    targets = whole_track
}
criterion_main!(sound);
