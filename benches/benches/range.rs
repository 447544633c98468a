//! Range over WLTC 3b: with everything that is kept of one car, in short, and of eight cars side by side.

use std::hint::black_box;

use criterion::Criterion;
use crownwheel::range::{CarOnDay, range, short_range, short_ranges};
use crownwheel::ready::Ready;
use crownwheel_benches::demo::Demo;

fn main() {
    let Demo { car, day, cycle, .. } = Demo::load().expect("the demo");
    let ready = Ready::new(&car, &day);
    let one = CarOnDay { car: &car, day: &day, ready: &ready };
    let eight = [one; 8];
    let mut criterion = Criterion::default().configure_from_args();
    criterion.bench_function("range, every repeat", |b| {
        b.iter(|| range(black_box(&car), &day, &cycle));
    });
    criterion.bench_function("range, short form", |b| {
        b.iter(|| short_range(black_box(&one), &cycle));
    });
    criterion.bench_function("range, short form, eight cars", |b| {
        b.iter(|| short_ranges(black_box(&eight), &cycle));
    });
    criterion.final_summary();
}
