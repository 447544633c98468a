//! The main types of the libraries go to other threads and are shared among them.

use crownwheel::cycle::{Cycle, CycleError, Samples};
use crownwheel::drive::Driver;
use crownwheel::hold::Climber;
use crownwheel::knob::{DayKnob, Knob};
use crownwheel::pull::{FullThrottle, Throttle};
use crownwheel::range::RangeRun;
use crownwheel::range::{CarOnDay, ShortRange};
use crownwheel::ready::{Ready, View};
use crownwheel::spec::{CarSpec, DaySpec, SpecError};
use crownwheel::{Car, Day};
use crownwheel_files::{Build, Report, SweepBuild};
use crownwheel_sweep::course::Course;
use crownwheel_sweep::decision::Decision;
use crownwheel_sweep::facts::FactsError;
use crownwheel_sweep::run::Runner;
use crownwheel_sweep::sweep::Plan;
use crownwheel_sweep::{DayModel, Model, Space, Weights, Worlds};

fn for_threads<T: Send + Sync>() -> usize {
    size_of::<T>()
}

fn for_a_box<E: std::error::Error + Send + Sync + 'static>() -> usize {
    size_of::<E>()
}

/// The bounds are what is tested: this does not compile once a type loses them.
#[test]
fn main_types_are_send_and_sync() {
    let sizes = [
        for_threads::<Car>(),
        for_threads::<Day>(),
        for_threads::<Cycle>(),
        for_threads::<Samples>(),
        for_threads::<CarSpec>(),
        for_threads::<DaySpec>(),
        for_threads::<Knob>(),
        for_threads::<DayKnob>(),
        for_threads::<Ready>(),
        for_threads::<View<'_, f64>>(),
        for_threads::<CarOnDay<'_>>(),
        for_threads::<Driver>(),
        for_threads::<Throttle<'_>>(),
        for_threads::<Climber<'_>>(),
        for_threads::<RangeRun>(),
        for_threads::<ShortRange>(),
        for_threads::<FullThrottle>(),
        for_threads::<crownwheel_answers::RangeAnswer>(),
        for_threads::<crownwheel_answers::Table>(),
        for_threads::<Build>(),
        for_threads::<SweepBuild>(),
        for_threads::<Space>(),
        for_threads::<Model>(),
        for_threads::<DayModel>(),
        for_threads::<Worlds>(),
        for_threads::<Weights>(),
        for_threads::<Course>(),
        for_threads::<Plan<'_>>(),
        for_threads::<Runner<'_>>(),
        for_threads::<Decision>(),
    ];
    assert!(sizes.iter().all(|bytes| *bytes > 0));
}

#[test]
fn errors_go_through_a_box() {
    let sizes = [
        for_a_box::<SpecError>(),
        for_a_box::<CycleError>(),
        for_a_box::<FactsError>(),
        for_a_box::<Report>(),
    ];
    assert!(sizes.iter().all(|bytes| *bytes > 0));
}

#[test]
fn a_car_and_its_run_cross_threads_with_the_same_bits() -> Result<(), SpecError> {
    let car = Car::new(&crownwheel::example::small_saloon())?;
    let day = Day::new(&crownwheel::example::mild_day())?;
    let cycle = Cycle::builtin("hwfet").unwrap();
    let here = crownwheel::range::range(&car, &day, &cycle);
    let there = std::thread::scope(|threads| {
        let far = threads.spawn(|| crownwheel::range::range(&car, &day, &cycle));
        far.join().unwrap()
    });
    assert_eq!(here, there);
    Ok(())
}
