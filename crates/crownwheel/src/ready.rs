//! A car made ready for a day: every number that the step reads, worked out once.

use crate::air::{AirState, density_kgpm3};
use crate::car::Car;
use crate::cell::resistance_factor;
use crate::constants::{STANDARD_GRAVITY_MPS2, ZERO_CELSIUS_K};
use crate::day::Day;
use crate::driveline::{cold_oil_table, drag_line};
use crate::heating::{Heating, Parked};
use crate::lane::{Lane, Lanes};
use crate::loads::StandingLoad;
use crate::road_load::{all_round_shape, wind_at_car_mps};
use crate::spec::{FallingPart, RoadLoadSpec, StageSpec, TurningParts, Wind};
use crate::table::{Grid, Pair, Table};
use crate::tyre::{rolling_factor, surface_factor};

/// Relative slack of a limit, so that rounding does not make one bind.
pub(crate) const SLACK: f64 = 1e-9;

/// Which of the terms that most cars and days lack are there. A term that is left out is zero, so a
/// car gives the same bits beside one that has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Uses {
    pub(crate) wind: bool,
    pub(crate) linear: bool,
    pub(crate) loss_map: bool,
    pub(crate) long_heat: bool,
    pub(crate) falling_by_current: bool,
    pub(crate) armature: bool,
    pub(crate) rolling_rise: bool,
    pub(crate) cabin: bool,
    pub(crate) pack_heater: bool,
    pub(crate) short_trips: bool,
}

impl Uses {
    fn or(self, other: Uses) -> Uses {
        Uses {
            wind: self.wind | other.wind,
            linear: self.linear | other.linear,
            loss_map: self.loss_map | other.loss_map,
            long_heat: self.long_heat | other.long_heat,
            falling_by_current: self.falling_by_current | other.falling_by_current,
            armature: self.armature | other.armature,
            rolling_rise: self.rolling_rise | other.rolling_rise,
            cabin: self.cabin | other.cabin,
            pack_heater: self.pack_heater | other.pack_heater,
            short_trips: self.short_trips | other.short_trips,
        }
    }
}

/// Declares the numbers once, for the owner ([`Ready`]), for one car and for many side by side
/// ([`View`]).
macro_rules! numbers {
    (
        numbers { $($(#[$number_doc:meta])* $number:ident),* $(,)? }
        tables { $($(#[$table_doc:meta])* $table:ident),* $(,)? }
        pairs { $($(#[$pair_doc:meta])* $pair:ident),* $(,)? }
        grids { $($(#[$grid_doc:meta])* $grid:ident),* $(,)? }
    ) => {
        /// A car made ready for a day.
        #[derive(Clone, Debug, PartialEq)]
        pub struct Ready {
            $($(#[$number_doc])* pub(crate) $number: f64,)*
            $($(#[$table_doc])* pub(crate) $table: Table,)*
            $($(#[$pair_doc])* pub(crate) $pair: Pair,)*
            $($(#[$grid_doc])* pub(crate) $grid: Grid,)*
            /// The rarer terms that are there.
            pub(crate) uses: Uses,
        }

        /// The numbers of one car, or of several side by side, as the step reads them.
        #[derive(Clone, Copy, Debug)]
        pub struct View<'a, L: Lane> {
            $($(#[$number_doc])* pub(crate) $number: L,)*
            $($(#[$table_doc])* pub(crate) $table: L::Table<'a>,)*
            $($(#[$pair_doc])* pub(crate) $pair: L::Pair<'a>,)*
            $($(#[$grid_doc])* pub(crate) $grid: L::Grid<'a>,)*
            /// The rarer terms that are there in at least one.
            pub(crate) uses: Uses,
        }

        impl Ready {
            /// The numbers of this car alone.
            #[must_use]
            pub fn view(&self) -> View<'_, f64> {
                View {
                    $($number: self.$number,)*
                    $($table: &self.$table,)*
                    $($pair: &self.$pair,)*
                    $($grid: &self.$grid,)*
                    uses: self.uses,
                }
            }

            /// The numbers of several cars side by side.
            ///
            /// ```
            /// use crownwheel::{ready::Ready, cycle::Cycle, drive::start_state, lane::Lanes};
            /// use crownwheel::step::{State, step};
            /// use crownwheel::{Car, Day, example};
            /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
            /// let (ready, cycle) = (Ready::new(&car, &day), Cycle::steady(20.0));
            /// let (leg, state) = (&cycle.legs()[0], start_state(&car, &day, &cycle));
            /// let both = step(&Ready::side_by_side([&ready, &ready]), leg, &State::<Lanes<2>>::each(|_| state));
            /// assert_eq!(both.state.lane(1), step(&ready.view(), leg, &state).state);
            /// # Ok::<(), crownwheel::spec::SpecError>(())
            /// ```
            #[must_use]
            pub fn side_by_side<'a, const N: usize>(cars: [&'a Ready; N]) -> View<'a, Lanes<N>> {
                View {
                    $($number: Lanes::from_fn(|i| cars[i].$number),)*
                    $($table: cars.map(|car| &car.$table).into(),)*
                    $($pair: cars.map(|car| &car.$pair).into(),)*
                    $($grid: cars.map(|car| &car.$grid).into(),)*
                    uses: cars.iter().fold(cars[0].uses, |all, car| all.or(car.uses)),
                }
            }
        }
    };
}

numbers! {
    numbers {
        /// Mass and turning wheels, felt at the tyre, kg.
        linear_mass_kg,
        /// The same with the rotor, kg.
        effective_mass_kg,
        /// Rotor inertia, kg m².
        rotor_kgm2,
        /// Rolling radius, m.
        radius_m,
        /// One over that, 1/m.
        per_radius,
        /// Motor speed per road speed, rad/m.
        radps_per_mps,
        /// Weight, N.
        weight_n,
        /// Air force per air speed squared, N/(m/s)².
        air_n_per_mps2,
        /// Headwind, m/s.
        headwind_mps,
        /// One over the wind from all round, s/m; 0 without one.
        per_wind,
        /// Square of the wind from all round, m²/s².
        wind_m2ps2,
        /// Relative rise of drag area at 10° of yaw.
        yaw_rise,
        /// Constant part of the road load: rolling resistance of warm tyres, N.
        rolling_n,
        /// Relative rise of that with speed squared, per (m/s)².
        rolling_rise_per_mps2,
        /// Linear part of the road load with warm tyres, N per m/s.
        linear_n_per_mps,
        /// Brake drag, N.
        brake_drag_n,
        /// Ratio of the reduction, 1 without one.
        reduction_ratio,
        /// One over that.
        reduction_per_ratio,
        /// Efficiency of the reduction.
        reduction_efficiency,
        /// One over that.
        reduction_per_efficiency,
        /// Drag torque of the reduction at rest, warm, N m.
        reduction_drag_nm,
        /// Rise of that with motor speed, N m per rad/s.
        reduction_drag_slope,
        /// Ratio of the axle.
        axle_ratio,
        /// One over that.
        axle_per_ratio,
        /// Efficiency of the axle.
        axle_efficiency,
        /// One over that.
        axle_per_efficiency,
        /// Drag torque of the axle at rest, warm, N m.
        axle_drag_nm,
        /// Rise of that with motor speed, N m per rad/s.
        axle_drag_slope,
        /// One over the heat capacity of a casing with its oil, K/J.
        oil_k_per_j,
        /// Heat that a casing gives off at 50 km/h, W/K.
        oil_conductance_wpk,
        /// Air temperature, K.
        air_k,
        /// What a tyre warms by at 80 km/h, K.
        tyre_rise_k,
        /// Supply voltage of the motor's sheet, V.
        test_voltage_v,
        /// 1 where voltage shaped the falling part, 0 where battery current did.
        falling_by_voltage,
        /// Greatest peak torque, N m.
        greatest_nm,
        /// Factor on motor losses.
        losses_scale,
        /// Motor loss by formula, W per (N m)²: that which grows with torque squared.
        copper_w_per_nm2,
        /// In proportion to power at the shaft.
        motor_share,
        /// With speed, W per rad/s.
        iron_w_per_radps,
        /// With speed cubed, W per (rad/s)³.
        windage_w_per_radps3,
        /// Always, W.
        motor_fixed_w,
        /// Armature resistance of a brushed motor, Ω; 0 for others.
        armature_ohm,
        /// One over the motor's time constant, 1/s; 0 if no heat is computed.
        per_heat_time,
        /// The same of the long rating.
        per_long_time,
        /// Loss at continuous torque over the loss that the short rating's node may hold for ever.
        short_heat_share,
        /// Highest road speed by motor speed or by a stage's rated speed, m/s.
        speed_cap_mps,
        /// Code of the limit that it is.
        speed_cap_code,
        /// Loss of the inverter that is always there, W.
        inverter_fixed_w,
        /// Share of the passing power lost in the inverter.
        inverter_share,
        /// Highest current of the controller, A.
        controller_a,
        /// Used by standing loads, W.
        ancillaries_w,
        /// Lost in the DC-DC converter, W.
        dcdc_w,
        /// Most that the cabin's heater takes, W; 0 without one.
        cabin_max_w,
        /// What it takes to hold the cabin warm, W.
        cabin_hold_w,
        /// Heat over power of it.
        cabin_performance,
        /// Power of the pack's heater, W, and the temperature from which it is off, K.
        pack_heater_w,
        /// Temperature of the pack from which its heater is off, K.
        pack_heater_below_k,
        /// Way of a short trip, m; endless where trips are not short.
        trip_length_m,
        /// What a pause leaves of the motor's used heat, by the short rating.
        parked_heat,
        /// By the long rating.
        parked_long_heat,
        /// What a pause leaves of the oil's temperature above the air.
        parked_oil,
        /// Of the pack's.
        parked_pack,
        /// Of the tyres'.
        parked_tyre,
        /// Heat that the cabin has to be warmed with behind a pause, J.
        parked_cabin_j,
        /// Cells in a row.
        cells_in_series,
        /// Resistance of the cells at half charge and 25 °C, Ω.
        cells_ohm,
        /// Resistance of the harness, Ω.
        harness_ohm,
        /// One over the capacity, 1/C.
        per_capacity,
        /// Highest discharge current of the cells, A.
        discharge_a,
        /// Highest charging current of the cells, A.
        charge_a,
        /// Lowest terminal voltage, V.
        min_v,
        /// Highest terminal voltage, V.
        max_v,
        /// The same four limits, with a little room so that rounding does not make one bind.
        slack_discharge_a,
        /// Controller.
        slack_controller_a,
        /// Lowest voltage.
        slack_min_v,
        /// Highest voltage.
        slack_max_v,
        /// Highest state of charge in use.
        top_frac,
        /// One over the pack's heat capacity, K/J.
        pack_k_per_j,
        /// Heat that the pack gives off, W/K.
        pack_conductance_wpk,
        /// Share of braking that the motor takes.
        regen_share,
        /// One over the speed below which regeneration fades, s/m.
        regen_per_fade,
        /// Greatest driving force by grip on the level, N.
        grip_drive_n,
        /// Grip times static load of the driven axle, N.
        grip_static_n,
        /// Change of that per newton of braking force.
        grip_per_braking,
    }
    tables {
        /// Factor on drag torques against oil temperature, K.
        cold_oil,
        /// Peak torque, N m, against speed at the test voltage, rad/s.
        peak_nm,
        /// Open-circuit voltage of a cell, V, against state of charge.
        cell_v,
        /// Factor on resistance against pack temperature, K.
        resistance_by_temperature,
    }
    pairs {
        /// Continuous torque, N m, and one over the loss at that torque, 1/W, against speed, rad/s.
        continuous,
        /// [`crate::road_load::all_round_shape`].
        all_round,
    }
    grids {
        /// Motor loss by map, W, against speed, rad/s, and torque, N m.
        loss_map_w,
    }
}

/// The road load as the step reads it.
struct RoadLoad {
    air_n_per_mps2: f64,
    rolling_n: f64,
    rolling_rise_per_mps2: f64,
    linear_n_per_mps: f64,
    brake_drag_n: f64,
    drag_rise_at_10_deg_yaw: f64,
    turning: TurningParts,
}

/// Road load of a car on a day.
///
/// Coast-down coefficients are carried from their own mass and air: `f0` with mass, `f2` with
/// density, `f0` and `f1` to warm tyres and to the road. What was turning during the runs loses
/// nothing more without load.
fn road_load(car: &Car, day: &Day) -> RoadLoad {
    let weight_n = car.mass_kg() * STANDARD_GRAVITY_MPS2;
    let road = surface_factor(day.road());
    match car.spec().road_load {
        RoadLoadSpec::Terms { drag, brake_drag_n, drag_rise_at_10_deg_yaw } => RoadLoad {
            air_n_per_mps2: 0.5 * day.air_density_kgpm3() * drag.area_m2(),
            rolling_n: weight_n * car.rolling_resistance() * road,
            rolling_rise_per_mps2: car.spec().tyres.rolling_rise_per_mps2,
            linear_n_per_mps: 0.0,
            brake_drag_n,
            drag_rise_at_10_deg_yaw,
            turning: TurningParts::default(),
        },
        RoadLoadSpec::Coefficients {
            f0_n,
            f1_n_per_mps,
            f2_n_per_mps2,
            mass_kg,
            temperature_k,
            pressure_pa,
            turning,
            road_factor,
        } => {
            let then = AirState { temperature_k, pressure_pa, humidity_frac: 0.5 };
            let now_warm =
                road * road_factor / rolling_factor(temperature_k, crate::spec::RoadSurface::Dry);
            RoadLoad {
                air_n_per_mps2: f2_n_per_mps2 * day.air_density_kgpm3() / density_kgpm3(then),
                rolling_n: f0_n * car.mass_kg() / mass_kg * now_warm,
                // The rise with speed is in f1 and f2.
                rolling_rise_per_mps2: 0.0,
                linear_n_per_mps: f1_n_per_mps * now_warm,
                brake_drag_n: 0.0,
                drag_rise_at_10_deg_yaw: 0.0,
                turning,
            }
        }
    }
}

/// A stage as the step reads it; drag against motor speed.
struct StageNumbers {
    ratio: f64,
    efficiency: f64,
    drag_nm: f64,
    drag_slope: f64,
}

impl StageNumbers {
    /// `motor_per_input`: motor speed over this stage's input speed.
    fn new(stage: Option<&StageSpec>, motor_per_input: f64, drags: bool) -> StageNumbers {
        let Some(stage) = stage else {
            return StageNumbers { ratio: 1.0, efficiency: 1.0, drag_nm: 0.0, drag_slope: 0.0 };
        };
        let (drag_nm, slope) = if drags { drag_line(stage) } else { (0.0, 0.0) };
        StageNumbers {
            ratio: stage.ratio,
            efficiency: stage.efficiency_frac,
            drag_nm,
            drag_slope: slope / motor_per_input,
        }
    }
}

impl Ready {
    /// Works out a car on a day, in its usual gear.
    ///
    /// ```
    /// use crownwheel::{ready::Ready, spec::SpecError, step::road_load_n, cycle::Cycle};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// // At a steady 20 m/s on the flat: see `Throttle::road_load_n` for the sum.
    /// let ready = Ready::new(&car, &day);
    /// let load_n = road_load_n(&ready.view(), &Cycle::steady(20.0).legs()[0], 20.0);
    /// assert!(load_n > 280.0 && load_n < 300.0);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn new(car: &Car, day: &Day) -> Ready {
        Ready::in_gear(car, day, car.usual_gear())
    }

    /// Works out a car on a day in a gear, counted from 0 (a car without gearbox has one).
    ///
    /// ```
    /// use crownwheel::ready::Ready;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// assert_eq!(Ready::in_gear(&car, &day, 0), Ready::new(&car, &day), "it has one");
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn in_gear(car: &Car, day: &Day, gear: usize) -> Ready {
        let spec = car.spec();
        let (pack, inverter, driveline) = (&spec.pack, &spec.inverter, &spec.driveline);
        let load = road_load(car, day);
        let standing = StandingLoad::of(spec, day.spec());
        let heating = Heating::of(car, day);
        let parked = Parked::of(car, day);
        let first = driveline.first.stage(gear);
        let reduction_ratio = first.map_or(1.0, |stage| stage.ratio);
        let reduction = StageNumbers::new(first, 1.0, !load.turning.gearbox);
        let axle = StageNumbers::new(Some(&driveline.axle), reduction_ratio, !load.turning.axle);
        let inertia = car.inertia_in(gear);
        let heat = car.heat.as_ref();
        let derating = crate::heat::derating(&spec.motor, day);
        let radius_m = car.rolling_radius_m();
        let grip = car.grip(day.road());
        let driven = car.driven_axle();
        let (headwind_mps, all_round_mps) = winds(day.spec().wind);
        let loss = &car.motor.loss;
        let formula = loss.formula;
        let (speed_cap_mps, speed_cap) = car.speed_limit_in(gear);
        Ready {
            linear_mass_kg: car.mass_kg() + inertia.wheels_kgm2 / (radius_m * radius_m),
            effective_mass_kg: car.effective_mass_in_kg(gear),
            rotor_kgm2: inertia.rotor_kgm2,
            radius_m,
            per_radius: 1.0 / radius_m,
            radps_per_mps: car.overall_ratio_in(gear) / radius_m,
            weight_n: car.mass_kg() * STANDARD_GRAVITY_MPS2,
            air_n_per_mps2: load.air_n_per_mps2,
            headwind_mps,
            per_wind: if all_round_mps > 0.0 { 1.0 / all_round_mps } else { 0.0 },
            wind_m2ps2: all_round_mps * all_round_mps,
            yaw_rise: load.drag_rise_at_10_deg_yaw,
            rolling_n: load.rolling_n,
            rolling_rise_per_mps2: load.rolling_rise_per_mps2,
            linear_n_per_mps: load.linear_n_per_mps,
            brake_drag_n: load.brake_drag_n,
            reduction_ratio: reduction.ratio,
            reduction_per_ratio: 1.0 / reduction.ratio,
            reduction_efficiency: reduction.efficiency,
            reduction_per_efficiency: 1.0 / reduction.efficiency,
            reduction_drag_nm: reduction.drag_nm,
            reduction_drag_slope: reduction.drag_slope,
            axle_ratio: axle.ratio,
            axle_per_ratio: 1.0 / axle.ratio,
            axle_efficiency: axle.efficiency,
            axle_per_efficiency: 1.0 / axle.efficiency,
            axle_drag_nm: axle.drag_nm,
            axle_drag_slope: axle.drag_slope,
            oil_k_per_j: 1.0 / (driveline.oil_conductance_wpk * driveline.oil_time_constant_s),
            oil_conductance_wpk: driveline.oil_conductance_wpk,
            air_k: day.air().temperature_k,
            tyre_rise_k: spec.tyres.temperature_rise_k,
            test_voltage_v: spec.motor.test_voltage_v,
            falling_by_voltage: match spec.motor.falling_part {
                FallingPart::Voltage => 1.0,
                FallingPart::BatteryCurrent => 0.0,
            },
            greatest_nm: car.motor.greatest_nm,
            losses_scale: spec.motor.losses_scale,
            copper_w_per_nm2: formula.copper_w_per_nm2,
            motor_share: formula.share_of_power,
            iron_w_per_radps: formula.iron_w_per_radps,
            windage_w_per_radps3: formula.windage_w_per_radps3,
            motor_fixed_w: formula.fixed_w,
            armature_ohm: spec.motor.armature_ohm,
            per_heat_time: heat.map_or(0.0, |heat| 1.0 / heat.time_constant_s),
            per_long_time: heat
                .and_then(|heat| heat.long_time_constant_s)
                .map_or(0.0, |seconds| 1.0 / seconds),
            short_heat_share: heat.map_or(1.0, |heat| heat.short_share),
            speed_cap_mps,
            speed_cap_code: speed_cap.code(),
            inverter_fixed_w: inverter.fixed_loss_w,
            inverter_share: inverter.loss_share,
            controller_a: inverter.max_battery_current_a,
            ancillaries_w: standing.used_w(),
            dcdc_w: standing.dcdc_loss_w,
            cabin_max_w: heating.cabin_max_w,
            cabin_hold_w: heating.cabin_hold_w,
            cabin_performance: heating.cabin_performance,
            pack_heater_w: heating.pack_w,
            pack_heater_below_k: heating.pack_below_k,
            trip_length_m: parked.length_m,
            parked_heat: parked.heat,
            parked_long_heat: parked.long_heat,
            parked_oil: parked.oil,
            parked_pack: parked.pack,
            parked_tyre: parked.tyre,
            parked_cabin_j: parked.cabin_j,
            cells_in_series: pack.series_cells(),
            cells_ohm: pack.cells_resistance_ohm(),
            harness_ohm: pack.harness_resistance_ohm,
            per_capacity: 1.0 / pack.capacity_c(),
            discharge_a: pack.max_discharge_a(),
            charge_a: pack.max_charge_a().min(inverter.max_battery_current_a),
            min_v: pack.min_voltage_v(inverter),
            max_v: pack.max_voltage_v(inverter),
            slack_discharge_a: pack.max_discharge_a() * (1.0 + SLACK),
            slack_controller_a: inverter.max_battery_current_a * (1.0 + SLACK),
            slack_min_v: pack.min_voltage_v(inverter) * (1.0 - SLACK),
            slack_max_v: pack.max_voltage_v(inverter) * (1.0 + SLACK),
            top_frac: pack.usable_to_frac,
            pack_k_per_j: 1.0 / pack.heat_capacity_jpk(),
            pack_conductance_wpk: pack.conductance_wpk,
            regen_share: spec.regen.share,
            regen_per_fade: 1.0 / spec.regen.fade_out_below_mps,
            grip_drive_n: driven.drive_limit_n(grip),
            grip_static_n: grip * driven.static_load_n,
            grip_per_braking: grip * driven.load_per_braking_n(),
            cold_oil: cold_oil_table(driveline.oil_viscosity_exponent),
            peak_nm: car.motor.peak_nm.clone(),
            continuous: car.motor.continuous_when_derated(derating, spec.motor.max_speed_radps),
            all_round: all_round_shape(),
            cell_v: car.cell_v.clone(),
            resistance_by_temperature: temperature_table(|k| {
                resistance_factor(k, pack.resistance_b_k)
            }),
            loss_map_w: loss.map.clone().unwrap_or_else(Grid::zero),
            uses: Uses {
                wind: headwind_mps != 0.0 || all_round_mps != 0.0,
                linear: load.linear_n_per_mps != 0.0,
                loss_map: loss.map.is_some(),
                falling_by_current: spec.motor.falling_part == FallingPart::BatteryCurrent,
                armature: spec.motor.armature_ohm != 0.0,
                rolling_rise: load.rolling_rise_per_mps2 != 0.0,
                cabin: heating.cabin_max_w > 0.0,
                pack_heater: heating.pack_w > 0.0,
                short_trips: parked.length_m < f64::MAX,
                long_heat: heat.is_some_and(|heat| heat.long_time_constant_s.is_some()),
            },
        }
    }
}

impl Ready {
    /// Open-circuit voltage of the pack, V, at a state of charge.
    #[must_use]
    pub(crate) fn open_circuit_v(&self, charge_frac: f64) -> f64 {
        self.cell_v.at(charge_frac) * self.cells_in_series
    }

    /// The same car with a motor that gives no torque, as while a gear is changed.
    #[must_use]
    pub(crate) fn without_drive(&self) -> Ready {
        Ready { peak_nm: Table::constant(0.0), greatest_nm: 0.0, ..self.clone() }
    }
}

impl Ready {
    /// The same car with a rotor that weighs nothing and no limit on motor speed: its acceleration
    /// shows the pull at the wheels.
    #[must_use]
    pub(crate) fn without_rotor(&self) -> Ready {
        Ready {
            rotor_kgm2: 0.0,
            effective_mass_kg: self.linear_mass_kg,
            speed_cap_mps: f64::MAX,
            ..self.clone()
        }
    }
}

impl Ready {
    /// The same car with all braking asked of a motor whose rotor weighs nothing; grip ends at a
    /// given force.
    #[must_use]
    pub(crate) fn braking_alone(&self, lock_n: f64) -> Ready {
        Ready {
            regen_share: 1.0,
            grip_static_n: lock_n,
            grip_per_braking: 0.0,
            ..self.without_rotor()
        }
    }
}

/// Headwind, and wind from all round, at the height of the car, m/s.
fn winds(wind: Wind) -> (f64, f64) {
    match wind {
        Wind::Calm => (0.0, 0.0),
        Wind::AlongRoad { speed_mps, height_m } => (wind_at_car_mps(speed_mps, height_m), 0.0),
        Wind::AllRound { speed_mps, height_m } => (0.0, wind_at_car_mps(speed_mps, height_m)),
    }
}

/// A function of temperature between -60 and 100 °C, two cells a kelvin.
fn temperature_table(f: impl Fn(f64) -> f64) -> Table {
    let span = (ZERO_CELSIUS_K - 60.0, ZERO_CELSIUS_K + 100.0);
    Table::sampled(span, 320, f)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cycle::Cycle;
    use crate::drive::start_state;
    use crate::example::{mild_day, small_saloon};
    use crate::spec::{LossMap, MotorLossSpec, RoadSurface, SpecError};
    use crate::step::step;
    use crate::table::straight;
    use std::sync::Arc;

    /// Largest share of the energy from the pack that the layout of a table may move.
    const TABLE_ERROR: f64 = 1e-4;

    /// A map whose nodes have no common spacing, so that the layout rounds its corners.
    fn uneven_map() -> LossMap {
        let speed_radps = vec![0.0, 37.0, 101.3, 219.7, 401.0, 666.0, 838.0];
        let torque_nm = vec![0.0, 11.0, 37.7, 90.1, 165.0];
        let loss = |w: f64, t: f64| 60.0 + 1.2 * w + 1e-6 * w.powi(3) + 0.2 * t * t;
        let loss_w = speed_radps.iter().flat_map(|w| torque_nm.iter().map(move |t| loss(*w, *t)));
        LossMap { loss_w: loss_w.collect(), speed_radps, torque_nm }
    }

    /// The map read as it was written: straight along torque, then along speed.
    fn as_written(map: &LossMap, radps: f64, nm: f64) -> f64 {
        let rows = map.loss_w.chunks_exact(map.torque_nm.len());
        let at: Vec<f64> = rows.map(|row| straight(&map.torque_nm, row, nm)).collect();
        straight(&map.speed_radps, &at, radps)
    }

    #[test]
    fn a_wind_blows_along_the_road_or_from_all_round() {
        // At the height of the forecast, wind at the car is what its own rule says.
        let (speed_mps, height_m) = (5.0, 10.0);
        let at_car_mps = wind_at_car_mps(speed_mps, height_m);
        assert!(at_car_mps > 2.0 && at_car_mps < speed_mps);
        let pairs = [
            (Wind::Calm, (0.0, 0.0)),
            (Wind::AlongRoad { speed_mps, height_m }, (at_car_mps, 0.0)),
            (Wind::AllRound { speed_mps, height_m }, (0.0, at_car_mps)),
        ];
        for (wind, (along, round)) in pairs {
            let found = winds(wind);
            assert!(
                (found.0 - along).abs() < 1e-12 && (found.1 - round).abs() < 1e-12,
                "{found:?}"
            );
        }
    }

    /// The step's air drag in a wind from all round is the mean over its headings, with the rise by yaw.
    #[test]
    fn air_drag_in_wind_from_all_round_is_the_mean_over_headings() -> Result<(), SpecError> {
        let (speed_mps, wind_mps, rise) = (15.0, 6.0, 0.3);
        let mut spec = small_saloon();
        if let RoadLoadSpec::Terms { drag_rise_at_10_deg_yaw, .. } = &mut spec.road_load {
            *drag_rise_at_10_deg_yaw = rise;
        }
        let car = Car::new(&spec)?;
        let wind = Wind::AllRound { speed_mps: wind_mps, height_m: 0.75 };
        let day = Day::new(&crate::spec::DaySpec { wind, ..mild_day() })?;
        let cycle = Cycle::steady(speed_mps);
        let state = start_state(&car, &day, &cycle);
        let done = step(&Ready::new(&car, &day).view(), &cycle.legs()[0], &state);
        let square = crate::road_load::all_round_m2ps2(speed_mps, wind_mps, rise);
        let wanted_n = 0.5 * day.air_density_kgpm3() * car.drag_area_m2() * square;
        let found_n = done.energy.air_j / done.distance_m;
        // The step reads the shape from a table.
        assert!((found_n / wanted_n - 1.0).abs() < 1e-3, "{found_n} {wanted_n}");
        Ok(())
    }

    /// Coefficients in the weather of the runs: `f0` goes with mass, the others stay what they are.
    #[test]
    fn coefficients_of_a_lighter_car_scale_with_mass() -> Result<(), SpecError> {
        let day = Day::new(&mild_day())?;
        let air = day.air();
        let mut spec = small_saloon();
        let mass_kg = 0.8 * Car::new(&spec)?.mass_kg();
        spec.road_load = RoadLoadSpec::Coefficients {
            f0_n: 120.0,
            f1_n_per_mps: 1.5,
            f2_n_per_mps2: 0.4,
            mass_kg,
            temperature_k: air.temperature_k,
            pressure_pa: air.pressure_pa,
            turning: TurningParts::default(),
            road_factor: 1.0,
        };
        let load = road_load(&Car::new(&spec)?, &day);
        // At the temperature of the runs warm tyres take what was measured.
        let warm = rolling_factor(air.temperature_k, RoadSurface::Dry);
        assert!((load.rolling_n * warm - 120.0 / 0.8).abs() < 1e-9, "{}", load.rolling_n);
        assert!((load.linear_n_per_mps * warm - 1.5).abs() < 1e-12);
        assert!((load.air_n_per_mps2 / 0.4 - 1.0).abs() < 1e-3, "{}", load.air_n_per_mps2);
        Ok(())
    }

    #[test]
    fn laying_out_tables_moves_less_than_a_ten_thousandth_of_the_energy() -> Result<(), SpecError> {
        let map = uneven_map();
        let mut spec = small_saloon();
        spec.motor.losses = MotorLossSpec::Map(Arc::new(map.clone()));
        let (car, day) = (Car::new(&spec)?, Day::new(&mild_day())?);
        let cycle = Cycle::builtin("udds").expect("it is built in");
        let ready = Ready::new(&car, &day);
        let ocv = &spec.pack.open_circuit;
        let mut state = start_state(&car, &day, &cycle);
        let (mut loss_off_j, mut store_off_j, mut from_pack_j) = (0.0, 0.0, 0.0);
        for leg in cycle.legs() {
            let done = step(&ready.view(), leg, &state);
            let exact_w = as_written(&map, done.motor_radps, done.torque_nm.abs());
            loss_off_j += (done.energy.motor_j - exact_w * done.duration_s).abs();
            let exact_v = spec.pack.series_cells()
                * straight(&ocv.charge_frac, &ocv.voltage_v, state.charge_frac);
            let store_j = exact_v * done.current_a * done.duration_s;
            store_off_j += (done.energy.from_pack_j - store_j).abs();
            from_pack_j += done.energy.from_pack_j;
            state = done.state;
        }
        assert!(loss_off_j < TABLE_ERROR * from_pack_j, "{loss_off_j} of {from_pack_j}");
        assert!(store_off_j < TABLE_ERROR * from_pack_j, "{store_off_j} of {from_pack_j}");
        Ok(())
    }
}
