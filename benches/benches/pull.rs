//! Full throttle from rest, and the table of tractive effort.

use std::hint::black_box;

use criterion::Criterion;
use crownwheel::pull::{THROTTLE_STEP_S, Throttle};
use crownwheel_benches::demo::Demo;

fn main() {
    let Demo { car, day, .. } = Demo::load().expect("the demo");
    let throttle = Throttle::new(&car, &day, car.spec().pack.usable_to_frac);
    let mut criterion = Criterion::default().configure_from_args();
    criterion.bench_function("full throttle", |b| {
        b.iter(|| black_box(&throttle).run(THROTTLE_STEP_S));
    });
    criterion.bench_function("tractive effort", |b| b.iter(|| black_box(&throttle).table()));
    criterion.final_summary();
}
