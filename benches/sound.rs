//! How fast sound is: the bank, the mix, and a whole track.

mod band;

use std::hint::black_box;
use std::io;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use panfold::music::{Force, Tuning};
use panfold::pan::{PanKind, layouts};
use panfold::sound::bank::{Bank, Body};
use panfold::sound::mixer::Mixer;
use panfold::sound::plan::Plan;
use panfold::sound::{Format, Settings, render};

fn whole_track(c: &mut Criterion) {
    let (performance, band) = (band::twelve_parts(90), band::plain_band());
    let settings = Settings::default();
    let report = render(Format::Wav, &performance, &band, &settings, &[], io::sink()).expect("a sink takes all");
    println!("{report:?}");
    c.bench_function("three minutes of twelve parts to WAV", |b| {
        b.iter(|| render(Format::Wav, &performance, &band, &settings, &[], io::sink()).expect("a sink takes all"));
    });
    let mut in_room = settings.clone();
    in_room.room = true;
    c.bench_function("three minutes of twelve parts to WAV, in a room", |b| {
        b.iter(|| render(Format::Wav, &performance, &band, &in_room, &[], io::sink()).expect("a sink takes all"));
    });
    c.bench_function("three minutes of twelve parts to FLAC", |b| {
        b.iter(|| render(Format::Flac, &performance, &band, &settings, &[], io::sink()).expect("a sink takes all"));
    });
    let plan = Plan::new(&performance, &band, &settings);
    c.bench_function("bank of three minutes", |b| {
        b.iter(|| black_box(Bank::build(&plan.bodies, &plan.wanted, 44_100.0)));
    });
    let bank = Bank::build(&plan.bodies, &plan.wanted, 44_100.0);
    let heard = |event: &panfold::sound::plan::Event| bank.stroke(event.stroke).len().min(event.length as usize) as u64;
    let mut group = c.benchmark_group("mix of three minutes, voice-samples");
    group.throughput(Throughput::Elements(plan.events.iter().map(heard).sum()));
    group.bench_function("twelve parts", |b| {
        let (mut left, mut right) = (vec![0.0; 8192], vec![0.0; 8192]);
        b.iter(|| {
            let mut mixer = Mixer::new(&plan, &bank, None);
            for _ in 0..180 * 44_100 / 8192 {
                mixer.fill(&mut left, &mut right);
            }
            black_box(left[0])
        });
    });
    group.finish();
}

/// Every note of a kind's layout struck once.
fn banks(c: &mut Criterion) {
    let mut group = c.benchmark_group("all notes of a pan");
    for kind in PanKind::ALL {
        let pan = layouts::of_kind(kind).expect("every kind has a layout");
        let body = Body::pan(pan, Tuning::default(), 0);
        let struck: Vec<_> = pan.notes().filter_map(|(_, note)| body.struck(note.pitch, Force::new(0.7))).collect();
        group.bench_with_input(BenchmarkId::from_parameter(kind), &struck, |b, struck| {
            b.iter(|| struck.iter().map(|note| black_box(note.samples(0, 44_100.0)).len()).sum::<usize>());
        });
    }
    group.finish();
}

criterion_group! {
    name = sound;
    config = Criterion::default().sample_size(10);
    targets = whole_track, banks
}
criterion_main!(sound);
