//! Use and range per cycle and day, and at steady speed.

use crownwheel::name::Name;
use std::collections::BTreeMap;

use crownwheel_quantities::rows;
use serde::Serialize;

use crate::routes::RouteResult;
use crate::sweep::MeasureNext;
use crate::{
    Assumption, Balance, Band, BrakingMemo, Caution, Provenance, Question, Units, Warning, Window,
    WorldDraw,
};

/// The answer of `range`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RangeAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric, see [`crate::json`].
    pub units: Units,
    /// The answer in one sentence, see [`RangeAnswer::plain_line`].
    pub plain: String,
    /// Name of the car.
    pub car: Name,
    /// Share of the usable energy kept back in `range_with_reserve_km`, %.
    pub reserve_pct: f64,
    /// Capacity left that the ranges hold for, %; 100 for a new pack.
    pub state_of_health_pct: f64,
    /// One for each cycle and day.
    pub results: Vec<CycleResult>,
    /// One for each route that is driven once and each day.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub routes: Vec<RouteResult>,
    /// One for each day and steady speed.
    pub steady: Vec<SteadyResult>,
    /// The worlds behind the bands. `None`: nominal values only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drawn: Option<WorldDraw>,
    /// Inputs that move the ranges most; empty without worlds.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub measure_next: Vec<MeasureNext>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// What was assumed, with its source.
    pub assumed: Vec<Assumption>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

impl CycleResult {
    /// Energy at the pack's terminals with its band, Wh/km.
    #[must_use]
    pub fn used(&self) -> Band {
        self.use_band_wh_per_km.unwrap_or(Band::only(self.use_wh_per_km))
    }

    /// Energy from the wall with its band, Wh/km.
    #[must_use]
    pub fn wall(&self) -> Band {
        self.wall_band_wh_per_km.unwrap_or(Band::only(self.wall_wh_per_km))
    }

    /// Range with the reserve kept back, with its band, km.
    #[must_use]
    pub fn with_reserve(&self) -> Band {
        self.range_with_reserve_band_km.unwrap_or(Band::only(self.range_with_reserve_km))
    }

    /// Whether the car keeps up for less than its range.
    #[must_use]
    pub fn falls_behind(&self) -> bool {
        let all = [self.keeps_up_km.nominal, self.keeps_up_km.middle()];
        let ranges = [self.range_km.nominal, self.range_km.middle()];
        self.shortfall_s > 0.0 || all.iter().zip(ranges).any(|(up, range)| *up < 0.995 * range)
    }

    /// Where the energy went: in the middle world, or with every input at its nominal value.
    #[must_use]
    pub fn flow(&self) -> (&Balance, &BrakingMemo) {
        match &self.middle {
            Some(middle) => (&middle.balance_wh_per_km, &middle.braking),
            None => (&self.balance_wh_per_km, &self.braking),
        }
    }
}

impl RangeAnswer {
    /// The results with the trips that are demanded first, then the build's own, then standard cycles.
    #[must_use]
    pub fn in_order(&self) -> Vec<&CycleResult> {
        let of = |trip: Trip| self.results.iter().filter(move |it| it.trip == trip);
        of(Trip::Demanded).chain(of(Trip::Own)).chain(of(Trip::Standard)).collect()
    }

    /// The result of the cycle and day that a number is of.
    #[must_use]
    pub fn result_of(&self, name: &Question) -> Option<&CycleResult> {
        let (cycle, day) = (name.cycle()?, name.day()?);
        self.results.iter().find(|it| *it.cycle == **cycle && *it.day == **day)
    }

    /// The range, or how far the car keeps up, that a question asks for.
    #[must_use]
    pub fn distance_of(&self, question: &Question) -> Option<&Band> {
        let result = self.result_of(question)?;
        if question.is(&rows::RANGE) {
            return Some(&result.range_km);
        }
        question.is(&rows::KEEPS_UP).then_some(&result.keeps_up_km)
    }
}

/// One cycle on one day.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CycleResult {
    /// Name of the cycle.
    pub cycle: String,
    /// Name of the day.
    pub day: Name,
    /// Whose trip it is.
    pub trip: Trip,
    /// Distance that the build demands of it, km.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub demanded_km: Option<f64>,
    /// Length of one cycle as driven, km.
    pub distance_km: f64,
    /// Duration of one cycle as driven, s.
    pub duration_s: f64,
    /// Energy at the pack's terminals, net, over the whole range, Wh/km. Not a number, null in JSON,
    /// if the car never moved; so are all others per km.
    pub use_wh_per_km: f64,
    /// The same with its band. `None`: nominal values only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub use_band_wh_per_km: Option<Band>,
    /// Energy from the wall that puts it back, Wh/km.
    pub wall_wh_per_km: f64,
    /// The same with its band. `None`: nominal values only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall_band_wh_per_km: Option<Band>,
    /// Miles per gallon of petrol of equal energy, at the wall; only in US units.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub equivalent_mpg: Option<f64>,
    /// Range to empty; not a number, null in JSON, where the pack does not empty.
    pub range_km: Band,
    /// How far the car keeps up: to where it has missed half a per cent of its range.
    pub keeps_up_km: Band,
    /// What it missed of the way that was asked for.
    pub missed_pct: MissedPct,
    /// How the run ended: `empty`, `stands`, `gives back`, `far`, `too short`, `arrived`.
    pub end: String,
    /// State of charge at its end, %.
    pub end_charge_pct: f64,
    /// Range with the reserve kept back, km.
    pub range_with_reserve_km: f64,
    /// The same with its band. `None`: nominal values only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub range_with_reserve_band_km: Option<Band>,
    /// Time more than 2 km/h below the target in one cycle from full, s.
    pub shortfall_s: f64,
    /// Distance lost against the target in one cycle from full, m.
    pub shortfall_m: f64,
    /// The car cannot follow the cycle even from full charge.
    pub cannot_follow_when_full: bool,
    /// Seconds of one cycle from full under each binding limit, by name.
    pub binding: BTreeMap<String, f64>,
    /// Seconds of one cycle from full in each gear, counted from 1. Empty: there is no choice.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub gear_s: BTreeMap<u32, f64>,
    /// How hard the motor worked.
    pub motor: MotorUse,
    /// Highest temperature of the oil.
    pub oil_max_degc: OilMax,
    /// Worst rolling values.
    pub windows: Vec<Window>,
    /// Where the energy went over the whole range, Wh/km.
    pub balance_wh_per_km: Balance,
    /// Braking, beside the balance.
    pub braking: BrakingMemo,
    /// The world whose use is the middle one. `None`: nominal values only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub middle: Option<MiddleWorld>,
}

/// Whose trip a cycle is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Trip {
    /// The build demands a range on it.
    Demanded,
    /// The build's own, or one that was asked for by name.
    Own,
    /// A standard cycle, to compare with other cars.
    #[default]
    Standard,
}

/// What was missed, % of the way that was asked for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct MissedPct {
    /// On the first repeat, from full.
    pub when_full: f64,
    /// Over the whole range.
    pub whole: f64,
}

/// Where the energy went in the world whose use is the middle one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MiddleWorld {
    /// Its number, counted from 1.
    pub world: usize,
    /// Energy at the pack's terminals, Wh/km.
    pub use_wh_per_km: f64,
    /// Where it went, Wh/km.
    pub balance_wh_per_km: Balance,
    /// Braking, beside the balance.
    pub braking: BrakingMemo,
}

/// How hard the motor worked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct MotorUse {
    /// Root mean square torque, N m.
    pub rms_torque_nm: f64,
    /// Highest speed, rpm.
    pub max_speed_rpm: f64,
    /// Highest used share of heat, 1 at the limit. `None`: the build gives no time at peak torque.
    pub heat_used_max: Option<f64>,
}

impl SteadyResult {
    /// How far the car holds the speed, km; `None` where it does not, and where it has no end.
    #[must_use]
    pub fn held_km(&self) -> Option<Band> {
        Some(self.keeps_up_km).filter(|band| self.held && band.middle().is_finite())
    }
}

/// Highest temperature of the oil of each casing, °C.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct OilMax {
    /// Reduction or gearbox. `None`: the car has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gearbox: Option<f64>,
    /// Axle.
    pub axle: f64,
}

/// Driving on the flat at one speed until empty.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SteadyResult {
    /// Speed, km/h.
    pub speed_kmh: f64,
    /// Name of the day.
    pub day: Name,
    /// Whether the car holds this speed when the pack is full.
    pub held: bool,
    /// Range to empty, as fast as it can where it does not hold the speed.
    pub range_km: Band,
    /// How far it holds the speed: to where it has missed half a per cent of its range.
    pub keeps_up_km: Band,
    /// Energy at the pack's terminals, Wh/km.
    pub use_wh_per_km: f64,
    /// The same with its band. `None`: nominal values only.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub use_band_wh_per_km: Option<Band>,
    /// Power out of the motor over power into the inverter, %; of a car given by coast-down coefficients that hold the turning
    /// motor without what it loses then.
    /// `None`: nothing goes in.
    pub motor_inverter_efficiency_pct: Option<f64>,
    /// Power at the wheels over power out of the motor, %. `None`: nothing comes out.
    pub driveline_efficiency_pct: Option<f64>,
    /// What binds at this speed, `none` when nothing does.
    pub limit: String,
    /// Motor speed, rpm.
    pub motor_speed_rpm: f64,
    /// Highest temperature of the oil.
    pub oil_max_degc: OilMax,
}
