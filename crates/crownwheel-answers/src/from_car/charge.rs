//! Charging at each supply, from the model.

use crownwheel::charger::{Charge, Socket};
use crownwheel::constants::{JOULE_PER_WH, ZERO_CELSIUS_K};
use crownwheel_quantities::Supply;

use super::{Subject, concerns};
use crate::charge::{ChargeAnswer, ChargePoint, SupplyLine};
use crate::{Caution, Topic, Warning};

/// Points of a charge that are kept.
const KEPT_POINTS: usize = 100;

/// Joules in a kilowatt-hour.
const JOULE_PER_KWH: f64 = JOULE_PER_WH * 1000.0;

/// What is to be charged.
#[derive(Clone, Debug, PartialEq)]
pub struct ChargeAsked {
    /// Day, as a place in the subject's list.
    pub day: usize,
    /// State of charge at the start.
    pub from_frac: f64,
    /// State of charge that is asked for.
    pub to_frac: f64,
    /// Supplies.
    pub supplies: Vec<Supply>,
    /// Use at the wall, Wh/km, and the cycle that it holds for: for km of range an hour.
    pub wall_use: Option<(f64, String)>,
}

/// Times and energy at each supply.
#[must_use]
pub fn charge(subject: &Subject, asked: &ChargeAsked) -> ChargeAnswer {
    let car = &subject.car;
    let day = &subject.days[asked.day];
    let use_wh_per_km = asked.wall_use.as_ref().map(|(use_wh, _)| *use_wh);
    let line = |supply: &Supply| {
        let done = Socket::new(car, day, supply.limit_w).charge(asked.from_frac, asked.to_frac);
        supply_line(supply, &done, use_wh_per_km)
    };
    let warm_up_j = Socket::unlimited(car, day).warm_up_j();
    let mut answer = ChargeAnswer {
        provenance: subject.provenance.clone(),
        units: subject.units,
        car: car.spec().name.clone(),
        day: day.name().clone(),
        from_pct: 100.0 * asked.from_frac,
        to_pct: 100.0 * asked.to_frac,
        warm_up_kwh: warm_up_j / JOULE_PER_KWH,
        supplies: asked.supplies.iter().map(line).collect(),
        notes: notes(asked),
        assumed: subject.assumed.clone(),
        cautions: [Topic::Supply, Topic::HighVoltage, Topic::Currents].map(Caution::about).to_vec(),
        ..ChargeAnswer::default()
    };
    answer.warnings = concerns(subject);
    answer.warnings.extend(warnings(&answer));
    answer.plain = answer.plain_line();
    answer
}

fn notes(asked: &ChargeAsked) -> Vec<String> {
    let mut notes = vec![
        "Charging runs at constant power, the least of supply, charger and pack, then at constant voltage until the current is a twentieth of the capacity.".to_owned(),
    ];
    if let Some((use_wh_per_km, cycle)) = &asked.wall_use {
        notes.push(format!(
            "Range for an hour of charging holds for {cycle}, {use_wh_per_km:.0} Wh/km from the wall."
        ));
    }
    notes
}

fn supply_line(supply: &Supply, done: &Charge, use_wh_per_km: Option<f64>) -> SupplyLine {
    let charged = done.duration_s > 0.0 && done.duration_s.is_finite();
    let known = |value: f64| charged.then_some(value);
    let hours = done.duration_s / 3600.0;
    let step = (done.points.len() / KEPT_POINTS).max(1);
    let last = done.points.len() - 1;
    let kept = done.points.iter().enumerate().filter(|(i, _)| i % step == 0 || *i == last);
    SupplyLine {
        name: supply.name.clone(),
        supply_kw: supply.limit_w / 1000.0,
        hours: known(hours),
        wall_kwh: known(done.wall_j / JOULE_PER_KWH),
        into_pack_kwh: known(done.into_pack_j / JOULE_PER_KWH),
        warming_kwh: known(done.warming_j / JOULE_PER_KWH),
        before_charging_hours: known(done.before_charging_s / 3600.0),
        end_pct: 100.0 * done.end_charge_frac,
        taper_from_pct: done.taper_from_frac.map(|frac| 100.0 * frac),
        km_per_hour: use_wh_per_km
            .filter(|_| charged)
            .map(|use_wh| done.wall_j / JOULE_PER_WH / use_wh / hours),
        points: kept
            .map(|(_, point)| ChargePoint {
                time_min: point.time_s / 60.0,
                charge_pct: 100.0 * point.charge_frac,
                power_kw: point.power_w / 1000.0,
                current_a: point.current_a,
                voltage_v: point.voltage_v,
                pack_degc: point.pack_k - ZERO_CELSIUS_K,
            })
            .collect(),
    }
}

fn warnings(answer: &ChargeAnswer) -> Vec<Warning> {
    let mut all = Vec::new();
    if answer.warm_up_kwh > 0.0 {
        all.push(Warning {
            code: "cold_pack".to_owned(),
            text: format!(
                "The pack is colder than 5 °C: it is warmed to that before it is charged, with {:.2} kWh of heat and more to hold it there. That something warms it is assumed; without a heater a frozen pack must not be charged.",
                answer.warm_up_kwh
            ),
        });
    }
    for line in &answer.supplies {
        if line.hours.is_none() {
            all.push(Warning {
                code: "does_not_charge".to_owned(),
                text: format!(
                    "{} gives no charge: with {} kW it warms no pack so cold, or gives no power at all.",
                    line.name, line.supply_kw
                ),
            });
        } else if line.end_pct < answer.to_pct - 0.05 {
            all.push(Warning {
                code: "ends_early".to_owned(),
                text: format!(
                    "At {} the current is down to a twentieth of the capacity at {:.1} %; charging ends there.",
                    line.name, line.end_pct
                ),
            });
        }
    }
    all
}
