//! Corner weights, axle loads and limits in the five cases.

use crownwheel::name::Name;
use crownwheel::weights::LoadCase;
use serde::Serialize;

use crate::{Assumption, Caution, Provenance, Units, Warning};

/// The answer of `weigh`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct WeighAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric, see [`crate::json`].
    pub units: Units,
    /// The answer in one sentence, see [`WeighAnswer::plain_line`].
    pub plain: String,
    /// Name of the car.
    pub car: Name,
    /// People aboard when every seat is filled.
    pub seats: u32,
    /// The five cases, in the order of [`LoadCase::ALL`].
    pub cases: Vec<WeighCase>,
    /// Plate and tyre limits.
    pub limits: WeighLimits,
    /// What else to know, a sentence each; holds [`WeighAnswer::VOID_NOTE`].
    pub notes: Vec<String>,
    /// What was assumed, with its source.
    pub assumed: Vec<Assumption>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

impl WeighAnswer {
    /// Why the corner weights are a forecast and not a promise.
    pub const VOID_NOTE: &'static str = "Corner weights keep the warp that was measured on the scales; they are void once springs are touched.";
}

/// Loads and what is left in one case. Masses in kg; a margin below 0 is over the limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WeighCase {
    /// Which case.
    pub case: LoadCase,
    /// Load under the front left wheel, kg.
    pub front_left_kg: f64,
    /// Load under the front right wheel, kg.
    pub front_right_kg: f64,
    /// Load under the rear left wheel, kg.
    pub rear_left_kg: f64,
    /// Load under the rear right wheel, kg.
    pub rear_right_kg: f64,
    /// Load on the front axle, kg.
    pub front_axle_kg: f64,
    /// Load on the rear axle, kg.
    pub rear_axle_kg: f64,
    /// Whole car, kg.
    pub mass_kg: f64,
    /// Share of the front axle, %.
    pub front_pct: f64,
    /// Share of front right plus rear left, %.
    pub cross_weight_pct: f64,
    /// (front left + rear right) - (front right + rear left), kg.
    pub warp_kg: f64,
    /// Plate less load of the front axle, kg. `None`: no plate given.
    pub front_plate_margin_kg: Option<f64>,
    /// Plate less load of the rear axle, kg.
    pub rear_plate_margin_kg: Option<f64>,
    /// Gross mass less mass, kg.
    pub gross_margin_kg: Option<f64>,
    /// What two tyres may carry, less the front axle load, kg. `None`: no load index given.
    pub front_tyre_margin_kg: Option<f64>,
    /// What two tyres may carry, less the rear axle load, kg.
    pub rear_tyre_margin_kg: Option<f64>,
    /// What may still be put over the front axle before plate, tyres or gross mass bind, kg; 0 when
    /// one of them is reached. `None`: no limit is known.
    pub front_payload_left_kg: Option<f64>,
    /// The same over the rear axle, kg.
    pub rear_payload_left_kg: Option<f64>,
    /// How much lower the front of the body stands than on the scales, mm; negative: higher.
    /// `None`: no spring rates are given.
    pub front_sag_mm: Option<f64>,
    /// The same at the rear, mm.
    pub rear_sag_mm: Option<f64>,
    /// Ride frequency of the front axle, Hz. `None`: no spring rates are given.
    pub front_ride_hz: Option<f64>,
    /// Ride frequency of the rear axle, Hz.
    pub rear_ride_hz: Option<f64>,
    /// Centre of gravity behind the front axle, m.
    pub centre_behind_front_axle_m: f64,
    /// Centre of gravity right of the centre line, m; negative to the left.
    pub centre_right_of_centre_m: f64,
    /// Height of the centre of gravity, m.
    pub centre_height_m: f64,
}

/// What the car and its tyres may carry. `None`: not given.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct WeighLimits {
    /// Gross mass, kg.
    pub gross_kg: Option<f64>,
    /// Front axle by the plate, kg.
    pub front_axle_kg: Option<f64>,
    /// Rear axle by the plate, kg.
    pub rear_axle_kg: Option<f64>,
    /// One tyre by its load index, kg.
    pub one_tyre_kg: Option<f64>,
    /// The load index on the tyre.
    pub load_index: Option<u16>,
}
