//! Values that others have published: every test names the check, and its source stands beside it.
//!
//! The numbers and their tolerances are in `tests/data/checks-index.csv`; what cannot be compared
//! yet is in `tests/NOT-CHECKED.md`, with the reason.

mod acceleration;
mod air;
mod battery;
mod coastdown;
mod coverage;
mod cycles;
mod gearing;
mod geodesy;
mod inertia;
mod labels;
mod least_squares;
mod motor;
mod road_load;
mod runs;
mod statistics;
mod tyres;
mod units;
mod weights;
