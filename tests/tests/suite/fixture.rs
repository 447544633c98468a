//! A car of ideal parts for tests, in SI. The car with losses is [`crownwheel::example`].

use std::f64::consts::TAU;
use std::sync::Arc;

use crownwheel::constants::SEA_LEVEL_PRESSURE_PA;
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::spec::{
    CarSpec, CornersKg, DaySpec, DcDcSpec, DrivelineSpec, FirstStage, InverterSpec, ModelSpec,
    MotorCurve, MotorLossSpec, MotorSpec, OpenCircuitTable, PackSpec, RegenSpec, RoadLoadSpec,
    RollingSpec, SpecError, StageSpec, TurningParts, TyresSpec, WeightsSpec,
};
use crownwheel::{Car, Day};
use crownwheel_answers::from_car::Subject;
use crownwheel_answers::{Provenance, Units};

/// A car with its days.
pub(crate) fn subject(car: &CarSpec, days: &[DaySpec]) -> Result<Subject, SpecError> {
    Ok(Subject {
        car: Car::new(car)?,
        days: days.iter().map(Day::new).collect::<Result<Vec<Day>, SpecError>>()?,
        provenance: Provenance {
            program_version: String::new(),
            inputs_hash: String::new(),
            seed: None,
        },
        assumed: Vec::new(),
        notes: Vec::new(),
        warnings: Vec::new(),
        lines_to_add: Vec::new(),
        units: Units::Metric,
    })
}

/// A cell of the same voltage from full to almost empty.
pub(crate) fn flat_cell(voltage_v: f64) -> OpenCircuitTable {
    OpenCircuitTable {
        charge_frac: vec![0.0, 1.0],
        voltage_v: vec![voltage_v * (1.0 - 1e-9), voltage_v * (1.0 + 1e-9)],
    }
}

/// What an ideal car has that is not ideal.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ideal {
    /// Mass, kg.
    pub(crate) mass_kg: f64,
    /// Turning parts as a share of the mass; all of it in the wheels.
    pub(crate) turning_share: f64,
    /// Coast-down coefficients, N, N per m/s, N per (m/s)².
    pub(crate) road_load: [f64; 3],
    /// Efficiency of the axle.
    pub(crate) efficiency_frac: f64,
    /// Share of braking that is taken back.
    pub(crate) regen_share: f64,
}

/// Weather at which the coefficients of an ideal car hold as they are: 20 °C, sea level.
pub(crate) fn ideal_day() -> DaySpec {
    DaySpec { name: "ideal".into(), temperature_k: 293.15, ..mild_day() }
}

/// A car without losses but those asked for, and without limits that a test could meet: a motor of
/// 3,000 N m, 360 V that do not sag, and a pack that lasts for ever.
pub(crate) fn ideal(given: Ideal) -> CarSpec {
    let radius_m = 0.3;
    let quarter_kg = given.mass_kg / 4.0;
    let corners = CornersKg {
        front_left_kg: quarter_kg,
        front_right_kg: quarter_kg,
        rear_left_kg: quarter_kg,
        rear_right_kg: quarter_kg,
    };
    let [f0_n, f1_n_per_mps, f2_n_per_mps2] = given.road_load;
    let base = small_saloon();
    CarSpec {
        name: "ideal".into(),
        original: None,
        weights: WeightsSpec {
            corners,
            taken_out: Vec::new(),
            put_in: Vec::new(),
            seats: Vec::new(),
            ..base.weights
        },
        tyres: TyresSpec {
            rolling: RollingSpec::RevolutionsPerKm(1000.0 / (TAU * radius_m)),
            rolling_resistance: 0.0,
            wheel_inertia_kgm2: given.turning_share * quarter_kg * radius_m * radius_m,
            grip_dry: 2.0,
            temperature_rise_k: 0.0,
            ..base.tyres
        },
        road_load: RoadLoadSpec::Coefficients {
            f0_n,
            f1_n_per_mps,
            f2_n_per_mps2,
            mass_kg: given.mass_kg,
            temperature_k: ideal_day().temperature_k,
            pressure_pa: SEA_LEVEL_PRESSURE_PA,
            turning: TurningParts { axle: true, gearbox: true, motor: true },
            road_factor: 1.0,
        },
        driveline: DrivelineSpec {
            live_axle: false,
            first: FirstStage::Direct,
            axle: StageSpec {
                ratio: 4.0,
                efficiency_frac: given.efficiency_frac,
                drag_torque_nm: 0.0,
                ..base.driveline.axle
            },
            ..base.driveline
        },
        motor: MotorSpec {
            curve: Arc::new(MotorCurve {
                speed_radps: vec![0.0, 2000.0],
                peak_torque_nm: vec![3000.0, 3000.0],
                continuous_torque_nm: vec![3000.0, 3000.0],
            }),
            test_voltage_v: 5.0,
            max_speed_radps: 2000.0,
            rotor_inertia_kgm2: 0.0,
            losses: MotorLossSpec::Polynomial {
                copper_w_per_nm2: 0.0,
                iron_w_per_radps: 0.0,
                windage_w_per_radps3: 0.0,
                fixed_w: 0.0,
            },
            peak_seconds: None,
            ..base.motor
        },
        inverter: InverterSpec {
            fixed_loss_w: 0.0,
            loss_share: 0.0,
            max_battery_current_a: 1e6,
            min_voltage_v: 1.0,
            max_voltage_v: 1000.0,
        },
        pack: PackSpec {
            open_circuit: Arc::new(flat_cell(3.6)),
            cells_in_series: 100,
            cells_in_parallel: 1,
            cell_capacity_c: 1e9,
            cell_resistance_ohm: 1e-15,
            cell_min_voltage_v: 1.0,
            max_discharge_per_h: 1e6,
            max_charge_per_h: 1e6,
            module_mass_kg: 0.0,
            modules_in_series: 1,
            usable_from_frac: 0.0,
            usable_to_frac: 1.0,
            harness_resistance_ohm: 0.0,
            ..base.pack
        },
        regen: RegenSpec { share: given.regen_share, fade_out_below_mps: 1e-6 },
        dcdc: DcDcSpec { efficiency_frac: 1.0, max_w: None },
        loads: Vec::new(),
        charger: base.charger,
        cabin: None,
        model: ModelSpec::default(),
    }
}
