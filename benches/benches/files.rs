//! Reading a build, and writing a report in memory.

use std::hint::black_box;

use criterion::Criterion;
use crownwheel_answers::from_car::{RangeRequest, Subject};
use crownwheel_answers::{Provenance, Units, from_car};
use crownwheel_benches::demo::{Demo, build_file};
use crownwheel_plot::ReportInput;

/// A report of one cycle on one day, without pull and charging.
fn report_input(demo: &Demo) -> ReportInput {
    let subject = Subject {
        car: demo.car.clone(),
        days: vec![demo.day.clone()],
        provenance: Provenance::default(),
        assumed: Vec::new(),
        notes: Vec::new(),
        warnings: Vec::new(),
        lines_to_add: Vec::new(),
        units: Units::Metric,
    };
    let asked = RangeRequest {
        cycles: vec![demo.cycle.clone()],
        days: vec![0],
        steady_kmh: vec![50.0, 100.0],
        ..RangeRequest::default()
    };
    ReportInput {
        check: from_car::check(&subject),
        weigh: from_car::weigh(&subject),
        range: from_car::range(&subject, &asked),
        traces: vec![from_car::cycle_trace(&demo.car, &demo.day, &demo.cycle)],
        motor_curves: from_car::motor_curves(&demo.car),
        ..ReportInput::default()
    }
}

fn main() {
    let demo = Demo::load().expect("the demo");
    let input = report_input(&demo);
    let file = build_file();
    let mut criterion = Criterion::default().configure_from_args().sample_size(30);
    criterion.bench_function("reading a build", |b| {
        b.iter(|| crownwheel_files::load(black_box(&file), &[]));
    });
    criterion.bench_function("writing a report", |b| {
        b.iter(|| crownwheel_plot::files(black_box(&input)).expect("drawn"));
    });
    criterion.final_summary();
}
