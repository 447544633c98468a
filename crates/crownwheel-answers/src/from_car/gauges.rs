//! Gauges, from the model.

use crownwheel::constants::KMH_PER_MPS;
use crownwheel::gauges::{
    FinalDrive, SpeedometerDrive, pulses_per_km, shaft_speeds, speedometer_ratio,
    speedometer_turns_per_m,
};

use super::{Subject, kmh, rpm};
use crate::gauges::{GaugesAnswer, RestLine, Speedometer};
use crate::pull::ShaftLine;
use crate::{Caution, Topic};

/// Spacing of the speeds, km/h.
const EVERY_KMH: f64 = 10.0;

/// Spacing of the states of charge.
const EVERY_CHARGE: f64 = 0.1;

/// What the speedometer belonged to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpeedometerSource {
    /// Final drive and tyre before the conversion.
    pub gearing: FinalDrive,
    /// What drives it.
    pub drive: SpeedometerDrive,
    /// Pulses of its sender for a turn of the drive. `None`: there is none.
    pub pulses_per_turn: Option<f64>,
}

/// Shaft speeds, speedometer and charge against voltage.
#[must_use]
pub fn gauges(subject: &Subject, before: Option<&SpeedometerSource>) -> GaugesAnswer {
    let car = &subject.car;
    let mut answer = GaugesAnswer {
        provenance: subject.provenance.clone(),
        units: subject.units,
        car: car.spec().name.clone(),
        speeds: speeds(subject),
        speedometer: before.map(|before| speedometer(subject, before)),
        charge: charge(subject),
        notes: vec![
            "Voltage tells the charge only at rest, an hour or more after driving or charging."
                .to_owned(),
        ],
        assumed: subject.assumed.clone(),
        cautions: vec![Caution::about(Topic::Speedometer)],
        ..GaugesAnswer::default()
    };
    answer.plain = answer.plain_line();
    answer
}

fn speeds(subject: &Subject) -> Vec<ShaftLine> {
    let car = &subject.car;
    let gear = car.usual_gear();
    let top_kmh = kmh(car.speed_cap_mps());
    let line = |i: u32| {
        let speed_kmh = f64::from(i) * EVERY_KMH;
        let speeds = shaft_speeds(car, speed_kmh / KMH_PER_MPS, gear);
        ShaftLine {
            speed_kmh,
            gear: gear + 1,
            motor_speed_rpm: rpm(speeds.motor_radps),
            propeller_shaft_rpm: rpm(speeds.propeller_shaft_radps),
            over_speed: false,
        }
    };
    (1..=40).map(line).take_while(|line| line.speed_kmh <= top_kmh).collect()
}

fn speedometer(subject: &Subject, before: &SpeedometerSource) -> Speedometer {
    let car = &subject.car;
    let after = FinalDrive {
        final_drive_ratio: car.spec().driveline.axle.ratio,
        rolling_radius_m: car.rolling_radius_m(),
    };
    let ratio = speedometer_ratio(before.gearing, after, before.drive);
    Speedometer {
        driven_from: match before.drive {
            SpeedometerDrive::PropellerShaft => "gearbox or propeller shaft".to_owned(),
            SpeedometerDrive::Wheel => "wheel".to_owned(),
        },
        reading_over_true: ratio,
        reads_at_100_kmh_kmh: 100.0 * ratio,
        turns_per_kilometre: 1000.0 * speedometer_turns_per_m(after, before.drive),
        pulses_per_kilometre: before
            .pulses_per_turn
            .map(|pulses| pulses_per_km(after, before.drive, pulses)),
    }
}

fn charge(subject: &Subject) -> Vec<RestLine> {
    let pack = &subject.car.spec().pack;
    let line = |i: u32| {
        let charge_frac = f64::from(i) * EVERY_CHARGE;
        RestLine {
            charge_pct: 100.0 * charge_frac,
            rest_voltage_v: pack.open_circuit_v(charge_frac),
            cell_voltage_v: pack.open_circuit.voltage_at(charge_frac),
        }
    };
    (0..=10).map(line).collect()
}
