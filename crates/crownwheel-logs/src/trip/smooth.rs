//! Smoothing of speed by as much as its own noise asks for.
//!
//! Noise from second to second would be driven as speeding up and braking, and be paid for. The
//! smoothed speed keeps near the readings and has little jerk (Whittaker's graduation with second
//! differences); the weight between the two is the noise of the readings, which their third
//! differences show, over the change of acceleration of real driving. A clean log stays as it is.

use super::graduate::graduated;

/// Standard deviation of second differences of speed in real driving at one-second steps, m/s (the
/// built-in cycles have 0.1 to 0.5).
const DRIVING_MPS: f64 = 0.2;
/// Noise that the same measure finds in clean driving, m/s (the built-in cycles show 0.02 to 0.1).
const CLEAN_MPS: f64 = 0.06;
/// Strongest smoothing, as noise over driving: beyond it the log is too bad to follow.
const STRONGEST: f64 = 50.0;
/// Weight of a second in which the car stands, of one in which it moves.
const STANDS: f64 = 1e4;
/// Hardest speeding up and braking that is believed, m/s² (engineer's judgement: everyday driving
/// brakes by up to 3, the hardest built-in cycle by 3.8; harder ones in a log are mostly its flaws).
const HARDEST_MPS2: f64 = 4.5;
/// Fewest moving readings from which noise is estimated.
const FEWEST: usize = 20;
/// Median of the size of a normal variable over its standard deviation.
const MEDIAN_OVER_SD: f64 = 0.6745;

/// Standard deviation of the noise of evenly spaced speeds, m/s, from the size in the middle of their
/// third differences while the car moves; 0 if too little moves.
pub(super) fn noise_mps(speed_mps: &[f64]) -> f64 {
    let mut sizes: Vec<f64> = speed_mps
        .windows(4)
        .filter(|four| four.iter().all(|speed| *speed > 0.5))
        .map(|four| (four[3] - 3.0 * four[2] + 3.0 * four[1] - four[0]).abs())
        .collect();
    if sizes.len() < FEWEST {
        return 0.0;
    }
    sizes.sort_by(f64::total_cmp);
    // The variance of a third difference of white noise is 1 + 9 + 9 + 1 times its own.
    let found = sizes[sizes.len() / 2] / MEDIAN_OVER_SD / 20_f64.sqrt();
    (found * found - CLEAN_MPS * CLEAN_MPS).max(0.0).sqrt()
}

/// The speeds with little jerk, for noise of a given size and steps of `step_s`; where the car stands
/// it goes on standing.
pub(super) fn smoothed(
    speed_mps: &[f64],
    stands: &[bool],
    noise_mps: f64,
    step_s: f64,
) -> Vec<f64> {
    let ratio = (noise_mps / (DRIVING_MPS * step_s * step_s)).min(STRONGEST);
    let held = |stands: &bool| if *stands { STANDS } else { 1.0 };
    let weights: Vec<f64> = stands.iter().map(held).collect();
    let still = |(speed, stands): (&f64, &bool)| if *stands { 0.0 } else { *speed };
    let readings: Vec<f64> = speed_mps.iter().zip(stands).map(still).collect();
    if speed_mps.len() < 3 || ratio < 0.01 {
        return readings;
    }
    let smooth = graduated(&readings, &weights, ratio * ratio).values;
    smooth.iter().zip(stands).map(still).map(|speed| speed.max(0.0)).collect()
}

/// Holds changes of speed at the hardest that a car does: no speed is higher than the speeds around
/// it allow. Says how many were higher.
pub(super) fn hold_changes(time_s: &[f64], speed_mps: &mut [f64]) -> u64 {
    let before = speed_mps.to_vec();
    let most = |beside: f64, step_s: f64| beside + HARDEST_MPS2 * step_s;
    for i in 1..speed_mps.len() {
        speed_mps[i] = speed_mps[i].min(most(speed_mps[i - 1], time_s[i] - time_s[i - 1]));
    }
    for i in (1..speed_mps.len()).rev() {
        speed_mps[i - 1] = speed_mps[i - 1].min(most(speed_mps[i], time_s[i] - time_s[i - 1]));
    }
    let lower = before.iter().zip(speed_mps).filter(|(before, now)| **before - **now > 1e-9);
    u64::try_from(lower.count()).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use rand_pcg::Pcg64Mcg;
    use rand_pcg::rand_core::Rng as _;

    use super::*;

    #[test]
    fn noise_is_found_with_its_size_and_taken_out() {
        let truth = |i: f64| 15.0 + 5.0 * libm::sin(i / 25.0);
        // Even draws within 1.2 m/s have a standard deviation of 0.69 m/s.
        let mut random = Pcg64Mcg::new(7);
        let mut noise = || 2.4 * (f64::from(random.next_u32()) / f64::from(u32::MAX) - 0.5);
        let steps = || (0..600).map(f64::from);
        let clean: Vec<f64> = steps().map(truth).collect();
        let noisy: Vec<f64> = steps().map(|i| truth(i) + noise()).collect();
        assert!(noise_mps(&clean) < 1e-9);
        let found = noise_mps(&noisy);
        assert!((0.6..0.8).contains(&found), "{found}");
        let moves = vec![false; noisy.len()];
        let smooth = smoothed(&noisy, &moves, found, 1.0);
        let off = |values: &[f64]| {
            let squares = values.iter().zip(&clean).map(|(a, b)| (a - b).powi(2));
            (squares.sum::<f64>() / 600.0).sqrt()
        };
        assert!(off(&smooth) < 0.4 * off(&noisy), "{} {}", off(&smooth), off(&noisy));
        assert_eq!(smoothed(&clean, &moves, 0.0, 1.0), clean);
    }

    #[test]
    fn a_standing_car_stands_on_and_no_change_is_harder_than_a_cars() {
        let stands: Vec<bool> = (0..60).map(|i| (20..40).contains(&i)).collect();
        let rough: Vec<f64> = (0..60).map(|i| if stands[i] { 0.4 } else { 12.0 }).collect();
        let smooth = smoothed(&rough, &stands, 0.4, 1.0);
        assert!((20..40).all(|i| smooth[i].abs() < 1e-12));
        let time_s: Vec<f64> = (0..60).map(f64::from).collect();
        let mut held = smoothed(&rough, &stands, 0.0, 1.0);
        // From 12 m/s down and up again: two seconds on each side of the stop are too fast.
        assert_eq!(hold_changes(&time_s, &mut held), 4);
        assert!(held.windows(2).all(|two| (two[1] - two[0]).abs() <= HARDEST_MPS2 + 1e-9));
        assert_eq!(hold_changes(&time_s, &mut held), 0);
    }
}
