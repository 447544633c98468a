#![doc = include_str!("../README.md")]

mod answers;
#[cfg(test)]
mod bench;
mod change;
mod control;
mod desk;
mod engine;
mod gate;
mod head;
mod moves;
mod page;
mod parts;
mod places;
mod query;
mod response;
mod server;
mod site;
mod timed;
mod token;

pub use engine::{BandedAnswers, Engine, EngineRefusal, Message, Reading};
pub use server::{ServeError, Server, Stopper};
