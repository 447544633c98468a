//! Range over WLTC 3b: every repeat driven, and the short form, alone and for eight cars.

use std::hint::black_box;

use criterion::Criterion;
use crownwheel::range::range;
use crownwheel::repeats::{Driven, short_range, short_ranges};
use crownwheel_benches::demo::Demo;

fn main() {
    let Demo { car, day, cycle, .. } = Demo::load().expect("the demo");
    let eight = [(&car, &day); 8];
    let mut criterion = Criterion::default().configure_from_args();
    criterion.bench_function("range, every repeat", |b| {
        b.iter(|| range(black_box(&car), &day, &cycle));
    });
    criterion.bench_function("range, short form", |b| {
        b.iter(|| short_range(black_box(&car), &day, &cycle, Driven::BothEnds));
    });
    criterion.bench_function("range, short form, eight cars", |b| {
        b.iter(|| short_ranges(black_box(&eight), &cycle, Driven::BothEnds));
    });
    criterion.final_summary();
}
