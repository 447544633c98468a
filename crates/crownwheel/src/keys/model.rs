//! Keys of what the model leaves out.

use super::bind::at;
use super::unit::ONE;
use super::{Key, key};

const USE: &str = "engineering judgement, from measured trips and certified cars: `How far to trust it` in the README";

pub(super) const ROWS: &[Key] = &[
    key("model.use_scale", "factor on use less standing loads for what the model leaves out of this car")
        .from(0.5, 2.0, ONE)
        .like("\"1 ± 15 %\"")
        .assumed("1 ± 15 %", USE)
        .advice(
            "range and use everywhere",
            "a measured drive: log volts and amperes, and write it down with `crownwheel audit --write`",
        )
        .of_car(|car| at(&mut car.model.use_scale)),
    key("model.pull_scale", "factor on the motor's torque for what the model leaves out of this car")
        .from(0.5, 2.0, ONE)
        .like("\"1 ± 4 %\"")
        .assumed("1 ± 4 %", "engineering judgement")
        .advice(
            "times at full throttle, hills, top speed",
            "a measured run at full throttle, on closed ground",
        )
        .of_car(|car| at(&mut car.model.pull_scale)),
];
