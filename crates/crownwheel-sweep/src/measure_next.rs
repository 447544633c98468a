//! Which inputs are worth measuring, because they move the answers.

use std::collections::BTreeMap;
use std::sync::Arc;

use crownwheel::unsure::Model;
use crownwheel_quantities::Question;
use rayon::prelude::*;

use crate::course::Course;
use crate::result::MeasureNext;
use crate::run::Values;
use crate::shares::{Share, WorldAnswers};
use crate::weights::Weights;
use crate::worlds::Worlds;

/// Inputs that are named for an answer.
pub const MOST_INPUTS: usize = 5;

/// A smaller share is not worth a measurement.
const LEAST_SHARE: f64 = 0.01;

/// A car in all worlds.
#[derive(Clone, Copy, Debug)]
pub struct CarWorlds<'a> {
    /// What it was asked.
    pub course: &'a Course,
    /// The worlds.
    pub worlds: &'a Worlds,
    /// The car.
    pub model: &'a Model,
    /// Its answers over the worlds, in the order of the course's names.
    pub values: &'a Values,
}

/// Inputs that are worth measuring because they move these answers, at most [`MOST_INPUTS`] for each,
/// the largest share first. `lines` holds lines to write, by the key of the input.
#[must_use]
pub fn measure_next(
    run: &CarWorlds<'_>,
    names: &[Question],
    weights: &Weights,
    lines: &BTreeMap<String, String>,
) -> Vec<MeasureNext> {
    let of_car = run.model.unsure.iter().map(|unsure| Arc::clone(&unsure.key));
    let of_days = run.course.days.iter().flat_map(|day| &day.unsure);
    let keys: Vec<Arc<str>> = of_car.chain(of_days.map(|unsure| Arc::clone(&unsure.key))).collect();
    let of = |name: &Question| -> Vec<MeasureNext> {
        let place = run.course.place(name);
        let Some(values) = place.and_then(|place| run.values.get(place)) else { return Vec::new() };
        let shared = WorldAnswers::new(values, weights);
        let shares: Vec<(&str, Share)> = keys
            .par_iter()
            .filter_map(|key| Some((&**key, shared.of(&run.worlds.units(key))?)))
            .collect();
        let mut shares: Vec<(&str, Share)> = shares
            .into_iter()
            .filter(|(_, share)| share.is_plain() && share.share >= LEAST_SHARE)
            .collect();
        shares.sort_by(|a, b| b.1.share.total_cmp(&a.1.share).then(a.0.cmp(b.0)));
        shares
            .into_iter()
            .take(MOST_INPUTS)
            .map(|(key, it)| {
                MeasureNext::new(name, key, (it.share, it.standard_error), lines.get(key).cloned())
            })
            .collect()
    };
    names.iter().flat_map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::num::NonZeroUsize;

    use crownwheel::example;
    use crownwheel::knob::Knob;
    use crownwheel_quantities::rows;

    use crate::{DayModel, UncertainNumber};
    use crownwheel::spread::Spread;

    fn unsure(key: &str) -> UncertainNumber {
        let knob = Knob::find(key, &example::small_saloon()).unwrap();
        let (spread, physical) = (Spread::normal(1.0, 0.1), (0.0, 2.0));
        UncertainNumber { key: Arc::from(key), knob, spread, physical }
    }

    /// Mass is `2 u1 + u2 + 0 u3` of three even draws: shares 4/5, 1/5 and none.
    #[test]
    fn the_inputs_that_move_an_answer_are_named_in_order() {
        let (most, some) = ("tyres.rolling_resistance", "car.drag_coefficient");
        let unsure = ["motor.curve_scale", some, most].map(unsure).to_vec();
        let model = Model { car: example::small_saloon(), unsure };
        let day = DayModel { day: example::mild_day(), unsure: Vec::new() };
        let mass = Question::of(&rows::MASS).loaded(crownwheel::weights::LoadCase::DriverOnly);
        let course = Course::new(vec![mass.clone()], &[], Vec::new(), vec![day], Vec::new());
        let course = course.unwrap();
        let worlds = Worlds::new(1, NonZeroUsize::new(2000).unwrap(), 200);
        let (u1, u2) = (worlds.units(most), worlds.units(some));
        let values = vec![u1.iter().zip(u2.iter()).map(|(a, b)| 2.0 * a + b).collect()];
        let run = CarWorlds { course: &course, worlds: &worlds, model: &model, values: &values };
        let lines = BTreeMap::from([(some.to_owned(), format!("{some} = \"0.42\""))]);
        let next =
            measure_next(&run, &[mass, Question::of(&rows::PRICE)], &Weights::equal(2000), &lines);
        let keys: Vec<&str> = next.iter().map(|it| it.key.as_str()).collect();
        assert_eq!(keys, [most, some]);
        for (found, right) in next.iter().zip([0.8, 0.2]) {
            let off = (found.share - right).abs();
            assert!(off < 3.0 * found.standard_error && off < 0.03, "{found:?}");
        }
        // 1 - √(1 - 0.8) = 55 %.
        assert!((next[0].band_shrinks_pct - 55.3).abs() < 3.0, "{:?}", next[0]);
        assert_eq!(next[0].line, None);
        assert_eq!(next[1].line.as_deref(), Some("car.drag_coefficient = \"0.42\""));
    }
}
