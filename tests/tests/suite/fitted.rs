//! Bands from worlds of which few were driven, against bands from worlds that were all driven.

use std::num::NonZeroUsize;
use std::sync::Arc;

use crownwheel::cycle::Cycle;
use crownwheel::range::{CarOnDay, ShortRange, short_ranges};
use crownwheel::ready::Ready;
use crownwheel::{Car, Day};
use crownwheel_quantities::{NamedCycle, Question, rows};
use crownwheel_sweep::conditioning::modelled;
use crownwheel_sweep::course::Course;
use crownwheel_sweep::quantile::Sample;
use crownwheel_sweep::{Weights, Worlds};

use crate::demo::{DUNLIN, Demo, WREN};

/// Worlds.
const COUNT: usize = 600;

/// Most that a quantile may lie off, over the width of the band that was driven: less than a unit of the last digit that
/// these bands are shown with. The distances of driven worlds come in lumps, where a cycle climbs or stops; a fit smooths
/// them.
const MOST: f64 = 0.08;

fn driven(demo: Demo, day: usize, cycle: &Cycle, worlds: &Worlds) -> Vec<ShortRange> {
    let build = demo.build();
    let (model, day) = (build.model(), build.day_models().remove(day));
    let made: Vec<(Car, Day)> = (0..COUNT)
        .map(|world| {
            let car = Car::new(&worlds.of_car(&model).car(world).unwrap()).unwrap();
            (car, Day::new(&worlds.of_day(&day).day(world).unwrap()).unwrap())
        })
        .collect();
    let ready: Vec<Ready> = made.iter().map(|(car, day)| Ready::new(car, day)).collect();
    let prepared: Vec<CarOnDay<'_>> =
        made.iter().zip(&ready).map(|((car, day), ready)| CarOnDay { car, day, ready }).collect();
    short_ranges(&prepared, cycle)
}

fn quantiles(values: &[f64]) -> [f64; 3] {
    let weights = Weights::equal(values.len());
    let sample = Sample::new(values, &weights).unwrap();
    [0.1, 0.5, 0.9].map(|share| sample.value(share))
}

fn hold(demo: Demo, day: usize, name: &str) {
    let build = demo.build();
    let worlds = Worlds::new(1, NonZeroUsize::new(COUNT).unwrap(), 0);
    let cycle = Cycle::builtin(name).unwrap();
    let models = build.day_models();
    let (on, of) = (Arc::<str>::from(name), models[day].day.name.clone());
    let named = NamedCycle { name: Arc::clone(&on), cycle: cycle.clone() };
    let (cycle_name, day_name) = (|| Arc::clone(&on), || of.clone());
    let names = vec![
        Question::of(&rows::RANGE).on_cycle(cycle_name()).on_day(day_name()),
        Question::of(&rows::RANGE_WITH_RESERVE).on_cycle(cycle_name()).on_day(day_name()),
        Question::of(&rows::USE).on_cycle(cycle_name()).on_day(day_name()),
    ];
    let course = Course::new(names, &[], vec![named], models, Vec::new()).unwrap();
    let fitted = modelled(&course, &worlds, &build.model()).unwrap();
    let driven = driven(demo, day, &cycle, &worlds);
    let of = |of: &dyn Fn(&ShortRange) -> f64| driven.iter().map(of).collect::<Vec<f64>>();
    let reference = [
        of(&|it| it.range_m() / 1e3),
        of(&|it| it.range_with_reserve_m() / 1e3),
        of(&|it| it.use_j / 3.6 / it.distance_m),
    ];
    for (fitted, driven) in fitted.iter().zip(&reference) {
        let (said, right) = (quantiles(fitted), quantiles(driven));
        let width = right[2] - right[0];
        for (said, right) in said.iter().zip(right) {
            let off = (said - right).abs() / width;
            assert!(off < MOST, "{name} {day}: {said} for {right}, {off} of the width");
        }
        // The pilots are among the worlds, as they were driven.
        assert!(fitted.iter().zip(driven).take(24).all(|(a, b)| (a / b - 1.0).abs() < 1e-12));
    }
}

#[test]
fn bands_of_a_saloon_are_those_of_driven_worlds() {
    for (day, cycle) in [(0, "udds"), (1, "wltc3b"), (2, "us06")] {
        hold(DUNLIN, day, cycle);
    }
}

#[test]
fn bands_of_a_light_car_are_those_of_driven_worlds() {
    hold(WREN, 0, "udds");
}
