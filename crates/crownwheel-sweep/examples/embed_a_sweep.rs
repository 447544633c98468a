//! A sweep from another program: three final drives by two packs, each in the same 200 worlds, judged by
//! what the car must do.

use std::collections::BTreeMap;
use std::error::Error;
use std::num::NonZeroUsize;

use crownwheel::cycle::Cycle;
use crownwheel::example;
use crownwheel::knob::Knob;
use crownwheel::spec::CarSpec;
use crownwheel::spread::Spread;
use crownwheel_quantities::Units;
use crownwheel_quantities::{Bound, Condition, Demand, NamedCycle, Question, rows};
use crownwheel_sweep::course::Course;
use crownwheel_sweep::sweep::{OptionRun, Plan, SharedReference};
use crownwheel_sweep::{
    AxisValue, Base, DayModel, Model, Space, SweptNumber, UncertainNumber, Weights, Worlds,
};

const WORLDS: usize = 200;

/// An axis of the space: a number of the car, and the values that it takes.
fn axis(car: &CarSpec, key: &str, values: &[f64]) -> Result<SweptNumber, Box<dyn Error>> {
    let knob = Knob::find(key, car)?;
    let value = |value: &f64| AxisValue {
        label: value.to_string().into(),
        spread: Spread::exact(*value),
        price: None,
    };
    let values = values.iter().map(value).collect();
    Ok(SweptNumber { key: key.into(), knob, physical: (0.0, f64::INFINITY), values })
}

fn space() -> Result<Space, Box<dyn Error>> {
    let car = example::small_saloon();
    let axes = vec![
        axis(&car, "driveline.axle.ratio", &[3.70, 4.22, 4.44])?,
        axis(&car, "pack.modules_in_series", &[8.0, 9.0])?,
    ];
    // Nobody measured the tyres: 0.0115 ± 0.0015, 19 times out of 20.
    let key = "tyres.rolling_resistance";
    let unsure = UncertainNumber {
        key: key.into(),
        knob: Knob::find(key, &car)?,
        spread: Spread::normal(0.0115, 0.0015),
        physical: (0.004, 0.03),
    };
    let model = Ok(Model { car, unsure: vec![unsure] });
    Ok(Space { bases: vec![Base { choices: Vec::new(), model }], axes, module_price: None })
}

/// What every option is asked, and the demands: 110 km in town, and 6,500 rpm at 112 km/h at the most.
fn asked() -> Result<(Course, Vec<Demand>), Box<dyn Error>> {
    let range = Question::of(&rows::RANGE).on_cycle("udds").on_day("mild");
    let speed = Question::of(&rows::MOTOR_SPEED).at_kmh(112.0);
    let demand = |name: &str, answer: &Question, bound| Demand {
        name: name.into(),
        conditions: vec![Condition { question: answer.clone(), bound }],
        sure_frac: Some(0.9),
    };
    let demands = vec![
        demand("to town and back", &range, Bound::AtLeast(110.0)),
        demand("quiet on the motorway", &speed, Bound::AtMost(6500.0)),
    ];
    let cycle = Cycle::udds();
    let cycles = vec![NamedCycle { name: "udds".into(), cycle }];
    let days = vec![DayModel { day: example::mild_day(), unsure: Vec::new() }];
    let course = Course::new(vec![range, speed], &demands, cycles, days, Vec::new())?;
    Ok((course, demands))
}

/// Every option in all worlds.
fn run(space: &Space) -> Result<Vec<OptionRun>, Box<dyn Error>> {
    let (course, demands) = asked()?;
    let worlds = Worlds::new(1, NonZeroUsize::new(WORLDS).ok_or("no world")?, WORLDS);
    let weights = Weights::equal(WORLDS);
    let plan = Plan {
        space,
        course: &course,
        worlds: &worlds,
        demands: &demands,
        weights: &weights,
        screening: None,
        compared: vec![0],
        reference: SharedReference::default(),
    };
    let all: Vec<u128> = (0..space.len()).collect();
    Ok(plan.finish(&all, &BTreeMap::new(), &|| {}))
}

#[allow(clippy::print_stdout, reason = "a program that answers on the terminal")]
fn main() -> Result<(), Box<dyn Error>> {
    for option in run(&space()?)? {
        let answer = &option.looked.answer;
        let sure = answer.all_demands_probability.unwrap_or(0.0) * 100.0;
        println!("{}: does everything in {sure:.0} of 100 worlds", answer.id);
        for (name, band) in answer.answers.iter() {
            println!("    {}: {}", name.title(), name.shown(band, Units::Metric));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Answers of an option in all worlds, by its number: range, then motor speed.
    fn values() -> Result<Vec<OptionRun>, Box<dyn Error>> {
        run(&space()?)
    }

    #[test]
    fn there_is_an_option_for_every_pair_of_values() -> Result<(), Box<dyn Error>> {
        let space = space()?;
        assert_eq!(space.len(), 3 * 2);
        let ids: Vec<String> = values()?.into_iter().map(|it| it.looked.answer.id).collect();
        assert_eq!(ids.len(), 6);
        for (i, id) in ids.iter().enumerate() {
            assert!(!ids[..i].contains(id), "{id} twice");
        }
        Ok(())
    }

    /// Tyres that roll harder do not turn the motor faster: `v · 1.5 i / r` in every world, with the radius of
    /// a 155/80 R13.
    #[test]
    fn motor_speed_is_the_ratio_s_in_every_world() -> Result<(), Box<dyn Error>> {
        let radius_m = 3.05 * 0.5782 / TAU;
        let wanted =
            [3.70, 4.22, 4.44].map(|ratio| 112.0 / 3.6 / radius_m * 1.5 * ratio * 60.0 / TAU);
        for option in values()? {
            let rpm = &option.values[1];
            assert_eq!(rpm.len(), WORLDS);
            let near = |it: &f64| wanted.iter().any(|wanted| (it / wanted - 1.0).abs() < 1e-9);
            assert!(rpm.iter().all(near) && rpm.iter().all(|it| (it / rpm[0] - 1.0).abs() < 1e-12));
        }
        Ok(())
    }

    #[test]
    fn a_demand_on_motor_speed_is_met_by_arithmetic() -> Result<(), Box<dyn Error>> {
        for option in values()? {
            // 3.70 gives 5,876 rpm, 4.22 6,702 and 4.44 7,051.
            let fits = option.values[1][0] <= 6500.0;
            let enough = option.values[0].iter().filter(|km| **km >= 110.0).count();
            let wanted = if fits { enough } else { 0 };
            let told = option.looked.answer.all_demands_probability.unwrap_or(-1.0);
            let wanted = f64::from(u32::try_from(wanted)?) / f64::from(u32::try_from(WORLDS)?);
            assert!((told - wanted).abs() < 1e-12, "{told} {wanted}");
        }
        Ok(())
    }

    /// In the same world every option has the same tyres: what goes far with one pack does with the other.
    #[test]
    fn worlds_are_the_same_for_every_option() -> Result<(), Box<dyn Error>> {
        let finished = values()?;
        let order = |option: &OptionRun| {
            let mut worlds: Vec<usize> = (0..WORLDS).collect();
            worlds.sort_by(|a, b| option.values[0][*a].total_cmp(&option.values[0][*b]));
            worlds
        };
        let (first, last) = (order(&finished[0]), order(&finished[5]));
        let place = |order: &[usize], world| order.iter().position(|it| *it == world);
        for world in [first[0], first[WORLDS - 1]] {
            let (one, other) = (place(&first, world).unwrap(), place(&last, world).unwrap());
            assert!(one.abs_diff(other) <= 10, "{one} {other}");
        }
        Ok(())
    }
}
