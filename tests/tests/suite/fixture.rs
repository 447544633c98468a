//! Cars for tests, written down in SI: the demo's saloon, and a car of ideal parts.

use std::f64::consts::PI;
use std::sync::Arc;

use crownwheel::cell;
use crownwheel::constants::SEA_LEVEL_PRESSURE_PA;
use crownwheel::spec::{
    BoxSpec, CarSpec, ChargerSpec, CornersKg, DaySpec, DcDcSpec, Differential, DragSpec,
    DrivelineSpec, DrivenAxle, FallingPart, InverterSpec, LoadSide, LoadSpec, MotorCurve,
    MotorLossSpec, MotorSpec, OpenCircuitTable, PackSpec, PartSpec, Place, PlateSpec, RegenSpec,
    RoadLoadSpec, RoadSurface, RollingSpec, SeatSpec, StageSpec, Turning, TyreMark, TyresSpec,
    WeightsSpec, Wind,
};

pub(crate) const RADPS_PER_RPM: f64 = PI / 30.0;

fn part(name: &str, mass_kg: f64, behind_front_axle_m: f64) -> PartSpec {
    let place = Place { behind_front_axle_m, ..Place::default() };
    PartSpec { name: name.into(), mass_kg, place }
}

/// The saloon of the demo with a loss formula instead of its loss map.
pub(crate) fn saloon() -> CarSpec {
    CarSpec {
        name: "saloon".into(),
        weights: saloon_weights(),
        tyres: tyres(),
        road_load: RoadLoadSpec::Terms {
            drag: DragSpec::CoefficientAndArea { coefficient: 0.43, frontal_area_m2: 1.66 },
            brake_drag_n: 10.0,
        },
        driveline: driveline(),
        motor: saloon_motor(),
        inverter: InverterSpec {
            fixed_loss_w: 60.0,
            loss_share: 0.03,
            max_battery_current_a: 420.0,
            min_voltage_v: 90.0,
            max_voltage_v: 156.0,
        },
        pack: saloon_pack(),
        regen: RegenSpec { share: 0.6, fade_out_below_mps: 8.0 / 3.6 },
        dcdc: DcDcSpec { efficiency_frac: 0.90, max_w: Some(1200.0) },
        loads: vec![LoadSpec {
            name: "base".into(),
            power_w: 180.0,
            side: LoadSide::TwelveVolt,
            duty_frac: 1.0,
        }],
        charger: ChargerSpec { power_w: 5000.0, efficiency_frac: 0.92 },
    }
}

fn saloon_weights() -> WeightsSpec {
    WeightsSpec {
        wheelbase_m: 2.32,
        track_front_m: 1.21,
        track_rear_m: 1.21,
        centre_of_gravity_height_m: 0.52,
        corners: CornersKg {
            front_left_kg: 221.5,
            front_right_kg: 214.0,
            rear_left_kg: 176.5,
            rear_right_kg: 180.0,
        },
        front_roll_share: None,
        taken_out: vec![part("engine", 148.0, 0.12), part("tank", 33.0, 2.72)],
        put_in: vec![part("motor", 71.0, 0.55), part("the rest", 66.0, 1.0)],
        seats: vec![SeatSpec { person: part("driver", 78.0, 1.25), aboard: true }],
        luggage: part("luggage", 0.0, 2.75),
        plate: PlateSpec {
            gross_kg: Some(1180.0),
            front_axle_kg: Some(560.0),
            rear_axle_kg: Some(660.0),
        },
    }
}

fn tyres() -> TyresSpec {
    TyresSpec {
        mark: TyreMark {
            section_width_m: 0.155,
            aspect_frac: 0.80,
            rim_diameter_m: 13.0 * 0.0254,
            radial: true,
            load_index: Some(79),
            speed_symbol: Some('T'),
        },
        rolling: RollingSpec::FromMark,
        rolling_resistance: 0.0115,
        drum_to_road: 1.0,
        wheel_inertia_kgm2: 0.62,
        grip_dry: 0.8,
        grip_wet: 0.55,
        grip_ice: 0.15,
    }
}

fn stage(ratio: f64, efficiency_frac: f64, drag_torque_nm: f64) -> StageSpec {
    let drag_speed_radps = 3000.0 * RADPS_PER_RPM;
    StageSpec { ratio, efficiency_frac, drag_torque_nm, drag_speed_radps }
}

fn driveline() -> DrivelineSpec {
    DrivelineSpec {
        driven_axle: DrivenAxle::Rear,
        differential: Differential::Open,
        live_axle: true,
        reduction: Some(stage(1.50, 0.98, 0.3)),
        axle: stage(4.22, 0.96, 1.2),
        oil_viscosity_exponent: 0.33,
        oil_time_constant_s: 1500.0,
        oil_conductance_wpk: 15.0,
    }
}

/// 165 N m to 2,900 rpm and 50 kW above; 75 N m to 4,000 rpm and 31.4 kW above.
fn saloon_curve() -> MotorCurve {
    let speed_radps: Vec<f64> = (0..=80u32).map(|i| f64::from(i * 100) * RADPS_PER_RPM).collect();
    let at = |limit_nm: f64, power_w: f64| -> Vec<f64> {
        speed_radps.iter().map(|speed| limit_nm.min(power_w / speed.max(1.0))).collect()
    };
    MotorCurve {
        peak_torque_nm: at(165.0, 50e3),
        continuous_torque_nm: at(75.0, 31.4e3),
        speed_radps,
    }
}

fn saloon_motor() -> MotorSpec {
    MotorSpec {
        curve: Arc::new(saloon_curve()),
        curve_scale: 1.0,
        test_voltage_v: 126.0,
        falling_part: FallingPart::Voltage,
        max_speed_radps: 8000.0 * RADPS_PER_RPM,
        rotor_inertia_kgm2: 0.045,
        losses: MotorLossSpec::Polynomial {
            copper_w_per_nm2: 0.267,
            iron_w_per_radps: 1.2,
            windage_w_per_radps3: 4.5e-6,
            fixed_w: 60.0,
        },
        losses_scale: 1.0,
        peak_seconds: Some(60.0),
    }
}

/// Nine modules of four by two nickel-based cells of 78 Ah.
pub(crate) fn saloon_pack() -> PackSpec {
    PackSpec {
        open_circuit: Arc::new(cell::nmc()),
        cells_in_series: 4,
        cells_in_parallel: 2,
        cell_capacity_c: 78.0 * 3600.0,
        cell_resistance_ohm: 0.8e-3,
        resistance_b_k: 2000.0,
        cell_min_voltage_v: 3.0,
        cell_max_voltage_v: 4.2,
        max_discharge_per_h: 4.0,
        max_charge_per_h: 1.0,
        module_mass_kg: 11.4,
        specific_heat_jpkgk: 900.0,
        conductance_wpk: 8.0,
        modules_in_series: 9,
        modules_in_parallel: 1,
        boxes: vec![pack_box("front", 5, 0.02), pack_box("rear", 5, 2.50)],
        usable_from_frac: 0.08,
        usable_to_frac: 0.96,
        harness_resistance_ohm: 3e-3,
        state_of_health_frac: 1.0,
        reserve_frac: 0.15,
    }
}

pub(crate) fn pack_box(name: &str, room_for: u32, behind_front_axle_m: f64) -> BoxSpec {
    let place = Place { behind_front_axle_m, ..Place::default() };
    BoxSpec { name: name.into(), room_for, place }
}

/// A calm dry day at sea level.
pub(crate) fn calm_day(name: &str, celsius: f64) -> DaySpec {
    DaySpec {
        name: name.into(),
        temperature_k: 273.15 + celsius,
        pack_temperature_k: None,
        altitude_m: 0.0,
        humidity_frac: 0.5,
        wind: Wind::Calm,
        road: RoadSurface::Dry,
        extra_load_w: 0.0,
    }
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
    calm_day("ideal", 20.0)
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
    let base = saloon();
    CarSpec {
        name: "ideal".into(),
        weights: WeightsSpec {
            corners,
            taken_out: Vec::new(),
            put_in: Vec::new(),
            seats: Vec::new(),
            ..base.weights
        },
        tyres: TyresSpec {
            rolling: RollingSpec::RevolutionsPerKm(1000.0 / (2.0 * PI * radius_m)),
            rolling_resistance: 0.0,
            wheel_inertia_kgm2: given.turning_share * quarter_kg * radius_m * radius_m,
            grip_dry: 2.0,
            ..base.tyres
        },
        road_load: RoadLoadSpec::Coefficients {
            f0_n,
            f1_n_per_mps,
            f2_n_per_mps2,
            mass_kg: given.mass_kg,
            temperature_k: ideal_day().temperature_k,
            pressure_pa: SEA_LEVEL_PRESSURE_PA,
            turning: Turning { axle: true, gearbox: true, motor: true },
        },
        driveline: DrivelineSpec {
            live_axle: false,
            reduction: None,
            axle: stage(4.0, given.efficiency_frac, 0.0),
            ..base.driveline
        },
        motor: MotorSpec {
            curve: Arc::new(MotorCurve {
                speed_radps: vec![0.0, 2000.0],
                peak_torque_nm: vec![3000.0, 3000.0],
                continuous_torque_nm: vec![3000.0, 3000.0],
            }),
            test_voltage_v: 1.0,
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
    }
}
