//! How fast a tune is read, resolved and checked: a demo tune, and 10,000 bars of eight parts with half and a quarter of it.

mod whole_tune;

use std::hint::black_box;
use std::sync::Arc;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use panfold::check::{Options, check};
use panfold::fit::resolve;
use panfold::notation::parse;
use panfold::pan::Band;
use panfold::text::Source;

fn run(source: &Arc<Source>, band: &Arc<Band>) -> usize {
    let (tree, findings) = parse(source);
    assert!(findings.is_empty());
    let (tune, findings) = resolve(&tree, band);
    assert!(findings.is_empty());
    check(&tune, &Options::default()).findings.len()
}

fn reading(criterion: &mut Criterion) {
    let band = whole_tune::band();
    let mut group = criterion.benchmark_group("read, resolve, check");
    let demo = Source::new("sea-grape-road.tune", include_str!("../arrangements/sea-grape-road.tune"));
    group.bench_function("a demo tune", |bencher| bencher.iter(|| black_box(run(&demo, &band))));
    group.sample_size(10);
    for bars in [2500u64, 5000, 10_000] {
        let source = Source::new("long.tune", whole_tune::long(bars as usize));
        group.throughput(Throughput::Elements(bars));
        group.bench_with_input(BenchmarkId::new("bars of eight parts", bars), &source, |bencher, source| {
            bencher.iter(|| black_box(run(source, &band)));
        });
    }
    group.finish();
}

criterion_group!(benches, reading);
criterion_main!(benches);
