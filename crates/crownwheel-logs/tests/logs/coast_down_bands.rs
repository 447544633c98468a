//! Bands of coast-downs hold the truth as often as they say, and are not wider than the noise needs.
//!
//! 500 seeded coast-downs, from the text of a log to the coefficients. Read as the recipe of a check:
//! the truth must lie inside its 95 % band in 93 to 97.5 % of them, and the mean width of the band must
//! be within 1.3 times the least that any unbiased fit could reach (Cramér and Rao, every run with
//! its own first speed, weather and noise known).

use std::fmt::Write as _;

use crownwheel::coastdown::Coefficients;
use crownwheel::coastdown::curve::{Air, RunConditions, speed_curve};
use crownwheel_logs::coastdown::{Conditions, UncertainValue, coast_down};
use crownwheel_logs::fit::noise::Whitener;
use crownwheel_logs::fit::{Belief, Noise, Question, Run, RunFacts, fit};
use crownwheel_logs::read::{ReadOptions, read_log_from};
use nalgebra::DMatrix;
use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};

const TRUTH: Coefficients = Coefficients { f0_n: 118.0, f1_n_per_mps: 0.9, f2_n_per_mps2: 0.43 };
const COAST_DOWNS: u64 = 500;

/// Flat road, still air, 20 °C and 100 kPa.
const CALM: RunConditions = RunConditions {
    mass_kg: 905.0,
    effective_mass_kg: 905.0 * 1.03,
    slope_sin: 0.0,
    air: Air { headwind_mps: 0.0, all_round_mps: 0.0 },
    rolling_factor: 1.0,
    density_ratio: 1.0,
};

/// A kind of coast-down.
#[derive(Clone, Copy)]
struct Recipe {
    runs: usize,
    step_s: f64,
    /// White noise, m/s.
    white_mps: f64,
    /// Noise with memory, m/s, and its memory, s.
    memory: (f64, f64),
    /// Steps that the logger rounds to, m/s; 0 for none.
    rounded_mps: f64,
    /// A force that differs from run to run, standard deviation, N.
    gust_n: f64,
    /// Gradient uphill in the first direction, and headwind there, m/s.
    slope_sin: f64,
    headwind_mps: f64,
}

const WHITE: Recipe = Recipe {
    runs: 8,
    step_s: 1.0,
    white_mps: 0.1,
    memory: (0.0, 1.0),
    rounded_mps: 0.0,
    gust_n: 0.0,
    slope_sin: 0.0,
    headwind_mps: 0.0,
};

struct Random(Pcg64);

impl Random {
    fn uniform(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let size = (-2.0 * libm::log(self.uniform())).sqrt();
        size * libm::cos(std::f64::consts::TAU * self.uniform())
    }
}

/// One run: what it met, its first speed, its times, and what was read.
struct Made {
    conditions: RunConditions,
    first_mps: f64,
    run: Run,
}

fn coast_downs(recipe: &Recipe, seed: u64) -> Vec<Made> {
    let mut random = Random(Pcg64::seed_from_u64(seed));
    (0..recipe.runs).map(|number| one_run(recipe, number, &mut random)).collect()
}

fn one_run(recipe: &Recipe, number: usize, random: &mut Random) -> Made {
    let direction = if number.is_multiple_of(2) { 1.0 } else { -1.0 };
    let air = Air { headwind_mps: direction * recipe.headwind_mps, ..CALM.air };
    let conditions = RunConditions { slope_sin: direction * recipe.slope_sin, air, ..CALM };
    let first_mps = (110.0 + 4.0 * random.uniform()) / 3.6;
    let mut time_s: Vec<f64> =
        (0..3_000).map(|i| f64::from(i) * recipe.step_s).take_while(|time| *time < 300.0).collect();
    let gust_n = if recipe.gust_n > 0.0 { recipe.gust_n * random.normal() } else { 0.0 };
    let load = Coefficients { f0_n: TRUTH.f0_n + gust_n, ..TRUTH };
    let curve = speed_curve(&load, &conditions, first_mps, &time_s, &[]);
    let (size, lasts_s) = recipe.memory;
    let fade = libm::exp(-recipe.step_s / lasts_s);
    let mut memory = size * random.normal();
    let mut speed_mps = Vec::new();
    for point in curve.iter().take_while(|point| point.speed_mps > 20.0 / 3.6) {
        let read = point.speed_mps + memory + recipe.white_mps * random.normal();
        memory = fade * memory + size * (1.0 - fade * fade).sqrt() * random.normal();
        let step = recipe.rounded_mps;
        speed_mps.push(if step > 0.0 { (read / step).round() * step } else { read });
    }
    time_s.truncate(speed_mps.len());
    Made { conditions, first_mps, run: Run { time_s, speed_mps, direction, slope_sin: Vec::new() } }
}

/// Least standard errors of `f0`, `f1`, `f2` that the noise allows.
fn least_errors(recipe: &Recipe, made: &[Made]) -> [f64; 3] {
    let white = recipe.white_mps.powi(2) + recipe.rounded_mps.powi(2) / 12.0;
    let noise = Noise { memory_ratio: recipe.memory.0.powi(2) / white, memory_s: recipe.memory.1 };
    let mut information = DMatrix::<f64>::zeros(3 + made.len(), 3 + made.len());
    for (number, made) in made.iter().enumerate() {
        let times = &made.run.time_s;
        let curve = speed_curve(&TRUTH, &made.conditions, made.first_mps, times, &[]);
        let whitener = Whitener::new(noise, times);
        let columns: Vec<Vec<f64>> = [0, 1, 2, 5]
            .map(|slope| {
                let mut column: Vec<f64> = curve.iter().map(|point| point.slopes[slope]).collect();
                whitener.apply(column.iter_mut());
                column
            })
            .to_vec();
        let places = [0, 1, 2, 3 + number];
        for (i, a) in places.iter().zip(&columns) {
            for (j, b) in places.iter().zip(&columns) {
                let product: f64 = a.iter().zip(b).map(|(a, b)| a * b).sum();
                information[(*i, *j)] += product / white;
            }
        }
    }
    let covariance = information.try_inverse().unwrap();
    [0, 1, 2].map(|i| covariance[(i, i)].sqrt())
}

/// Estimates with half widths of their bands.
type Found = [(f64, f64); 3];

fn by_fit(made: &[Made]) -> Found {
    let runs: Vec<Run> = made.iter().map(|made| made.run.clone()).collect();
    let known = RunFacts {
        mass_kg: CALM.mass_kg,
        effective_mass_kg: CALM.effective_mass_kg,
        rolling_factor: 1.0,
        density_ratio: 1.0,
        all_round_mps: 0.0,
    };
    let question = Question {
        known,
        linear: Belief::Open,
        slope_sin: Belief::Open,
        headwind_mps: Belief::Open,
    };
    let fit = fit(&runs, question).unwrap();
    let t = fit.band_factor();
    let load = fit.coefficients;
    [
        (load.f0_n, t * fit.se(0)),
        (load.f1_n_per_mps, t * fit.se(1)),
        (load.f2_n_per_mps2, t * fit.se(2)),
    ]
}

/// The whole way: a log as text, read, found, judged and fitted.
fn by_log(made: &[Made]) -> Found {
    let mut text = String::from("time_s,speed_kmh,run,direction\n");
    for (number, made) in made.iter().enumerate() {
        let direction = if made.run.direction > 0.0 { "out" } else { "back" };
        for (time, speed) in made.run.time_s.iter().zip(&made.run.speed_mps) {
            let _ = writeln!(text, "{time},{:.4},{},{direction}", 3.6 * speed, number + 1);
        }
    }
    let log = read_log_from("runs.csv", text.as_bytes(), &ReadOptions::default()).unwrap();
    let conditions = Conditions {
        mass_kg: UncertainValue { value: CALM.mass_kg, sd: 0.0 },
        rotating_kg: UncertainValue { value: CALM.effective_mass_kg - CALM.mass_kg, sd: 0.0 },
        temperature_k: UncertainValue { value: 293.15, sd: 0.0 },
        pressure_pa: UncertainValue { value: 100e3, sd: 0.0 },
        ..Conditions::default()
    };
    let answer = coast_down(&[log], &conditions);
    assert_eq!(answer.runs_used, made.len(), "{:?}", answer.refused);
    let t = answer.band_over_se.unwrap();
    [
        (answer.f0_n.unwrap(), t * answer.f0_n_se.unwrap()),
        (answer.f1_n_per_mps.unwrap(), t * answer.f1_n_per_mps_se.unwrap()),
        (answer.f2_n_per_mps2.unwrap(), t * answer.f2_n_per_mps2_se.unwrap()),
    ]
}

/// Share inside and mean width over the least, for each coefficient.
fn measured(recipe: &Recipe, find: impl Fn(&[Made]) -> Found) -> [(f64, f64); 3] {
    let truth = [TRUTH.f0_n, TRUTH.f1_n_per_mps, TRUTH.f2_n_per_mps2];
    let mut sums = [(0.0, 0.0); 3];
    for seed in 0..COAST_DOWNS {
        let made = coast_downs(recipe, seed);
        let (found, least) = (find(&made), least_errors(recipe, &made));
        for i in 0..3 {
            let (value, half) = found[i];
            sums[i].0 += if (value - truth[i]).abs() <= half { 1.0 } else { 0.0 };
            sums[i].1 += half / (1.96 * least[i]);
        }
    }
    let n = COAST_DOWNS as f64;
    sums.map(|(inside, width)| (100.0 * inside / n, width / n))
}

fn hold(recipe: &Recipe, find: impl Fn(&[Made]) -> Found, widest: f64) {
    for (inside_pct, width) in measured(recipe, find) {
        assert!((93.0..=97.5).contains(&inside_pct), "{inside_pct} % inside");
        assert!(width <= widest, "{width} times the least");
    }
}

#[test]
fn white_noise_from_the_text_of_a_log() {
    hold(&WHITE, by_log, 1.3);
}

#[test]
fn noise_that_lasts_three_seconds() {
    hold(&Recipe { white_mps: 0.05, memory: (0.1, 3.0), ..WHITE }, by_fit, 1.3);
}

#[test]
fn readings_rounded_to_a_kilometre_an_hour() {
    hold(&Recipe { white_mps: 0.1, rounded_mps: 1.0 / 3.6, ..WHITE }, by_fit, 1.3);
}

#[test]
fn four_runs_of_five_readings_a_second() {
    hold(&Recipe { runs: 4, step_s: 0.2, ..WHITE }, by_fit, 1.3);
}

/// With wind and gradient of their own, which the runs both ways must tell apart too, the least that
/// is compared with knows them; the bands may then be wider, but must hold all the same.
#[test]
fn a_gradient_and_a_breeze_that_nobody_gave() {
    hold(&Recipe { slope_sin: 0.003, headwind_mps: 1.5, ..WHITE }, by_fit, 4.0);
}

/// Runs that differ by gusts are seen to differ, and the bands still hold; nobody knows the least here.
#[test]
fn gusts_widen_the_bands() {
    let gusty = Recipe { gust_n: 4.0, ..WHITE };
    for (inside_pct, width) in measured(&gusty, by_fit) {
        assert!(inside_pct >= 93.0, "{inside_pct} % inside");
        assert!(width > 1.3, "{width} times the least of white noise");
    }
}
