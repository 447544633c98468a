//! Range over WLTC 3b: every repeat driven, and the short form, alone and for eight cars.

use std::hint::black_box;

use criterion::Criterion;
use crownwheel::range::range;
use crownwheel::ready::Ready;
use crownwheel::repeats::{Driven, Prepared, short_range, short_ranges};
use crownwheel_benches::demo::Demo;

fn main() {
    let Demo { car, day, cycle, .. } = Demo::load().expect("the demo");
    let ready = Ready::new(&car, &day);
    let one = Prepared { car: &car, day: &day, ready: &ready };
    let eight = [one; 8];
    let mut criterion = Criterion::default().configure_from_args();
    criterion.bench_function("range, every repeat", |b| {
        b.iter(|| range(black_box(&car), &day, &cycle));
    });
    criterion.bench_function("range, short form", |b| {
        b.iter(|| short_range(black_box(&one), &cycle, Driven::BothEnds));
    });
    criterion.bench_function("range, short form, eight cars", |b| {
        b.iter(|| short_ranges(black_box(&eight), &cycle, Driven::BothEnds));
    });
    criterion.final_summary();
}
