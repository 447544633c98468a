//! Single answers of a sweep: their names, units, labels, and how a difference is said.

mod said;

use std::sync::Arc;

use crate::unit::{MISSING, digits};
use crate::{Band, LoadCase, Unit, Units};

/// What is said of a speed that is not reached.
pub(crate) const NOT_REACHED: &str = "not reached";

/// One number that a car is judged by. Speeds are in km/h, grades and states of charge in %.
///
/// A `day` of `None` is the first day, which is not said.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum AnswerName {
    /// Range to empty, km.
    Range {
        /// Name of the cycle.
        cycle: Arc<str>,
        /// Name of the day.
        day: Arc<str>,
    },
    /// How far the car keeps up with the cycle, km: to where it has missed half a per cent of its range.
    KeepsUp {
        /// Name of the cycle.
        cycle: Arc<str>,
        /// Name of the day.
        day: Arc<str>,
    },
    /// Range with the reserve kept back, km.
    RangeWithReserve {
        /// Name of the cycle.
        cycle: Arc<str>,
        /// Name of the day.
        day: Arc<str>,
    },
    /// Energy at the pack's terminals, Wh/km.
    Use {
        /// Name of the cycle.
        cycle: Arc<str>,
        /// Name of the day.
        day: Arc<str>,
    },
    /// Energy from the wall that puts back what was used, Wh/km.
    WallUse {
        /// Name of the cycle.
        cycle: Arc<str>,
        /// Name of the day.
        day: Arc<str>,
    },
    /// Time behind the target in one cycle from full, s.
    Shortfall {
        /// Name of the cycle.
        cycle: Arc<str>,
        /// Name of the day.
        day: Arc<str>,
    },
    /// State of charge left behind a route driven once, %.
    ChargeLeft {
        /// Name of the route.
        cycle: Arc<str>,
        /// Name of the day.
        day: Arc<str>,
        /// State of charge at the start.
        from_pct: f64,
    },
    /// Motor speed at a road speed, rpm.
    CruiseMotorSpeed {
        /// The road speed.
        speed_kmh: f64,
    },
    /// Time until the motor cuts back at a road speed on the flat, min; infinite if it never does.
    CruiseMinutes {
        /// The road speed.
        speed_kmh: f64,
        /// Name of the day.
        day: Option<Arc<str>>,
    },
    /// Steepest grade on which a speed is held, %.
    HoldGrade {
        /// The road speed.
        speed_kmh: f64,
        /// Name of the day.
        day: Option<Arc<str>>,
    },
    /// Time until the motor cuts back on a grade, min; infinite if it never does.
    HoldMinutes {
        /// The road speed.
        speed_kmh: f64,
        /// The grade.
        grade_pct: f64,
        /// Name of the day.
        day: Option<Arc<str>>,
    },
    /// Steepest grade that the car starts on, %.
    StartGrade {
        /// Name of the day.
        day: Option<Arc<str>>,
    },
    /// Time between two speeds at full throttle, s; infinite if the second is not reached.
    Time {
        /// Speed at the start.
        from_kmh: f64,
        /// Speed at the end.
        to_kmh: f64,
        /// Name of the day.
        day: Option<Arc<str>>,
    },
    /// Load of an axle, kg.
    AxleLoad {
        /// The axle.
        axle: Axle,
        /// Who is aboard.
        case: LoadCase,
    },
    /// Mass of the car, kg.
    Mass {
        /// Who is aboard.
        case: LoadCase,
    },
    /// Time to charge, h; infinite if it never gets there.
    ChargeHours {
        /// Name of the supply.
        supply: Arc<str>,
        /// State of charge at the start.
        from_pct: f64,
        /// State of charge at the end.
        to_pct: f64,
        /// Name of the day.
        day: Option<Arc<str>>,
    },
    /// What the choices cost, in the currency of the sweep.
    Price,
}

/// An axle of the car.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axle {
    /// Front axle.
    Front,
    /// Rear axle.
    Rear,
}

impl Axle {
    /// `front`, `rear`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Axle::Front => "front",
            Axle::Rear => "rear",
        }
    }
}

impl AnswerName {
    /// The name in JSON and CSV: a quantity, then what it is of, with dots between:
    /// `range_km.moor-round.winter`, `cruise_motor_speed_rpm.112_kmh`.
    #[must_use]
    pub fn key(&self) -> String {
        match self {
            AnswerName::Range { cycle, day } => format!("range_km.{cycle}.{day}"),
            AnswerName::KeepsUp { cycle, day } => format!("keeps_up_km.{cycle}.{day}"),
            AnswerName::RangeWithReserve { cycle, day } => {
                format!("range_with_reserve_km.{cycle}.{day}")
            }
            AnswerName::Use { cycle, day } => format!("use_wh_per_km.{cycle}.{day}"),
            AnswerName::WallUse { cycle, day } => format!("wall_wh_per_km.{cycle}.{day}"),
            AnswerName::Shortfall { cycle, day } => format!("shortfall_s.{cycle}.{day}"),
            AnswerName::ChargeLeft { cycle, day, from_pct } => {
                format!("charge_left_pct.{cycle}.{day}.from_{}_pct", plain(*from_pct))
            }
            AnswerName::CruiseMotorSpeed { speed_kmh } => {
                format!("cruise_motor_speed_rpm.{}", speed_key(*speed_kmh))
            }
            AnswerName::CruiseMinutes { speed_kmh, day } => on_day(
                format!("cruise_minutes_to_cut_back.{}", speed_key(*speed_kmh)),
                day.as_ref(),
            ),
            AnswerName::HoldGrade { speed_kmh, day } => {
                on_day(format!("hold_grade_pct.{}", speed_key(*speed_kmh)), day.as_ref())
            }
            AnswerName::HoldMinutes { speed_kmh, grade_pct, day } => {
                let (speed, grade) = (speed_key(*speed_kmh), plain(*grade_pct));
                on_day(format!("hold_minutes_to_cut_back.{speed}.{grade}_pct"), day.as_ref())
            }
            AnswerName::StartGrade { day } => on_day("start_grade_pct".to_owned(), day.as_ref()),
            AnswerName::Time { from_kmh, to_kmh, day } => {
                let ([from, to], suffix, _) = round_speeds([*from_kmh, *to_kmh]);
                on_day(format!("times_s.{suffix}_{from}_{to}"), day.as_ref())
            }
            AnswerName::AxleLoad { axle, case } => {
                format!("{}_axle_kg.{}", axle.word(), case.key())
            }
            AnswerName::Mass { case } => format!("mass_kg.{}", case.key()),
            AnswerName::ChargeHours { supply, from_pct, to_pct, day } => {
                let (from, to) = (plain(*from_pct), plain(*to_pct));
                on_day(format!("charge_hours.{supply}.{from}_to_{to}_pct"), day.as_ref())
            }
            AnswerName::Price => "price".to_owned(),
        }
    }

    /// The name for people, without a unit: `range on moor-round (winter)`.
    #[must_use]
    pub fn label(&self) -> String {
        let on = |text: String, day: &Option<Arc<str>>| match day {
            Some(day) => format!("{text} ({day})"),
            None => text,
        };
        match self {
            AnswerName::Range { cycle, day } => format!("range on {cycle} ({day})"),
            AnswerName::KeepsUp { cycle, day } => {
                format!("range keeping up on {cycle} ({day})")
            }
            AnswerName::RangeWithReserve { cycle, day } => {
                format!("range with reserve on {cycle} ({day})")
            }
            AnswerName::Use { cycle, day } => format!("use on {cycle} ({day})"),
            AnswerName::WallUse { cycle, day } => format!("use at the wall on {cycle} ({day})"),
            AnswerName::Shortfall { cycle, day } => format!("time behind on {cycle} ({day})"),
            AnswerName::ChargeLeft { cycle, day, from_pct } => {
                format!("charge left behind {cycle} ({day}), {} % at its start", plain(*from_pct))
            }
            AnswerName::CruiseMotorSpeed { speed_kmh } => {
                format!("motor speed at {}", speed_text(*speed_kmh))
            }
            AnswerName::CruiseMinutes { speed_kmh, day } => {
                on(format!("minutes to cut-back at {}", speed_text(*speed_kmh)), day)
            }
            AnswerName::HoldGrade { speed_kmh, day } => {
                on(format!("steepest grade at {}", speed_text(*speed_kmh)), day)
            }
            AnswerName::HoldMinutes { speed_kmh, grade_pct, day } => {
                let grade = plain(*grade_pct);
                on(format!("minutes to cut-back at {} on {grade} %", speed_text(*speed_kmh)), day)
            }
            AnswerName::StartGrade { day } => on("steepest start".to_owned(), day),
            AnswerName::Time { from_kmh, to_kmh, day } => {
                on(format!("time from {}", span_text(*from_kmh, *to_kmh)), day)
            }
            AnswerName::AxleLoad { axle, case } => {
                format!("{} axle, {}", axle.word(), case.label())
            }
            AnswerName::Mass { case } => format!("mass, {}", case.label()),
            AnswerName::ChargeHours { supply, from_pct, to_pct, day } => {
                let (from, to) = (plain(*from_pct), plain(*to_pct));
                on(format!("hours to charge at {supply}, {from} to {to} %"), day)
            }
            AnswerName::Price => "price".to_owned(),
        }
    }

    /// Unit of the number; times of minutes and hours, and money, have none and say so in the name.
    #[must_use]
    pub fn unit(&self) -> Unit {
        match self {
            AnswerName::Range { .. }
            | AnswerName::KeepsUp { .. }
            | AnswerName::RangeWithReserve { .. } => Unit::Km,
            AnswerName::Use { .. } | AnswerName::WallUse { .. } => Unit::WhPerKm,
            AnswerName::Shortfall { .. } | AnswerName::Time { .. } => Unit::S,
            AnswerName::CruiseMotorSpeed { .. } => Unit::Rpm,
            AnswerName::ChargeLeft { .. }
            | AnswerName::HoldGrade { .. }
            | AnswerName::StartGrade { .. } => Unit::Pct,
            AnswerName::AxleLoad { .. } | AnswerName::Mass { .. } => Unit::Kg,
            AnswerName::CruiseMinutes { .. }
            | AnswerName::HoldMinutes { .. }
            | AnswerName::ChargeHours { .. }
            | AnswerName::Price => Unit::None,
        }
    }

    /// The day that it names, if it names one.
    #[must_use]
    pub fn day(&self) -> Option<&Arc<str>> {
        match self {
            AnswerName::Range { day, .. }
            | AnswerName::KeepsUp { day, .. }
            | AnswerName::RangeWithReserve { day, .. }
            | AnswerName::Use { day, .. }
            | AnswerName::WallUse { day, .. }
            | AnswerName::Shortfall { day, .. }
            | AnswerName::ChargeLeft { day, .. } => Some(day),
            AnswerName::CruiseMinutes { day, .. }
            | AnswerName::HoldGrade { day, .. }
            | AnswerName::HoldMinutes { day, .. }
            | AnswerName::StartGrade { day }
            | AnswerName::Time { day, .. }
            | AnswerName::ChargeHours { day, .. } => day.as_ref(),
            AnswerName::CruiseMotorSpeed { .. }
            | AnswerName::AxleLoad { .. }
            | AnswerName::Mass { .. }
            | AnswerName::Price => None,
        }
    }

    /// Whether it is a distance from full on a cycle, with nothing kept back.
    #[must_use]
    pub fn is_range(&self) -> bool {
        matches!(self, AnswerName::Range { .. } | AnswerName::KeepsUp { .. })
    }

    /// The cycle that it names, if it names one.
    #[must_use]
    pub fn cycle(&self) -> Option<&Arc<str>> {
        match self {
            AnswerName::Range { cycle, .. }
            | AnswerName::KeepsUp { cycle, .. }
            | AnswerName::RangeWithReserve { cycle, .. }
            | AnswerName::Use { cycle, .. }
            | AnswerName::WallUse { cycle, .. }
            | AnswerName::Shortfall { cycle, .. }
            | AnswerName::ChargeLeft { cycle, .. } => Some(cycle),
            _ => None,
        }
    }

    /// Whether more of it is better.
    #[must_use]
    pub fn more_is_better(&self) -> bool {
        matches!(
            self,
            AnswerName::Range { .. }
                | AnswerName::KeepsUp { .. }
                | AnswerName::RangeWithReserve { .. }
                | AnswerName::ChargeLeft { .. }
                | AnswerName::CruiseMinutes { .. }
                | AnswerName::HoldGrade { .. }
                | AnswerName::HoldMinutes { .. }
                | AnswerName::StartGrade { .. }
        )
    }

    /// Decimals that are worth showing, whatever the standard error allows.
    #[must_use]
    pub fn decimals(&self) -> usize {
        match self {
            AnswerName::Range { .. }
            | AnswerName::KeepsUp { .. }
            | AnswerName::RangeWithReserve { .. }
            | AnswerName::Use { .. }
            | AnswerName::WallUse { .. }
            | AnswerName::ChargeLeft { .. }
            | AnswerName::CruiseMotorSpeed { .. }
            | AnswerName::CruiseMinutes { .. }
            | AnswerName::HoldMinutes { .. }
            | AnswerName::StartGrade { .. }
            | AnswerName::Price => 0,
            AnswerName::Shortfall { .. }
            | AnswerName::Time { .. }
            | AnswerName::HoldGrade { .. }
            | AnswerName::ChargeHours { .. }
            | AnswerName::AxleLoad { .. }
            | AnswerName::Mass { .. } => 1,
        }
    }

    /// A band with its unit: `87 km (79 to 95)`; what never happens in words.
    #[must_use]
    pub fn shown(&self, band: &Band, units: Units) -> String {
        if self.is_range() || matches!(self, AnswerName::RangeWithReserve { .. }) {
            return band.distance(units);
        }
        if band.middle().is_finite() {
            return band.text(units, self.unit(), self.decimals());
        }
        match self {
            AnswerName::CruiseMinutes { .. } | AnswerName::HoldMinutes { .. } => "no cut-back",
            AnswerName::Time { .. } => NOT_REACHED,
            AnswerName::ChargeHours { .. } => "never",
            _ => MISSING,
        }
        .to_owned()
    }
}

/// A number as people write it: `112`, `4.5`; what a conversion leaves behind the sixth decimal is
/// gone.
fn plain(value: f64) -> String {
    let text = digits(value, 6);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Speeds in the unit in which they are whole numbers, km/h before mph, and that unit's suffix and
/// symbol: 96.56064 km/h is 60 mph.
fn round_speeds<const N: usize>(speeds_kmh: [f64; N]) -> ([String; N], &'static str, &'static str) {
    let whole = |value: f64| (value - value.round()).abs() < 1e-6;
    let mph = speeds_kmh.map(|speed| Units::Us.value(speed, Unit::Kmh));
    if !speeds_kmh.into_iter().all(whole) && mph.into_iter().all(whole) {
        return (mph.map(plain), "mph", Units::Us.symbol(Unit::Kmh));
    }
    (speeds_kmh.map(plain), "kmh", Units::Metric.symbol(Unit::Kmh))
}

/// `112_kmh`, `70_mph`.
fn speed_key(speed_kmh: f64) -> String {
    let ([speed], suffix, _) = round_speeds([speed_kmh]);
    format!("{speed}_{suffix}")
}

/// `112 km/h`, `70 mph`. The speeds at which answers are asked for are names and stay as they are in
/// all units.
fn speed_text(speed_kmh: f64) -> String {
    let ([speed], _, symbol) = round_speeds([speed_kmh]);
    format!("{speed} {symbol}")
}

/// `0 to 100 km/h`.
fn span_text(from_kmh: f64, to_kmh: f64) -> String {
    let ([from, to], _, symbol) = round_speeds([from_kmh, to_kmh]);
    format!("{from} to {to} {symbol}")
}

fn on_day(key: String, day: Option<&Arc<str>>) -> String {
    match day {
        Some(day) => format!("{key}.{day}"),
        None => key,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names() -> Vec<AnswerName> {
        let (cycle, day): (Arc<str>, Arc<str>) = (Arc::from("moor-round"), Arc::from("winter"));
        vec![
            AnswerName::Range { cycle: Arc::clone(&cycle), day: Arc::clone(&day) },
            AnswerName::Use { cycle: Arc::clone(&cycle), day: Arc::clone(&day) },
            AnswerName::WallUse { cycle: Arc::clone(&cycle), day: Arc::clone(&day) },
            AnswerName::Shortfall { cycle, day: Arc::clone(&day) },
            AnswerName::CruiseMotorSpeed { speed_kmh: 31.111_111_111_111_11 * 3.6 },
            AnswerName::CruiseMinutes { speed_kmh: 112.654_08, day: Some(Arc::clone(&day)) },
            AnswerName::HoldGrade { speed_kmh: 60.0, day: None },
            AnswerName::HoldMinutes { speed_kmh: 60.0, grade_pct: 8.0, day: None },
            AnswerName::StartGrade { day: Some(day) },
            AnswerName::Time { from_kmh: 0.0, to_kmh: 100.0, day: None },
            AnswerName::Time { from_kmh: 0.0, to_kmh: 96.560_64, day: None },
            AnswerName::AxleLoad { axle: Axle::Rear, case: LoadCase::AtGross },
            AnswerName::Mass { case: LoadCase::DriverOnly },
            AnswerName::ChargeHours {
                supply: Arc::from("garage"),
                from_pct: 10.0,
                to_pct: 90.0,
                day: None,
            },
            AnswerName::Price,
        ]
    }

    #[test]
    fn keys_begin_with_a_quantity_and_labels_read_well() {
        let shown: Vec<String> =
            names().iter().map(|name| format!("{} | {}", name.key(), name.label())).collect();
        assert_eq!(
            shown,
            [
                "range_km.moor-round.winter | range on moor-round (winter)",
                "use_wh_per_km.moor-round.winter | use on moor-round (winter)",
                "wall_wh_per_km.moor-round.winter | use at the wall on moor-round (winter)",
                "shortfall_s.moor-round.winter | time behind on moor-round (winter)",
                "cruise_motor_speed_rpm.112_kmh | motor speed at 112 km/h",
                "cruise_minutes_to_cut_back.70_mph.winter | minutes to cut-back at 70 mph (winter)",
                "hold_grade_pct.60_kmh | steepest grade at 60 km/h",
                "hold_minutes_to_cut_back.60_kmh.8_pct | minutes to cut-back at 60 km/h on 8 %",
                "start_grade_pct.winter | steepest start (winter)",
                "times_s.kmh_0_100 | time from 0 to 100 km/h",
                "times_s.mph_0_60 | time from 0 to 60 mph",
                "rear_axle_kg.at_gross | rear axle, at gross",
                "mass_kg.driver_only | mass, driver only",
                "charge_hours.garage.10_to_90_pct | hours to charge at garage, 10 to 90 %",
                "price | price",
            ]
        );
    }

    /// The unit of an answer is the one that JSON reads from its name.
    #[test]
    fn the_name_says_the_unit() {
        for name in names() {
            let key = name.key();
            let quantity = key.split('.').next().unwrap();
            assert_eq!(Unit::of_key(quantity).unwrap_or(Unit::None), name.unit(), "{key}");
        }
    }

    #[test]
    fn what_never_happens_is_said() {
        let [never, some] = [Band::only(f64::INFINITY), Band::only(12.0)];
        let minutes = AnswerName::HoldMinutes { speed_kmh: 60.0, grade_pct: 8.0, day: None };
        assert_eq!(minutes.shown(&never, Units::Metric), "no cut-back");
        assert_eq!(minutes.shown(&some, Units::Metric), "12");
        let time = AnswerName::Time { from_kmh: 0.0, to_kmh: 100.0, day: None };
        assert_eq!(time.shown(&never, Units::Metric), "not reached");
        assert_eq!(time.shown(&some, Units::Metric), "12.0 s");
    }
}
