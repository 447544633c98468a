//! What a build asks of its answers: demands as limits on them, and measured facts beside them.

use std::path::Path;
use std::sync::Arc;

use crownwheel::constants::{JPM_PER_WH_PER_KM, KMH_PER_MPS, RPM_PER_RADPS};
use crownwheel::name::Name;
use crownwheel_quantities::Fact;
use crownwheel_quantities::{Bound, Condition, Demand, Question, rows};

use crate::Build;
use crate::outside::{Axle, CycleRef, DemandKind, MeasuredAt};

const PCT: f64 = 100.0;
const MINUTE_S: f64 = 60.0;
const HOUR_S: f64 = 3600.0;
/// J in a Wh, and m in a km: J/m to Wh/km.
const WH_PER_KM_PER_JPM: f64 = 1.0 / JPM_PER_WH_PER_KM;

/// A measured fact and the answer that predicts it.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredFact {
    /// The answer.
    pub question: Question,
    /// What was measured, in the metric unit of the answer.
    pub fact: Fact,
}

impl Build {
    /// The demands as limits on answers, in file order.
    #[must_use]
    pub fn conditions(&self) -> Vec<Demand> {
        let demand = |demand: &crate::outside::Demand| Demand {
            name: demand.name.clone(),
            conditions: self.limits(&demand.what),
            sure_frac: demand.sure_frac,
        };
        self.demands.iter().map(demand).collect()
    }

    /// The measured facts, in file order.
    #[must_use]
    pub fn facts(&self) -> Vec<MeasuredFact> {
        let fact = |measured: &crate::outside::Measurement| MeasuredFact {
            question: match measured.at {
                MeasuredAt::Pack => {
                    Question::of(&rows::USE).on_cycle(title(&measured.cycle)).on_day(&measured.day)
                }
                MeasuredAt::Wall => Question::of(&rows::WALL_USE)
                    .on_cycle(title(&measured.cycle))
                    .on_day(&measured.day),
            },
            fact: Fact {
                name: Arc::clone(&measured.name),
                measured: measured.use_jpm.nominal * WH_PER_KM_PER_JPM,
                standard_deviation: measured.use_jpm.standard_deviation() * WH_PER_KM_PER_JPM,
            },
        };
        self.measured.iter().map(fact).collect()
    }

    fn limits(&self, what: &DemandKind) -> Vec<Condition> {
        match what {
            DemandKind::Range { cycle, day, at_least_m, following } => {
                let (cycle, day) = (title(cycle), day.clone());
                let answer = if *following {
                    Question::of(&rows::KEEPS_UP).on_cycle(cycle).on_day(day)
                } else {
                    Question::of(&rows::RANGE).on_cycle(cycle).on_day(day)
                };
                vec![at_least(answer, at_least_m * 1e-3)]
            }
            DemandKind::Cruise { speed_mps, motor_speed_at_most_radps, at_least_s, day } => {
                self.cruise(*speed_mps, *motor_speed_at_most_radps, *at_least_s, day)
            }
            DemandKind::Hill { speed_mps, grade_at_least_frac, at_least_s, day } => {
                self.hill(*speed_mps, *grade_at_least_frac, *at_least_s, day)
            }
            DemandKind::Start { grade_at_least_frac, day } => {
                let answer = Question::of(&rows::START_GRADE).on_day_if(self.day(day));
                vec![at_least(answer, typed(grade_at_least_frac * PCT))]
            }
            DemandKind::Time { from_mps, to_mps, at_most_s, day } => {
                let [from_kmh, to_kmh] = [from_mps, to_mps].map(|mps| typed(mps * KMH_PER_MPS));
                let answer =
                    Question::of(&rows::TIME).between(from_kmh, to_kmh).on_day_if(self.day(day));
                vec![at_most(answer, *at_most_s)]
            }
            DemandKind::AxleLoad { axle, case, at_most_kg } => {
                let row = match axle {
                    Axle::Front => &rows::FRONT_AXLE,
                    Axle::Rear => &rows::REAR_AXLE,
                };
                vec![at_most(Question::of(row).loaded(*case), *at_most_kg)]
            }
            DemandKind::ChargeTime { supply, from_frac, to_frac, at_most_s, day } => {
                let pack = &self.car.pack;
                let from_frac = from_frac.unwrap_or_else(|| pack.floor_frac());
                let to_frac = to_frac.unwrap_or(pack.usable_to_frac);
                let answer = Question::of(&rows::CHARGE_HOURS)
                    .at_supply(supply)
                    .from_pct(typed(from_frac * PCT))
                    .to_pct(typed(to_frac * PCT))
                    .on_day_if(self.day(day));
                vec![at_most(answer, at_most_s / HOUR_S)]
            }
            DemandKind::Price { at_most: limit } => {
                vec![at_most(Question::of(&rows::PRICE), *limit)]
            }
            DemandKind::Mass { case, at_most_kg } => {
                vec![at_most(Question::of(&rows::MASS).loaded(*case), *at_most_kg)]
            }
        }
    }

    fn cruise(
        &self,
        speed_mps: f64,
        motor_radps: Option<f64>,
        at_least_s: Option<f64>,
        day: &Name,
    ) -> Vec<Condition> {
        let speed_kmh = typed(speed_mps * KMH_PER_MPS);
        // A speed that is not held is not cruised at, whatever else is asked.
        let held = Question::of(&rows::HOLD_GRADE).at_kmh(speed_kmh).on_day_if(self.day(day));
        let mut limits = vec![at_least(held, 0.0)];
        limits.extend(motor_radps.map(|radps| {
            at_most(
                Question::of(&rows::MOTOR_SPEED).at_kmh(speed_kmh),
                typed(radps * RPM_PER_RADPS),
            )
        }));
        limits.extend(at_least_s.map(|seconds| {
            let answer =
                Question::of(&rows::CRUISE_MINUTES).at_kmh(speed_kmh).on_day_if(self.day(day));
            at_least(answer, seconds / MINUTE_S)
        }));
        limits
    }

    fn hill(
        &self,
        speed_mps: f64,
        grade_frac: f64,
        at_least_s: Option<f64>,
        day: &Name,
    ) -> Vec<Condition> {
        let (speed_kmh, grade_pct) = (typed(speed_mps * KMH_PER_MPS), typed(grade_frac * PCT));
        let held = Question::of(&rows::HOLD_GRADE).at_kmh(speed_kmh).on_day_if(self.day(day));
        let mut limits = vec![at_least(held, grade_pct)];
        limits.extend(at_least_s.map(|seconds| {
            let answer = Question::of(&rows::HOLD_MINUTES)
                .at_kmh(speed_kmh)
                .on_grade_pct(grade_pct)
                .on_day_if(self.day(day));
            at_least(answer, seconds / MINUTE_S)
        }));
        limits
    }

    /// A day as answers name it: the first one is not said.
    fn day(&self, name: &Name) -> Option<Name> {
        let first = self.days.first().is_some_and(|day| day.name == *name);
        (!first).then(|| name.clone())
    }
}

/// Name of a cycle in answers: that of the built-in one, or of the file without its ending.
fn title(cycle: &CycleRef) -> Arc<str> {
    match cycle {
        CycleRef::Builtin(name) => Arc::from(name.as_str()),
        CycleRef::File(path) => {
            let stem = path.file_stem().unwrap_or(Path::new("").as_os_str());
            Arc::from(stem.to_string_lossy())
        }
    }
}

fn at_least(question: Question, limit: f64) -> Condition {
    Condition { question, bound: Bound::AtLeast(limit) }
}

fn at_most(question: Question, limit: f64) -> Condition {
    Condition { question, bound: Bound::AtMost(limit) }
}

/// A number without the tail that a conversion to SI and back leaves: 112, not 112.00000000000001.
fn typed(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{changed, close, refused};

    fn keys(demand: &Demand) -> Vec<(String, Bound)> {
        demand.conditions.iter().map(|it| (it.question.key(), it.bound)).collect()
    }

    #[test]
    fn every_kind_of_demand_is_a_limit_on_an_answer() {
        let more = "[demand.more]\nstart = { at_least = \"20 %\" }\n\
            time = { to = \"100 km/h\", at_most = \"20 s\", day = \"winter\" }\n\
            hill = { named = \"moor_bank\" }\naxle_load = { axle = \"rear\" }\n\
            charge_time = { supply = \"garage\", at_most = \"8 h\" }\n\
            price = { at_most = 3000 }\nmass = { at_most = \"920 kg\", sure = 0.8 }\n";
        let build = changed(&[("[demand.cruise]", &format!("{more}[demand.cruise]"))]);
        let demands = build.conditions();
        let all: Vec<(String, Bound)> = demands.iter().flat_map(keys).collect();
        let named: Vec<&str> = all.iter().map(|(key, _)| key.as_str()).collect();
        assert_eq!(
            named,
            [
                "keeps_up_km.moor-round.winter",
                "hold_grade_pct.60_kmh",
                "hold_minutes_to_cut_back.60_kmh.8_pct",
                "start_grade_pct",
                "times_s.kmh_0_100.winter",
                "rear_axle_kg.every_seat",
                "charge_hours.garage.8_to_96_pct",
                "price",
                "mass_kg.driver_only",
                "hold_grade_pct.112_kmh",
                "cruise_motor_speed_rpm.112_kmh",
                "cruise_minutes_to_cut_back.112_kmh",
            ]
        );
        let bound = |name: &str| all.iter().find(|(key, _)| key == name).unwrap().1;
        assert_eq!(bound("keeps_up_km.moor-round.winter"), Bound::AtLeast(85.0));
        assert_eq!(bound("rear_axle_kg.every_seat"), Bound::AtMost(660.0));
        assert_eq!(bound("cruise_motor_speed_rpm.112_kmh"), Bound::AtMost(7000.0));
        assert_eq!(bound("charge_hours.garage.8_to_96_pct"), Bound::AtMost(8.0));
        assert_eq!(bound("hold_minutes_to_cut_back.60_kmh.8_pct"), Bound::AtLeast(5.2));
        let mass = demands.iter().find(|demand| &*demand.name == "more.mass").unwrap();
        assert_eq!(mass.sure_frac, Some(0.8));
    }

    #[test]
    fn a_fact_may_be_measured_at_the_wall() {
        let wall = "wall = \"168 Wh/km ± 5 %\"";
        let facts = changed(&[("use = \"141 Wh/km ± 5 %\"", wall)]).facts();
        assert_eq!(facts[0].question.key(), "wall_wh_per_km.moor-round.mild");
        assert!(close(facts[0].fact.measured, 168.0));
        assert!(close(facts[0].fact.standard_deviation, 0.05 * 168.0 / 1.96));
    }

    #[test]
    fn a_fact_is_one_number() {
        let used = "use = \"141 Wh/km ± 5 %\"";
        let neither = refused(&[(used, "")]);
        assert!(
            neither.contains("neither it nor `wall`") && neither.contains("1 error"),
            "{neither}"
        );
        let both = refused(&[(used, &format!("{used}\nwall = \"168 Wh/km ± 5 %\""))]);
        assert!(both.contains("a fact is one number") && both.contains("1 error"), "{both}");
        let spoiled = refused(&[(used, "wall = \"168 apples\"")]);
        assert!(spoiled.contains("apples") && spoiled.contains("1 error"), "{spoiled}");
    }

    #[test]
    fn a_fact_is_in_the_unit_of_its_answer() {
        let facts = changed(&[]).facts();
        assert_eq!(facts[0].question.key(), "use_wh_per_km.moor-round.mild");
        assert!(close(facts[0].fact.measured, 141.0));
        assert!(close(facts[0].fact.standard_deviation, 0.05 * 141.0 / 1.96));
    }
}
