//! Bands from worlds of which few were driven, against bands from worlds that were all driven.

use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::path::Path;
use std::sync::Arc;

use crownwheel::cycle::Cycle;
use crownwheel_quantities::{NamedCycle, Question, rows};
use crownwheel_sweep::conditioning::predicted;
use crownwheel_sweep::course::Course;
use crownwheel_sweep::quantile::Sample;
use crownwheel_sweep::sweep::{Plan, SharedReference};
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

/// Options of the saloon's sweep that follow from one that is known, against the same with every world driven.
#[test]
fn options_that_follow_from_another_are_those_of_driven_worlds() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-demo/dunlin/sweep.toml");
    let sweep = crownwheel_files::load_sweep(&path, &[]).unwrap();
    let demands = sweep.build.conditions();
    let cycles = sweep.cycles.iter().map(|it| NamedCycle::from(it.cycle.clone())).collect();
    let (days, supplies) = (sweep.build.day_models(), sweep.build.supplies.clone());
    let course = Course::new(Vec::new(), &demands, cycles, days, supplies).unwrap();
    let weights = Weights::equal(COUNT);
    let options: Vec<u128> = (0..sweep.space.len()).step_by(9).collect();
    let runs = |all: bool| {
        let worlds = Worlds::new(1, NonZeroUsize::new(COUNT).unwrap(), 0).driving_all(all);
        let plan = Plan {
            space: &sweep.space,
            course: &course,
            worlds: &worlds,
            demands: &demands,
            weights: &weights,
            screening: None,
            compared: Vec::new(),
            reference: SharedReference::default(),
        };
        assert_eq!(plan.reference().is_some(), !all);
        plan.finish(&options, &BTreeMap::new(), &|| {})
    };
    let (followed, driven) = (runs(false), runs(true));
    assert!(followed.len() > 5 && followed.len() == driven.len());
    for (followed, driven) in followed.iter().zip(&driven) {
        let (said, right) = (&followed.looked.answer, &driven.looked.answer);
        for (said, right) in said.demands.iter().zip(&right.demands) {
            let off = (said.probability - right.probability).abs();
            assert!(
                off < 0.015,
                "{} {}: {said:?} for {right:?}",
                driven.looked.answer.id,
                said.name
            );
        }
        let pairs = course.names().iter().zip(followed.values.iter().zip(&driven.values));
        for (question, (said, right)) in pairs.filter(|(question, _)| question.is_range()) {
            let (said, right) = (quantiles(said), quantiles(right));
            let width = right[2] - right[0];
            let off = said.iter().zip(right).map(|(said, right)| (said - right).abs() / width);
            let off = off.fold(0.0, f64::max);
            assert!(off < MOST, "{} of {}: {off}", question.key(), driven.looked.answer.id);
        }
    }
}
