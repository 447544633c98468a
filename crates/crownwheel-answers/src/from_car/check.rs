//! What was understood: first day, full charge, those aboard who drive along.

use crownwheel::Car;
use crownwheel::constants::JOULE_PER_WH;
use crownwheel::spec::{MotorLossSpec, RoadLoadSpec};
use crownwheel::tyre::top_speed_kmh;

use super::{Subject, concerns, days, driveline, kmh, rpm, warning, weigh};
use crate::{Caution, CheckAnswer, Topic, Unit, Units, Warning};

/// What was understood from a build.
#[must_use]
pub fn check(subject: &Subject) -> CheckAnswer {
    let car = &subject.car;
    let spec = car.spec();
    let pack = &spec.pack;
    let day = &subject.days[0];
    let corners = &car.driving().corners;
    let terms = matches!(spec.road_load, RoadLoadSpec::Terms { .. });
    let mut answer = CheckAnswer {
        provenance: subject.provenance.clone(),
        units: subject.units,
        car: spec.name.clone(),
        day: day.name().clone(),
        mass_kg: car.mass_kg(),
        front_axle_kg: corners.front_axle_kg(),
        rear_axle_kg: corners.rear_axle_kg(),
        effective_mass_kg: car.effective_mass_kg(),
        rolling_radius_m: car.rolling_radius_m(),
        overall_ratio: car.overall_ratio(),
        drag_area_m2: terms.then(|| car.drag_area_m2()),
        rolling_resistance: terms.then(|| car.rolling_resistance()),
        air_density_kgpm3: day.air_density_kgpm3(),
        pack_energy_kwh: pack.energy_kwh(),
        pack_usable_kwh: pack.stored_j(pack.floor_frac(), pack.usable_to_frac)
            / JOULE_PER_WH
            / 1000.0,
        pack_full_voltage_v: pack.full_voltage_v(),
        pack_empty_voltage_v: pack.empty_voltage_v(),
        short_circuit_a: pack.short_circuit_a(),
        weakest_module_pct: (pack.module_spread > 0.0).then(|| 100.0 * pack.weakest_frac()),
        back_emf_limit_rpm: back_emf_radps(car).map(rpm),
        back_emf_limit_kmh: back_emf_radps(car).map(|radps| kmh(radps / car.motor_radps_per_mps())),
        days: days::facts(subject),
        gears: driveline::gears(car, subject.units),
        stages: driveline::stages(car),
        assumed: subject.assumed.clone(),
        warnings: warnings(subject),
        lines_to_add: subject.lines_to_add.clone(),
        notes: subject.notes.clone(),
        cautions: vec![Caution::about(Topic::HighVoltage), Caution::about(Topic::AxleLoads)],
        ..CheckAnswer::default()
    };
    answer.notes.extend(days::notes(subject));
    answer.notes.push(short_circuit_note(&answer));
    answer.warnings.extend(driveline::warnings(&answer));
    answer.plain = answer.plain_line();
    answer
}

/// Motor speed above which the induced voltage is more than the inverter's highest, rad/s.
fn back_emf_radps(car: &Car) -> Option<f64> {
    let per_radps = car.spec().motor.back_emf_v_per_radps.filter(|k| *k > 0.0)?;
    Some(car.spec().inverter.max_voltage_v / per_radps)
}

fn short_circuit_note(answer: &CheckAnswer) -> String {
    format!(
        "A dead short across the full pack would draw about {}; whether fuses and contactors can break that is for a licensed person.",
        Units::Metric.text(answer.short_circuit_a, Unit::A)
    )
}

/// Everything that a person should look at.
fn warnings(subject: &Subject) -> Vec<Warning> {
    let car = &subject.car;
    let mut all = weigh(subject).warnings;
    all.extend(concerns(subject));
    all.extend(tyre_speed_warning(car, subject.units));
    all.extend(loss_map_warning(car, subject.units));
    all.extend(back_emf_warning(car, subject.units));
    if car.spec().motor.peak_seconds.is_none() {
        all.push(warning(
            "heat_not_known",
            "How long peak torque may be held is not known, so no heat limit is computed: give `motor.peak_seconds` from the motor's sheet.".to_owned(),
        ));
    }
    all
}

/// Only where the motor may turn so fast.
fn back_emf_warning(car: &Car, units: Units) -> Option<Warning> {
    let radps = back_emf_radps(car)?;
    let gear = if car.gear_count() > 1 { " in the highest gear that is used" } else { "" };
    (radps < car.spec().motor.max_speed_radps).then(|| {
        warning(
            "back_emf",
            format!(
                "Above {:.0} rpm ({}{gear}) the motor's magnets induce more than the {} that the inverter bears; keep below that speed downhill too, and have the controller's maker confirm what happens there.",
                rpm(radps),
                units.text(kmh(radps / car.motor_radps_per_mps()), Unit::Kmh),
                units.text_to(car.spec().inverter.max_voltage_v, Unit::V, 0)
            ),
        )
    })
}

fn tyre_speed_warning(car: &Car, units: Units) -> Option<Warning> {
    let symbol = car.spec().tyres.mark.speed_symbol?;
    let tyre_kmh = top_speed_kmh(symbol)?;
    let car_kmh = kmh(car.speed_cap_mps());
    (car_kmh > tyre_kmh).then(|| {
        warning(
            "tyre_speed",
            format!(
                "At its highest motor speed the car does {}; speed symbol {symbol} of the tyres allows {}.",
                units.text(car_kmh, Unit::Kmh),
                units.text(tyre_kmh, Unit::Kmh)
            ),
        )
    })
}

/// A loss map that ends before the motor does is held at its edge; nothing is invented beyond.
fn loss_map_warning(car: &Car, units: Units) -> Option<Warning> {
    let motor = &car.spec().motor;
    let MotorLossSpec::Map(map) = &motor.losses else { return None };
    let last_radps = map.speed_radps.last().copied()?;
    let last_nm = map.torque_nm.last().copied()?;
    let peak_nm = driveline::peak_torque_nm(car);
    let short = last_radps < motor.max_speed_radps * 0.999 || last_nm < peak_nm * 0.999;
    short.then(|| {
        warning(
            "loss_map_clamped",
            format!(
                "The loss map ends at {:.0} rpm and {}, the motor goes to {:.0} rpm and {}; beyond the map its edge value is held, which is too little.",
                rpm(last_radps),
                units.text_to(last_nm, Unit::Nm, 0),
                rpm(motor.max_speed_radps),
                units.text_to(peak_nm, Unit::Nm, 0)
            ),
        )
    })
}
