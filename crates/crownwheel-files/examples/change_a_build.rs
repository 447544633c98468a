//! A build from its file, changed through knobs: what another final drive and harder tyres do to range.

use std::error::Error;
use std::fs;
use std::path::Path;

use crownwheel::cycle::Cycle;
use crownwheel::knob::Knob;
use crownwheel::range::range;
use crownwheel::{Car, Day};
use crownwheel_files::{Build, Set, load, template};

/// The commented build to start from, written where it can be read; yours is there already. `sets` are
/// put over it.
fn starter(sets: &[Set]) -> Result<Build, Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    for file in template::FILES {
        fs::write(folder.path().join(file.name), file.text)?;
    }
    Ok(load(folder.path(), sets)?)
}

/// The build's car with some of its numbers changed, by their paths.
fn changed(build: &Build, changes: &[(&str, f64)]) -> Result<Car, Box<dyn Error>> {
    let mut spec = build.car.clone();
    for (path, value) in changes {
        let knob = Knob::find(path, &spec)?;
        knob.set(&mut spec, *value)?;
    }
    Ok(Car::new(&spec)?)
}

#[allow(clippy::print_stdout, reason = "a program that answers on the terminal")]
fn main() -> Result<(), Box<dyn Error>> {
    let build = starter(&[])?;
    let day = Day::new(&build.days[0])?;
    let cycle = Cycle::udds();
    let choices: [&[(&str, f64)]; 3] =
        [&[], &[("driveline.axle.ratio", 3.70)], &[("tyres.rolling_resistance", 0.013)]];
    for choice in choices {
        let car = changed(&build, choice)?;
        let km = range(&car, &day, &cycle).distance_m / 1e3;
        println!("{} with {choice:?}: {km:.1} km on {}", car.spec().name, day.name());
    }
    // A file that does not exist is told with what to do about it.
    if let Err(report) = load(Path::new("no-such-folder/build.toml"), &[]) {
        println!("{report}");
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_knob_changes_what_its_key_says_and_nothing_else() -> Result<(), Box<dyn Error>> {
        let build = starter(&[])?;
        let (plain, short) =
            (changed(&build, &[])?, changed(&build, &[("driveline.axle.ratio", 3.70)])?);
        let written: f64 = build.written["driveline.axle.ratio"].parse()?;
        let ratios = short.overall_ratio() / plain.overall_ratio();
        assert!((ratios - 3.70 / written).abs() < 1e-12, "{ratios}");
        assert!((short.mass_kg() - plain.mass_kg()).abs() < 1e-12);
        Ok(())
    }

    /// The same change by knob, in SI, and over the file, as text with a unit: one car.
    #[test]
    fn a_knob_and_a_set_make_the_same_car() -> Result<(), Box<dyn Error>> {
        let set = Set::parse("inverter.max_battery_current = 350 A").ok_or("no value")?;
        let by_knob = changed(&starter(&[])?, &[("inverter.max_battery_current", 350.0)])?;
        assert_eq!(Car::new(&starter(&[set])?.car)?, by_knob);
        Ok(())
    }

    /// Rolling alone moves: the row of the balance grows as the coefficient does.
    #[test]
    fn harder_tyres_take_what_the_coefficient_says() -> Result<(), Box<dyn Error>> {
        let build = starter(&[])?;
        let (day, cycle) = (Day::new(&build.days[0])?, Cycle::steady(20.0));
        let rolling_n = |coefficient: f64| -> Result<f64, Box<dyn Error>> {
            let alike = ("tyres.temperature_rise", 0.0);
            let car = changed(&build, &[("tyres.rolling_resistance", coefficient), alike])?;
            let run = range(&car, &day, &cycle);
            Ok(run.balance.sum.rolling_j / run.distance_m)
        };
        let rise = rolling_n(0.013)? / rolling_n(0.010)?;
        assert!((rise - 1.3).abs() < 1e-9, "{rise}");
        Ok(())
    }

    #[test]
    fn a_path_that_the_car_does_not_have_is_told() -> Result<(), Box<dyn Error>> {
        let refused = changed(&starter(&[])?, &[("sails.area", 4.0)]).unwrap_err();
        assert!(refused.to_string().contains("sails.area"));
        Ok(())
    }
}
