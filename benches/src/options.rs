//! Many options through the batch in memory: each is made when its turn comes, and one small result
//! is kept.

use crownwheel::batch::WIDTH;
use crownwheel::drive::start_state;
use crownwheel::lane::Lane;
use crownwheel::ready::Ready;
use crownwheel::step::State;
use rayon::prelude::*;

use crate::demo::Demo;
use crate::sides::{Sums, batch_pass};

/// What is kept of an option.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kept {
    /// Energy at the pack's terminals over the cycle, net, J.
    pub use_j: f64,
    /// Distance driven, m.
    pub distance_m: f64,
}

impl Kept {
    fn of(sums: &Sums<crownwheel::batch::Side>, lane: usize) -> Kept {
        Kept {
            use_j: sums.balance.sum.terminals_j.lane(lane),
            distance_m: sums.distance_m.lane(lane),
        }
    }

    /// Use, Wh/km.
    #[must_use]
    pub fn wh_per_km(&self) -> f64 {
        self.use_j / 3.6 / self.distance_m
    }
}

/// State of every option at the start: the demo's, full and cold.
#[must_use]
pub fn start(demo: &Demo) -> State<f64> {
    start_state(&demo.car, &demo.day, &demo.cycle)
}

/// Drives options `0..number` once on the threads of the current pool; results in their order, the
/// same at any number of threads.
///
/// # Errors
/// Why an option is no car, as text.
pub fn drive_options(demo: &Demo, number: usize) -> Result<Vec<Kept>, String> {
    let start = start(demo);
    let mut kept = vec![Kept { use_j: 0.0, distance_m: 0.0 }; number];
    let blocks = kept.par_chunks_mut(WIDTH).enumerate();
    blocks.try_for_each(|(block, slots)| {
        let ready: Vec<Ready> =
            (0..slots.len()).map(|i| demo.option(block * WIDTH + i)).collect::<Result<_, _>>()?;
        // Empty lanes of the last block repeat its last car; nobody reads them.
        let cars = std::array::from_fn(|i| &ready[i.min(ready.len() - 1)]);
        let sums = batch_pass(cars, start, &demo.cycle);
        for (i, slot) in slots.iter_mut().enumerate() {
            *slot = Kept::of(&sums, i);
        }
        Ok::<(), String>(())
    })?;
    Ok(kept)
}

/// Drives cars that are ready, eight at a time, on the threads of the current pool: what they use
/// together, J.
#[must_use]
pub fn drive_ready(demo: &Demo, ready: &[[Ready; WIDTH]], start: State<f64>) -> f64 {
    let drive = |cars: &[Ready; WIDTH]| batch_pass(cars.each_ref(), start, &demo.cycle);
    let used: Vec<f64> =
        ready.par_iter().map(|cars| drive(cars).balance.sum.terminals_j.lane(0)).collect();
    used.iter().sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_do_not_depend_on_threads_or_on_the_number_of_options() {
        let demo = Demo::load().unwrap();
        let on = |threads: usize, number: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| drive_options(&demo, number)).unwrap()
        };
        let one = on(1, 203);
        assert_eq!(one, on(2, 203));
        assert_eq!(one[..13], on(2, 13));
        // A longer final drive and less luggage: every option has its own use.
        assert!(one.windows(2).all(|pair| pair[0] != pair[1]));
        assert!(one.iter().all(|kept| (90.0..200.0).contains(&kept.wh_per_km())));
    }
}
