//! What a loaded build is asked, with bands: the same for the command line and for other programs.

use crownwheel::Cycle;
use crownwheel::gauges::{FinalDrive, SpeedometerDrive};
use crownwheel::hold::Climb;
use crownwheel::spec::{FirstStage, RollingSpec};
use crownwheel::tyre::rolling_radius_m;
use crownwheel_files::outside::Speedometer;

use super::loaded::LoadedBuild;
use super::{AskError, AskedWorlds, Bands};
use crate::from_car::{self, ChargeAsked, Hill, RangeRequest, SpeedometerSource};
use crate::pull::RatioLine;
use crate::{ChargeAnswer, CheckAnswer, GaugesAnswer, PullAnswer, RangeAnswer, WeighAnswer};

/// Cycle that km of range an hour hold for.
const RANGE_CYCLE: &str = "wltc3b";

impl LoadedBuild {
    /// What was understood. `worlds` tell what a line would narrow: 2,000 without a number, 1 for none.
    ///
    /// # Errors
    /// A demand asks what nothing gives.
    pub fn check(&mut self, worlds: AskedWorlds) -> Result<CheckAnswer, AskError> {
        if let Some(bands) = Bands::new(self, worlds)? {
            bands.judge_and_narrow(self)?;
        }
        Ok(from_car::check(&self.subject))
    }

    /// Corner weights before and after.
    #[must_use]
    pub fn weigh(&self) -> WeighAnswer {
        from_car::weigh(&self.subject)
    }

    /// What the old gauges read.
    #[must_use]
    pub fn gauges(&self) -> GaugesAnswer {
        let before = self.build.speedometer.as_ref().map(speedometer);
        from_car::gauges(&self.subject, before.as_ref())
    }

    /// Use and range, with bands from so many worlds.
    ///
    /// # Errors
    /// A measured fact's cycle cannot be read, or the computation gives nothing.
    pub fn range(
        &mut self,
        wanted: &RangeRequest,
        worlds: AskedWorlds,
    ) -> Result<RangeAnswer, AskError> {
        let bands = Bands::new(self, worlds)?;
        let mut answer = from_car::range(&self.subject, wanted);
        if let Some(bands) = &bands {
            bands.range(wanted, &mut answer)?;
        }
        Ok(answer)
    }

    /// Pull, hills and times on a day, with bands from so many worlds.
    ///
    /// # Errors
    /// As [`LoadedBuild::range`].
    pub fn pull(&mut self, day: usize, worlds: AskedWorlds) -> Result<PullAnswer, AskError> {
        let bands = Bands::new(self, worlds)?;
        let mut answer = self.nominal_pull(day);
        if let Some(bands) = &bands {
            bands.pull(day, &mut answer)?;
        }
        Ok(answer)
    }

    /// The same without bands.
    #[must_use]
    pub fn nominal_pull(&self, day: usize) -> PullAnswer {
        from_car::pull(&self.subject, day, &self.hills())
    }

    /// A row for each gear of a kept gearbox, as if it were the only one: `with` loads the build with a setting more.
    ///
    /// # Errors
    /// Those of `with`.
    pub fn gear_ratios<E>(
        &self,
        day: usize,
        with: impl Fn(String) -> Result<LoadedBuild, E>,
    ) -> Result<Vec<RatioLine>, E> {
        let FirstStage::Gearbox(gearbox) = &self.build.car.driveline.first else {
            return Ok(Vec::new());
        };
        let line = |gear: usize| {
            let loaded = with(format!("driveline.gearbox.gear={gear}"))?;
            Ok(loaded.ratio_line(format!("gear {gear}"), day))
        };
        (1..=gearbox.gears.len()).map(line).collect()
    }

    /// The car in its usual gear as a row beside others.
    #[must_use]
    pub fn ratio_line(&self, name: String, day: usize) -> RatioLine {
        let car = &self.subject.car;
        RatioLine::of(name, car.usual_gear() + 1, car.overall_ratio(), &self.nominal_pull(day))
    }

    /// The named hills of the build.
    #[must_use]
    pub fn hills(&self) -> Vec<Hill> {
        let hill = |hill: &crownwheel_files::outside::Hill| Hill {
            name: hill.name.clone(),
            length_m: hill.length_m,
            climb: Climb { speed_mps: hill.speed_mps, grade_frac: hill.grade_frac },
        };
        self.build.hills.iter().map(hill).collect()
    }

    /// A charge at each supply on a day between two states of charge, with bands from so many worlds.
    ///
    /// # Errors
    /// As [`LoadedBuild::range`].
    pub fn charge(
        &mut self,
        day: usize,
        between_frac: (f64, f64),
        worlds: AskedWorlds,
    ) -> Result<ChargeAnswer, AskError> {
        let bands = Bands::new(self, worlds)?;
        let mut answer = self.nominal_charge(day, between_frac);
        if let Some(bands) = &bands {
            bands.charge(day, &self.build.supplies, &mut answer)?;
        }
        Ok(answer)
    }

    /// The same without bands.
    #[must_use]
    pub fn nominal_charge(&self, day: usize, (from_frac, to_frac): (f64, f64)) -> ChargeAnswer {
        let supplies = self.build.supplies.clone();
        let wall_use = self.wall_use(day);
        let asked = ChargeAsked { day, from_frac, to_frac, supplies, wall_use };
        from_car::charge(&self.subject, &asked)
    }

    /// The usable part of the pack: its floor and its top.
    #[must_use]
    pub fn usable_frac(&self) -> (f64, f64) {
        let pack = &self.build.car.pack;
        (pack.floor_frac(), pack.usable_to_frac)
    }

    /// Use at the wall on the usual cycle.
    fn wall_use(&self, day: usize) -> Option<(f64, String)> {
        let cycles = vec![Cycle::builtin(RANGE_CYCLE).ok()?];
        let asked = RangeRequest { cycles, days: vec![day], ..RangeRequest::default() };
        let range = from_car::range(&self.subject, &asked);
        let result = range.results.first()?;
        Some((result.wall_wh_per_km, format!("{RANGE_CYCLE} ({})", result.day)))
    }
}

/// What the build says that the speedometer belonged to.
fn speedometer(given: &Speedometer) -> SpeedometerSource {
    SpeedometerSource {
        gearing: FinalDrive {
            final_drive_ratio: given.final_drive_ratio,
            rolling_radius_m: rolling_radius_m(&given.tyre, &RollingSpec::FromMark),
        },
        drive: if given.from_wheel {
            SpeedometerDrive::Wheel
        } else {
            SpeedometerDrive::PropellerShaft
        },
        pulses_per_turn: given.pulses_per_turn,
    }
}
