//! Ranges of many cars, side by side.

use super::geared::drive_geared;
use super::run::{CarRun, Manner};
use super::tally::Tally;
use super::{CarOnDay, ShortRange, route_start};
use crate::batch::{LegView, Side, WIDTH, Watch, pass};
use crate::cycle::Cycle;
use crate::drive::{DrivenLeg, Driver, drive, start_state};
use crate::lane::Lane;
use crate::ready::{Ready, View};
use crate::step::State;

/// Range of several cars, each on its day, over one cycle; results in the order given.
///
/// ```
/// use crownwheel::{cycle::Cycle, ready::Ready};
/// use crownwheel::range::{CarOnDay, short_range, short_ranges};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let (ready, cycle) = (Ready::new(&car, &day), Cycle::steady(20.0));
/// let case = CarOnDay { car: &car, day: &day, ready: &ready };
/// let both = short_ranges(&[case, case], &cycle);
/// assert_eq!(both[1], short_range(&case, &cycle));
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn short_ranges(cases: &[CarOnDay<'_>], cycle: &Cycle) -> Vec<ShortRange> {
    scaled(cases, driven_ranges(cases, cycle))
}

/// As [`short_ranges`] before what the model leaves out, `model.use_scale`: runs as they were driven.
#[must_use]
pub fn driven_ranges(cases: &[CarOnDay<'_>], cycle: &Cycle) -> Vec<ShortRange> {
    let runs = cases.iter().map(|case| new_run(case, cycle)).collect();
    in_blocks(cases, cycle, runs)
}

fn scaled(cases: &[CarOnDay<'_>], driven: Vec<ShortRange>) -> Vec<ShortRange> {
    let pairs = cases.iter().zip(driven);
    pairs.map(|(case, run)| run.scaled(case.car.spec().model.use_scale)).collect()
}

/// Several cars, each on its day, over a route once, from a state of charge: as [`once`](super::once) drives it; results
/// in the order given.
///
/// ```
/// use crownwheel::{cycle::Cycle, ready::Ready};
/// use crownwheel::range::{CarOnDay, RangeEnd, once, short_onces};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let (ready, route) = (Ready::new(&car, &day), Cycle::builtin("udds").expect("it is built in"));
/// let case = CarOnDay { car: &car, day: &day, ready: &ready };
/// let short = short_onces(&[case, case], &route, 0.9)[1];
/// let whole = once(&car, &day, &route, 0.9);
/// assert_eq!((short.end, short.end_charge_frac), (RangeEnd::Arrived, whole.end_charge_frac));
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn short_onces(cases: &[CarOnDay<'_>], route: &Cycle, from_frac: f64) -> Vec<ShortRange> {
    let runs = cases.iter().map(|&CarOnDay { car, day, .. }| {
        CarRun::new(car, day, route, route_start(car, day, route, from_frac), Manner::Once)
    });
    scaled(cases, in_blocks(cases, route, runs.collect()))
}

/// Range of one car on a day over a cycle: the same bits as [`short_ranges`] give.
///
/// ```
/// use crownwheel::{cycle::Cycle, ready::Ready};
/// use crownwheel::range::{CarOnDay, range, short_range};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let (ready, cycle) = (Ready::new(&car, &day), Cycle::builtin("hwfet").expect("it is built in"));
/// let case = CarOnDay { car: &car, day: &day, ready: &ready };
/// // Within some per cent of driving every repeat, by the first two.
/// let short = short_range(&case, &cycle);
/// assert!((short.distance_m / range(&car, &day, &cycle).distance_m - 1.0).abs() < 0.05);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn short_range(case: &CarOnDay<'_>, cycle: &Cycle) -> ShortRange {
    one(case, cycle, new_run(case, cycle)).scaled(case.car.spec().model.use_scale)
}

fn new_run<'c>(case: &CarOnDay<'c>, cycle: &Cycle) -> CarRun<'c> {
    let start = start_state(case.car, case.day, cycle);
    CarRun::new(case.car, case.day, cycle, start, Manner::Range)
}

fn chooses_gears(case: &CarOnDay<'_>) -> bool {
    case.car.gears_in_use().len() > 1
}

fn one<'c>(case: &CarOnDay<'c>, cycle: &Cycle, mut run: CarRun<'c>) -> ShortRange {
    if chooses_gears(case) {
        let mut tally = Tally::<f64>::new(cycle, |_| run.levels);
        drive_alone(&mut Driver::new(case.car, case.day), cycle, &mut run, &mut tally, |_, _| {});
        return run.driven(&tally, 0);
    }
    drive_together::<f64>(&case.ready.view(), cycle, std::slice::from_mut(&mut run)).remove(0)
}

/// Every car on its run, as many side by side as there are lanes.
fn in_blocks<'c>(
    cases: &[CarOnDay<'c>],
    cycle: &Cycle,
    mut runs: Vec<CarRun<'c>>,
) -> Vec<ShortRange> {
    let mut ranges = Vec::with_capacity(cases.len());
    for part in cases.chunks(WIDTH) {
        let rest = runs.split_off(part.len());
        ranges.extend(side_by_side(part, cycle, std::mem::replace(&mut runs, rest)));
    }
    ranges
}

/// At most [`WIDTH`] cars.
fn side_by_side<'c>(
    cases: &[CarOnDay<'c>],
    cycle: &Cycle,
    mut runs: Vec<CarRun<'c>>,
) -> Vec<ShortRange> {
    let gears = |case: &CarOnDay<'_>| case.car.gears_in_use().len();
    if cases.len() == 1 || cases.iter().any(|case| gears(case) != gears(&cases[0])) {
        return cases.iter().zip(runs).map(|(case, run)| one(case, cycle, run)).collect();
    }
    // Empty lanes repeat the last car; nobody reads them.
    let last = cases.len() - 1;
    let cases: [CarOnDay<'_>; WIDTH] = std::array::from_fn(|i| cases[i.min(last)]);
    runs.resize(WIDTH, runs[last].clone());
    let mut ranges = if chooses_gears(&cases[0]) {
        drive_geared(&cases, cycle, &mut runs)
    } else {
        let view = Ready::side_by_side::<WIDTH>(cases.map(|case| case.ready));
        drive_together::<Side>(&view, cycle, &mut runs)
    };
    ranges.truncate(last + 1);
    ranges
}

/// Repeats until every run has ended.
fn drive_together<L: Lane>(
    view: &View<'_, L>,
    cycle: &Cycle,
    runs: &mut [CarRun<'_>],
) -> Vec<ShortRange> {
    let mut tally = Tally::<L>::new(cycle, |i| runs[i].levels);
    while runs.iter().any(|run| !run.has_ended()) {
        tally.begin(|i| runs[i].has_ended());
        let start = State::<L>::each(|i| runs[i].start());
        let end = pass(view, cycle.legs().iter(), start, &mut tally);
        tally.end_pass();
        for (i, run) in runs.iter_mut().enumerate() {
            run.take(&tally, i, &end.lane(i));
        }
    }
    runs.iter().enumerate().map(|(i, run)| run.driven(&tally, i)).collect()
}

/// Repeats of one car, with somebody at its gear lever, until its run has ended. `also` sees every leg
/// with the share of it that counts.
pub(super) fn drive_alone(
    driver: &mut Driver,
    cycle: &Cycle,
    run: &mut CarRun<'_>,
    tally: &mut Tally<f64>,
    mut also: impl FnMut(&DrivenLeg<'_>, f64),
) {
    while !run.has_ended() {
        tally.begin(|_| false);
        let mut state = run.start();
        drive(driver, cycle, &mut state, |driven| {
            let DrivenLeg { leg, before, step, .. } = driven;
            let goes_on = tally.leg(LegView { leg, before, step });
            also(&driven, tally.share);
            goes_on
        });
        tally.end_pass();
        run.take(tally, 0, &state);
    }
}
