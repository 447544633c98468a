//! The figures of a sweep.

mod curves;
mod front;
mod heat;
mod lines;
mod measure;
mod modules;
mod varied;

pub(crate) use front::front;
pub(crate) use heat::heat_map;
pub(crate) use lines::answers_over_key;
pub(crate) use measure::measure_next;
pub(crate) use modules::range_over_modules;

#[cfg(test)]
mod bench;
