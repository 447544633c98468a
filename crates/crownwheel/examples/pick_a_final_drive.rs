//! Which final drive goes behind the reduction: launch, hills and top speed for the ratios that can be
//! had.

use std::error::Error;

use crownwheel::pull::{THROTTLE_STEP_S, Throttle};
use crownwheel::spec::CarSpec;
use crownwheel::{Car, Day, example};

/// Ratios on the shelf.
const RATIOS: [f64; 4] = [3.70, 3.89, 4.22, 4.44];

/// The car must start on this, rise over run, and turn its motor no faster than this at 112 km/h.
const START_GRADE: f64 = 0.25;
const CRUISE_RPM: f64 = 6500.0;
const CRUISE_MPS: f64 = 112.0 / 3.6;

/// What a ratio gives.
struct Found {
    ratio: f64,
    launch_n: f64,
    start_grade: f64,
    to_80_kmh_s: Option<f64>,
    top_mps: f64,
    cruise_rpm: f64,
}

impl Found {
    fn will_do(&self) -> bool {
        self.start_grade >= START_GRADE && self.cruise_rpm <= CRUISE_RPM
    }
}

fn with_ratio(spec: &CarSpec, day: &Day, ratio: f64) -> Result<Found, Box<dyn Error>> {
    let car = Car::new(&spec.with("driveline.axle.ratio", ratio)?)?;
    let throttle = Throttle::new(&car, day, 0.9);
    let launch_n = throttle.row(0.0).map_or(0.0, |row| row.pull_n);
    Ok(Found {
        ratio,
        launch_n,
        start_grade: throttle.grade_held(launch_n, 0.0).unwrap_or(0.0),
        to_80_kmh_s: throttle.run(THROTTLE_STEP_S).time_to_s(80.0 / 3.6),
        top_mps: throttle.top_speed().0,
        cruise_rpm: car.motor_radps_per_mps() * CRUISE_MPS * 30.0 / std::f64::consts::PI,
    })
}

fn all() -> Result<Vec<Found>, Box<dyn Error>> {
    let (spec, day) = (example::small_saloon(), Day::new(&example::mild_day())?);
    RATIOS.iter().map(|ratio| with_ratio(&spec, &day, *ratio)).collect()
}

#[allow(clippy::print_stdout, reason = "a program that answers on the terminal")]
fn main() -> Result<(), Box<dyn Error>> {
    let found = all()?;
    let percent = START_GRADE * 100.0;
    match found.iter().find(|it| it.will_do()) {
        Some(best) => {
            println!("Take {:.2}, the longest that starts on {percent:.0} %.", best.ratio)
        }
        None => println!("None does both; look at the list."),
    }
    println!("ratio  pull at rest  starts on  0-80 km/h   top km/h  rpm at 112 km/h");
    for it in &found {
        let seconds = it.to_80_kmh_s.map_or("-".to_owned(), |seconds| format!("{seconds:.1} s"));
        println!(
            "{:5.2} {:11.0} N {:8.1} % {seconds:>9} {:10.0} {:16.0}",
            it.ratio,
            it.launch_n,
            it.start_grade * 100.0,
            it.top_mps * 3.6,
            it.cruise_rpm
        );
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of a 155/80 R13: 3.05 (13 · 25.4 mm + 2 · 0.80 · 155 mm) / 2π.
    const RADIUS_M: f64 = 3.05 * 0.5782 / std::f64::consts::TAU;

    #[test]
    fn the_motor_turns_as_the_ratios_say() -> Result<(), Box<dyn Error>> {
        for it in all()? {
            let rpm = CRUISE_MPS * 1.5 * it.ratio / RADIUS_M * 60.0 / std::f64::consts::TAU;
            assert!((it.cruise_rpm - rpm).abs() < 1e-6, "{} {rpm}", it.cruise_rpm);
        }
        Ok(())
    }

    /// Torque limits the launch: 165 N m less the gears' drag, times the ratio. Everything but the axle's
    /// own ratio is the same, so pull over ratio is one number.
    #[test]
    fn launch_pull_grows_with_the_ratio() -> Result<(), Box<dyn Error>> {
        let found = all()?;
        for it in &found {
            let per_ratio = it.launch_n / it.ratio;
            assert!((per_ratio / (found[0].launch_n / found[0].ratio) - 1.0).abs() < 1e-6);
            let without_drag_n = 165.0 * 1.5 * it.ratio * 0.98 * 0.96 / RADIUS_M;
            // Drag at rest, half of 0.4 and 1.2 N m, at most four times as much in cold oil.
            let most_drag_n = (0.8 * 1.5 * 0.96 + 2.4) * it.ratio / RADIUS_M;
            let below_n = without_drag_n - it.launch_n;
            assert!(below_n > 0.25 * most_drag_n && below_n < most_drag_n, "{below_n}");
        }
        Ok(())
    }

    #[test]
    fn a_start_on_a_hill_is_the_pull_against_weight_and_rolling() -> Result<(), Box<dyn Error>> {
        let spec = example::small_saloon();
        let weight_n = Car::new(&spec)?.mass_kg() * 9.806_65;
        for it in all()? {
            let slope = crownwheel::road_load::Slope::from_grade(it.start_grade);
            let (sin, cos) = (slope.sin(), slope.cos());
            // 0.0115, 5 K below 20 °C at 0.0086 a kelvin, and 15 N of brake drag.
            let needed_n = weight_n * (sin + 0.0115 * (1.0 + 0.0086 * 5.0) * cos) + 15.0;
            assert!((needed_n / it.launch_n - 1.0).abs() < 1e-3, "{needed_n} {}", it.launch_n);
        }
        Ok(())
    }

    #[test]
    fn shorter_gearing_is_quicker_off_the_line_and_turns_the_motor_faster()
    -> Result<(), Box<dyn Error>> {
        let found = all()?;
        for pair in found.windows(2) {
            assert!(pair[1].start_grade > pair[0].start_grade);
            assert!(pair[1].cruise_rpm > pair[0].cruise_rpm);
            // 8,000 rpm are the most: what the top speed would be if nothing else held.
            assert!(pair[1].top_mps <= 8000.0 / pair[1].cruise_rpm * CRUISE_MPS * (1.0 + 1e-9));
        }
        Ok(())
    }
}
