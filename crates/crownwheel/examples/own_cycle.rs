//! A route of your own as a cycle: by time as a logger writes it, or by distance with stops and hills.

use std::error::Error;

use crownwheel::cycle::{Cycle, CycleError, Grade, Samples};
use crownwheel::range::range;
use crownwheel::{Car, Day, example};

/// To the shop and back: away from rest, along at 36 km/h, and to rest again, every 10 s a sample.
fn by_time() -> Result<Cycle, CycleError> {
    let samples = Samples::ByTime {
        time_s: vec![0.0, 10.0, 20.0, 30.0],
        speed_mps: vec![0.0, 10.0, 10.0, 0.0],
        grade: Grade::Flat,
    };
    Cycle::new("shop", &samples)
}

/// Over the hill: 1,600 m at up to 50 km/h, a level crossing where everybody waits 20 s, 40 m up and 25 m
/// down.
fn by_distance() -> Result<Cycle, CycleError> {
    let cruise_mps = 50.0 / 3.6;
    let samples = Samples::ByDistance {
        distance_m: vec![0.0, 100.0, 700.0, 800.0, 900.0, 1500.0, 1600.0],
        speed_mps: vec![0.0, cruise_mps, cruise_mps, 0.0, cruise_mps, cruise_mps, 0.0],
        stop_s: vec![0.0, 0.0, 0.0, 20.0, 0.0, 0.0, 0.0],
        grade: Grade::Elevation(vec![0.0, 0.0, 40.0, 40.0, 40.0, 15.0, 15.0]),
    };
    Cycle::new("over the hill", &samples)
}

#[allow(clippy::print_stdout, reason = "a program that answers on the terminal")]
fn main() -> Result<(), Box<dyn Error>> {
    let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    for cycle in [by_time()?, by_distance()?] {
        let run = range(&car, &day, &cycle);
        println!(
            "{}: {:.0} m in {:.0} s, {:.0} m up; {:.0} Wh/km, {:.0} km to empty",
            cycle.name(),
            cycle.distance_m(),
            cycle.duration_s(),
            cycle.climb_m(),
            run.balance.sum.terminals_j / run.distance_m / 3.6,
            run.distance_m / 1e3
        );
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel::cycle::CycleProblem;
    use crownwheel::drive::{Driver, drive, start_state};

    #[test]
    fn distances_and_times_are_those_of_the_drawing() -> Result<(), CycleError> {
        // Two triangles and a rectangle: 50 + 100 + 50 m.
        assert!((by_time()?.distance_m() - 200.0).abs() < 1e-9);
        let hill = by_distance()?;
        assert!((hill.distance_m() - 1600.0).abs() < 1e-6);
        // Four hundred metres at a mean of 25 km/h, twelve hundred at 50 km/h, and the wait.
        let seconds = 400.0 / (25.0 / 3.6) + 1200.0 / (50.0 / 3.6) + 20.0;
        assert!((hill.duration_s() - seconds).abs() < 1e-6, "{}", hill.duration_s());
        assert!((hill.climb_m() - 40.0).abs() < 1e-6);
        Ok(())
    }

    /// The row of the balance is weight times height: 15 m are gained from start to end.
    #[test]
    fn climbing_takes_weight_times_height() -> Result<(), Box<dyn Error>> {
        let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
        let cycle = by_distance()?;
        let mut state = start_state(&car, &day, &cycle);
        let mut climbing_j = 0.0;
        drive(&mut Driver::new(&car, &day), &cycle, &mut state, |driven| {
            climbing_j += driven.step.energy.climbing_j;
            true
        });
        // On the scales 792 kg; 218 kg out, 154 kg and nine modules of 11.4 kg in, and a driver of 78 kg.
        let mass_kg = 792.0 - 218.0 + 154.0 + 9.0 * 11.4 + 78.0;
        let wanted_j = mass_kg * 9.806_65 * 15.0;
        assert!((climbing_j / wanted_j - 1.0).abs() < 1e-9, "{climbing_j} {wanted_j}");
        Ok(())
    }

    #[test]
    fn what_cannot_be_driven_is_refused_at_its_sample() {
        let samples = Samples::ByTime {
            time_s: vec![0.0, 10.0, 10.0],
            speed_mps: vec![0.0, 10.0, 0.0],
            grade: Grade::Flat,
        };
        let refused = Cycle::new("twice", &samples).unwrap_err();
        assert_eq!(refused.row, 2);
        assert_eq!(refused.problem, CycleProblem::NotRising { before: 10.0, given: 10.0 });
    }
}
