//! An invented small saloon, for examples, tests and benches: rear drive, a reduction before the
//! axle, 36 nickel-based cells in series.
//!
//! Every number is made up to hang together; none is a measurement.

use std::sync::Arc;

use crate::cell::nmc;
use crate::constants::{JOULE_PER_WH, ZERO_CELSIUS_K};
use crate::essentials::{Chemistry, EssentialPack, Essentials};
use crate::spec::{
    BoxSpec, CarSpec, ChargerSpec, CornersKg, DaySpec, DcDcSpec, Differential, DragSpec,
    DrivelineSpec, DrivenAxle, FallingPart, FirstStage, InverterSpec, LoadSide, LoadSpec,
    ModelSpec, MotorCurve, MotorLossSpec, MotorSpec, PackSpec, PartSpec, Place, PlateSpec,
    RegenSpec, RoadLoadSpec, RoadSurface, RollingSpec, SeatSpec, StageSpec, TyreMark, TyresSpec,
    WeightsSpec, Wind,
};

/// Radians per second in a revolution per minute.
const RPM: f64 = std::f64::consts::PI / 30.0;

fn part(name: &str, mass_kg: f64, behind_front_axle_m: f64) -> PartSpec {
    let place = Place { behind_front_axle_m, ..Place::default() };
    PartSpec { name: name.into(), mass_kg, place }
}

/// A mild day: 15 °C, calm, dry, at sea level.
///
/// ```
/// let day = crownwheel::Day::new(&crownwheel::example::mild_day())?;
/// assert!((day.air_density_kgpm3() - 1.222).abs() < 1e-3);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn mild_day() -> DaySpec {
    DaySpec {
        name: "mild".into(),
        temperature_k: ZERO_CELSIUS_K + 15.0,
        pack_temperature_k: None,
        altitude_m: 0.0,
        humidity_frac: 0.5,
        wind: Wind::Calm,
        road: RoadSurface::Dry,
        extra_load_w: 0.0,
        cabin_off: false,
        short_trips: None,
    }
}

/// A winter's day: -2 °C, 5 m/s of wind from all round, wet, 1.2 kW of heating.
///
/// ```
/// let day = crownwheel::Day::new(&crownwheel::example::winter_day())?;
/// assert!((day.pack_temperature_k() - 271.15).abs() < 1e-12);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn winter_day() -> DaySpec {
    DaySpec {
        name: "winter".into(),
        temperature_k: ZERO_CELSIUS_K - 2.0,
        wind: Wind::AllRound { speed_mps: 5.0, height_m: 10.0 },
        road: RoadSurface::Wet,
        extra_load_w: 1200.0,
        ..mild_day()
    }
}

/// The car.
///
/// ```
/// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
/// assert!((car.overall_ratio() - 6.33).abs() < 1e-12);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn small_saloon() -> CarSpec {
    CarSpec {
        name: "small saloon".into(),
        weights: weights(),
        original: None,
        tyres: tyres(),
        road_load: RoadLoadSpec::Terms {
            drag: DragSpec::CoefficientAndArea { coefficient: 0.43, frontal_area_m2: 1.66 },
            brake_drag_n: 15.0,
            drag_rise_at_10_deg_yaw: 0.05,
        },
        driveline: driveline(),
        motor: motor(),
        inverter: InverterSpec {
            fixed_loss_w: 60.0,
            loss_share: 0.03,
            max_battery_current_a: 420.0,
            min_voltage_v: 90.0,
            max_voltage_v: 156.0,
        },
        pack: pack(),
        regen: RegenSpec { share: 0.6, fade_out_below_mps: 8.0 / 3.6 },
        dcdc: DcDcSpec { efficiency_frac: 0.9, max_w: Some(1200.0) },
        loads: vec![LoadSpec {
            name: "base".into(),
            power_w: 180.0,
            side: LoadSide::TwelveVolt,
            duty_frac: 1.0,
            ..LoadSpec::default()
        }],
        cabin: None,
        charger: ChargerSpec { power_w: 5000.0, efficiency_frac: 0.92, fixed_share: 0.25 },
        model: ModelSpec::default(),
    }
}

/// The same kind of car in six facts.
///
/// ```
/// let (spec, assumed) = crownwheel::example::essentials().car();
/// assert!(crownwheel::Car::new(&spec).is_ok() && assumed.len() > 40);
/// ```
#[must_use]
pub fn essentials() -> Essentials {
    Essentials {
        corners: CornersKg {
            front_left_kg: 165.0,
            front_right_kg: 160.0,
            rear_left_kg: 160.0,
            rear_right_kg: 165.0,
        },
        tyre: TyreMark::radial(155.0, 80.0, 13.0),
        drag_area_m2: 0.71,
        motor: MotorCurve::of_plate((165.0, 50e3), (75.0, 27e3), 838.0),
        pack: EssentialPack {
            chemistry: Chemistry::Nmc,
            cells_in_series: 36,
            capacity_ah: 156.0,
            mass_kg: 103.0,
        },
        ratio: 6.33,
    }
}

fn weights() -> WeightsSpec {
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
        springs: None,
        power_steering: false,
        taken_out: vec![part("engine", 148.0, 0.12), part("tank", 70.0, 1.5)],
        put_in: vec![part("motor", 71.0, 0.55), part("electrics", 83.0, 1.0)],
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
            load_index: Some(79),
            speed_symbol: Some('T'),
            ..TyreMark::radial(155.0, 80.0, 13.0)
        },
        rolling: RollingSpec::FromMark,
        rolling_resistance: 0.0115,
        drum_to_road: 1.0,
        rolling_rise_per_mps2: 0.0,
        temperature_rise_k: crate::tyre::TYRE_RISE_K,
        wheel_inertia_kgm2: 0.62,
        grip_dry: 0.8,
        grip_wet: 0.55,
        grip_ice: 0.15,
    }
}

fn driveline() -> DrivelineSpec {
    let stage = |ratio: f64, efficiency_frac: f64, drag_torque_nm: f64| StageSpec {
        ratio,
        efficiency_frac,
        drag_torque_nm,
        drag_speed_radps: 3000.0 * RPM,
        max_torque_nm: None,
        max_speed_radps: None,
    };
    DrivelineSpec {
        driven_axle: DrivenAxle::Rear,
        differential: Differential::Open,
        live_axle: true,
        first: FirstStage::Reduction(stage(1.5, 0.98, 0.4)),
        axle: stage(4.22, 0.96, 1.2),
        oil_viscosity_exponent: 0.33,
        oil_time_constant_s: 1500.0,
        oil_conductance_wpk: 10.0,
    }
}

fn motor() -> MotorSpec {
    let rpm: Vec<f64> = (0..=16).map(|i| f64::from(i) * 500.0).collect();
    let peak_w = 50e3;
    let peak = |rpm: f64| (peak_w / (rpm * RPM).max(1.0)).min(165.0);
    MotorSpec {
        curve: Arc::new(MotorCurve {
            speed_radps: rpm.iter().map(|rpm| rpm * RPM).collect(),
            peak_torque_nm: rpm.iter().map(|rpm| peak(*rpm)).collect(),
            continuous_torque_nm: rpm
                .iter()
                .map(|rpm| peak(*rpm).min(75.0).min(27e3 / (rpm * RPM).max(1.0)))
                .collect(),
        }),
        curve_scale: 1.0,
        phase_current_ratio: 1.0,
        armature_ohm: 0.0,
        back_emf_v_per_radps: None,
        max_winding_k: ZERO_CELSIUS_K + 155.0,
        test_voltage_v: 126.0,
        falling_part: FallingPart::Voltage,
        max_speed_radps: 8000.0 * RPM,
        rotor_inertia_kgm2: 0.045,
        losses: MotorLossSpec::Polynomial {
            copper_w_per_nm2: 0.2,
            iron_w_per_radps: 1.2,
            windage_w_per_radps3: 1.0e-6,
            fixed_w: 60.0,
        },
        losses_scale: 1.0,
        peak_seconds: Some(60.0),
        long_rating: None,
    }
}

fn pack() -> PackSpec {
    let room = |name: &str, behind_front_axle_m: f64| BoxSpec {
        name: name.into(),
        room_for: 5,
        place: Place { behind_front_axle_m, ..Place::default() },
    };
    PackSpec {
        open_circuit: Arc::new(nmc()),
        cells_in_series: 4,
        cells_in_parallel: 2,
        cell_capacity_c: 78.0 * JOULE_PER_WH,
        cell_resistance_ohm: 0.8e-3,
        resistance_b_k: 2000.0,
        cold_capacity: None,
        cold_loss_frac: 0.0,
        heater: None,
        module_spread: 0.0,
        cell_min_voltage_v: 3.0,
        cell_max_voltage_v: 4.2,
        max_discharge_per_h: 4.0,
        max_charge_per_h: 1.0,
        module_mass_kg: 11.4,
        specific_heat_jpkgk: 1000.0,
        conductance_wpk: 5.0,
        modules_in_series: 9,
        modules_in_parallel: 1,
        boxes: vec![room("front", 0.02), room("rear", 2.50)],
        usable_from_frac: 0.08,
        usable_to_frac: 0.96,
        harness_resistance_ohm: 3e-3,
        state_of_health_frac: 1.0,
        reserve_frac: 0.15,
    }
}
