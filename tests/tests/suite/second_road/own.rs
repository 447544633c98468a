//! The formulas again, from a description alone: road, driveline, motor, pack and heat of a car with
//! one gear.

use std::f64::consts::TAU;

use crownwheel::spec::{
    CarSpec, LossMap, MotorLossSpec, RoadLoadSpec, RoadSurface, StageSpec, Wind,
};
use crownwheel::{Car, Day};
use statrs::distribution::{Continuous, ContinuousCDF, Normal};

use super::solver::gauss;

/// Standard gravity, m/s² (exact, 3rd General Conference on Weights and Measures, 1901).
pub(super) const GRAVITY_MPS2: f64 = 9.806_65;

/// The curve through points with straight pieces; its ends hold outside.
pub(super) fn straight(x: &[f64], y: &[f64], at: f64) -> f64 {
    if at <= x[0] {
        return y[0];
    }
    for i in 1..x.len() {
        if at <= x[i] {
            return y[i - 1] + (y[i] - y[i - 1]) * (at - x[i - 1]) / (x[i] - x[i - 1]);
        }
    }
    y[y.len() - 1]
}

/// Road load: `½ρC_dA ((v+w)|v+w| or its mean over headings) + (C_rr m g cos θ + f1 v + brakes)`.
#[derive(Clone, Debug)]
pub(super) struct Road {
    /// `½ρC_dA` or `f2`, N/(m/s)².
    pub(super) square: f64,
    /// N per m/s.
    pub(super) linear: f64,
    /// Rolling resistance of warm tyres on the level, N.
    pub(super) rolling_n: f64,
    /// N.
    pub(super) brakes_n: f64,
    /// N.
    pub(super) weight_n: f64,
    wind: Wind,
    yaw_rise: f64,
    tyres_warm_k: f64,
}

impl Road {
    pub(super) fn new(car: &Car, day: &Day) -> Road {
        let spec = car.spec();
        let weight_n = car.mass_kg() * GRAVITY_MPS2;
        // A wet road takes 10 % more.
        let factor = if day.road() == RoadSurface::Wet { 1.1 } else { 1.0 };
        let warm = |air_k: f64| 1.0 + 0.0086 * (293.15 - air_k);
        let tyres_warm_k = 293.15 + spec.tyres.temperature_rise_k;
        let density = day.air_density_kgpm3();
        let wind = day.spec().wind;
        match spec.road_load {
            RoadLoadSpec::Terms { drag, brake_drag_n, drag_rise_at_10_deg_yaw } => Road {
                square: 0.5 * density * drag.area_m2(),
                linear: 0.0,
                rolling_n: spec.tyres.rolling_resistance
                    * spec.tyres.drum_to_road
                    * weight_n
                    * factor,
                brakes_n: brake_drag_n,
                weight_n,
                wind,
                yaw_rise: drag_rise_at_10_deg_yaw,
                tyres_warm_k,
            },
            RoadLoadSpec::Coefficients {
                f0_n,
                f1_n_per_mps,
                f2_n_per_mps2,
                mass_kg,
                temperature_k,
                pressure_pa,
                ..
            } => {
                // The same humidity then and now is near enough: density as p / T.
                let now = day.air().pressure_pa / day.air().temperature_k;
                let then = pressure_pa / temperature_k;
                Road {
                    square: f2_n_per_mps2 * now / then,
                    linear: f1_n_per_mps * factor / warm(temperature_k),
                    rolling_n: f0_n * car.mass_kg() / mass_kg * factor / warm(temperature_k),
                    brakes_n: 0.0,
                    weight_n,
                    wind,
                    yaw_rise: 0.0,
                    tyres_warm_k,
                }
            }
        }
    }

    /// Air drag at a road speed, N.
    pub(super) fn air_n(&self, v: f64) -> f64 {
        // Over open land, from its height to the 0.75 m of a car.
        let at_car = |height_m: f64| (0.75_f64 / 0.03).ln() / (height_m / 0.03).ln();
        match self.wind {
            Wind::Calm => self.square * v * v,
            Wind::AlongRoad { speed_mps, height_m } => {
                let air = v + at_car(height_m) * speed_mps;
                self.square * air * air.abs()
            }
            Wind::AllRound { speed_mps, height_m } => {
                self.square * self.all_round(v, at_car(height_m) * speed_mps)
            }
        }
    }

    /// Mean over headings of `√((v + w cos φ)² + (w sin φ)²) (v + w cos φ)`, more with yaw: the drag
    /// area rises with `sin² β / sin² 10°` up to 20°.
    fn all_round(&self, v: f64, w: f64) -> f64 {
        let headings = 720;
        let one = |i: i32| {
            let phi = TAU * f64::from(i) / f64::from(headings);
            let (along, across) = (v + w * phi.cos(), w * phi.sin());
            let yaw = across.atan2(along).abs().min(20f64.to_radians());
            let rise = self.yaw_rise * (yaw.sin() / 10f64.to_radians().sin()).powi(2);
            along.hypot(across) * along * (1.0 + rise)
        };
        (0..headings).map(one).sum::<f64>() / f64::from(headings)
    }

    /// Rolling resistance over that of warm tyres: 0.86 % a kelvin.
    pub(super) fn warmth(&self, tyre_k: f64) -> f64 {
        1.0 + 0.0086 * (self.tyres_warm_k - tyre_k)
    }

    /// All on a road of an angle with this sine, with tyres of this temperature, N.
    pub(super) fn all_n(&self, v: f64, sin: f64, tyre_k: f64) -> f64 {
        let cos = (1.0 - sin * sin).sqrt();
        let tyres_n = (self.linear * v + self.rolling_n * cos) * self.warmth(tyre_k);
        self.air_n(v) + tyres_n + self.brakes_n + self.weight_n * sin
    }
}

/// Kinematic viscosity of the oil, mm²/s, by the viscosity-temperature form of ASTM D341 through
/// 150 mm²/s at 40 °C and 15 mm²/s at 100 °C.
fn viscosity_mm2ps(kelvin: f64) -> f64 {
    let z = |nu: f64| (nu + 0.7).log10().log10();
    let (cool, hot) = (313.15f64.log10(), 373.15f64.log10());
    let share = (kelvin.log10() - cool) / (hot - cool);
    10f64.powf(10f64.powf(z(150.0) + share * (z(15.0) - z(150.0)))) - 0.7
}

/// What changes while the car drives.
#[derive(Clone, Copy, Debug)]
pub(super) struct Now {
    /// State of charge.
    pub(super) z: f64,
    /// Used share of heat.
    pub(super) u: f64,
    /// Oil.
    pub(super) oils: Oils,
    /// Pack, K.
    pub(super) pack_k: f64,
    /// Tyres, K.
    pub(super) tyre_k: f64,
}

/// The oil of both casings, K.
#[derive(Clone, Copy, Debug)]
pub(super) struct Oils {
    pub(super) gearbox_k: f64,
    pub(super) axle_k: f64,
}

impl Oils {
    pub(super) fn both(k: f64) -> Oils {
        Oils { gearbox_k: k, axle_k: k }
    }
}

/// The flow of power at a torque and speed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Flow {
    /// Into the inverter, W.
    pub(super) inverter_w: f64,
    /// Battery current, A; not a number beyond what the pack can give.
    pub(super) current_a: f64,
    /// Terminal voltage, V.
    pub(super) voltage_v: f64,
}

/// A car on a day.
#[derive(Clone, Debug)]
pub(super) struct Own {
    pub(super) spec: CarSpec,
    pub(super) road: Road,
    pub(super) mass_kg: f64,
    pub(super) radius_m: f64,
    pub(super) ratio: f64,
    pub(super) air_k: f64,
    standing_w: f64,
    rear_kg: f64,
    height_over_wheelbase: f64,
}

impl Own {
    pub(super) fn new(car: &Car, day: &Day) -> Own {
        let spec = car.spec().clone();
        let small_w: f64 = spec.loads.iter().map(|load| load.power_w * load.duty_frac).sum();
        Own {
            road: Road::new(car, day),
            mass_kg: car.mass_kg(),
            radius_m: car.rolling_radius_m(),
            ratio: spec.driveline.axle.ratio
                * spec.driveline.first.stage(0).map_or(1.0, |s| s.ratio),
            air_k: day.air().temperature_k,
            standing_w: small_w / spec.dcdc.efficiency_frac + day.spec().extra_load_w,
            rear_kg: car.driving().corners.rear_axle_kg(),
            height_over_wheelbase: car.driving().centre_of_gravity_height_m
                / spec.weights.wheelbase_m,
            spec,
        }
    }

    /// Shaft speed, rad/s.
    pub(super) fn omega(&self, v: f64) -> f64 {
        v * self.ratio / self.radius_m
    }

    /// Mass with the wheels, kg.
    pub(super) fn rolling_kg(&self) -> f64 {
        self.mass_kg + 4.0 * self.spec.tyres.wheel_inertia_kgm2 / self.radius_m.powi(2)
    }

    /// Drag torque of a stage, N m: `T_ref (0.5 + 0.5 n/n_ref) min(4, (ν/ν80)^x)`.
    fn drag_nm(&self, stage: &StageSpec, input_radps: f64, oil_k: f64) -> f64 {
        let thick = (viscosity_mm2ps(oil_k) / viscosity_mm2ps(353.15))
            .powf(self.spec.driveline.oil_viscosity_exponent);
        let line = 0.5 + 0.5 * input_radps / stage.drag_speed_radps;
        stage.drag_torque_nm * line * thick.min(4.0)
    }

    /// Wheel torque for a torque behind the rotor while the motor drives: each stage gives
    /// `(η T - D) i`. As `(slope, less)`: `wheel = slope T - less`.
    fn through_gears(&self, v: f64, oils: Oils) -> (f64, f64) {
        let omega = self.omega(v);
        let axle = &self.spec.driveline.axle;
        let Some(first) = self.spec.driveline.first.stage(0) else {
            let drag = self.drag_nm(axle, omega, oils.axle_k);
            return (axle.efficiency_frac * axle.ratio, drag * axle.ratio);
        };
        let drag = self.drag_nm(first, omega, oils.gearbox_k);
        let axle_drag = self.drag_nm(axle, omega / first.ratio, oils.axle_k);
        let onward = axle.efficiency_frac * axle.ratio;
        let slope = first.efficiency_frac * first.ratio * onward;
        (slope, drag * first.ratio * onward + axle_drag * axle.ratio)
    }

    /// Acceleration, m/s², at a motor torque; the rotor takes `J dω/dt` of it.
    pub(super) fn acceleration(&self, v: f64, torque_nm: f64, now: &Now) -> f64 {
        let (slope, less) = self.through_gears(v, now.oils);
        let rotor = self.spec.motor.rotor_inertia_kgm2 * self.ratio / self.radius_m;
        let force_n =
            (slope * torque_nm - less) / self.radius_m - self.road.all_n(v, 0.0, now.tyre_k);
        force_n / (self.rolling_kg() + slope * rotor / self.radius_m)
    }

    /// Force at the tyre, N, and power lost in the gearbox and in the axle, W, at a torque and acceleration.
    pub(super) fn tyre(&self, v: f64, torque_nm: f64, accel: f64, oils: Oils) -> (f64, [f64; 2]) {
        let (slope, less) = self.through_gears(v, oils);
        let rotor = self.spec.motor.rotor_inertia_kgm2 * self.ratio / self.radius_m;
        let behind_nm = torque_nm - rotor * accel;
        let force_n = (slope * behind_nm - less) / self.radius_m;
        let all_w = behind_nm * self.omega(v) - force_n * v;
        let gearbox_w = self.spec.driveline.first.stage(0).map_or(0.0, |first| {
            let entering_w = (1.0 - first.efficiency_frac) * behind_nm * self.omega(v);
            entering_w + self.drag_nm(first, self.omega(v), oils.gearbox_k) * self.omega(v)
        });
        (force_n, [gearbox_w, all_w - gearbox_w])
    }

    /// Torque that a tyre force asks for at an acceleration, N m.
    pub(super) fn torque_for(&self, v: f64, force_n: f64, accel: f64, oils: Oils) -> f64 {
        let (slope, less) = self.through_gears(v, oils);
        let rotor = self.spec.motor.rotor_inertia_kgm2 * self.ratio / self.radius_m;
        (force_n * self.radius_m + less) / slope + rotor * accel
    }

    /// Greatest tyre force of a driven rear axle with an open differential on a live axle, dry, N
    /// (Gillespie, Fundamentals of Vehicle Dynamics, chapter 2).
    pub(super) fn grip_n(&self) -> f64 {
        let grip = self.spec.tyres.grip_dry;
        let reaction = 2.0 * grip * self.radius_m * 0.6
            / (self.spec.driveline.axle.ratio * self.spec.weights.track_rear_m);
        let load_n = self.rear_kg * GRAVITY_MPS2;
        grip * load_n / (1.0 - grip * self.height_over_wheelbase + reaction)
    }

    /// Motor loss, W.
    pub(super) fn loss_w(&self, omega: f64, torque_nm: f64) -> f64 {
        let loss = match &self.spec.motor.losses {
            MotorLossSpec::Map(map) => by_map(map, omega, torque_nm.abs()),
            MotorLossSpec::Polynomial {
                copper_w_per_nm2,
                iron_w_per_radps,
                windage_w_per_radps3,
                fixed_w,
            } => {
                copper_w_per_nm2 * torque_nm * torque_nm
                    + iron_w_per_radps * omega
                    + windage_w_per_radps3 * omega.powi(3)
                    + fixed_w
            }
            MotorLossSpec::BestPoint { .. } => panic!("no test here has one"),
        };
        loss * self.spec.motor.losses_scale
    }

    /// Continuous torque on the sheet, N m.
    pub(super) fn continuous_nm(&self, omega: f64) -> f64 {
        let curve = &self.spec.motor.curve;
        straight(&curve.speed_radps, &curve.continuous_torque_nm, omega)
    }

    /// Loss over loss at continuous torque.
    pub(super) fn heat_ratio(&self, omega: f64, torque_nm: f64) -> f64 {
        self.loss_w(omega, torque_nm) / self.loss_w(omega, self.continuous_nm(omega))
    }

    /// `τ = t / ln(U / (U - 1))`, s, with the losses at the corner of the peak curve.
    pub(super) fn time_constant_s(&self) -> f64 {
        let curve = &self.spec.motor.curve;
        let greatest = curve.peak_torque_nm.iter().copied().fold(0.0, f64::max);
        let corner = curve.peak_torque_nm.iter().rposition(|nm| *nm >= 0.995 * greatest).unwrap();
        let ratio = self.heat_ratio(curve.speed_radps[corner], curve.peak_torque_nm[corner]);
        self.spec.motor.peak_seconds.unwrap() / (ratio / (ratio - 1.0)).ln()
    }

    /// Voltage at rest, V.
    pub(super) fn at_rest_v(&self, z: f64) -> f64 {
        let table = &self.spec.pack.open_circuit;
        self.series() * straight(&table.charge_frac, &table.voltage_v, z)
    }

    fn series(&self) -> f64 {
        f64::from(self.spec.pack.cells_in_series * self.spec.pack.modules_in_series)
    }

    fn parallel(&self) -> f64 {
        f64::from(self.spec.pack.cells_in_parallel * self.spec.pack.modules_in_parallel)
    }

    /// Capacity, C.
    pub(super) fn capacity_c(&self) -> f64 {
        let pack = &self.spec.pack;
        let mean = pack.cell_capacity_c * self.parallel() * pack.state_of_health_frac;
        mean * (1.0 - pack.module_spread * expected_greatest(pack.modules_in_series))
    }

    /// Resistance, Ω: `exp(B (1/T - 1/298.15))`, up to half as much again towards empty below 20 %.
    pub(super) fn resistance_ohm(&self, z: f64, pack_k: f64) -> f64 {
        let pack = &self.spec.pack;
        let cold = (pack.resistance_b_k * (1.0 / pack_k - 1.0 / 298.15)).exp();
        let empty = 1.0 + 2.5 * (0.2 - z).max(0.0);
        pack.cell_resistance_ohm * self.series() / self.parallel() * cold * empty
            + pack.harness_resistance_ohm
    }

    /// Current at a power at the terminals, A, from `P = (E - I R) I`.
    pub(super) fn current_a(&self, terminal_w: f64, now: &Now) -> f64 {
        let (e, r) = (self.at_rest_v(now.z), self.resistance_ohm(now.z, now.pack_k));
        (e - (e * e - 4.0 * r * terminal_w).sqrt()) / (2.0 * r)
    }

    /// From torque to current.
    pub(super) fn flow(&self, omega: f64, torque_nm: f64, now: &Now) -> Flow {
        let motor_w = torque_nm * omega + self.loss_w(omega, torque_nm);
        let inverter = &self.spec.inverter;
        let inverter_w = motor_w + inverter.fixed_loss_w + inverter.loss_share * motor_w.abs();
        let current_a = self.current_a(inverter_w + self.standing_w, now);
        let voltage_v = self.at_rest_v(now.z) - current_a * self.resistance_ohm(now.z, now.pack_k);
        Flow { inverter_w, current_a, voltage_v }
    }

    /// Torque with the throttle open, N m: the greatest that keeps the curve at the voltage under
    /// load, heat, and the currents and lowest voltage of pack and controller. By halving.
    pub(super) fn open_throttle_nm(&self, v: f64, now: &Now) -> f64 {
        let motor = &self.spec.motor;
        let (pack, inverter) = (&self.spec.pack, &self.spec.inverter);
        let omega = self.omega(v);
        let lowest_v = (pack.cell_min_voltage_v * self.series()).max(inverter.min_voltage_v);
        let highest_a = pack.max_discharge_per_h * pack.cell_capacity_c * self.parallel() / 3600.0;
        let ease = f64::from(now.u < 1.0);
        let keeps = |nm: f64| {
            let flow = self.flow(omega, nm, now);
            let at = omega * motor.test_voltage_v / flow.voltage_v;
            let peak_nm = straight(&motor.curve.speed_radps, &motor.curve.peak_torque_nm, at);
            let continuous_nm = self.continuous_nm(omega).min(peak_nm);
            let able_nm = continuous_nm + ease * (peak_nm - continuous_nm);
            nm <= able_nm
                && flow.current_a <= highest_a
                && flow.inverter_w <= inverter.max_battery_current_a * flow.voltage_v
                && flow.voltage_v >= lowest_v
        };
        let (mut low, mut high) = (0.0, 2.0 * motor.curve.peak_torque_nm[0]);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if keeps(middle) { low = middle } else { high = middle }
        }
        low
    }

    /// Tyres on their way, in 17 min, to what they tend to: 22 K above the air at 80 km/h, by the root of speed.
    fn tyre_kps(&self, v: f64, tyre_k: f64) -> f64 {
        (self.tyres_end_k(v) - tyre_k) / 1_020.0
    }

    /// What tyres tend to at a speed, K.
    pub(super) fn tyres_end_k(&self, v: f64) -> f64 {
        self.air_k + self.spec.tyres.temperature_rise_k * (v * 3.6 / 80.0).sqrt()
    }

    /// Changes a second of charge, heat, oil of gearbox and axle, tyres and pack, in that order, from a flow.
    pub(super) fn changes(
        &self,
        v: f64,
        torque_nm: f64,
        geared_w: [f64; 2],
        now: &Now,
    ) -> [f64; 6] {
        let omega = self.omega(v);
        let flow = self.flow(omega, torque_nm, now);
        let driveline = &self.spec.driveline;
        let oil_jpk = driveline.oil_conductance_wpk * driveline.oil_time_constant_s;
        let x = v / (50.0 / 3.6);
        let casing_wpk = driveline.oil_conductance_wpk * (0.25 + 0.45 * x.sqrt() + 0.3 * x);
        let warm = |watts: f64, k: f64| (watts - casing_wpk * (k - self.air_k)) / oil_jpk;
        let pack = &self.spec.pack;
        let modules = f64::from(pack.modules_in_series * pack.modules_in_parallel);
        let pack_jpk = pack.specific_heat_jpkgk * (modules * pack.module_mass_kg).max(1.0);
        let cells_ohm = self.resistance_ohm(now.z, now.pack_k) - pack.harness_resistance_ohm;
        let joule_w = flow.current_a * flow.current_a * cells_ohm;
        let heating = self.heat_ratio(omega, torque_nm) - now.u;
        [
            -flow.current_a / self.capacity_c(),
            if self.spec.motor.peak_seconds.is_some() {
                heating / self.time_constant_s()
            } else {
                0.0
            },
            warm(geared_w[0], now.oils.gearbox_k),
            warm(geared_w[1], now.oils.axle_k),
            self.tyre_kps(v, now.tyre_k),
            (joule_w - pack.conductance_wpk * (now.pack_k - self.air_k)) / pack_jpk,
        ]
    }
}

/// A map of losses, straight along torque and then along speed.
fn by_map(map: &LossMap, omega: f64, torque_nm: f64) -> f64 {
    let rows = map.loss_w.chunks_exact(map.torque_nm.len());
    let at: Vec<f64> = rows.map(|row| straight(&map.torque_nm, row, torque_nm)).collect();
    straight(&map.speed_radps, &at, omega)
}

/// Expected greatest of so many draws from a standard normal distribution: `∫ x n φ(x) Φ(x)ⁿ⁻¹ dx`.
fn expected_greatest(count: u32) -> f64 {
    let normal = Normal::standard();
    let rest = i32::try_from(count).unwrap() - 1;
    let density = |x: f64| x * f64::from(count) * normal.pdf(x) * normal.cdf(x).powi(rest);
    (-32..32).map(|i| gauss((0.25 * f64::from(i), 0.25 * f64::from(i + 1)), density)).sum()
}
