//! Nanoseconds per step, of the model and of the bare kernel, alone and side by side, measured in
//! turn.

use std::hint::black_box;
use std::time::Instant;

use crownwheel::batch::WIDTH;
use crownwheel::cycle::Cycle;
use crownwheel::drive::Driver;
use crownwheel::lane::Lane;
use crownwheel::ready::Ready;
use rayon::{ThreadPool, ThreadPoolBuilder};

use crate::bare::{BareCar, BareLanes};
use crate::demo::{Demo, count};
use crate::options::{drive_ready, start};
use crate::sides::{batch_pass, driven_pass, scalar_pass};

/// Options that a timing of the batch drives.
pub const BATCH_OPTIONS: usize = 4096;

/// Timings of each side; they alternate, so that a change of clock speed meets all.
const ROUNDS: usize = 11;

/// Timings of each scalar side within a round, of so many passes each: some milliseconds, far above
/// the clock's grain.
const SCALAR_TIMINGS: usize = 4;
const SCALAR_PASSES: usize = 20;

/// Length of a leg of the cycle that is driven here, s.
const LEG_S: f64 = 1.0;

/// State of charge at which the bare kernel starts.
const BARE_CHARGE: f64 = 0.9;

/// Nanoseconds per step (and option), medians over all rounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepRate {
    /// The full model, one car at a time.
    pub scalar_ns: f64,
    /// The same driven through a cycle by somebody who may change gear (in a car of one gear).
    pub driver_ns: f64,
    /// The full model, [`WIDTH`] options side by side, on one thread.
    pub batch_ns: f64,
    /// Making an option ready, spread over the steps of one pass.
    pub ready_ns: f64,
    /// The bare kernel.
    pub bare_scalar_ns: f64,
    /// The bare kernel side by side, at the width that is fastest for it.
    pub bare_batch_ns: f64,
    /// That width.
    pub bare_width: usize,
    /// Time of the batch on one thread over its time on two.
    pub two_thread_gain: f64,
}

/// Times all over the demo's cycle.
///
/// # Errors
/// An option is no car, or a thread could not be started; as text.
pub fn step_rate(demo: &Demo) -> Result<StepRate, String> {
    let mut bench = Bench::new(demo)?;
    let mut times = Times::default();
    for _ in 0..ROUNDS {
        bench.round(&mut times)?;
    }
    let per_step = |all: Vec<f64>| median(all) / demo.steps();
    let bare = [(4, times.bare_4), (8, times.bare_8), (16, times.bare_16)];
    let bare = bare.map(|(width, all)| (width, per_step(all)));
    let (bare_width, bare_batch_ns) = bare
        .into_iter()
        .fold((1, f64::INFINITY), |best, one| if one.1 < best.1 { one } else { best });
    let one_thread_ns = median(times.one_thread);
    Ok(StepRate {
        scalar_ns: per_step(times.scalar),
        driver_ns: per_step(times.driver),
        batch_ns: per_step(times.batch),
        ready_ns: per_step(times.ready),
        bare_scalar_ns: per_step(times.bare_scalar),
        bare_batch_ns,
        bare_width,
        two_thread_gain: one_thread_ns / median(times.two_threads),
    })
}

/// Nanoseconds of one pass by one option.
#[derive(Default)]
struct Times {
    scalar: Vec<f64>,
    driver: Vec<f64>,
    bare_scalar: Vec<f64>,
    batch: Vec<f64>,
    ready: Vec<f64>,
    bare_4: Vec<f64>,
    bare_8: Vec<f64>,
    bare_16: Vec<f64>,
    one_thread: Vec<f64>,
    two_threads: Vec<f64>,
}

/// All that is driven.
struct Bench<'a> {
    demo: &'a Demo,
    alone: Ready,
    driver: Driver,
    options: Vec<Ready>,
    bare: Vec<BareCar>,
    trace: Vec<f64>,
    pools: [ThreadPool; 2],
}

impl<'a> Bench<'a> {
    fn new(demo: &'a Demo) -> Result<Self, String> {
        let pool = |threads: usize| {
            let pool = ThreadPoolBuilder::new().num_threads(threads).build();
            pool.map_err(|error| format!("no pool of {threads} threads: {error}"))
        };
        let bare = BareCar::small_saloon();
        // As the final drive does with the full model's options.
        let ratio = |i: usize| bare.radps_per_mps * (0.9 + 0.2 * count(i % 100) / 99.0);
        Ok(Bench {
            demo,
            alone: Ready::new(&demo.car, &demo.day),
            driver: Driver::new(&demo.car, &demo.day),
            options: all_ready(demo)?,
            bare: (0..BATCH_OPTIONS).map(|i| BareCar { radps_per_mps: ratio(i), ..bare }).collect(),
            trace: speed_trace(&demo.cycle),
            pools: [pool(1)?, pool(2)?],
        })
    }

    fn round(&mut self, times: &mut Times) -> Result<(), String> {
        let (demo, start) = (self.demo, start(self.demo));
        for _ in 0..SCALAR_TIMINGS {
            let view = self.alone.view();
            let from_pack = |sums: crate::sides::Sums<f64>| sums.balance.sum.from_pack_j;
            times.scalar.push(scalar(|| from_pack(scalar_pass(&view, start, &demo.cycle))));
            times.driver.push(scalar(|| driven_pass(&mut self.driver, start, &demo.cycle)));
            let bare = black_box(BareCar::small_saloon());
            times.bare_scalar.push(scalar(|| bare.drive(BARE_CHARGE, &self.trace, LEG_S)));
        }
        times.batch.push(each_option(|| {
            let used = |cars: &[Ready; WIDTH]| {
                batch_pass(cars.each_ref(), start, &demo.cycle).balance.sum.terminals_j.lane(0)
            };
            self.options.as_chunks::<WIDTH>().0.iter().map(used).sum()
        }));
        times.bare_4.push(each_option(|| self.bare_batch::<4>()));
        times.bare_8.push(each_option(|| self.bare_batch::<8>()));
        times.bare_16.push(each_option(|| self.bare_batch::<16>()));
        let [one, two] = &self.pools;
        let threaded = || drive_ready(demo, self.options.as_chunks().0, start);
        times.one_thread.push(each_option(|| one.install(threaded)));
        times.two_threads.push(each_option(|| two.install(threaded)));
        let mut made = Ok(Vec::new());
        times.ready.push(each_option(|| {
            made = all_ready(demo);
            0.0
        }));
        made.map(drop)
    }

    fn bare_batch<const N: usize>(&self) -> f64 {
        let (groups, _) = self.bare.as_chunks::<N>();
        let charge = |cars: &[BareCar; N]| {
            BareLanes::of(black_box(cars)).drive(BARE_CHARGE, &self.trace, LEG_S)[0]
        };
        groups.iter().map(charge).sum()
    }
}

/// The options of the batch.
fn all_ready(demo: &Demo) -> Result<Vec<Ready>, String> {
    (0..BATCH_OPTIONS).map(|i| demo.option(i)).collect()
}

/// Speeds at the ends of the legs, m/s, the start first.
#[must_use]
pub fn speed_trace(cycle: &Cycle) -> Vec<f64> {
    let ends = cycle.legs().iter().map(|leg| leg.target_mps);
    std::iter::once(cycle.start_mps()).chain(ends).collect()
}

/// Nanoseconds of one pass by one car.
fn scalar(mut pass: impl FnMut() -> f64) -> f64 {
    let start = Instant::now();
    for _ in 0..SCALAR_PASSES {
        black_box(pass());
    }
    start.elapsed().as_secs_f64() * 1e9 / count(SCALAR_PASSES)
}

/// Nanoseconds for each option of something done to all.
fn each_option(all: impl FnOnce() -> f64) -> f64 {
    let start = Instant::now();
    black_box(all());
    start.elapsed().as_secs_f64() * 1e9 / count(BATCH_OPTIONS)
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_is_the_middle_one() {
        assert_eq!(median(vec![9.0, 1.0, 2.0]).to_bits(), 2.0_f64.to_bits());
    }

    #[test]
    fn the_bare_sides_drive_the_whole_cycle_and_use_about_as_much() {
        let demo = Demo::load().unwrap();
        let trace = speed_trace(&demo.cycle);
        assert_eq!(trace.len(), 1801);
        let car = BareCar::small_saloon();
        let end = car.drive(BARE_CHARGE, &trace, LEG_S);
        let bare_kwh = (BARE_CHARGE - end) * 20.6;
        assert!((2.5..4.5).contains(&bare_kwh), "{bare_kwh} kWh");
        let beside = BareLanes::of(&[car; 4]).drive(BARE_CHARGE, &trace, LEG_S);
        assert_eq!(beside.map(f64::to_bits), [end.to_bits(); 4]);
    }

    #[test]
    fn every_width_of_the_bare_kernel_drives_every_option() {
        for width in [WIDTH, 4, 8, 16] {
            assert_eq!(BATCH_OPTIONS % width, 0, "{width}");
        }
        let demo = Demo::load().unwrap();
        assert_eq!(all_ready(&demo).unwrap().len(), BATCH_OPTIONS);
    }
}
