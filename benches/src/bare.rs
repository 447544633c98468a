//! The bare kernel: the least arithmetic that a drive-cycle step can be made of.
//!
//! The full model is judged by its time over this kernel's time, on the same machine in the same
//! run. It has a road load of two terms, two gear stages, one torque and one power limit, motor
//! losses, an open-circuit voltage, one square root, and the charge. It has no limits by voltage, no
//! temperatures, no balance, no named binding limit, and must not get them.

use pulp::{Arch, Simd, WithSimd};

/// A car in the fewest numbers, SI throughout.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BareCar {
    /// Mass with the turning parts, kg.
    pub effective_mass_kg: f64,
    /// Constant road load, N.
    pub constant_n: f64,
    /// Road load over speed squared, N per (m/s)².
    pub square_n_per_mps2: f64,
    /// Motor speed over road speed, rad/m.
    pub radps_per_mps: f64,
    /// Efficiency of the two stages in a row.
    pub stage_efficiency: [f64; 2],
    /// Highest torque, N m.
    pub torque_nm: f64,
    /// Highest shaft power, W.
    pub power_w: f64,
    /// Motor and inverter loss: `[fixed W, W per rad/s, W per (rad/s)³, W per (N m)²]`.
    pub loss: [f64; 4],
    /// Standing load, W.
    pub standing_w: f64,
    /// Open-circuit voltage of the pack, V, by rising power of the state of charge.
    pub open_circuit_v: [f64; 5],
    /// Resistance of the pack, Ω.
    pub resistance_ohm: f64,
    /// 1 over the capacity, 1/C.
    pub per_capacity: f64,
}

impl BareCar {
    /// A car of the size of the demo.
    #[must_use]
    pub fn small_saloon() -> BareCar {
        BareCar {
            effective_mass_kg: 913.0,
            constant_n: 108.0,
            square_n_per_mps2: 0.438,
            radps_per_mps: 22.6,
            stage_efficiency: [0.96, 0.98],
            torque_nm: 165.0,
            power_w: 50_000.0,
            loss: [120.0, 1.0, 4.0e-6, 0.27],
            standing_w: 200.0,
            open_circuit_v: [110.0, 70.0, -90.0, 75.0, -15.0],
            resistance_ohm: 0.017,
            per_capacity: 1.0 / 561_600.0,
        }
    }

    /// State of charge after `dt_s` between two road speeds.
    #[must_use]
    #[inline]
    pub fn step(&self, charge: f64, from_mps: f64, to_mps: f64, dt_s: f64) -> f64 {
        let speed = 0.5 * (from_mps + to_mps);
        let omega = speed * self.radps_per_mps;
        // F = m_e a + c + s v²
        let force = self.effective_mass_kg * (to_mps - from_mps) / dt_s
            + self.constant_n
            + self.square_n_per_mps2 * speed * speed;
        // Each stage takes its share of the power entering it, in either direction.
        let mut torque = force / self.radps_per_mps;
        for efficiency in self.stage_efficiency {
            torque = if torque > 0.0 { torque / efficiency } else { torque * efficiency };
        }
        let by_power = self.power_w / omega.max(1.0);
        let limit = self.torque_nm.min(by_power);
        let torque = torque.min(limit).max(-limit);
        // P_loss = C + k_i ω + k_w ω³ + k_c T²
        let [fixed, iron, windage, copper] = self.loss;
        let loss = fixed + omega * (iron + windage * omega * omega) + copper * torque * torque;
        let power = torque * omega + loss + self.standing_w;
        // E(z) by Horner's rule; I = 2P / (E + √(E² - 4RP))
        let [e0, e1, e2, e3, e4] = self.open_circuit_v;
        let volts = e0 + charge * (e1 + charge * (e2 + charge * (e3 + charge * e4)));
        let root = (volts * volts - 4.0 * self.resistance_ohm * power).max(0.0).sqrt();
        let current = 2.0 * power / (volts + root);
        charge - current * dt_s * self.per_capacity
    }

    /// State of charge after a whole speed trace with one sample every `dt_s`.
    #[must_use]
    pub fn drive(&self, charge: f64, speed_mps: &[f64], dt_s: f64) -> f64 {
        speed_mps.windows(2).fold(charge, |charge, pair| self.step(charge, pair[0], pair[1], dt_s))
    }
}

/// Several bare cars side by side, one array for each number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BareLanes<const N: usize> {
    effective_mass_kg: [f64; N],
    constant_n: [f64; N],
    square_n_per_mps2: [f64; N],
    radps_per_mps: [f64; N],
    stage_efficiency: [[f64; 2]; N],
    torque_nm: [f64; N],
    power_w: [f64; N],
    loss: [[f64; 4]; N],
    standing_w: [f64; N],
    open_circuit_v: [[f64; 5]; N],
    resistance_ohm: [f64; N],
    per_capacity: [f64; N],
}

impl<const N: usize> BareLanes<N> {
    /// Lays cars side by side.
    #[must_use]
    pub fn of(cars: &[BareCar; N]) -> Self {
        BareLanes {
            effective_mass_kg: cars.map(|car| car.effective_mass_kg),
            constant_n: cars.map(|car| car.constant_n),
            square_n_per_mps2: cars.map(|car| car.square_n_per_mps2),
            radps_per_mps: cars.map(|car| car.radps_per_mps),
            stage_efficiency: cars.map(|car| car.stage_efficiency),
            torque_nm: cars.map(|car| car.torque_nm),
            power_w: cars.map(|car| car.power_w),
            loss: cars.map(|car| car.loss),
            standing_w: cars.map(|car| car.standing_w),
            open_circuit_v: cars.map(|car| car.open_circuit_v),
            resistance_ohm: cars.map(|car| car.resistance_ohm),
            per_capacity: cars.map(|car| car.per_capacity),
        }
    }

    /// State of charge of each after a whole speed trace, with the widest instructions of the
    /// machine; the bits of [`BareCar::drive`].
    #[must_use]
    pub fn drive(&self, charge: f64, speed_mps: &[f64], dt_s: f64) -> [f64; N] {
        Arch::new().dispatch(BareJob { lanes: self, charge, speed_mps, dt_s })
    }

    #[inline(always)]
    fn car(&self, i: usize) -> BareCar {
        BareCar {
            effective_mass_kg: self.effective_mass_kg[i],
            constant_n: self.constant_n[i],
            square_n_per_mps2: self.square_n_per_mps2[i],
            radps_per_mps: self.radps_per_mps[i],
            stage_efficiency: self.stage_efficiency[i],
            torque_nm: self.torque_nm[i],
            power_w: self.power_w[i],
            loss: self.loss[i],
            standing_w: self.standing_w[i],
            open_circuit_v: self.open_circuit_v[i],
            resistance_ohm: self.resistance_ohm[i],
            per_capacity: self.per_capacity[i],
        }
    }
}

struct BareJob<'a, const N: usize> {
    lanes: &'a BareLanes<N>,
    charge: f64,
    speed_mps: &'a [f64],
    dt_s: f64,
}

impl<const N: usize> WithSimd for BareJob<'_, N> {
    type Output = [f64; N];

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) -> [f64; N] {
        let mut charge = [self.charge; N];
        for pair in self.speed_mps.windows(2) {
            for (i, charge) in charge.iter_mut().enumerate() {
                *charge = self.lanes.car(i).step(*charge, pair[0], pair[1], self.dt_s);
            }
        }
        charge
    }
}

#[cfg(test)]
mod tests {
    use super::{BareCar, BareLanes};

    #[test]
    fn steady_speed_takes_what_the_sum_by_hand_says() {
        let car = BareCar::small_saloon();
        let (speed, charge) = (20.0, 0.5);
        let omega: f64 = 20.0 * 22.6;
        let torque: f64 = (108.0 + 0.438 * 400.0) / 22.6 / 0.96 / 0.98;
        let loss = 120.0 + omega + 4.0e-6 * omega.powi(3) + 0.27 * torque * torque;
        let power = torque * omega + loss + 200.0;
        let volts = 110.0 + 35.0 - 22.5 + 75.0 / 8.0 - 15.0 / 16.0;
        let current = (charge - car.step(charge, speed, speed, 1.0)) * 561_600.0;
        // U I = P at the terminals, U = E - R I
        let at_terminals = (volts - 0.017 * current) * current;
        assert!((at_terminals / power - 1.0).abs() < 1e-9, "{at_terminals} W of {power} W");
    }

    #[test]
    fn hard_braking_charges() {
        let car = BareCar::small_saloon();
        assert!(car.step(0.5, 20.0, 18.0, 1.0) > 0.5);
    }

    #[test]
    fn cars_side_by_side_give_the_bits_of_each_alone() {
        let car = BareCar::small_saloon();
        let cars: [BareCar; 8] = [20.0, 21.0, 22.0, 22.6, 23.0, 24.0, 25.0, 26.0]
            .map(|radps_per_mps| BareCar { radps_per_mps, ..car });
        let trace = [0.0, 5.0, 14.0, 30.0, 31.0, 31.0, 12.0, 3.0, 0.0];
        let charges = BareLanes::of(&cars).drive(0.9, &trace, 1.0);
        for (car, charge) in cars.iter().zip(charges) {
            assert_eq!(charge.to_bits(), car.drive(0.9, &trace, 1.0).to_bits());
        }
        assert_ne!(charges[0].to_bits(), charges[7].to_bits());
    }
}
