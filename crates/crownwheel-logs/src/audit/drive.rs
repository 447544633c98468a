//! The measured side: volts and amperes on the rows of the trip.

use crownwheel::constants::ZERO_CELSIUS_K;
use crownwheel::spec::{CarSpec, DaySpec};

use super::AuditOptions;
use super::error::{AuditError, LEAST_SHARE};
use super::model::DriveRun;
use crate::log::{Log, Quantity};
use crate::trip::Trip;

/// Readings are joined over so many of their usual distances,
const REACH_STEPS: f64 = 2.5;
/// but at least and at most over these, s: a shunt that writes every ten seconds is a log, a minute is a gap.
const REACH_S: (f64, f64) = (3.0, 25.0);
/// Current that is as good as none, as a share of the capacity an hour.
const REST_PER_H: f64 = 0.05;
/// Rows at the start among which the pack is looked for at rest.
const ROWS_AT_REST: usize = 60;
/// Difference of temperature that is worth a sentence, K.
const SAME_DAY_K: f64 = 3.0;

/// Readings on the rows of the trip, and on the steps that end there.
#[derive(Clone, Debug)]
pub(super) struct Drive {
    /// Pack voltage, V; NaN where there is none.
    pub(super) voltage_v: Vec<f64>,
    /// Pack current, A, positive when it discharges (once that is known).
    pub(super) current_a: Vec<f64>,
    /// Energy of the step that ends at each row, J; 0 where `has` is false.
    pub(super) energy_j: Vec<f64>,
    /// Whether the step has readings at both ends.
    pub(super) has: Vec<bool>,
    /// Way of the step, m, 0 where `has` is false.
    pub(super) way_m: Vec<f64>,
    /// Time of the step, s, 0 where `has` is false.
    pub(super) step_s: Vec<f64>,
    /// Energy of heater and air conditioning over each step, J. `None`: the log has no column of them.
    pub(super) cabin_j: Option<Vec<f64>>,
    charge_frac: Option<Vec<f64>>,
    temperature_k: Option<Vec<f64>>,
}

impl Drive {
    pub(super) fn of(trip: &Trip, log: &Log) -> Result<Drive, AuditError> {
        let reach_s = reach_s(log);
        let column = |quantity: Quantity| trip.column(log, quantity, reach_s);
        let missing = |what: &'static str, example: &'static str| AuditError::NoColumn {
            file: log.name.clone(),
            what,
            example,
        };
        let voltage_v = column(Quantity::Voltage)
            .ok_or_else(|| missing("column of pack volts", "pack_voltage_v"))?;
        let current_a = column(Quantity::Current)
            .ok_or_else(|| missing("column of pack amperes", "pack_current_a"))?;
        let rows = trip.time_s.len();
        let mut drive = Drive {
            voltage_v,
            current_a,
            energy_j: vec![0.0; rows],
            has: vec![false; rows],
            way_m: vec![0.0; rows],
            step_s: vec![0.0; rows],
            cabin_j: cabin_j(trip, [Quantity::Heater, Quantity::AirConditioning].map(column)),
            charge_frac: column(Quantity::Charge),
            temperature_k: column(Quantity::Temperature),
        };
        let power_w: Vec<f64> =
            drive.voltage_v.iter().zip(&drive.current_a).map(|(v, a)| v * a).collect();
        for i in 1..rows {
            let step_s = trip.time_s[i] - trip.time_s[i - 1];
            let power = 0.5 * (power_w[i - 1] + power_w[i]);
            if step_s <= reach_s && power.is_finite() {
                drive.has[i] = true;
                drive.energy_j[i] = power * step_s;
                drive.step_s[i] = step_s;
                drive.way_m[i] = trip.distance_m[i] - trip.distance_m[i - 1];
            }
        }
        let share = drive.step_s.iter().sum::<f64>() / trip.duration_s();
        if share < LEAST_SHARE {
            return Err(AuditError::Gappy { file: log.name.clone(), share });
        }
        Ok(drive)
    }

    /// The day, at the log's own temperature if it has one.
    pub(super) fn day(&self, day: &DaySpec, notes: &mut Vec<String>) -> DaySpec {
        let Some(logged_k) = self.temperature_k.as_deref().and_then(mean) else {
            notes.push(format!(
                "The log has no outside temperature: the model drove on the day `{}`, {:.0} °C.",
                day.name,
                day.temperature_k - ZERO_CELSIUS_K
            ));
            return day.clone();
        };
        if (logged_k - day.temperature_k).abs() > SAME_DAY_K {
            notes.push(format!(
                "The model drove at the log's own {:.0} °C instead of the {:.0} °C of the day `{}`.",
                logged_k - ZERO_CELSIUS_K,
                day.temperature_k - ZERO_CELSIUS_K,
                day.name
            ));
        }
        DaySpec { temperature_k: logged_k, ..day.clone() }
    }

    /// The car and the day without what the log's own columns say of the cabin.
    pub(super) fn without_cabin(
        &self,
        trip: &Trip,
        car: &CarSpec,
        day: DaySpec,
        notes: &mut Vec<String>,
    ) -> (CarSpec, DaySpec) {
        let mut car = car.clone();
        let Some(cabin_j) = &self.cabin_j else { return (car, day) };
        let seconds: f64 = trip.duration_s();
        notes.push(format!(
            "Heater and air conditioning are the log's own, {:.0} W on average; they take the place of the build's cabin and of the day's extra load.",
            cabin_j.iter().sum::<f64>() / seconds
        ));
        car.cabin = None;
        (car, DaySpec { extra_load_w: 0.0, ..day })
    }

    /// State of charge at the start, and where it is from.
    pub(super) fn start_charge(
        &self,
        car: &CarSpec,
        options: &AuditOptions,
    ) -> (f64, &'static str) {
        if let Some(charge) = options.start_charge_frac {
            return (charge, "as given");
        }
        let logged = self.charge_frac.as_deref().and_then(|all| all.iter().find(|c| !c.is_nan()));
        if let Some(charge) = logged {
            return (charge.clamp(0.02, 1.0), "the log's own");
        }
        let rest_a = REST_PER_H * car.pack.rated_capacity_c() / 3600.0;
        let at_rest: Vec<f64> = self
            .voltage_v
            .iter()
            .zip(&self.current_a)
            .take(ROWS_AT_REST)
            .filter(|(v, a)| v.is_finite() && a.abs() < rest_a)
            .map(|(v, _)| *v)
            .collect();
        match mean(&at_rest) {
            Some(volts) => (charge_at_rest(car, volts), "from the volts at rest at the start"),
            None => (car.pack.usable_to_frac, "taken as full: the log has no charge and no rest"),
        }
    }

    /// Whether the log counts discharge as negative: the current that goes with the model's power.
    pub(super) fn discharge_is_negative(&self, run: &DriveRun) -> bool {
        let product: f64 = (0..self.has.len())
            .filter(|i| self.has[*i])
            .map(|i| self.energy_j[i] * run.energy_j[i])
            .sum();
        product < 0.0
    }

    pub(super) fn discharging_positive(mut self, negative: bool) -> Drive {
        if negative {
            for value in self.current_a.iter_mut().chain(&mut self.energy_j) {
                *value = -*value;
            }
        }
        self
    }
}

/// How far readings of the current are joined, s.
fn reach_s(log: &Log) -> f64 {
    let usual_s = log.column(Quantity::Current).and_then(|amperes| {
        let read = log.time_s.iter().zip(amperes).filter(|(_, a)| a.is_finite());
        let read_s: Vec<f64> = read.map(|(time_s, _)| *time_s).collect();
        let mut steps_s: Vec<f64> = read_s.windows(2).map(|pair| pair[1] - pair[0]).collect();
        steps_s.sort_by(f64::total_cmp);
        steps_s.get(steps_s.len() / 2).copied()
    });
    (REACH_STEPS * usual_s.unwrap_or_default()).clamp(REACH_S.0, REACH_S.1)
}

/// Energy of what heats and cools the cabin; where a column has a gap its mean stands in.
fn cabin_j(trip: &Trip, columns: [Option<Vec<f64>>; 2]) -> Option<Vec<f64>> {
    let known: Vec<Vec<f64>> = columns.into_iter().flatten().collect();
    if known.is_empty() {
        return None;
    }
    let mut energy_j = vec![0.0; trip.time_s.len()];
    for power_w in &known {
        let usual_w = mean(power_w)?;
        let at = |i: usize| if power_w[i].is_finite() { power_w[i] } else { usual_w };
        for (i, energy_j) in energy_j.iter_mut().enumerate().skip(1) {
            let step_s = trip.time_s[i] - trip.time_s[i - 1];
            *energy_j += f64::midpoint(at(i - 1), at(i)) * step_s;
        }
    }
    Some(energy_j)
}

/// The charge at which the pack at rest has these volts, by halving.
fn charge_at_rest(car: &CarSpec, volts: f64) -> f64 {
    let (mut low, mut high) = (0.02, 1.0);
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if car.pack.open_circuit_v(middle) < volts {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

fn mean(values: &[f64]) -> Option<f64> {
    let there = values.iter().filter(|value| value.is_finite());
    let (sum, count) = there.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    (count > 0.0).then(|| sum / count)
}
