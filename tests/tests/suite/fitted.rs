//! Bands from worlds of which few were driven, against bands from worlds that were all driven.

use std::num::NonZeroUsize;
use std::sync::Arc;

use crownwheel::cycle::Cycle;
use crownwheel_quantities::{NamedCycle, Question, rows};
use crownwheel_sweep::conditioning::predicted;
use crownwheel_sweep::course::Course;
use crownwheel_sweep::quantile::Sample;
use crownwheel_sweep::{Weights, Worlds};

use crate::demo::{DUNLIN, Demo, GODWIT, WREN};

/// Worlds.
const COUNT: usize = 600;

/// Most that a quantile may lie off, over the width of the band that was driven.
const MOST: f64 = 0.03;

fn quantiles(values: &[f64]) -> [f64; 3] {
    let weights = Weights::equal(values.len());
    let sample = Sample::new(values, &weights).unwrap();
    [0.1, 0.5, 0.9].map(|share| sample.value(share))
}

fn hold(demo: Demo, day: usize, name: &str) {
    let build = demo.build();
    let models = build.day_models();
    let (on, of) = (Arc::<str>::from(name), models[day].day.name.clone());
    let cycle = NamedCycle { name: Arc::clone(&on), cycle: Cycle::builtin(name).unwrap() };
    let rows = [&rows::RANGE, &rows::RANGE_WITH_RESERVE, &rows::USE];
    let names = rows.map(|row| Question::of(row).on_cycle(Arc::clone(&on)).on_day(of.clone()));
    let course = Course::new(names.to_vec(), &[], vec![cycle], models, Vec::new()).unwrap();
    let values = |all: bool| {
        let worlds = Worlds::new(1, NonZeroUsize::new(COUNT).unwrap(), 0).driving_all(all);
        predicted(&course, &worlds, &build.model()).unwrap()
    };
    let mut fitted_some = false;
    for (fitted, driven) in values(false).iter().zip(&values(true)) {
        let (said, right) = (quantiles(fitted), quantiles(driven));
        let width = right[2] - right[0];
        for (said, right) in said.iter().zip(right) {
            let off = (said - right).abs() / width;
            assert!(off < MOST, "{name} {day}: {said} for {right}, {off} of the width");
        }
        // The pilots are among the worlds, as they were driven.
        let same = |(a, b): (&f64, &f64)| (a / b - 1.0).abs() < 1e-12;
        assert!(fitted.iter().zip(driven).take(24).all(same));
        fitted_some |= !fitted.iter().zip(driven).all(same);
    }
    assert!(fitted_some, "{name} {day}: every world was driven");
}

#[test]
fn bands_of_a_saloon_are_those_of_driven_worlds() {
    for (day, cycle) in [(0, "udds"), (1, "wltc3b"), (2, "us06")] {
        hold(DUNLIN, day, cycle);
    }
}

#[test]
fn bands_of_a_light_car_are_those_of_driven_worlds() {
    for (day, cycle) in [(0, "udds"), (0, "hwfet"), (1, "udds")] {
        hold(WREN, day, cycle);
    }
}

#[test]
fn bands_of_a_van_that_chooses_gears_are_those_of_driven_worlds() {
    hold(GODWIT, 0, "us06");
}
