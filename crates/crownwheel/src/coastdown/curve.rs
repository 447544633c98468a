//! Speed against time of a car that coasts, with its derivatives.
//!
//! A fit compares this curve with measured speeds, not forces with differentiated noise. The
//! derivatives come from the same steps as the speed, so they are those of the curve that is used.

use super::Coefficients;
use crate::constants::STANDARD_GRAVITY_MPS2;
use crate::road_load::{all_round_m2ps2, along_road_m2ps2};

/// Quantities that the curve is differentiated by, in the order of [`CurvePoint::slopes`].
pub const SLOPES: usize = 6;

/// Longest step, s. The speed of a coasting car changes over tens of seconds: with steps of the
/// fourth order half of this moves no speed by a micrometre a second.
const LONGEST_STEP_S: f64 = 1.0;

/// Air along the road and from all round, m/s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Air {
    /// Headwind at the height of the car, m/s; a tailwind is negative.
    pub headwind_mps: f64,
    /// Wind that comes from all round, m/s, at least 0: what it adds on the mean of all headings.
    pub all_round_mps: f64,
}

/// What a run met on its way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunConditions {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Mass with turning parts, kg.
    pub effective_mass_kg: f64,
    /// Sine of the road's angle, positive uphill.
    pub slope_sin: f64,
    /// Wind.
    pub air: Air,
    /// Rolling resistance over that of the reference, see [`crate::tyre::rolling_factor`].
    pub rolling_factor: f64,
    /// Density of the air over that of the reference.
    pub density_ratio: f64,
}

/// Speed at a time, and how it moves with what the run depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// Speed, m/s.
    pub speed_mps: f64,
    /// Derivatives of the speed by `f0`, `f1`, `f2`, sine of the slope, headwind, first speed, in
    /// SI units.
    pub slopes: [f64; SLOPES],
}

type CoastState = [f64; 1 + SLOPES];

/// Speeds at the given times of a car that coasts from `first_speed_mps` at the first of them.
///
/// `m_e dv/dt = -((f0 + f1 v) k_T + f2 k_ρ (v + w)|v + w| + m g sin θ)`, by Runge and Kutta's steps
/// of the fourth order, at most a second long.
///
/// # Units
/// `times_s` rising. `more_slope_sin` is added to the slope of the conditions, a value for each time,
/// straight between them; empty for none.
///
/// ```
/// use crownwheel::coastdown::Coefficients;
/// use crownwheel::coastdown::curve::{Air, RunConditions, speed_curve};
/// let load = Coefficients { f0_n: 100.0, ..Coefficients::default() };
/// let run = RunConditions { mass_kg: 950.0, effective_mass_kg: 1_000.0, slope_sin: 0.0,
///     air: Air::default(), rolling_factor: 1.0, density_ratio: 1.0 };
/// // 0.1 m/s² for 50 s.
/// let points = speed_curve(&load, &run, 20.0, &[0.0, 50.0], &[]);
/// assert!((points[1].speed_mps - 15.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn speed_curve(
    load: &Coefficients,
    run: &RunConditions,
    first_speed_mps: f64,
    times_s: &[f64],
    more_slope_sin: &[f64],
) -> Vec<CurvePoint> {
    let mut state: CoastState = [0.0; 1 + SLOPES];
    state[0] = first_speed_mps;
    state[SLOPES] = 1.0;
    let slope_at = |i: usize| more_slope_sin.get(i).copied().unwrap_or(0.0);
    let mut points = Vec::with_capacity(times_s.len());
    for (i, time_s) in times_s.iter().enumerate() {
        if i > 0 {
            let ends = (slope_at(i - 1), slope_at(i));
            state = carried(load, run, state, time_s - times_s[i - 1], ends);
        }
        let [speed_mps, slopes @ ..] = state;
        points.push(CurvePoint { speed_mps, slopes });
    }
    points
}

/// The state after `span_s`, in equal steps.
fn carried(
    load: &Coefficients,
    run: &RunConditions,
    mut state: CoastState,
    span_s: f64,
    (slope_from, slope_to): (f64, f64),
) -> CoastState {
    let mut steps = 1.0;
    while span_s / steps > LONGEST_STEP_S && steps < 4096.0 {
        steps *= 2.0;
    }
    let step_s = span_s / steps;
    let mut done = 0.0;
    while done < steps {
        let slope = |share: f64| slope_from + (slope_to - slope_from) * (done + share) / steps;
        state = stepped(load, run, state, step_s, [slope(0.0), slope(0.5), slope(1.0)]);
        done += 1.0;
    }
    state
}

fn stepped(
    load: &Coefficients,
    run: &RunConditions,
    state: CoastState,
    step_s: f64,
    slopes: [f64; 3],
) -> CoastState {
    let ahead = |rate: &CoastState, share: f64| {
        let mut moved = state;
        for (value, rate) in moved.iter_mut().zip(rate) {
            *value += share * step_s * rate;
        }
        moved
    };
    let k1 = rates(load, run, &state, slopes[0]);
    let k2 = rates(load, run, &ahead(&k1, 0.5), slopes[1]);
    let k3 = rates(load, run, &ahead(&k2, 0.5), slopes[1]);
    let k4 = rates(load, run, &ahead(&k3, 1.0), slopes[2]);
    let mut next = state;
    for (i, value) in next.iter_mut().enumerate() {
        *value += step_s / 6.0 * (k1[i] + 2.0 * (k2[i] + k3[i]) + k4[i]);
    }
    next
}

/// Rates of the speed and of its derivatives.
fn rates(
    load: &Coefficients,
    run: &RunConditions,
    state: &CoastState,
    more_slope_sin: f64,
) -> CoastState {
    let v = state[0];
    let per_n = -1.0 / run.effective_mass_kg;
    let weight_n = run.mass_kg * STANDARD_GRAVITY_MPS2;
    let head_mps = run.air.headwind_mps;
    // A wind from all round acts like a little more air speed squared; how that little grows with
    // the road speed hardly matters for the derivatives.
    let all_round = match run.air.all_round_mps {
        wind_mps if wind_mps > 0.0 => all_round_m2ps2(v, wind_mps, 0.0) - v * v.abs(),
        _ => 0.0,
    };
    let air = along_road_m2ps2(v, head_mps) + all_round;
    let air_slope = 2.0 * (v + head_mps).abs();
    let (rolling, density) = (run.rolling_factor, run.density_ratio);
    let force_n = (load.f0_n + load.f1_n_per_mps * v) * rolling
        + load.f2_n_per_mps2 * density * air
        + weight_n * (run.slope_sin + more_slope_sin);
    let by_speed = load.f1_n_per_mps * rolling + load.f2_n_per_mps2 * density * air_slope;
    let by = [
        rolling,
        rolling * v,
        density * air,
        weight_n,
        load.f2_n_per_mps2 * density * air_slope,
        0.0,
    ];
    let mut out: CoastState = [0.0; 1 + SLOPES];
    out[0] = per_n * force_n;
    for i in 0..SLOPES {
        out[1 + i] = per_n * (by_speed * state[1 + i] + by[i]);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::{SpeedSpan, coast_time_s};
    use super::*;

    const LOAD: Coefficients = Coefficients { f0_n: 110.0, f1_n_per_mps: 1.2, f2_n_per_mps2: 0.42 };

    const RUN: RunConditions = RunConditions {
        mass_kg: 900.0,
        effective_mass_kg: 930.0,
        slope_sin: 0.0,
        air: Air { headwind_mps: 0.0, all_round_mps: 0.0 },
        rolling_factor: 1.0,
        density_ratio: 1.0,
    };

    fn every_second() -> Vec<f64> {
        (0..120).map(f64::from).collect()
    }

    #[test]
    fn the_curve_is_the_closed_form() {
        let times = every_second();
        for (time_s, point) in times.iter().zip(speed_curve(&LOAD, &RUN, 33.0, &times, &[])).skip(1)
        {
            let span = SpeedSpan { from_mps: 33.0, to_mps: point.speed_mps };
            let wanted = coast_time_s(&LOAD, RUN.effective_mass_kg, span).unwrap();
            assert!((time_s - wanted).abs() < 1e-7, "{time_s} {wanted}");
        }
    }

    #[test]
    fn the_slopes_are_those_of_the_curve() {
        let run = RunConditions {
            slope_sin: 0.002,
            air: Air { headwind_mps: -1.5, all_round_mps: 0.0 },
            rolling_factor: 1.05,
            density_ratio: 1.03,
            ..RUN
        };
        let times = every_second();
        let curve = |load: &Coefficients, run: &RunConditions, first: f64| {
            speed_curve(load, run, first, &times, &[])
        };
        let shifted = |i: usize, h: f64| {
            let (mut load, mut run, mut first) = (LOAD, run, 31.0);
            match i {
                0 => load.f0_n += h,
                1 => load.f1_n_per_mps += h,
                2 => load.f2_n_per_mps2 += h,
                3 => run.slope_sin += h,
                4 => run.air.headwind_mps += h,
                _ => first += h,
            }
            curve(&load, &run, first)
        };
        let middle = curve(&LOAD, &run, 31.0);
        for (i, h) in [1e-2, 1e-3, 1e-4, 1e-5, 1e-3, 1e-3].into_iter().enumerate() {
            let (up, down) = (shifted(i, h), shifted(i, -h));
            for (k, point) in middle.iter().enumerate() {
                let wanted = (up[k].speed_mps - down[k].speed_mps) / (2.0 * h);
                let allowed = 1e-6 * wanted.abs() + 1e-9;
                assert!((point.slopes[i] - wanted).abs() < allowed, "{i} {k}: {point:?} {wanted}");
            }
        }
    }

    #[test]
    fn long_gaps_are_stepped_through() {
        let near = speed_curve(&LOAD, &RUN, 33.0, &every_second(), &[]);
        let far = speed_curve(&LOAD, &RUN, 33.0, &[0.0, 119.0], &[]);
        assert!((near[119].speed_mps - far[1].speed_mps).abs() < 1e-7);
    }

    #[test]
    fn a_slope_that_is_given_point_by_point_is_the_same_slope() {
        let times = every_second();
        let slopes = vec![0.003; times.len()];
        let uphill = RunConditions { slope_sin: 0.003, ..RUN };
        let (given, constant) = (
            speed_curve(&LOAD, &RUN, 33.0, &times, &slopes),
            speed_curve(&LOAD, &uphill, 33.0, &times, &[]),
        );
        for (a, b) in given.iter().zip(&constant) {
            assert!((a.speed_mps - b.speed_mps).abs() < 1e-12);
        }
    }

    #[test]
    fn wind_from_all_round_slows() {
        let windy = RunConditions { air: Air { headwind_mps: 0.0, all_round_mps: 4.0 }, ..RUN };
        let times = every_second();
        let (calm, wind) = (
            speed_curve(&LOAD, &RUN, 33.0, &times, &[]),
            speed_curve(&LOAD, &windy, 33.0, &times, &[]),
        );
        assert!(wind[60].speed_mps < calm[60].speed_mps - 0.1);
    }
}
