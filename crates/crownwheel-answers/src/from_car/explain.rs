//! How an answer of a car is reckoned, with its numbers.

mod energy;
mod inputs;
mod name;
mod of_report;
mod pulling;
mod road;
mod weights;

pub use inputs::InputText;
pub use name::EXPLAINED;
pub use name::NotExplained;
pub use of_report::{explained_in_report, speed_word};

use crownwheel::cycle::Cycle;

use super::{Subject, Supply};
use crate::compare::Amount;
use crate::explain::{ExplainAnswer, Step};
use crate::{Caution, Topic, Unit, Units};
use name::What;

/// What is to be explained, and what there is to explain it from.
#[derive(Clone, Debug)]
pub struct ExplainAsked {
    /// Name of the answer: `range.winter`, `axle_load.rear`, `mass`, or as JSON names it.
    pub answer: String,
    /// Cycles that may be named; the first is taken where none is.
    pub cycles: Vec<Cycle>,
    /// Supplies that may be named; the first is taken where none is.
    pub supplies: Vec<Supply>,
    /// The inputs of the build, as they are written or assumed.
    pub inputs: Vec<InputText>,
}

/// A worked answer.
struct Worked {
    /// Name for people.
    label: String,
    value: Option<f64>,
    unit: Unit,
    decimals: usize,
    steps: Vec<Step>,
    notes: Vec<String>,
    cautions: Vec<Topic>,
    /// Starts of the keys that it hangs on.
    hangs_on: Vec<String>,
    /// Place of its day. `None`: it has none.
    day: Option<usize>,
    /// What is said where there is no value.
    missing: &'static str,
    /// It is in hours, which [`Unit`] does not have.
    hours: bool,
}

impl Worked {
    fn new(label: &str, value: f64, unit: Unit, decimals: usize) -> Worked {
        Worked {
            label: label.to_owned(),
            value: Some(value).filter(|value| value.is_finite()),
            unit,
            decimals,
            steps: Vec::new(),
            notes: Vec::new(),
            cautions: Vec::new(),
            hangs_on: Vec::new(),
            day: None,
            missing: "not reached",
            hours: false,
        }
    }

    fn in_hours(mut self) -> Worked {
        self.hours = true;
        self
    }

    fn on(mut self, day: usize) -> Worked {
        self.day = Some(day);
        self
    }

    fn hanging_on(mut self, starts: &[&str]) -> Worked {
        self.hangs_on.extend(starts.iter().map(|start| (*start).to_owned()));
        self
    }

    fn step(&mut self, what: &str, formula: &str, numbers: String, computed_in: &str) {
        self.steps.push(Step::new(what, formula, numbers, computed_in));
    }
}

/// Explains an answer.
///
/// # Errors
/// The name says no answer that can be explained.
pub fn explain(subject: &Subject, asked: &ExplainAsked) -> Result<ExplainAnswer, NotExplained> {
    let what = name::read(subject, asked)?;
    let worked = match &what {
        What::Mass(case) => weights::mass(subject, *case),
        What::AxleLoad(axle, case) => weights::axle_load(subject, *axle, *case),
        What::EffectiveMass => weights::effective_mass(subject),
        What::RollingRadius => road::rolling_radius(subject),
        What::DragArea => road::drag_area(subject),
        What::RollingResistance => road::rolling_resistance(subject),
        What::OverallRatio => road::ratio(subject),
        What::AirDensity { day } => road::air_density(subject, *day),
        What::PackVoltage => energy::full_voltage(subject),
        What::RoadLoad { speed_kmh, day } => road::road_load(subject, *speed_kmh, *day),
        What::MotorSpeed { speed_kmh } => road::motor_speed(subject, *speed_kmh),
        What::PackEnergy => energy::pack_energy(subject),
        What::Range { cycle, day } => energy::range_of(subject, &asked.cycles[*cycle], *day),
        What::Use { cycle, day } => energy::use_of(subject, &asked.cycles[*cycle], *day),
        What::ChargeTime { supply, day } => {
            energy::charge_time(subject, &asked.supplies[*supply], *day)
        }
        What::TopSpeed { day } => pulling::top_speed(subject, *day),
        What::Time { from_kmh, to_kmh, day } => pulling::time(subject, (*from_kmh, *to_kmh), *day),
        What::Grade { speed_kmh, day } => pulling::grade(subject, *speed_kmh, *day),
    };
    Ok(answer(subject, asked, worked))
}

fn answer(subject: &Subject, asked: &ExplainAsked, worked: Worked) -> ExplainAnswer {
    let day = worked.day.map(|place| subject.days[place].name().to_owned());
    let shown = match worked.value {
        Some(value) if worked.hours => with(value, "h", worked.decimals),
        Some(value) => subject.units.text_to(value, worked.unit, worked.decimals),
        None => worked.missing.to_owned(),
    };
    let symbol = if worked.hours { "h" } else { Units::Metric.symbol(worked.unit) };
    let on_day = day.as_ref().map_or_else(String::new, |day| format!(" ({day})"));
    let given = inputs::of(&asked.inputs, &worked.hangs_on);
    let assumed = given.iter().filter(|input| !input.given).count();
    let hangs = match (given.len(), assumed) {
        (1, 0) => "its one input is given".to_owned(),
        (1, _) => "its one input is assumed".to_owned(),
        (all, 0) => format!("all its {all} inputs are given"),
        (all, 1) => format!("one of its {all} inputs is assumed"),
        (all, assumed) => format!("{assumed} of its {all} inputs are assumed"),
    };
    let mut notes = worked.notes;
    if subject.units != Units::Metric {
        notes.push("The steps are worked in metric units, as the program does.".to_owned());
    }
    ExplainAnswer {
        provenance: subject.provenance.clone(),
        units: subject.units,
        plain: format!(
            "The {}{on_day} is {shown} with every input at its nominal value; {hangs}.",
            worked.label
        ),
        car: subject.car.spec().name.to_string(),
        day,
        answer: asked.answer.clone(),
        result: Amount { value: worked.value, unit: symbol },
        steps: worked.steps,
        inputs: given,
        notes,
        cautions: worked.cautions.into_iter().map(Caution::about).collect(),
    }
}

/// A number for a formula, with its unit.
fn with(value: f64, unit: &str, decimals: usize) -> String {
    let digits = crate::unit::digits(value, decimals);
    if unit.is_empty() { digits } else { format!("{digits} {unit}") }
}

/// `221.5 + 214.0 - 9.0`.
fn sum(terms: &[f64], decimals: usize) -> String {
    let mut out = String::new();
    for (i, term) in terms.iter().enumerate() {
        let shown = crate::unit::digits(term.abs(), decimals);
        let sign = match (i, *term < 0.0) {
            (0, true) => "-",
            (0, false) => "",
            (_, true) => " - ",
            (_, false) => " + ",
        };
        out.push_str(sign);
        out.push_str(&shown);
    }
    if out.is_empty() { "0".to_owned() } else { out }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_written_as_people_write_them() {
        assert_eq!(sum(&[-221.5, 9.0, -3.25], 1), "-221.5 + 9.0 - 3.2");
        assert_eq!(sum(&[], 1), "0");
        assert_eq!(with(4.22, "", 2), "4.22");
        assert_eq!(with(4.22, "kg", 1), "4.2 kg");
    }
}
