//! What the build, the meter, the cleaning, the day and the model are unsure of, with its effect on the observations.

use crownwheel::constants::ZERO_CELSIUS_K;
use crownwheel::knob::{DayKnob, Knob};
use crownwheel::spec::{CarSpec, DaySpec, Wind};
use crownwheel_files::Build;

use super::blocks::Blocks;
use super::model::{DriveRun, Model};

/// Standard deviation of a meter's gain, of volts times amperes (engineer's judgement for a shunt of
/// half a per cent and a divider).
pub const METER_SD: f64 = 0.01;

/// Standard deviation of the energy that comes back, as a part of it, from averaging the log's speed:
/// short and hard braking is smoothed (engineer's judgement).
pub const SMOOTHING_SD: f64 = 0.03;

/// Standard deviation of standing loads from day to day, W (engineer's judgement): lamps, blower and wipers.
pub const LOAD_SD_W: f64 = 40.0;

/// Standard deviation of the load aboard, kg (engineer's judgement).
pub const ABOARD_SD_KG: f64 = 10.0;

/// Standard deviation of the share of regeneration that a build gives without a band (engineer's
/// judgement).
pub const REGEN_SD: f64 = 0.03;

/// Standard deviation of the mean wind along the way on a day whose build names none, m/s at 10 m
/// (engineer's judgement: 3 m/s from anywhere, on a way that is partly a round).
pub const HEADWIND_SD_MPS: f64 = 1.5;

/// Standard deviation of what a cold pack takes back, as a part of it, at 0 °C; none from [`WARM_PACK_K`] up
/// (engineer's judgement: a battery's manager allows less in the cold, each by its own rule).
pub const COLD_BACK_SD: f64 = 0.2;

/// A pack from this temperature takes all that it takes when warm, K.
pub const WARM_PACK_K: f64 = ZERO_CELSIUS_K + 15.0;

/// Height that weather stations measure wind at, m (WMO guide to instruments of observation).
const WIND_HEIGHT_M: f64 = 10.0;

/// Something unsure.
#[derive(Clone, Debug)]
pub(super) struct UncertainTerm {
    /// Change of every observation for one standard deviation.
    pub(super) effect: Vec<f64>,
    /// The same for the resistance, ohm.
    pub(super) resistance_ohm: f64,
    /// It belongs to the meter or to the cleaning of the log, not to the car.
    pub(super) is_of_log: bool,
}

impl UncertainTerm {
    /// Of the car, without a change of the resistance.
    fn of_car(effect: Vec<f64>) -> UncertainTerm {
        UncertainTerm { effect, resistance_ohm: 0.0, is_of_log: false }
    }

    fn of_log(effect: Vec<f64>) -> UncertainTerm {
        UncertainTerm { is_of_log: true, ..UncertainTerm::of_car(effect) }
    }
}

/// Finds the effect of everything unsure by driving the model again.
pub(super) struct Sensitivity<'a> {
    pub(super) build: &'a Build,
    pub(super) car: &'a CarSpec,
    pub(super) day: &'a DaySpec,
    pub(super) model: &'a Model<'a>,
    pub(super) blocks: &'a Blocks,
    pub(super) run: &'a DriveRun,
}

impl Sensitivity<'_> {
    /// Every term.
    pub(super) fn terms(&self) -> Vec<UncertainTerm> {
        let mut all = self.of_the_build();
        all.extend(self.of_the_day());
        all.extend(self.of_the_model());
        let predicted = self.blocks.predicted(self.run);
        let times = |sd: f64, of: &[f64]| of.iter().map(|value| sd * value).collect::<Vec<f64>>();
        let back = self.blocks.only_back(&predicted);
        let pack_k = self.day.pack_temperature_k.unwrap_or(self.day.temperature_k);
        let cold_sd = COLD_BACK_SD * ((WARM_PACK_K - pack_k) / 15.0).clamp(0.0, 1.5);
        all.push(UncertainTerm::of_log(times(METER_SD, &predicted)));
        all.push(UncertainTerm::of_log(times(SMOOTHING_SD, &back)));
        all.push(UncertainTerm::of_car(times(cold_sd, &back)));
        all
    }

    fn of_the_build(&self) -> Vec<UncertainTerm> {
        let spreads = self.build.spreads.iter().map(|(path, spread)| {
            let sd = if path.starts_with("model.") { 0.0 } else { spread.standard_deviation() };
            (path.as_str(), sd)
        });
        let has = |path: &str| self.build.spreads.get(path).is_some_and(|it| !it.is_exact());
        let judged = [("luggage.mass", ABOARD_SD_KG), ("regen.share", REGEN_SD)];
        let judged = judged.into_iter().filter(|(path, _)| !has(path));
        let moved = spreads.chain(judged).filter(|(_, sd)| *sd > 0.0);
        moved
            .filter_map(|(path, sd)| self.of_number(Knob::find(path, self.car).ok()?, sd))
            .collect()
    }

    /// A standard deviation of a number of the car, both ways.
    fn of_number(&self, knob: Knob, sd: f64) -> Option<UncertainTerm> {
        self.both_ways(|side| {
            let mut car = self.car.clone();
            let value = knob.get(&car)?;
            knob.set(&mut car, value + side * sd).ok()?;
            self.model.run(&car, self.day).ok()
        })
    }

    fn of_the_day(&self) -> Vec<UncertainTerm> {
        let on = |day: DaySpec| self.model.run(self.car, &day).ok();
        let load = self.both_ways(|side| {
            let extra_load_w = self.day.extra_load_w + side * LOAD_SD_W;
            on(DaySpec { extra_load_w, ..self.day.clone() })
        });
        let wind = self.both_ways(|side| {
            let wind =
                Wind::AlongRoad { speed_mps: side * HEADWIND_SD_MPS, height_m: WIND_HEIGHT_M };
            on(DaySpec { wind, ..self.day.clone() })
        });
        let wind = wind.filter(|_| self.day.wind == Wind::Calm);
        let numbers = self.build.spreads.iter().filter_map(|(path, spread)| {
            let (knob, sd) = (DayKnob::find(path, self.day).ok()?, spread.standard_deviation());
            self.both_ways(|side| {
                let mut day = self.day.clone();
                knob.set(&mut day, knob.get(self.day)? + side * sd).ok()?;
                on(day)
            })
        });
        numbers.chain(load).chain(wind).collect()
    }

    /// What the model leaves out, of this car and of this trip; it need not be the same slow and fast.
    fn of_the_model(&self) -> Vec<UncertainTerm> {
        let of_car =
            self.build.spreads.get("model.use_scale").map_or(0.0, |it| it.standard_deviation());
        let of_trip = self.car.model.trip_sd_over(self.model.cycle.distance_m());
        let even = [of_car, of_trip].map(|sd| self.blocks.scaled(self.run, sd));
        let tilted =
            self.blocks.tilted(&self.blocks.scaled(self.run, libm::hypot(of_car, of_trip)));
        even.into_iter().chain([tilted]).map(UncertainTerm::of_car).collect()
    }

    /// Change for one standard deviation, from a run to either side.
    fn both_ways(&self, run_at: impl Fn(f64) -> Option<DriveRun>) -> Option<UncertainTerm> {
        let (effect, resistance_ohm) = self.blocks.change(run_at, self.run, 1.0)?;
        Some(UncertainTerm { effect, resistance_ohm, is_of_log: false })
    }
}
