//! What was understood: first day, full charge, those aboard who drive along.

use crownwheel::Car;
use crownwheel::constants::JOULE_PER_WH;
use crownwheel::loads::Standing;
use crownwheel::spec::{MotorLossSpec, RoadLoadSpec};
use crownwheel::tyre::top_speed_kmh;

use super::{Subject, kmh, rpm, weigh};
use crate::{Caution, CheckAnswer, Topic, Warning};

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
        car: spec.name.to_string(),
        day: day.name().to_owned(),
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
        assumed: subject.assumed.clone(),
        warnings: warnings(subject),
        lines_to_add: subject.lines_to_add.clone(),
        notes: subject.notes.clone(),
        cautions: vec![Caution::about(Topic::HighVoltage), Caution::about(Topic::AxleLoads)],
        ..CheckAnswer::default()
    };
    answer.plain = answer.plain_line();
    answer
}

/// Everything that a person should look at.
fn warnings(subject: &Subject) -> Vec<Warning> {
    let car = &subject.car;
    let mut all = weigh(subject).warnings;
    all.extend(dcdc_warning(subject));
    all.extend(tyre_speed_warning(car));
    all.extend(loss_map_warning(car));
    if car.spec().motor.peak_seconds.is_none() {
        all.push(warning(
            "heat_not_known",
            "How long peak torque may be held is not known, so no heat limit is reckoned: give `motor.peak_seconds` from the motor's sheet.".to_owned(),
        ));
    }
    all
}

fn warning(code: &str, text: String) -> Warning {
    Warning { code: code.to_owned(), text }
}

fn dcdc_warning(subject: &Subject) -> Option<Warning> {
    let spec = subject.car.spec();
    let max_w = spec.dcdc.max_w?;
    let used_w = Standing::of(spec, 0.0).twelve_volt_w;
    (used_w > max_w).then(|| {
        warning(
            "dcdc_overloaded",
            format!(
                "The 12 V loads take {used_w:.0} W on average, more than the {max_w:.0} W that the DC-DC converter gives."
            ),
        )
    })
}

fn tyre_speed_warning(car: &Car) -> Option<Warning> {
    let symbol = car.spec().tyres.mark.speed_symbol?;
    let tyre_kmh = top_speed_kmh(symbol)?;
    let car_kmh = kmh(car.speed_cap_mps());
    (car_kmh > tyre_kmh).then(|| {
        warning(
            "tyre_speed",
            format!(
                "At its highest motor speed the car does {car_kmh:.0} km/h; speed symbol {symbol} of the tyres allows {tyre_kmh:.0} km/h."
            ),
        )
    })
}

/// A loss map that ends before the motor does is held at its edge; nothing is invented beyond.
fn loss_map_warning(car: &Car) -> Option<Warning> {
    let motor = &car.spec().motor;
    let MotorLossSpec::Map(map) = &motor.losses else { return None };
    let last_radps = map.speed_radps.last().copied()?;
    let last_nm = map.torque_nm.last().copied()?;
    let peak_nm = motor.curve.greatest_torque_nm() * motor.curve_scale;
    let short = last_radps < motor.max_speed_radps * 0.999 || last_nm < peak_nm * 0.999;
    short.then(|| {
        warning(
            "loss_map_clamped",
            format!(
                "The loss map ends at {:.0} rpm and {last_nm:.0} N m, the motor goes to {:.0} rpm and {peak_nm:.0} N m; beyond the map its edge value is held, which is too little.",
                rpm(last_radps),
                rpm(motor.max_speed_radps)
            ),
        )
    })
}
