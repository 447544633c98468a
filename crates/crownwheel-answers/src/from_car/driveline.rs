//! Gears, and what each stage of the driveline is asked to bear.

use crownwheel::Car;
use crownwheel::constants::KMH_PER_MPS;
use crownwheel::spec::{FirstStage, GearboxSpec, Shifting, StageSpec};

use super::{rpm, warning};
use crate::{CheckAnswer, GearSpeed, StageLoad, Unit, Units, Warning};

/// Peak torque of the motor at any speed, N m.
pub(super) fn peak_torque_nm(car: &Car) -> f64 {
    let motor = &car.spec().motor;
    motor.curve_scale * motor.phase_current_ratio * motor.curve.greatest_torque_nm()
}

/// Motor speed in each gear of a gearbox at the usual steady speeds.
pub(super) fn gears(car: &Car, units: Units) -> Vec<GearSpeed> {
    let FirstStage::Gearbox(gearbox) = &car.spec().driveline.first else { return Vec::new() };
    let max_rpm = rpm(car.spec().motor.max_speed_radps);
    let speed = |gear: usize, speed_kmh: f64| {
        let overall_ratio = car.overall_ratio_in(gear);
        let motor_speed_rpm = rpm(speed_kmh / KMH_PER_MPS / car.rolling_radius_m() * overall_ratio);
        GearSpeed {
            gear: number(gear),
            overall_ratio,
            speed_kmh,
            motor_speed_rpm,
            over_motor_speed: motor_speed_rpm > max_rpm,
        }
    };
    (0..gearbox.gears.len())
        .flat_map(|gear| units.steady_speeds_kmh().map(|speed_kmh| speed(gear, speed_kmh)))
        .collect()
}

/// A gear as drivers count.
pub(super) fn number(gear: usize) -> u32 {
    u32::try_from(gear + 1).unwrap_or(u32::MAX)
}

/// Each stage from the motor to the wheels.
pub(super) fn stages(car: &Car) -> Vec<StageLoad> {
    let spec = car.spec();
    let (peak_nm, max_rpm) = (peak_torque_nm(car), rpm(spec.motor.max_speed_radps));
    let used = used_stages(&spec.driveline.first);
    let engine_nm = spec.original.map(|original| original.peak_torque_nm);
    let name = match spec.driveline.first {
        FirstStage::Gearbox(_) => "gearbox",
        _ => "reduction",
    };
    let first = (!used.is_empty()).then(|| StageLoad {
        stage: name.to_owned(),
        launch_torque_nm: peak_nm,
        max_torque_nm: least(used.iter().filter_map(|stage| stage.max_torque_nm)),
        original_torque_nm: engine_nm.filter(|_| name == "gearbox"),
        top_speed_rpm: max_rpm,
        max_speed_rpm: least(used.iter().filter_map(|stage| stage.max_speed_radps)).map(rpm),
    });
    let ratios = || used.iter().map(|stage| stage.ratio);
    let axle = &spec.driveline.axle;
    let axle = StageLoad {
        stage: "axle".to_owned(),
        launch_torque_nm: peak_nm * ratios().fold(None, greater).unwrap_or(1.0),
        max_torque_nm: axle.max_torque_nm,
        original_torque_nm: spec.original.map(|o| o.peak_torque_nm * o.first_gear_ratio),
        top_speed_rpm: max_rpm / least(ratios()).unwrap_or(1.0),
        max_speed_rpm: axle.max_speed_radps.map(rpm),
    };
    first.into_iter().chain([axle]).collect()
}

/// The stages between motor and axle that are driven in.
fn used_stages(first: &FirstStage) -> Vec<&StageSpec> {
    match first {
        FirstStage::Direct => Vec::new(),
        FirstStage::Reduction(stage) => vec![stage],
        FirstStage::Gearbox(GearboxSpec { gears, shifting: Shifting::Fixed(gear) }) => {
            gears.get(*gear).into_iter().collect()
        }
        FirstStage::Gearbox(GearboxSpec { gears, .. }) => gears.iter().collect(),
    }
}

fn least(values: impl Iterator<Item = f64>) -> Option<f64> {
    values.min_by(f64::total_cmp)
}

fn greater(most: Option<f64>, value: f64) -> Option<f64> {
    Some(most.map_or(value, |most| most.max(value)))
}

/// Stages that are asked for more than they may bear, or than they bore.
pub(super) fn warnings(answer: &CheckAnswer) -> Vec<Warning> {
    let of_stage = |stage: &StageLoad| [torque(stage, answer.units), speed(stage)];
    answer.stages.iter().flat_map(of_stage).flatten().collect()
}

fn torque(stage: &StageLoad, units: Units) -> Option<Warning> {
    let text = |torque_nm: f64| units.text_to(torque_nm, Unit::Nm, 0);
    let name = &stage.stage;
    let launch = text(stage.launch_torque_nm);
    let over = |limit: Option<f64>| limit.filter(|limit| stage.launch_torque_nm > *limit);
    if stage.max_torque_nm.is_some() {
        return over(stage.max_torque_nm).map(|limit| {
            warning(
                "stage_torque",
                format!("At full torque the {name} is given {launch} at its input, more than the {} that its maker allows.", text(limit)),
            )
        });
    }
    over(stage.original_torque_nm).map(|original| {
        warning(
            "stage_torque_original",
            format!("At full torque the {name} is given {launch} at its input; the original engine in first gear gave it at most {}, and no rating is known.", text(original)),
        )
    })
}

fn speed(stage: &StageLoad) -> Option<Warning> {
    let limit = stage.max_speed_rpm.filter(|limit| stage.top_speed_rpm > *limit)?;
    Some(warning(
        "stage_speed",
        format!(
            "At the motor's highest speed the input of the {} turns at {:.0} rpm, more than the {limit:.0} rpm that its maker allows.",
            stage.stage, stage.top_speed_rpm
        ),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crownwheel::example::small_saloon;
    use crownwheel::spec::{CarSpec, OriginalSpec};

    fn with_gearbox(shifting: Shifting) -> CarSpec {
        let mut spec = small_saloon();
        let FirstStage::Reduction(stage) = spec.driveline.first else { unreachable!() };
        let gears = [3.0, 2.0, 1.0].map(|ratio| StageSpec { ratio, ..stage }).to_vec();
        spec.driveline.first = FirstStage::Gearbox(GearboxSpec { gears, shifting });
        spec
    }

    fn codes(spec: &CarSpec) -> Vec<String> {
        let stages = stages(&Car::new(spec).unwrap());
        let answer = CheckAnswer { stages, ..CheckAnswer::default() };
        warnings(&answer).into_iter().map(|w| w.code).collect()
    }

    #[test]
    fn a_gear_turns_the_motor_by_its_ratio() {
        let car = Car::new(&with_gearbox(Shifting::Fixed(2))).unwrap();
        let gears = gears(&car, Units::Metric);
        assert_eq!(gears.len(), 12);
        assert_eq!((gears[0].gear, gears[11].gear), (1, 3));
        let ratio = gears[0].motor_speed_rpm / gears[8].motor_speed_rpm;
        assert!((ratio - 3.0).abs() < 1e-9);
        // 112 km/h in first: 31.1 m/s / 0.28 m · 12.66 · 9.55 is over 13,000 rpm.
        assert!(gears[3].over_motor_speed && !gears[8].over_motor_speed);
        assert!(super::gears(&Car::new(&small_saloon()).unwrap(), Units::Metric).is_empty());
    }

    #[test]
    fn the_axle_gets_the_torque_of_the_lowest_gear_that_is_used() {
        let peak_nm = peak_torque_nm(&Car::new(&small_saloon()).unwrap());
        let launch = |shifting| {
            let car = Car::new(&with_gearbox(shifting)).unwrap();
            stages(&car).last().map(|stage| stage.launch_torque_nm / peak_nm)
        };
        let shifted = Shifting::LeastLoss { dwell_s: 5.0, shift_s: 1.0 };
        assert!((launch(shifted).unwrap() - 3.0).abs() < 1e-12);
        assert!((launch(Shifting::Fixed(1)).unwrap() - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_rating_rules_and_without_one_the_original_engine_does() {
        let mut spec = small_saloon();
        assert!(codes(&spec).is_empty(), "nothing to compare with");
        let peak_nm = peak_torque_nm(&Car::new(&spec).unwrap());
        let original =
            |first_gear_ratio| Some(OriginalSpec { peak_torque_nm: peak_nm, first_gear_ratio });
        spec.original = original(1.6);
        assert!(codes(&spec).is_empty());
        spec.original = original(1.4);
        assert_eq!(codes(&spec), ["stage_torque_original"]);
        spec.driveline.axle.max_torque_nm = Some(1.6 * peak_nm);
        assert!(codes(&spec).is_empty());
        spec.driveline.axle.max_torque_nm = Some(1.4 * peak_nm);
        assert_eq!(codes(&spec), ["stage_torque"]);
        spec.driveline.axle.max_speed_radps = Some(spec.motor.max_speed_radps / 1.6);
        assert_eq!(codes(&spec), ["stage_torque", "stage_speed"]);
    }
}
