//! Builds as people write them: the demos, what is assumed, and what is refused.

mod assumed;
mod bad_builds;
mod bad_cars;
mod bad_drives;
mod bad_files;
mod bad_packs;
mod bad_tables;
mod bench;
mod demo;
mod demos;
mod knobs;
mod pairs;
mod rubbish;
