//! Predictions of the energy at the wall against certification tests of electric cars.
//!
//! Every car is [`generic.toml`](car) with its own test weight and road load. It drives the urban and
//! the highway cycle in worlds, through the crates that the command line uses.

pub mod car;
pub mod predict;
pub mod report;
pub mod rows;
