//! Keys of what the model leaves out.

use crownwheel::keys::unit::ONE;

use super::{KeyRow, key, number};

pub(super) const ROWS: &[KeyRow] = &[number(
    key(
        "model.trip_scale",
        "factor on use from trip to trip, of a trip of 15 km: driver, wind, traffic, wet roads",
    )
    .from(0.5, 2.0, ONE)
    .like("\"1 ± 20 %\"")
    .assumed("1 ± 20 %", "trips of one car (doi 10.21227/6jr9-5235)")
    .advice(
        "how far one trip may lie from the others",
        "no measurement narrows it: trips of one car differ so",
    ),
)
.unsure()
.after("model.pull_scale")];
