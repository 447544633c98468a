//! Braking by the motor: how hard, and what limits it; axle loads under braking.

use crate::car::Car;
use crate::constants::STANDARD_GRAVITY_MPS2;
use crate::cycle::{Leg, Span};
use crate::day::Day;
use crate::limit::Limit;
use crate::ready::Ready;
use crate::spec::{CornersKg, RoadSurface};
use crate::step::{State, step};

/// An instant of braking, s, and the speed that is asked off in it, m/s: a thousand m/s².
const INSTANT_S: f64 = 1e-6;
const ASKED_MPS: f64 = 1e-3;

/// Braking by the motor alone at one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct OverrunRow {
    /// Road speed, m/s.
    pub speed_mps: f64,
    /// Greatest braking force of the driven wheels, N.
    pub braking_n: f64,
    /// Deceleration by it alone, without road load, m/s².
    pub deceleration_mps2: f64,
    /// What keeps it from being more.
    pub limit: Limit,
}

/// Greatest braking by the motor at a speed and a state of charge, in the usual gear, whatever share
/// the build gives it; near standstill it fades as the build says.
///
/// Grip counts with the load that this braking alone moves forward.
///
/// `charge_frac` 0..1, `speed_mps` at least 0.
///
/// ```
/// use crownwheel::{limit::Limit, overrun::overrun};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// // Half full at 80 km/h the cells take 156 A.
/// assert_eq!(overrun(&car, &day, 0.5, 80.0 / 3.6).limit, Limit::ChargeCurrent);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn overrun(car: &Car, day: &Day, charge_frac: f64, speed_mps: f64) -> OverrunRow {
    let lock_n = lock_force_n(car, day.road());
    let ready = Ready::new(car, day).braking_alone(lock_n);
    let state = State::on_warm_tyres(car, day, speed_mps, charge_frac);
    let target_mps = (speed_mps - ASKED_MPS).max(0.0);
    let leg = Leg {
        span: Span::Time(INSTANT_S),
        target_mps,
        lowest_target_mps: target_mps,
        sin: 0.0,
        cos: 1.0,
    };
    let done = step(&ready.view(), &leg, &state);
    let shaft_j = done.torque_nm * done.motor_radps * done.duration_s;
    let driven_n = if done.distance_m > 0.0 {
        (shaft_j - done.energy.driveline_j) / done.distance_m
    } else {
        0.0
    };
    let braking_n = (-driven_n).max(0.0);
    OverrunRow {
        speed_mps,
        braking_n,
        deceleration_mps2: braking_n / car.mass_kg(),
        limit: Limit::from_code(done.limit),
    }
}

/// Force, N, at which braking by the driven axle alone locks it: `μ W / (1 ± μ h/L)`, plus for a
/// rear axle, which braking unloads.
///
/// Statics; `h / L` of the car as it drives.
///
/// ```
/// use crownwheel::{overrun::lock_force_n, spec::RoadSurface};
/// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
/// // Where it locks, grip times the load that is left is the force.
/// let force_n = lock_force_n(&car, RoadSurface::Ice);
/// let rear = car.driven_axle();
/// let left_n = rear.static_load_n - force_n * rear.height_over_wheelbase;
/// assert!((0.15 * left_n - force_n).abs() < 1e-9);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn lock_force_n(car: &Car, road: RoadSurface) -> f64 {
    let driven = car.driven_axle();
    let grip = car.grip(road);
    let denominator = 1.0 - grip * driven.load_per_braking_n();
    // A front axle of a very tall car takes all the weight before it locks.
    let whole_n = grip * car.mass_kg() * STANDARD_GRAVITY_MPS2;
    if denominator > 0.0 {
        (grip * driven.static_load_n / denominator).min(whole_n)
    } else {
        whole_n
    }
}

/// Deceleration, m/s², at which braking by the motor alone locks the driven axle.
///
/// ```
/// use crownwheel::{overrun::{lock_deceleration_mps2, lock_force_n}, spec::RoadSurface};
/// let car = crownwheel::Car::new(&crownwheel::example::small_saloon())?;
/// let force_n = lock_force_n(&car, RoadSurface::Wet);
/// assert!((lock_deceleration_mps2(&car, RoadSurface::Wet) - force_n / 908.6).abs() < 1e-9);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn lock_deceleration_mps2(car: &Car, road: RoadSurface) -> f64 {
    lock_force_n(car, road) / car.mass_kg()
}

/// Loads of the axles, kg, front then rear, at a deceleration: `m a h / L` moves forward.
///
/// Statics.
///
/// ```
/// let corners = crownwheel::example::small_saloon().weights.corners;
/// // Half of g and a fifth of the wheelbase: a tenth of 792 kg moves.
/// let (front_kg, rear_kg) =
///     crownwheel::overrun::axle_loads_braking_kg(&corners, 0.2, 0.5 * 9.806_65);
/// assert!((front_kg - 435.5 - 79.2).abs() < 1e-9 && (rear_kg - 356.5 + 79.2).abs() < 1e-9);
/// ```
#[must_use]
pub fn axle_loads_braking_kg(
    corners: &CornersKg,
    height_over_wheelbase: f64,
    deceleration_mps2: f64,
) -> (f64, f64) {
    let moved_kg =
        corners.total_kg() * deceleration_mps2 / STANDARD_GRAVITY_MPS2 * height_over_wheelbase;
    (corners.front_axle_kg() + moved_kg, corners.rear_axle_kg() - moved_kg)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::{mild_day, small_saloon, winter_day};
    use crate::spec::{DaySpec, SpecError};

    fn row(day: &DaySpec, charge: f64, speed_kmh: f64) -> Result<OverrunRow, SpecError> {
        let (car, day) = (Car::new(&small_saloon())?, Day::new(day)?);
        Ok(overrun(&car, &day, charge, speed_kmh / 3.6))
    }

    #[test]
    fn each_limit_shows_where_it_should() -> Result<(), SpecError> {
        let fast = row(&mild_day(), 0.5, 80.0)?;
        assert_eq!(fast.limit, Limit::ChargeCurrent);
        // 156 A at about 137 V and the losses on the way, over 22.2 m/s.
        assert!(fast.braking_n > 900.0 && fast.braking_n < 1300.0, "{fast:?}");
        assert_eq!(row(&winter_day(), 0.5, 80.0)?.limit, Limit::ColdPack);
        assert_eq!(row(&mild_day(), 0.96, 80.0)?.limit, Limit::FullPack);
        assert_eq!(row(&mild_day(), 0.5, 15.0)?.limit, Limit::Grip);
        let mut sticky = small_saloon();
        sticky.tyres.grip_dry = 1.6;
        let (car, day) = (Car::new(&sticky)?, Day::new(&mild_day())?);
        let slow = overrun(&car, &day, 0.5, 15.0 / 3.6);
        assert_eq!(slow.limit, Limit::MotorTorque);
        // 165 N m through 6.33, and the driveline's losses help to brake.
        assert!(slow.braking_n > 165.0 * 6.33 / 0.2807, "{slow:?}");
        Ok(())
    }

    #[test]
    fn on_ice_the_axle_locks_first() -> Result<(), SpecError> {
        let icy = DaySpec { road: RoadSurface::Ice, ..mild_day() };
        let row = row(&icy, 0.5, 20.0)?;
        assert_eq!(row.limit, Limit::Grip);
        let car = Car::new(&small_saloon())?;
        let lock_n = lock_force_n(&car, RoadSurface::Ice);
        assert!((row.braking_n / lock_n - 1.0).abs() < 1e-3, "{row:?} {lock_n}");
        // At that force the axle's load times grip is the force.
        let driven = car.driven_axle();
        let load_n = driven.static_load_n + driven.load_per_braking_n() * lock_n;
        assert!((0.15 * load_n / lock_n - 1.0).abs() < 1e-12);
        Ok(())
    }

    #[test]
    fn braking_moves_load_forward_and_keeps_the_sum() {
        let corners = small_saloon().weights.corners;
        let (front, rear) = axle_loads_braking_kg(&corners, 0.224, 0.5 * STANDARD_GRAVITY_MPS2);
        assert!((front + rear - 792.0).abs() < 1e-9);
        assert!((front - 435.5 - 792.0 * 0.5 * 0.224).abs() < 1e-9);
    }
}
