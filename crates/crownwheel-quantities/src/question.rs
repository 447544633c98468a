//! A quantity with its arguments.
//!
//! This file and `quantity.rs` need each other: a question holds its quantity, and a quantity is read with the
//! arguments of the question.

use crownwheel::name::Name;
use std::sync::Arc;

use crownwheel::constants::KMH_PER_MPS;
use crownwheel::weights::LoadCase;

use crate::quantity::{Quantity, fill};
use crate::unit::{MISSING, digits};
use crate::{Band, Number, Unit, Units};

/// One number that a car is asked for: a quantity and what it is of.
///
/// A question without a day is of the first day, which is not said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    quantity: &'static Quantity,
    cycle: Option<Arc<str>>,
    day: Option<Name>,
    supply: Option<Name>,
    case: Option<LoadCase>,
    from_speed: Option<Number>,
    speed: Option<Number>,
    grade: Option<Number>,
    from: Option<Number>,
    to: Option<Number>,
}

impl Question {
    /// A quantity, without arguments yet.
    #[must_use]
    pub const fn of(quantity: &'static Quantity) -> Question {
        Question {
            quantity,
            cycle: None,
            day: None,
            supply: None,
            case: None,
            from_speed: None,
            speed: None,
            grade: None,
            from: None,
            to: None,
        }
    }

    /// On a cycle or route.
    #[must_use]
    pub fn on_cycle(mut self, cycle: impl Into<Arc<str>>) -> Question {
        self.cycle = Some(cycle.into());
        self
    }

    /// On a day.
    #[must_use]
    pub fn on_day(mut self, day: impl Into<Name>) -> Question {
        self.day = Some(day.into());
        self
    }

    /// On a day, if it is not the first, which is not said.
    #[must_use]
    pub fn on_day_if(mut self, day: Option<Name>) -> Question {
        self.day = day;
        self
    }

    /// At a supply.
    #[must_use]
    pub fn at_supply(mut self, supply: impl Into<Name>) -> Question {
        self.supply = Some(supply.into());
        self
    }

    /// With the car so loaded.
    #[must_use]
    pub const fn loaded(mut self, case: LoadCase) -> Question {
        self.case = Some(case);
        self
    }

    /// At a speed, km/h.
    #[must_use]
    pub fn at_kmh(mut self, speed_kmh: f64) -> Question {
        let [speed] = Number::speeds([speed_kmh]);
        self.speed = Some(speed);
        self
    }

    /// From one speed to another, km/h.
    #[must_use]
    pub fn between(mut self, from_kmh: f64, to_kmh: f64) -> Question {
        let [from, to] = Number::speeds([from_kmh, to_kmh]);
        self.from_speed = Some(from);
        self.speed = Some(to);
        self
    }

    /// On a grade, %.
    #[must_use]
    pub fn on_grade_pct(mut self, grade_pct: f64) -> Question {
        self.grade = Some(Number::plain(grade_pct));
        self
    }

    /// From a state of charge, %.
    #[must_use]
    pub fn from_pct(mut self, from_pct: f64) -> Question {
        self.from = Some(Number::plain(from_pct));
        self
    }

    /// To a state of charge, %.
    #[must_use]
    pub fn to_pct(mut self, to_pct: f64) -> Question {
        self.to = Some(Number::plain(to_pct));
        self
    }

    /// The row of its quantity.
    #[must_use]
    pub fn quantity(&self) -> &'static Quantity {
        self.quantity
    }

    /// Whether it is of this quantity.
    #[must_use]
    pub fn is(&self, quantity: &Quantity) -> bool {
        self.quantity == quantity
    }

    /// Whether it asks the same, on whatever day.
    #[must_use]
    pub fn is_like(&self, other: &Question) -> bool {
        self.clone().on_day_if(None) == other.clone().on_day_if(None)
    }

    /// The cycle that it names, if it names one.
    #[must_use]
    pub fn cycle(&self) -> Option<&Arc<str>> {
        self.cycle.as_ref()
    }

    /// The day that it names, if it names one.
    #[must_use]
    pub fn day(&self) -> Option<&Name> {
        self.day.as_ref()
    }

    /// The supply that it names, if it names one.
    #[must_use]
    pub fn supply(&self) -> Option<&Name> {
        self.supply.as_ref()
    }

    /// How the car is loaded: with the driver, where it does not say.
    #[must_use]
    pub fn case(&self) -> LoadCase {
        self.case.unwrap_or(LoadCase::DriverOnly)
    }

    pub(crate) fn has_case(&self) -> bool {
        self.case.is_some()
    }

    pub(crate) fn has_speed(&self) -> bool {
        self.speed.is_some()
    }

    /// Its speed, km/h, of two the higher; 0 without.
    #[must_use]
    pub fn kmh(&self) -> f64 {
        self.speed.as_ref().map_or(0.0, Number::value)
    }

    /// Its speed, m/s.
    #[must_use]
    pub fn mps(&self) -> f64 {
        self.kmh() / KMH_PER_MPS
    }

    /// The lower of two speeds, km/h; 0 without.
    #[must_use]
    pub fn from_kmh(&self) -> f64 {
        self.from_speed.as_ref().map_or(0.0, Number::value)
    }

    /// Its grade, %; 0 without.
    #[must_use]
    pub fn grade_pct(&self) -> f64 {
        self.grade.as_ref().map_or(0.0, Number::value)
    }

    /// State of charge at the start, as a fraction.
    #[must_use]
    pub fn from_frac(&self) -> f64 {
        self.from.as_ref().map_or(0.0, |it| it.value() / 100.0)
    }

    /// State of charge at the end, as a fraction.
    #[must_use]
    pub fn to_frac(&self) -> f64 {
        self.to.as_ref().map_or(1.0, |it| it.value() / 100.0)
    }

    /// The name in JSON and CSV: a quantity, then what it is of, with dots between:
    /// `range_km.moor-round.winter`, `cruise_motor_speed_rpm.112_kmh`.
    #[must_use]
    pub fn key(&self) -> String {
        fill(self.quantity.key, |name| match name {
            "case" => self.case.map(|case| case.key().to_owned()),
            "speed" => self.speed.as_ref().map(|it| format!("{it}_{}", it.speed_word())),
            "span" => self.span().map(|[from, to]| format!("{}_{from}_{to}", to.speed_word())),
            "day" => self.day.as_ref().map(|day| day.key().to_owned()),
            "supply" => self.supply.as_ref().map(|supply| supply.key().to_owned()),
            _ => self.argument(name),
        })
    }

    /// The name for people, without a unit: `range on moor-round (winter)`.
    #[must_use]
    pub fn title(&self) -> String {
        self.filled(self.quantity.title, "")
    }

    /// Unit of the number.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.quantity.unit
    }

    /// Decimals that are worth showing.
    #[must_use]
    pub fn decimals(&self) -> usize {
        self.quantity.decimals
    }

    /// A band with its unit: `87 km (79 to 95)`; what has no end in words.
    #[must_use]
    pub fn shown(&self, band: &Band, units: Units) -> String {
        if self.quantity.is_distance() {
            return band.distance(units);
        }
        if band.middle().is_finite() {
            return band.text(units, self.unit(), self.decimals());
        }
        self.quantity.endless.map_or(MISSING, |endless| endless.shown).to_owned()
    }

    /// Its speed as people are shown it: `112 km/h`.
    #[must_use]
    pub fn speed_text(&self) -> String {
        self.filled("{speed}", "")
    }

    /// What changes when this answer goes from `other` to `chosen`, as the end of a sentence: `gives up
    /// 0.6 s to 100 km/h`. `None`: it is the same in the digits that are shown.
    #[must_use]
    pub fn difference(&self, chosen: f64, other: f64, units: Units) -> Option<String> {
        if chosen.is_nan() || other.is_nan() {
            return None;
        }
        match (chosen.is_finite(), other.is_finite()) {
            (true, true) => self.finite_difference(chosen - other, units),
            (false, false) => None,
            (comes, _) => {
                let endless = self.quantity.endless?;
                let pattern = if comes { endless.comes } else { endless.stays };
                Some(self.filled(pattern, &digits(chosen, 0)))
            }
        }
    }

    fn finite_difference(&self, by: f64, units: Units) -> Option<String> {
        let [rises, falls] = self.quantity.changes?;
        let shown = digits(units.difference(by, self.unit()).abs(), self.decimals());
        if shown.chars().all(|c| c == '0' || c == '.') {
            return None;
        }
        let much = units.with_symbol(shown, self.unit());
        Some(self.filled(if by > 0.0 { rises } else { falls }, &much))
    }

    /// A pattern with the arguments as people are shown them.
    fn filled(&self, pattern: &str, much: &str) -> String {
        let speed = |it: &Number| format!("{it} {}", it.speed_symbol());
        fill(pattern, |name| match name {
            "much" => Some(much.to_owned()),
            "case" => self.case.map(|case| case.label().to_owned()),
            "day" => self.day.as_ref().map(Name::to_string),
            "supply" => self.supply.as_ref().map(Name::to_string),
            "speed" => self.speed.as_ref().map(speed),
            "span" => self.span().map(|[from, to]| format!("{from} to {}", speed(to))),
            "stretch" => self.span().map(|[from, to]| match from.value() > 0.0 {
                true => format!("from {from} to {}", speed(to)),
                false => format!("to {}", speed(to)),
            }),
            _ => self.argument(name),
        })
    }

    /// An argument that reads the same in names and in sentences.
    fn argument(&self, name: &str) -> Option<String> {
        let number = |it: &Option<Number>| it.as_ref().map(Number::to_string);
        let text = |it: &Option<Arc<str>>| it.as_deref().map(str::to_owned);
        match name {
            "cycle" => text(&self.cycle),
            "grade" => number(&self.grade),
            "from" => number(&self.from),
            "to" => number(&self.to),
            _ => None,
        }
    }

    fn span(&self) -> Option<[&Number; 2]> {
        Some([self.from_speed.as_ref()?, self.speed.as_ref()?])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rows::*;

    fn questions() -> Vec<Question> {
        let on = |quantity| Question::of(quantity).on_cycle("moor-round").on_day("winter");
        vec![
            on(&RANGE),
            on(&USE),
            on(&WALL_USE),
            on(&SHORTFALL),
            on(&CHARGE_LEFT).from_pct(80.0),
            Question::of(&MOTOR_SPEED).at_kmh(31.111_111_111_111_11 * 3.6),
            Question::of(&CRUISE_MINUTES).at_kmh(112.654_08).on_day("winter"),
            Question::of(&HOLD_GRADE).at_kmh(60.0),
            Question::of(&HOLD_MINUTES).at_kmh(60.0).on_grade_pct(8.0),
            Question::of(&START_GRADE).on_day("winter"),
            Question::of(&TIME).between(0.0, 100.0),
            Question::of(&TIME).between(0.0, 96.560_64),
            Question::of(&REAR_AXLE).loaded(LoadCase::AtGross),
            Question::of(&MASS).loaded(LoadCase::DriverOnly),
            Question::of(&CHARGE_HOURS).at_supply("garage").from_pct(10.0).to_pct(90.0),
            Question::of(&PRICE),
            Question::of(&ROAD_LOAD).at_kmh(80.0),
        ]
    }

    #[test]
    fn keys_begin_with_a_quantity_and_titles_read_well() {
        let shown: Vec<String> =
            questions().iter().map(|it| format!("{} | {}", it.key(), it.title())).collect();
        assert_eq!(
            shown,
            [
                "range_km.moor-round.winter | range on moor-round (winter)",
                "use_wh_per_km.moor-round.winter | use on moor-round (winter)",
                "wall_wh_per_km.moor-round.winter | use at the wall on moor-round (winter)",
                "shortfall_s.moor-round.winter | time behind on moor-round (winter)",
                "charge_left_pct.moor-round.winter.from_80_pct | charge left behind moor-round (winter), 80 % at its start",
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
                "road_load_n.80_kmh | road load at 80 km/h",
            ]
        );
    }

    /// The unit of an answer is the one that JSON reads from its name.
    #[test]
    fn the_name_says_the_unit() {
        for row in ALL {
            assert_eq!(Unit::of_key(row.name()).unwrap_or(Unit::None), row.unit, "{}", row.key);
        }
    }

    #[test]
    fn differences_are_said_in_the_words_of_the_trade() {
        let time = Question::of(&TIME).between(0.0, 100.0);
        let said = |it: &Question, chosen, other| it.difference(chosen, other, Units::Metric);
        assert_eq!(said(&time, 18.3, 17.7).unwrap(), "gives up 0.6 s to 100 km/h");
        assert_eq!(said(&time, 17.7, 18.3).unwrap(), "gains 0.6 s to 100 km/h");
        assert_eq!(said(&time, 18.31, 18.30), None);
        assert_eq!(said(&time, f64::INFINITY, 18.3).unwrap(), "does not reach 100 km/h");
        assert_eq!(said(&time, f64::INFINITY, f64::INFINITY), None);
        assert_eq!(said(&time, f64::NAN, 18.3), None);
        let speed = Question::of(&MOTOR_SPEED).at_kmh(112.0);
        assert_eq!(said(&speed, 6176.0, 6700.0).unwrap(), "turns 524 rpm slower at 112 km/h");
        let range = Question::of(&RANGE).on_cycle("udds").on_day("mild");
        assert_eq!(said(&range, 118.0, 112.4).unwrap(), "goes 6 km farther on udds (mild)");
        assert_eq!(
            range.difference(112.0, 120.046_72, Units::Us).unwrap(),
            "goes 5 miles less far on udds (mild)"
        );
        let minutes = Question::of(&CRUISE_MINUTES).at_kmh(112.0);
        assert_eq!(said(&minutes, f64::INFINITY, 9.0).unwrap(), "holds 112 km/h without cut-back");
        assert_eq!(
            said(&minutes, 9.0, f64::INFINITY).unwrap(),
            "cuts back at 112 km/h after 9 min"
        );
        let axle = Question::of(&REAR_AXLE).loaded(LoadCase::AtGross);
        assert_eq!(
            said(&axle, 650.0, 661.4).unwrap(),
            "takes 11.4 kg off the rear axle (at gross)"
        );
    }

    #[test]
    fn what_never_happens_is_said() {
        let [never, some] = [Band::only(f64::INFINITY), Band::only(12.0)];
        let minutes = Question::of(&HOLD_MINUTES).at_kmh(60.0).on_grade_pct(8.0);
        assert_eq!(minutes.shown(&never, Units::Metric), "no cut-back");
        assert_eq!(minutes.shown(&some, Units::Metric), "12");
        let time = Question::of(&TIME).between(0.0, 100.0);
        assert_eq!(time.shown(&never, Units::Metric), "not reached");
        assert_eq!(time.shown(&some, Units::Metric), "12.0 s");
        let grade = Question::of(&HOLD_GRADE).at_kmh(200.0);
        assert_eq!(grade.shown(&Band::only(f64::NEG_INFINITY), Units::Metric), "not held");
    }
}
