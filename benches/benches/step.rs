//! One step, and one pass of WLTC 3b, by one car.

use std::hint::black_box;

use criterion::Criterion;
use crownwheel::ready::Ready;
use crownwheel::step::step;
use crownwheel_benches::demo::Demo;
use crownwheel_benches::options::start;
use crownwheel_benches::sides::scalar_pass;

fn main() {
    let demo = Demo::load().expect("the demo");
    let ready = Ready::new(&demo.car, &demo.day);
    let (view, start) = (ready.view(), start(&demo));
    let leg = demo.cycle.legs().iter().max_by(|a, b| a.target_mps.total_cmp(&b.target_mps));
    let leg = leg.expect("a cycle has legs");
    let mut cruising = start;
    cruising.speed_mps = leg.target_mps;
    let mut criterion = Criterion::default().configure_from_args();
    criterion.bench_function("one step", |b| {
        b.iter(|| step(black_box(&view), black_box(leg), black_box(&cruising)));
    });
    criterion.bench_function("one WLTC 3b", |b| {
        b.iter(|| scalar_pass(black_box(&view), start, &demo.cycle));
    });
    criterion.final_summary();
}
