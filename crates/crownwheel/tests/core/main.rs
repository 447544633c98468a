//! The physics from outside, as one program: it is compiled once.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking, in its helpers too")]

mod model;
mod plant;
mod ranges;
mod side_by_side;
#[cfg(feature = "serde")]
mod written_down;

use crownwheel::step::State;

/// Every number of a state, to the last bit.
fn state_bits(state: &State<f64>) -> [u64; 10] {
    let State {
        speed_mps,
        charge_frac,
        heat_used,
        long_heat_used,
        gearbox_oil_k,
        axle_oil_k,
        pack_k,
        tyre_k,
        cabin_j,
        trip_m,
    } = *state;
    [
        speed_mps,
        charge_frac,
        heat_used,
        long_heat_used,
        gearbox_oil_k,
        axle_oil_k,
        pack_k,
        tyre_k,
        cabin_j,
        trip_m,
    ]
    .map(f64::to_bits)
}
