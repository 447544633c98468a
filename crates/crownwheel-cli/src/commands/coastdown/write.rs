//! The result into a build: the new text is tried before it takes the place of the old.

use std::path::Path;

use crownwheel_answers::CoastDownAnswer;
use crownwheel_answers::unit::digits;
use crownwheel_files::write_back::{RoadLoadText, with_road_load};

use super::CoastDown;
use crate::build_text;
use crate::outcome::{Failure, shown};

/// Name of the build in its folder.
const BUILD: &str = "build.toml";

/// Writes the coefficients into a build; what was replaced goes into the notes.
pub(super) fn write(
    build: &Path,
    answer: &mut CoastDownAnswer,
    args: &CoastDown,
) -> Result<(), Failure> {
    let path = if build.is_dir() { build.join(BUILD) } else { build.to_owned() };
    // A build that is wrong already is not for us to change.
    let read = crownwheel_files::load(&path, &[])?;
    let text = build_text::of(&read)?;
    let Some(road_load) = road_load_text(answer, &turning(args)) else { return Ok(()) };
    let by_hand = |why: &str| {
        Failure::Usage(format!(
            "nothing was written into `{}`: {why}\nThe lines to write by hand:\n\n{}",
            shown(&path),
            road_load.lines()
        ))
    };
    let written = with_road_load(text, &road_load, args.output.force)
        .map_err(|error| by_hand(&error.to_string()))?;
    build_text::tried(&path, &written.text).map_err(|why| by_hand(&why))?;
    build_text::replace(&read, &written.text)?;
    let replaced = if written.replaced.is_empty() {
        String::new()
    } else {
        format!(" These lines are comments now: {}.", written.replaced.join("; "))
    };
    answer.notes.push(format!(
        "Written into {} as [car.road_load].{replaced} {}",
        shown(&path),
        if args.turning.is_empty() {
            "turning = [\"axle\"] is taken for granted: the runs were made out of gear; put in what else turned with the wheels."
        } else {
            "Check that `turning` names all that turned with the wheels."
        }
    ));
    Ok(())
}

fn turning(args: &CoastDown) -> Vec<String> {
    if args.turning.is_empty() { vec!["axle".to_owned()] } else { args.turning.clone() }
}

/// The coefficients as a build has them.
///
/// A build cannot hold how errors hang together. So `f1` is held, at 0 unless the runs speak
/// against it, and the bands of the others are those that hold for that `f1`; with the bands of the
/// free fit side by side every force would look far less sure than it is.
fn road_load_text(answer: &CoastDownAnswer, turning: &[String]) -> Option<RoadLoadText> {
    let (f1, f1_se) = (answer.f1_n_per_mps?, answer.f1_n_per_mps_se?);
    let (t, tied) = (answer.band_over_se?, answer.tied?);
    let correlation = answer.correlation?;
    let held =
        |se: f64, correlation: f64| t * se * (1.0 - correlation * correlation).max(0.0).sqrt();
    let (f0, f1, f2) = if f1.abs() <= t * f1_se {
        (
            (tied.f0_n, tied.band_over_se * tied.f0_n_se),
            "0".to_owned(),
            (tied.f2_n_per_mps2, tied.band_over_se * tied.f2_n_per_mps2_se),
        )
    } else {
        (
            (answer.f0_n?, held(answer.f0_n_se?, correlation.f0_f1)),
            digits(f1, 3),
            (answer.f2_n_per_mps2?, held(answer.f2_n_per_mps2_se?, correlation.f1_f2)),
        )
    };
    let speeds = answer.forces.first().zip(answer.forces.last());
    let speeds = speeds.map_or_else(String::new, |(low, high)| {
        format!(", {} to {} km/h", digits(low.speed_kmh, 0), digits(high.speed_kmh, 0))
    });
    let runs = answer.runs_used;
    Some(RoadLoadText {
        f0: with_band(f0, "N"),
        f1: format!("{f1} N/(m/s)"),
        f2: with_band(f2, "N/(m/s)^2"),
        mass: format!("{} kg", digits(answer.holds_for.mass_kg, 1)),
        temperature: format!("{} °C", digits(answer.holds_for.temperature_degc, 0)),
        pressure: format!("{} kPa", digits(answer.holds_for.pressure_kpa, 0)),
        turning: turning.to_vec(),
        from: format!("coast-down, {runs} run{}{speeds}", if runs == 1 { "" } else { "s" }),
    })
}

/// `118.2 ± 2.9 N`: two digits of the band.
fn with_band((value, half): (f64, f64), unit: &str) -> String {
    let mut places = 0;
    let mut size = half.abs();
    while size < 10.0 && places < 6 {
        size *= 10.0;
        places += 1;
    }
    format!("{} ± {} {unit}", digits(value, places), digits(half, places))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel_answers::coastdown::{Correlation, TiedFit};

    fn answer(f1: f64) -> CoastDownAnswer {
        CoastDownAnswer {
            f0_n: Some(118.04),
            f0_n_se: Some(2.0),
            f1_n_per_mps: Some(f1),
            f1_n_per_mps_se: Some(0.3),
            f2_n_per_mps2: Some(0.43),
            f2_n_per_mps2_se: Some(0.01),
            band_over_se: Some(2.0),
            tied: Some(TiedFit {
                f0_n: 121.0,
                f0_n_se: 0.9,
                f2_n_per_mps2: 0.45,
                f2_n_per_mps2_se: 0.002,
                f0_f2: -0.8,
                band_over_se: 2.0,
            }),
            correlation: Some(Correlation { f0_f1: -0.8, f0_f2: 0.7, f1_f2: -0.6 }),
            runs_used: 12,
            ..CoastDownAnswer::default()
        }
    }

    #[test]
    fn a_linear_part_that_may_be_nought_is_tied() {
        let text = road_load_text(&answer(0.5), &["axle".to_owned()]).unwrap();
        assert_eq!((text.f0.as_str(), text.f1.as_str()), ("121.0 ± 1.8 N", "0 N/(m/s)"));
        assert_eq!(text.f2, "0.4500 ± 0.0040 N/(m/s)^2");
        assert_eq!(text.from, "coast-down, 12 runs");
    }

    #[test]
    fn a_linear_part_that_is_seen_is_held_and_narrows_the_others() {
        let text = road_load_text(&answer(0.9), &["axle".to_owned()]).unwrap();
        assert_eq!(text.f1, "0.900 N/(m/s)");
        assert_eq!(
            (text.f0.as_str(), text.f2.as_str()),
            ("118.0 ± 2.4 N", "0.430 ± 0.016 N/(m/s)^2")
        );
    }
}
