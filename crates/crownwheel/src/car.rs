//! A car: a description that was checked and laid out for running. Nothing in it can be invalid.

use std::sync::Arc;

use crate::driveline::{Inertia, effective_mass_kg};
use crate::grip::DrivenAxleSpec;
use crate::heat::MotorHeat;
use crate::limit::Limit;
use crate::motor::MotorTables;
use crate::road_load::along_road_m2ps2;
use crate::rules::car_problems;
use crate::spec::{
    CarSpec, DrivenAxle, FirstStage, GearboxSpec, MotorLossSpec, MotorSpec, RoadLoadSpec,
    RoadSurface, Shifting, SpecError,
};
use crate::table::Table;
use crate::tyre::{ROUGH_GRIP_FACTOR, rolling_radius_m};
use crate::weights::{LoadCase, LoadedCar, loaded};

/// Share of the roll stiffness at the front when none is given; counts only for the torque
/// reaction of a live axle. Engineer's judgement, ± 0.15.
pub const USUAL_FRONT_ROLL_SHARE: f64 = 0.6;

fn check(spec: &CarSpec) -> Result<(), SpecError> {
    car_problems(spec).into_iter().next().map_or(Ok(()), Err)
}

/// The road load's coefficients are from runs in which the motor turned.
fn motor_turned_in_coast_down(spec: &CarSpec) -> bool {
    match spec.road_load {
        RoadLoadSpec::Terms { .. } => false,
        RoadLoadSpec::Coefficients { turning, .. } => turning.motor,
    }
}

/// The motor with what the model leaves out of its torque.
fn pulling(spec: &CarSpec) -> MotorSpec {
    let curve_scale = spec.motor.curve_scale * spec.model.pull_scale;
    MotorSpec { curve_scale, ..spec.motor.clone() }
}

/// Whether two motors have the same tables but for factors.
fn same_sheets(one: &MotorSpec, other: &MotorSpec) -> bool {
    let same_losses = match (&one.losses, &other.losses) {
        (MotorLossSpec::Map(one), MotorLossSpec::Map(other)) => Arc::ptr_eq(one, other),
        (one, other) => one == other,
    };
    let same_ratio = one.phase_current_ratio.to_bits() == other.phase_current_ratio.to_bits();
    same_losses && same_ratio && Arc::ptr_eq(&one.curve, &other.curve)
}

/// Wheels that turn.
const WHEELS: f64 = 4.0;

/// A checked, ready-to-run car.
#[derive(Clone, Debug, PartialEq)]
pub struct Car {
    spec: CarSpec,
    driving: LoadedCar,
    rolling_radius_m: f64,
    pub(crate) motor: MotorTables,
    pub(crate) heat: Option<MotorHeat>,
    /// Open-circuit voltage of a cell, V, against state of charge.
    pub(crate) cell_v: Table,
}

impl Car {
    /// Checks a description and lays it out.
    ///
    /// # Errors
    /// The first thing that is wrong; [`Car::problems`] gives all.
    ///
    /// ```
    /// use crownwheel::{Car, example};
    /// let mut spec = example::small_saloon();
    /// assert!((Car::new(&spec)?.mass_kg() - 908.6).abs() < 1e-9);
    /// spec.driveline.axle.ratio = 0.0;
    /// assert_eq!(Car::new(&spec).unwrap_err().key(), "driveline.axle.ratio");
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    pub fn new(spec: &CarSpec) -> Result<Car, SpecError> {
        check(spec)?;
        let motor = MotorTables::new(&pulling(spec), motor_turned_in_coast_down(spec));
        let open_circuit = &spec.pack.open_circuit;
        let cell_v = Table::through(&open_circuit.charge_frac, &open_circuit.voltage_v);
        Car::of_tables(spec, motor, cell_v)
    }

    /// The same as [`Car::new`], quicker for a car that has the sheets of this one: what was laid out
    /// from a sheet (the same [`std::sync::Arc`]) is shared.
    ///
    /// # Errors
    /// The first thing that is wrong; [`Car::problems`] gives all.
    ///
    /// ```
    /// use crownwheel::{Car, example};
    /// let (mut spec, first) = (example::small_saloon(), Car::new(&example::small_saloon())?);
    /// spec.driveline.axle.ratio = 3.70;
    /// let second = first.beside(&spec)?;
    /// assert_eq!(second, Car::new(&spec)?);
    /// assert!((second.overall_ratio() - 5.55).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    pub fn beside(&self, spec: &CarSpec) -> Result<Car, SpecError> {
        check(spec)?;
        let elsewhere = motor_turned_in_coast_down(spec);
        let same_motor = same_sheets(&self.spec.motor, &spec.motor)
            && motor_turned_in_coast_down(&self.spec) == elsewhere;
        let motor = if same_motor {
            self.motor.rescaled(&pulling(spec))
        } else {
            MotorTables::new(&pulling(spec), elsewhere)
        };
        let open_circuit = &spec.pack.open_circuit;
        let cell_v = if Arc::ptr_eq(open_circuit, &self.spec.pack.open_circuit) {
            self.cell_v.clone()
        } else {
            Table::through(&open_circuit.charge_frac, &open_circuit.voltage_v)
        };
        Car::of_tables(spec, motor, cell_v)
    }

    fn of_tables(spec: &CarSpec, motor: MotorTables, cell_v: Table) -> Result<Car, SpecError> {
        let heat = MotorHeat::new(&spec.motor, &motor)?;
        Ok(Car {
            cell_v,
            driving: loaded(&spec.weights, &spec.pack, LoadCase::DriverOnly),
            rolling_radius_m: rolling_radius_m(&spec.tyres.mark, &spec.tyres.rolling),
            motor,
            heat,
            spec: spec.clone(),
        })
    }

    /// Everything that is wrong with a description, in the order of the build file.
    ///
    /// ```
    /// let mut spec = crownwheel::example::small_saloon();
    /// (spec.driveline.axle.ratio, spec.charger.efficiency_frac) = (-1.0, 1.5);
    /// assert_eq!(crownwheel::Car::problems(&spec).len(), 2);
    /// ```
    #[must_use]
    pub fn problems(spec: &CarSpec) -> Vec<SpecError> {
        let mut found = car_problems(spec);
        if found.is_empty() {
            found.extend(Car::new(spec).err());
        }
        found
    }

    /// The description.
    #[must_use]
    pub fn spec(&self) -> &CarSpec {
        &self.spec
    }

    /// Loads while driving: those aboard, and the luggage.
    #[must_use]
    pub fn driving(&self) -> &LoadedCar {
        &self.driving
    }

    /// Mass while driving, kg.
    #[must_use]
    pub fn mass_kg(&self) -> f64 {
        self.driving.corners.total_kg()
    }

    /// Rolling radius, m.
    ///
    /// See [`crate::tyre::rolling_radius_m`].
    ///
    /// ```
    /// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
    /// // 3.05 · 0.5782 m / 2π.
    /// assert!((car.rolling_radius_m() - 0.280_671).abs() < 1e-6);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn rolling_radius_m(&self) -> f64 {
        self.rolling_radius_m
    }

    /// Gears of the first stage; 1 without a gearbox.
    #[must_use]
    pub fn gear_count(&self) -> usize {
        self.spec.driveline.first.gear_count()
    }

    /// The gear that stands for the car where one must, counted from 0: the fixed one, or the top
    /// gear of a gearbox that is shifted.
    #[must_use]
    pub fn usual_gear(&self) -> usize {
        match &self.spec.driveline.first {
            FirstStage::Gearbox(GearboxSpec { shifting: Shifting::Fixed(gear), .. }) => *gear,
            first => first.gear_count() - 1,
        }
    }

    /// The gears that the driver uses, counted from 0.
    #[must_use]
    pub fn gears_in_use(&self) -> std::ops::Range<usize> {
        match &self.spec.driveline.first {
            FirstStage::Gearbox(GearboxSpec { gears, shifting: Shifting::LeastLoss { .. } }) => {
                0..gears.len()
            }
            _ => self.usual_gear()..self.usual_gear() + 1,
        }
    }

    /// Motor speed over wheel speed in the usual gear.
    ///
    /// ```
    /// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
    /// assert!((car.overall_ratio() - 1.5 * 4.22).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn overall_ratio(&self) -> f64 {
        self.overall_ratio_in(self.usual_gear())
    }

    /// Motor speed over wheel speed in a gear.
    #[must_use]
    pub fn overall_ratio_in(&self, gear: usize) -> f64 {
        let first = self.spec.driveline.first.stage(gear).map_or(1.0, |stage| stage.ratio);
        first * self.spec.driveline.axle.ratio
    }

    /// Motor shaft speed per road speed in the usual gear, rad/m.
    ///
    /// `i_1 i_2 / r`.
    ///
    /// ```
    /// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
    /// assert!((car.motor_radps_per_mps() * car.rolling_radius_m() - 6.33).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn motor_radps_per_mps(&self) -> f64 {
        self.overall_ratio() / self.rolling_radius_m
    }

    /// Everything that turns with the wheels in a gear.
    ///
    /// ```
    /// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
    /// // Four wheels of 0.62 kg m².
    /// assert!((car.inertia_in(0).wheels_kgm2 - 2.48).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn inertia_in(&self, gear: usize) -> Inertia {
        Inertia {
            wheels_kgm2: WHEELS * self.spec.tyres.wheel_inertia_kgm2,
            rotor_kgm2: self.spec.motor.rotor_inertia_kgm2,
            overall_ratio: self.overall_ratio_in(gear),
        }
    }

    /// Mass and everything that turns with it in the usual gear, kg.
    #[must_use]
    pub fn effective_mass_kg(&self) -> f64 {
        self.effective_mass_in_kg(self.usual_gear())
    }

    /// Mass and everything that turns with it in a gear, kg.
    ///
    /// [`effective_mass_kg`], without losses.
    ///
    /// ```
    /// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
    /// // 908.6 + (4 · 0.62 + 0.045 · 6.33²) / r².
    /// let turning_kg = (2.48 + 0.045 * 40.0689) / car.rolling_radius_m().powi(2);
    /// assert!((car.effective_mass_in_kg(0) - 908.6 - turning_kg).abs() < 1e-9);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn effective_mass_in_kg(&self, gear: usize) -> f64 {
        effective_mass_kg(self.mass_kg(), self.inertia_in(gear), self.rolling_radius_m)
    }

    /// Drag area, m². From coast-down coefficients it is what `f2` means in their own air.
    ///
    /// `C_d A`, or `2 f2 / ρ`.
    ///
    /// ```
    /// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
    /// assert!((car.drag_area_m2() - 0.43 * 1.66).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn drag_area_m2(&self) -> f64 {
        match self.spec.road_load {
            RoadLoadSpec::Terms { drag, .. } => drag.area_m2(),
            RoadLoadSpec::Coefficients { f2_n_per_mps2, temperature_k, pressure_pa, .. } => {
                let air = crate::air::AirState { temperature_k, pressure_pa, humidity_frac: 0.5 };
                f2_n_per_mps2 / (0.5 * crate::air::density_kgpm3(air) * along_road_m2ps2(1.0, 0.0))
            }
        }
    }

    /// Rolling resistance coefficient on a dry road at 20 °C.
    ///
    /// `C_rr` times `drum_to_road`, N/N.
    ///
    /// ```
    /// let mut spec = crownwheel::example::small_saloon();
    /// (spec.tyres.rolling_resistance, spec.tyres.drum_to_road) = (0.010, 1.1);
    /// assert!((crownwheel::Car::new(&spec)?.rolling_resistance() - 0.011).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn rolling_resistance(&self) -> f64 {
        self.spec.tyres.rolling_resistance * self.spec.tyres.drum_to_road
    }

    /// Grip on a road surface.
    ///
    /// ```
    /// use crownwheel::spec::RoadSurface;
    /// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
    /// // Rough is 0.8 of dry, engineer's judgement.
    /// assert!((car.grip(RoadSurface::Rough) - 0.64).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn grip(&self, road: RoadSurface) -> f64 {
        match road {
            RoadSurface::Dry => self.spec.tyres.grip_dry,
            RoadSurface::Wet => self.spec.tyres.grip_wet,
            RoadSurface::Ice => self.spec.tyres.grip_ice,
            RoadSurface::Rough => ROUGH_GRIP_FACTOR * self.spec.tyres.grip_dry,
        }
    }

    /// The driven axle, for traction limits.
    ///
    /// ```
    /// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
    /// let rear_n = car.driving().corners.rear_axle_kg() * 9.806_65;
    /// assert!((car.driven_axle().static_load_n - rear_n).abs() < 1e-9);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn driven_axle(&self) -> DrivenAxleSpec {
        let (weights, driveline) = (&self.spec.weights, &self.spec.driveline);
        let corners = &self.driving.corners;
        let front_share = weights.front_roll_share.unwrap_or(USUAL_FRONT_ROLL_SHARE);
        let (load_kg, track_m, other_share) = match driveline.driven_axle {
            DrivenAxle::Front => {
                (corners.front_axle_kg(), weights.track_front_m, 1.0 - front_share)
            }
            DrivenAxle::Rear => (corners.rear_axle_kg(), weights.track_rear_m, front_share),
        };
        DrivenAxleSpec {
            axle: driveline.driven_axle,
            differential: driveline.differential,
            live_axle: driveline.live_axle,
            static_load_n: load_kg * crate::constants::STANDARD_GRAVITY_MPS2,
            height_over_wheelbase: self.driving.centre_of_gravity_height_m / weights.wheelbase_m,
            rolling_radius_m: self.rolling_radius_m,
            track_m,
            final_drive_ratio: driveline.axle.ratio,
            other_axle_roll_share: other_share,
        }
    }

    /// Highest road speed that the motor's speed permits in any gear that is used, m/s.
    #[must_use]
    pub fn speed_cap_mps(&self) -> f64 {
        self.speed_limit().0
    }

    /// The same, and what it is in the gear that allows it.
    pub(crate) fn speed_limit(&self) -> (f64, Limit) {
        let gears = self.gears_in_use().map(|gear| self.speed_limit_in(gear));
        gears.fold((0.0, Limit::MotorSpeed), |most, it| if it.0 > most.0 { it } else { most })
    }

    /// Highest road speed that the motor's speed permits in a gear, m/s.
    ///
    /// `ω_max r / i`.
    ///
    /// ```
    /// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
    /// // 8,000 rpm through 6.33.
    /// let cap_mps = 8_000.0 * std::f64::consts::PI / 30.0 / 6.33 * car.rolling_radius_m();
    /// assert!((car.speed_cap_in_mps(0) - cap_mps).abs() < 1e-9);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn speed_cap_in_mps(&self, gear: usize) -> f64 {
        self.speed_limit_in(gear).0
    }

    /// The same, and what it is: the motor's speed, or the speed that a stage is rated for.
    #[must_use]
    pub fn speed_limit_in(&self, gear: usize) -> (f64, Limit) {
        let driveline = &self.spec.driveline;
        let first = driveline.first.stage(gear);
        let first_ratio = first.map_or(1.0, |stage| stage.ratio);
        let at_motor = first.and_then(|stage| stage.max_speed_radps);
        let at_axle = driveline.axle.max_speed_radps.map(|radps| radps * first_ratio);
        let rated = at_motor.into_iter().chain(at_axle).fold(f64::INFINITY, f64::min);
        let motor = self.spec.motor.max_speed_radps;
        let limit = if rated < motor { Limit::StageRating } else { Limit::MotorSpeed };
        let radps = motor.min(rated);
        (radps * self.rolling_radius_m / self.overall_ratio_in(gear), limit)
    }

    /// Lowest state of charge in use on a day.
    ///
    /// [`crate::spec::PackSpec::floor_at_frac`] at the pack's temperature of the day.
    ///
    /// ```
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// assert!((car.floor_frac(&day) - 0.08).abs() < 1e-12);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn floor_frac(&self, day: &crate::day::Day) -> f64 {
        self.spec.pack.floor_at_frac(day.pack_temperature_k())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::small_saloon;
    use crate::spec::StageSpec;

    /// The longest gear caps the speed, wherever it stands in the list.
    #[test]
    fn a_stage_turns_no_faster_than_it_is_rated_for() -> Result<(), SpecError> {
        let mut spec = small_saloon();
        let motor_mps = Car::new(&spec)?.speed_cap_mps();
        let FirstStage::Reduction(reduction) = &mut spec.driveline.first else {
            panic!("it has one")
        };
        reduction.max_speed_radps = Some(0.75 * spec.motor.max_speed_radps);
        let (cap_mps, limit) = Car::new(&spec)?.speed_limit_in(0);
        assert!((cap_mps / motor_mps - 0.75).abs() < 1e-12 && limit == Limit::StageRating);
        // The axle's input turns slower than the motor by the reduction.
        spec.driveline.axle.max_speed_radps = Some(0.4 * spec.motor.max_speed_radps);
        let (cap_mps, _) = Car::new(&spec)?.speed_limit_in(0);
        assert!((cap_mps / motor_mps - 0.4 * 1.5).abs() < 1e-12, "{cap_mps}");
        Ok(())
    }

    #[test]
    fn the_speed_cap_is_that_of_the_longest_gear_in_use() -> Result<(), SpecError> {
        let mut spec = small_saloon();
        let gear = StageSpec { ratio: 1.0, ..spec.driveline.axle };
        let gears = vec![StageSpec { ratio: 3.0, ..gear }, gear, StageSpec { ratio: 2.0, ..gear }];
        let with = |shifting| FirstStage::Gearbox(GearboxSpec { gears: gears.clone(), shifting });
        spec.driveline.first = with(Shifting::LeastLoss { dwell_s: 4.0, shift_s: 0.6 });
        let car = Car::new(&spec)?;
        let direct_mps = spec.motor.max_speed_radps * car.rolling_radius_m() / 4.22;
        assert!((car.speed_cap_mps() - direct_mps).abs() < 1e-9);
        spec.driveline.first = with(Shifting::Fixed(2));
        assert!((Car::new(&spec)?.speed_cap_mps() - 0.5 * direct_mps).abs() < 1e-9);
        Ok(())
    }
}
