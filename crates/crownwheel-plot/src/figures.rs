//! The figures, each made from an answer into a sketch, with the sentence that stands under it.

mod audit;
mod balance;
mod charging;
mod coastdown;
mod corners;
mod cycle;
mod hill_heat;
mod legend;
mod looks;
mod motor;
mod pull;
mod steady;
mod strip;
mod sweep;
mod throttle;
mod trip;
mod windows;

pub(crate) use audit::audit;
pub(crate) use balance::balance;
pub(crate) use charging::charging;
pub(crate) use coastdown::coast_down;
pub(crate) use corners::corners;
pub(crate) use cycle::cycle;
pub(crate) use hill_heat::hill_heat;
pub(crate) use motor::motor;
pub(crate) use pull::tractive_effort;
pub(crate) use steady::steady;
pub(crate) use sweep::{answers_over_key, front, heat_map, measure_next, range_over_modules};
pub(crate) use throttle::full_throttle;
pub(crate) use trip::trip;
pub(crate) use windows::windows;
