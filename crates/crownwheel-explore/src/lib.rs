#![doc = include_str!("../README.md")]

mod answers;
#[cfg(test)]
mod bench;
mod change;
mod control;
mod engine;
mod gate;
mod moves;
mod page;
mod parts;
mod query;
mod server;
mod site;
mod token;

pub use engine::{Banded, Engine, Message, Reading, Refused};
pub use server::{ServeError, Server, Stopper};
