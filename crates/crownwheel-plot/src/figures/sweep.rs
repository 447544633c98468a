//! The figures of a sweep.

mod curves;
mod front;
mod heat;
mod lines;
mod measure;
mod modules;
mod varied;

use crownwheel_answers::SweepAnswer;
use front::front;
use heat::heat_map;
use lines::answers_over_key;
use measure::measure_next;
use modules::range_over_modules;
pub(crate) use varied::label_of;

use crate::sketch::Sketch;

/// The figures that the answer has enough for.
pub(crate) struct SweepFigures {
    pub(crate) lines: Option<Sketch>,
    pub(crate) modules: Option<Sketch>,
    pub(crate) heat: Option<Sketch>,
    pub(crate) front: Option<Sketch>,
    pub(crate) measure: Option<Sketch>,
}

impl SweepFigures {
    pub(crate) fn of(answer: &SweepAnswer) -> Self {
        Self {
            lines: answers_over_key(answer),
            modules: range_over_modules(answer),
            heat: heat_map(answer),
            front: front(answer),
            measure: measure_next(answer),
        }
    }

    pub(crate) fn all(&self) -> impl Iterator<Item = &Sketch> {
        [&self.lines, &self.modules, &self.heat, &self.front, &self.measure].into_iter().flatten()
    }
}

#[cfg(test)]
mod bench;
