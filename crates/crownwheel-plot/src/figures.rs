//! The figures, each made from an answer into a sketch, with the sentence that stands under it.

mod balance;
mod corners;
mod cycle;
mod legend;
mod motor;
mod steady;
mod thin;

pub(crate) use balance::balance;
pub(crate) use corners::corners;
pub(crate) use cycle::cycle;
pub(crate) use motor::motor;
pub(crate) use steady::steady;
