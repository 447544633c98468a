//! Cars that choose gears, side by side: each with its own driver, who decides as he does alone.
//!
//! A leg is stepped in every gear that somebody is in, and in all of them where somebody tries; then each lane takes its own.

use std::sync::Arc;

use super::run::CarRun;
use super::tally::Tally;
use super::{CarOnDay, ShortRange};
use crate::batch::{LegView, Side, WIDTH, Watch};
use crate::cycle::{Cycle, Leg};
use crate::drive::{Driver, Trial};
use crate::lane::Lane;
use crate::ready::{Ready, View};
use crate::step::{State, Step, step};

/// Repeats until every run has ended; of [`WIDTH`] cars that have the same number of gears.
pub(super) fn drive_geared(
    cases: &[CarOnDay<'_>; WIDTH],
    cycle: &Cycle,
    runs: &mut [CarRun<'_>],
) -> Vec<ShortRange> {
    let mut drivers = cases.map(|case| Driver::new(case.car, case.day));
    let gears = drivers.each_ref().map(|driver| Arc::clone(&driver.gears));
    let views: Vec<View<'_, Side>> = (0..gears[0].len())
        .map(|gear| Ready::side_by_side(std::array::from_fn(|lane| &gears[lane][gear])))
        .collect();
    let mut tally = Tally::<Side>::new(cycle, |i| runs[i].levels);
    while runs.iter().any(|run| !run.has_ended()) {
        tally.begin(|i| runs[i].has_ended());
        let mut pass = GearedPass {
            views: &views,
            legs: cycle.legs(),
            ended: std::array::from_fn(|lane| runs[lane].has_ended()),
            state: State::each(|lane| runs[lane].start()),
            drivers: &mut drivers,
            tally: &mut tally,
        };
        #[cfg(feature = "simd")]
        let end = pulp::Arch::new().dispatch(&mut pass);
        #[cfg(not(feature = "simd"))]
        let end = pass.drive();
        tally.end_pass();
        for (lane, run) in runs.iter_mut().enumerate() {
            run.take(&tally, lane, &end.lane(lane));
        }
    }
    runs.iter().enumerate().map(|(lane, run)| run.driven(&tally, lane)).collect()
}

struct GearedPass<'a, 'v> {
    views: &'a [View<'v, Side>],
    legs: &'a [Leg],
    ended: [bool; WIDTH],
    state: State<Side>,
    drivers: &'a mut [Driver; WIDTH],
    tally: &'a mut Tally<Side>,
}

#[cfg(feature = "simd")]
impl pulp::WithSimd for &mut GearedPass<'_, '_> {
    type Output = State<Side>;

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) -> State<Side> {
        self.drive()
    }
}

impl GearedPass<'_, '_> {
    /// All legs once.
    #[inline(always)]
    fn drive(&mut self) -> State<Side> {
        let Some(first) = self.legs.first() else { return self.state };
        let mut trials = Vec::with_capacity(self.views.len());
        for view in self.views {
            trials.push(step(view, first, &self.state));
        }
        let mut stepped = vec![true; trials.len()];
        for (place, leg) in self.legs.iter().enumerate() {
            if place > 0 {
                self.mark_in_use(&mut stepped);
                for (gear, view) in self.views.iter().enumerate() {
                    if stepped[gear] {
                        trials[gear] = step(view, leg, &self.state);
                    }
                }
                if self.somebody_tries(leg, &trials) {
                    for (gear, view) in self.views.iter().enumerate() {
                        if !stepped[gear] && self.somebody_may_take(gear) {
                            trials[gear] = step(view, leg, &self.state);
                        }
                    }
                }
            }
            let done = self.chosen(leg, &trials);
            let goes_on = self.tally.leg(LegView { leg, before: &self.state, step: &done });
            self.state = done.state;
            if !goes_on {
                break;
            }
        }
        self.state
    }
}

impl GearedPass<'_, '_> {
    /// Marks the gears that are in.
    fn mark_in_use(&self, gears: &mut [bool]) {
        gears.fill(false);
        let on = self.drivers.iter().zip(&self.ended).filter(|(_, ended)| !**ended);
        on.for_each(|(driver, _)| gears[driver.gear] = true);
    }

    /// Whether a gear is not too low for the speed of everybody.
    fn somebody_may_take(&self, gear: usize) -> bool {
        let mut lanes = self.drivers.iter().zip(&self.ended).enumerate();
        lanes.any(|(lane, (driver, ended))| {
            !ended && driver.may_take(gear, self.state.speed_mps.lane(lane))
        })
    }

    fn somebody_tries(&self, leg: &Leg, trials: &[Step<Side>]) -> bool {
        self.drivers.iter().enumerate().any(|(lane, driver)| {
            let before_mps = self.state.speed_mps.lane(lane);
            let stay_mps = trials[driver.gear].state.speed_mps.lane(lane);
            !self.ended[lane] && driver.tries(leg, before_mps, stay_mps)
        })
    }

    /// What every lane's driver takes of the leg in each gear.
    fn chosen(&mut self, leg: &Leg, trials: &[Step<Side>]) -> Step<Side> {
        let mut own: [Option<Step<f64>>; WIDTH] = [None; WIDTH];
        for (lane, driver) in self.drivers.iter_mut().enumerate() {
            if self.ended[lane] {
                continue;
            }
            let before = self.state.lane(lane);
            let trial = |_: &Driver, gear: usize| {
                let step = &trials[gear];
                Trial {
                    speed_mps: step.state.speed_mps.lane(lane),
                    from_pack_j: step.energy.from_pack_j.lane(lane),
                    duration_s: step.duration_s.lane(lane),
                }
            };
            own[lane] = driver.choose(leg, &before, trial, |_, gear| trials[gear].lane(lane));
        }
        let gear = self.drivers[0].gear;
        if own.iter().all(Option::is_none) && self.drivers.iter().all(|it| it.gear == gear) {
            return trials[gear];
        }
        let lanes: [Step<f64>; WIDTH] = std::array::from_fn(|lane| {
            own[lane].unwrap_or_else(|| trials[self.drivers[lane].gear].lane(lane))
        });
        Step::each(|lane| &lanes[lane])
    }
}
