//! Mass, weather, gradient and wind as they are typed.

use crownwheel::coastdown::{PROCEDURE_PRESSURE_PA, USUAL_ROTATING_SHARE};
use crownwheel::constants::{ROAD_REFERENCE_TEMPERATURE_K, ZERO_CELSIUS_K};
use crownwheel::road_load::{WIND_FORECAST_HEIGHT_M, wind_at_car_mps};
use crownwheel_answers::unit::digits;
use crownwheel_answers::{Assumption, Units};
use crownwheel_files::cut_off::{MOST, share_outside};
use crownwheel_files::quantity::{self, Spread};
use crownwheel_files::units::Dimension;
use crownwheel_files::wind::{self, WindError, WindText};
use crownwheel_logs::Log;
use crownwheel_logs::coastdown::{
    Conditions, UncertainValue, Wind, conditions::logged_temperature_k,
};

use super::CoastDown;
use crate::logs;
use crate::outcome::Failure;

/// How unsure turning parts are that nobody has weighed: half of a 95 % band, as a share of the mass
/// (engineer's judgement).
const ROTATING_BAND: f64 = 0.01;

/// How unsure weather is that nobody has read: K and Pa, half of a 95 % band (engineer's judgement).
const TEMPERATURE_BAND_K: f64 = 15.0;
const PRESSURE_BAND_PA: f64 = 4_000.0;

/// What is taken for a car or for weather, in SI and in words: anything else is most likely a slip of the
/// unit (engineer's judgement).
struct PlausibleRange {
    flag: &'static str,
    dimension: Dimension,
    range: (f64, f64),
    words: &'static str,
    example: &'static str,
}

const MASS: PlausibleRange = PlausibleRange {
    flag: "--mass",
    dimension: Dimension::Mass,
    range: (50.0, 50e3),
    words: "50 kg to 50000 kg",
    example: "\"905 kg\"",
};
const GRADE: PlausibleRange = PlausibleRange {
    flag: "--grade",
    dimension: Dimension::Ratio,
    range: (-0.2, 0.2),
    words: "-20 % to 20 %",
    example: "\"0.3 %\"",
};
const TEMPERATURE: PlausibleRange = PlausibleRange {
    flag: "--temperature",
    dimension: Dimension::Temperature,
    range: (ZERO_CELSIUS_K - 40.0, ZERO_CELSIUS_K + 60.0),
    words: "-40 °C to 60 °C",
    example: "\"14 °C\"",
};
const PRESSURE: PlausibleRange = PlausibleRange {
    flag: "--pressure",
    dimension: Dimension::Pressure,
    range: (50e3, 110e3),
    words: "50 kPa to 110 kPa",
    example: "\"99.8 kPa\"",
};
const WIND_HEIGHT: PlausibleRange = PlausibleRange {
    flag: "--wind-height",
    dimension: Dimension::Length,
    range: (0.5, 200.0),
    words: "0.5 m to 200 m",
    example: "\"2 m\"",
};
const ROTATING_SHARE: PlausibleRange = PlausibleRange {
    flag: "--rotating-mass",
    dimension: Dimension::Ratio,
    range: (0.0, 1.0),
    words: "0 % to 100 % of the mass",
    example: "\"3 %\" or \"28 kg\"",
};

/// What the options and the logs say.
pub(super) fn conditions(
    args: &CoastDown,
    read: &[Log],
    inputs: logs::Inputs,
) -> Result<Conditions, Failure> {
    let mut assumed = Vec::new();
    let mass = MASS.read(&args.mass)?;
    let rotating_kg = rotating(args, mass.nominal, &mut assumed)?;
    let temperature_k = temperature(args, read, &mut assumed)?;
    let pressure_pa = pressure(args, &mut assumed)?;
    let grade = |text: &String| GRADE.read(text).map(unsure);
    let units: Units = args.output.units.into();
    for line in &mut assumed {
        line.value = units.written(&line.value);
        line.band = line.band.as_ref().map(|band| units.written(band));
    }
    Ok(Conditions {
        mass_kg: unsure(mass),
        rotating_kg,
        temperature_k,
        pressure_pa,
        wind: wind_of(args)?,
        grade_frac: args.grade.as_ref().map(grade).transpose()?,
        units,
        provenance: inputs.provenance(&asked(args)),
        assumed,
    })
}

/// Everything that was typed and moves the answer, for its hash.
fn asked(args: &CoastDown) -> Vec<String> {
    let optional = [
        &args.rotating_mass,
        &args.temperature,
        &args.pressure,
        &args.wind,
        &args.wind_height,
        &args.grade,
        &args.speed_unit,
    ];
    let mut asked = vec![args.mass.clone()];
    asked.extend(optional.into_iter().map(|text| text.clone().unwrap_or_default()));
    asked
}

fn rotating(
    args: &CoastDown,
    mass_kg: f64,
    assumed: &mut Vec<Assumption>,
) -> Result<UncertainValue, Failure> {
    let Some(text) = &args.rotating_mass else {
        let source = "turning parts as a share of the mass, as UN GTR 15 takes them; the band is \
            engineer's judgement";
        note(
            assumed,
            ROTATING_SHARE.flag,
            &percent(USUAL_ROTATING_SHARE),
            &percent(ROTATING_BAND),
            source,
        );
        let share = Spread::normal(USUAL_ROTATING_SHARE, ROTATING_BAND);
        return Ok(scaled(unsure(share), mass_kg));
    };
    if quantity::parse(text, Dimension::Ratio).is_ok() {
        return Ok(scaled(unsure(ROTATING_SHARE.read(text)?), mass_kg));
    }
    let mass =
        PlausibleRange { dimension: Dimension::Mass, range: (0.0, mass_kg), ..ROTATING_SHARE };
    mass.read(text).map(unsure)
}

fn temperature(
    args: &CoastDown,
    read: &[Log],
    assumed: &mut Vec<Assumption>,
) -> Result<UncertainValue, Failure> {
    if let Some(text) = &args.temperature {
        return TEMPERATURE.read(text).map(unsure);
    }
    let (value, band, source) = match logged_temperature_k(read) {
        Some(mean_k) => (mean_k, 4.0, "the mean of the column of temperature in the logs"),
        None => (
            ROAD_REFERENCE_TEMPERATURE_K,
            TEMPERATURE_BAND_K,
            "nobody has said it: the reference, so nothing is corrected",
        ),
    };
    let celsius = format!("{} °C", digits(value - ZERO_CELSIUS_K, 0));
    note(assumed, TEMPERATURE.flag, &celsius, &format!("± {} °C", digits(band, 0)), source);
    Ok(unsure(Spread::normal(value, band)))
}

fn pressure(args: &CoastDown, assumed: &mut Vec<Assumption>) -> Result<UncertainValue, Failure> {
    if let Some(text) = &args.pressure {
        return PRESSURE.read(text).map(unsure);
    }
    let source = "nobody has said it: the reference, so nothing is corrected";
    note(assumed, PRESSURE.flag, "100 kPa", "± 4 kPa", source);
    Ok(unsure(Spread::normal(PROCEDURE_PRESSURE_PA, PRESSURE_BAND_PA)))
}

fn wind_of(args: &CoastDown) -> Result<Wind, Failure> {
    let height_m = match &args.wind_height {
        Some(text) => WIND_HEIGHT.read(text)?.nominal,
        None => WIND_FORECAST_HEIGHT_M,
    };
    let Some(text) = &args.wind else { return Ok(Wind::NotKnown) };
    let at_car = |speed: Spread| {
        let factor = wind_at_car_mps(1.0, height_m);
        scaled(unsure(speed), factor)
    };
    match wind::parse(text) {
        Ok(WindText::Calm) => Ok(Wind::Along(UncertainValue::default())),
        Ok(WindText::AlongRoad(speed)) => Ok(Wind::Along(at_car(speed))),
        Ok(WindText::AllRound(speed)) => Ok(Wind::AllRound(at_car(speed).value)),
        Err(WindError::Negative) => Err(Failure::Usage(format!(
            "`--wind {text}` is below zero: turn the direction round, for example --wind \"2 m/s tailwind\""
        ))),
        Err(_) => Err(Failure::Usage(format!(
            "`--wind {text}` is no wind: write \"calm\", \"2 m/s headwind\", \"2 ± 1 m/s tailwind\" (in \
             the direction of the first run) or \"3 m/s all round\""
        ))),
    }
}

fn note(assumed: &mut Vec<Assumption>, key: &str, value: &str, band: &str, source: &str) {
    assumed.push(Assumption {
        key: key.to_owned(),
        value: value.to_owned(),
        band: Some(if band.starts_with('±') { band.to_owned() } else { format!("± {band}") }),
        source: source.to_owned(),
        ..Assumption::default()
    });
}

fn percent(share: f64) -> String {
    format!("{} %", digits(100.0 * share, 0))
}

fn unsure(spread: Spread) -> UncertainValue {
    UncertainValue { value: spread.nominal, sd: spread.standard_deviation() }
}

fn scaled(unsure: UncertainValue, by: f64) -> UncertainValue {
    UncertainValue { value: unsure.value * by, sd: unsure.sd * by }
}

impl PlausibleRange {
    /// The value as it was typed, if it is allowed, and most of its band.
    fn read(&self, text: &str) -> Result<Spread, Failure> {
        let Self { flag, words, example, .. } = self;
        let spread = quantity::parse(text, self.dimension).map_err(|error| {
            Failure::Usage(format!(
                "`{flag} {text}` cannot be read: {error}; write for example {flag} {example}"
            ))
        })?;
        let (low, high) = self.range;
        let outside = share_outside(&spread, self.range);
        let what = if !(low..=high).contains(&spread.nominal) {
            "is out of range, no car or weather is like that".to_owned()
        } else if outside > MOST {
            format!("has {:.0} % of its band out of range", 100.0 * outside)
        } else {
            return Ok(spread);
        };
        Err(Failure::Usage(format!(
            "`{flag} {text}` {what}: allowed is {words}; write for example {flag} {example}"
        )))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::args::{Output, UnitsArg};

    fn args() -> CoastDown {
        CoastDown {
            logs: Vec::new(),
            mass: "905 kg ± 5 kg".to_owned(),
            rotating_mass: None,
            temperature: None,
            pressure: None,
            wind: None,
            wind_height: None,
            grade: None,
            speed_unit: None,
            turning: Vec::new(),
            write: None,
            output: Output {
                units: UnitsArg::Metric,
                json: false,
                out: None,
                force: false,
                strict: false,
            },
        }
    }

    fn read(args: &CoastDown) -> Result<Conditions, String> {
        conditions(args, &[], logs::Inputs::default()).map_err(|failure| match failure {
            Failure::Usage(text) => text,
            other => format!("{other:?}"),
        })
    }

    #[test]
    fn what_is_not_said_is_assumed_with_a_band_and_listed() {
        let conditions = read(&args()).unwrap();
        assert!((conditions.mass_kg.sd - 5.0 / 1.96).abs() < 1e-12);
        assert!((conditions.effective_mass_kg() - 905.0 * 1.03).abs() < 1e-9);
        assert!((conditions.rotating_kg.sd - 9.05 / 1.96).abs() < 1e-9);
        let keys: Vec<&str> = conditions.assumed.iter().map(|a| a.key.as_str()).collect();
        assert_eq!(keys, ["--rotating-mass", "--temperature", "--pressure"]);
        assert_eq!(conditions.assumed[0].band.as_deref(), Some("± 1 %"));
        assert_eq!(conditions.wind, Wind::NotKnown);
    }

    #[test]
    fn turning_parts_are_a_share_or_a_mass() {
        for (text, kg) in [("3 %", 27.15), ("0.03", 27.15), ("28 kg", 28.0), ("62 lb", 28.122_7)] {
            let args = CoastDown { rotating_mass: Some(text.to_owned()), ..args() };
            let found = read(&args).unwrap().rotating_kg;
            assert!((found.value - kg).abs() < 1e-3 && found.sd.abs() < 1e-12, "{text} {found:?}");
        }
    }

    #[test]
    fn a_forecast_wind_is_carried_down_and_a_wind_at_the_car_is_not() {
        let wind = |text: &str, height: Option<&str>| {
            let args = CoastDown {
                wind: Some(text.to_owned()),
                wind_height: height.map(str::to_owned),
                ..args()
            };
            read(&args).unwrap().wind
        };
        assert_eq!(wind("calm", None), Wind::Along(UncertainValue { value: 0.0, sd: 0.0 }));
        let Wind::Along(tail) = wind("4 m/s tailwind", None) else { panic!("not along") };
        assert!((tail.value + 4.0 * 0.554).abs() < 1e-3);
        let Wind::AllRound(speed) = wind("4 m/s all round", Some("0.75 m")) else {
            panic!("along")
        };
        assert!((speed - 4.0).abs() < 1e-12);
    }

    #[test]
    fn slips_are_refused_with_an_example() {
        let changed = |change: fn(&mut CoastDown)| {
            let mut args = args();
            change(&mut args);
            read(&args).unwrap_err()
        };
        let bare = changed(|a| a.mass = "905".to_owned());
        assert!(bare.contains("905 has no unit") && bare.contains("--mass \"905 kg\""), "{bare}");
        let small = changed(|a| a.mass = "0.9 kg".to_owned());
        assert!(small.contains("out of range") && small.contains("50 kg to 50000 kg"), "{small}");
        let wide = changed(|a| a.mass = "905 kg ± 5000 kg".to_owned());
        assert!(wide.contains("37 % of its band") && wide.contains("50 kg to 50000 kg"), "{wide}");
        let turning = changed(|a| a.rotating_mass = Some("1000 kg".to_owned()));
        assert!(turning.contains("0 % to 100 % of the mass"), "{turning}");
        let hot = changed(|a| a.temperature = Some("293 °C".to_owned()));
        assert!(hot.contains("--temperature 293 °C"), "{hot}");
        let wind = changed(|a| a.wind = Some("5 m/s".to_owned()));
        assert!(wind.contains("2 m/s headwind"), "{wind}");
        let turning = changed(|a| a.rotating_mass = Some("heavy".to_owned()));
        assert!(turning.contains("\"28 kg\""), "{turning}");
    }
}
