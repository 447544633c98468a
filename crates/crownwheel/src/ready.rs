//! A car made ready for a day: every number that the step reads, worked out once.

use crate::air::{AirState, density_kgpm3};
use crate::car::Car;
use crate::cell::resistance_factor;
use crate::constants::{STANDARD_GRAVITY_MPS2, ZERO_CELSIUS_K};
use crate::day::Day;
use crate::driveline::{cold_oil_table, drag_line};
use crate::lane::{Lane, Lanes};
use crate::loads::Standing;
use crate::road_load::wind_table;
use crate::spec::{FallingPart, RoadLoadSpec, StageSpec, Turning};
use crate::table::{Grid, Pair, Table};
use crate::tyre::rolling_factor;

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
        }

        /// The numbers of one car, or of several side by side, as the step reads them.
        #[derive(Clone, Copy, Debug)]
        pub struct View<'a, L: Lane> {
            $($(#[$number_doc])* pub(crate) $number: L,)*
            $($(#[$table_doc])* pub(crate) $table: L::Table<'a>,)*
            $($(#[$pair_doc])* pub(crate) $pair: L::Pair<'a>,)*
            $($(#[$grid_doc])* pub(crate) $grid: L::Grid<'a>,)*
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
                }
            }

            /// The numbers of several cars side by side.
            #[must_use]
            pub fn side_by_side<'a, const N: usize>(cars: [&'a Ready; N]) -> View<'a, Lanes<N>> {
                View {
                    $($number: Lanes::from_fn(|i| cars[i].$number),)*
                    $($table: cars.map(|car| &car.$table),)*
                    $($pair: cars.map(|car| &car.$pair),)*
                    $($grid: cars.map(|car| &car.$grid),)*
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
        /// Constant part of the road load: rolling resistance, N.
        rolling_n,
        /// Relative rise of that with speed squared, per (m/s)².
        rolling_rise_per_mps2,
        /// Linear part of the road load, N per m/s.
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
        /// One over the oil's heat capacity, K/J.
        oil_k_per_j,
        /// Heat that the casings give off, W/K.
        oil_conductance_wpk,
        /// Air temperature, K.
        air_k,
        /// Supply voltage of the motor's sheet, V.
        test_voltage_v,
        /// 1 where voltage shaped the falling part, 0 where battery current did.
        falling_by_voltage,
        /// Greatest peak torque, N m.
        greatest_nm,
        /// Factor on motor losses.
        losses_scale,
        /// Armature resistance of a brushed motor, Ω; 0 for others.
        armature_ohm,
        /// One over the motor's time constant, 1/s; 0 if no heat is reckoned.
        per_heat_time,
        /// The same of the long rating.
        per_long_time,
        /// Loss at continuous torque over the loss that the short rating's node may hold for ever.
        short_heat_share,
        /// Highest road speed by motor speed, m/s.
        speed_cap_mps,
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
        /// What wind adds to `v²`, m²/s², against road speed, m/s.
        wind_m2ps2,
        /// Factor on drag torques against oil temperature, K.
        cold_oil,
        /// Peak torque, N m, against speed at the test voltage, rad/s.
        peak_nm,
        /// Open-circuit voltage of the pack, V, against state of charge.
        open_circuit_v,
        /// Factor on resistance against pack temperature, K.
        resistance_by_temperature,
    }
    pairs {
        /// Continuous torque, N m, and one over the loss at that torque, 1/W (0 if no heat is
        /// reckoned), against speed, rad/s.
        continuous,
    }
    grids {
        /// Motor loss, W, against speed, rad/s, and torque, N m.
        motor_loss_w,
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
    turning: Turning,
}

/// Road load of a car on a day.
///
/// Coast-down coefficients are carried from their own mass and air: `f0` with mass, `f2` with
/// density, `f0` and `f1` with temperature and road. What was turning during the runs loses
/// nothing more without load.
fn road_load(car: &Car, day: &Day) -> RoadLoad {
    let weight_n = car.mass_kg() * STANDARD_GRAVITY_MPS2;
    let road = rolling_factor(day.air().temperature_k, day.road());
    match car.spec().road_load {
        RoadLoadSpec::Terms { drag, brake_drag_n, drag_rise_at_10_deg_yaw } => RoadLoad {
            air_n_per_mps2: 0.5 * day.air_density_kgpm3() * drag.area_m2(),
            rolling_n: weight_n * car.rolling_resistance() * road,
            rolling_rise_per_mps2: car.spec().tyres.rolling_rise_per_mps2,
            linear_n_per_mps: 0.0,
            brake_drag_n,
            drag_rise_at_10_deg_yaw,
            turning: Turning::default(),
        },
        RoadLoadSpec::Coefficients {
            f0_n,
            f1_n_per_mps,
            f2_n_per_mps2,
            mass_kg,
            temperature_k,
            pressure_pa,
            turning,
        } => {
            let then = AirState { temperature_k, pressure_pa, humidity_frac: 0.5 };
            let dry_then = rolling_factor(temperature_k, crate::spec::RoadSurface::Dry);
            RoadLoad {
                air_n_per_mps2: f2_n_per_mps2 * day.air_density_kgpm3() / density_kgpm3(then),
                rolling_n: f0_n * car.mass_kg() / mass_kg * road / dry_then,
                // The rise with speed is in f1 and f2.
                rolling_rise_per_mps2: 0.0,
                linear_n_per_mps: f1_n_per_mps * road / dry_then,
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
    #[must_use]
    pub fn new(car: &Car, day: &Day) -> Ready {
        Ready::in_gear(car, day, car.usual_gear())
    }

    /// Works out a car on a day in a gear, counted from 0 (a car without gearbox has one).
    #[must_use]
    pub fn in_gear(car: &Car, day: &Day, gear: usize) -> Ready {
        let spec = car.spec();
        let (pack, inverter, driveline) = (&spec.pack, &spec.inverter, &spec.driveline);
        let load = road_load(car, day);
        let standing = Standing::of(spec, day.spec().extra_load_w);
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
        let series = pack.series_cells();
        Ready {
            linear_mass_kg: car.mass_kg() + inertia.wheels_kgm2 / (radius_m * radius_m),
            effective_mass_kg: car.effective_mass_in_kg(gear),
            rotor_kgm2: inertia.rotor_kgm2,
            radius_m,
            per_radius: 1.0 / radius_m,
            radps_per_mps: car.overall_ratio_in(gear) / radius_m,
            weight_n: car.mass_kg() * STANDARD_GRAVITY_MPS2,
            air_n_per_mps2: load.air_n_per_mps2,
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
            test_voltage_v: spec.motor.test_voltage_v,
            falling_by_voltage: match spec.motor.falling_part {
                FallingPart::Voltage => 1.0,
                FallingPart::BatteryCurrent => 0.0,
            },
            greatest_nm: car.motor.greatest_nm,
            losses_scale: spec.motor.losses_scale,
            armature_ohm: spec.motor.armature_ohm,
            per_heat_time: heat.map_or(0.0, |heat| 1.0 / heat.time_constant_s),
            per_long_time: heat
                .and_then(|heat| heat.long_time_constant_s)
                .map_or(0.0, |seconds| 1.0 / seconds),
            short_heat_share: heat.map_or(1.0, |heat| heat.short_share),
            speed_cap_mps: car.speed_cap_in_mps(gear),
            inverter_fixed_w: inverter.fixed_loss_w,
            inverter_share: inverter.loss_share,
            controller_a: inverter.max_battery_current_a,
            ancillaries_w: standing.used_w(),
            dcdc_w: standing.dcdc_loss_w,
            cells_ohm: pack.cells_resistance_ohm(),
            harness_ohm: pack.harness_resistance_ohm,
            per_capacity: 1.0 / pack.capacity_c(),
            discharge_a: pack.max_discharge_a(),
            charge_a: pack.max_charge_a().min(inverter.max_battery_current_a),
            min_v: pack.min_voltage_v(inverter),
            max_v: pack.max_voltage_v(inverter),
            top_frac: pack.usable_to_frac,
            pack_k_per_j: 1.0 / (pack.specific_heat_jpkgk * pack.modules_kg().max(1.0)),
            pack_conductance_wpk: pack.conductance_wpk,
            regen_share: spec.regen.share,
            regen_per_fade: 1.0 / spec.regen.fade_out_below_mps,
            grip_drive_n: driven.drive_limit_n(grip),
            grip_static_n: grip * driven.static_load_n,
            grip_per_braking: grip * driven.load_per_braking_n(),
            wind_m2ps2: wind_table(day.spec().wind, load.drag_rise_at_10_deg_yaw),
            cold_oil: cold_oil_table(driveline.oil_viscosity_exponent),
            peak_nm: car.motor.peak_nm.clone(),
            continuous: continuous(car, derating),
            open_circuit_v: Table::through(
                &pack.open_circuit.charge_frac,
                &pack.open_circuit.voltage_v.iter().map(|v| v * series).collect::<Vec<f64>>(),
            ),
            resistance_by_temperature: temperature_table(|k| {
                resistance_factor(k, pack.resistance_b_k)
            }),
            motor_loss_w: car.motor.loss_w.clone(),
        }
    }
}

impl Ready {
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

/// Continuous torque and one over its loss, when only a share of the usual heat is allowed.
fn continuous(car: &Car, derating: f64) -> Pair {
    let motor = &car.spec().motor;
    let torque_nm = car.motor.continuous_when_derated(derating, motor.max_speed_radps);
    let per_loss = match &car.heat {
        Some(heat) => heat.per_continuous_loss.scaled(1.0 / derating),
        None => Table::constant(0.0),
    };
    Pair::of(&torque_nm, &per_loss, (0.0, motor.curve.last_speed_radps()))
}

/// A function of temperature between -60 and 100 °C, one cell a kelvin.
fn temperature_table(f: impl Fn(f64) -> f64) -> Table {
    let span = (ZERO_CELSIUS_K - 60.0, ZERO_CELSIUS_K + 100.0);
    Table::sampled(span, 160, f)
}
