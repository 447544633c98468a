//! Options side by side: making them ready, and one pass of WLTC 3b by all of them.

use std::hint::black_box;

use criterion::Criterion;
use crownwheel::batch::WIDTH;
use crownwheel::ready::Ready;
use crownwheel_benches::demo::Demo;
use crownwheel_benches::options::start;
use crownwheel_benches::sides::batch_pass;

fn main() {
    let demo = Demo::load().expect("the demo");
    let start = start(&demo);
    let ready: [Ready; WIDTH] = std::array::from_fn(|i| demo.option(i).expect("an option"));
    let mut criterion = Criterion::default().configure_from_args();
    criterion.bench_function("one option made ready", |b| b.iter(|| demo.option(black_box(5))));
    criterion.bench_function("one WLTC 3b by eight options", |b| {
        b.iter(|| batch_pass(black_box(&ready).each_ref(), start, &demo.cycle));
    });
    criterion.final_summary();
}
