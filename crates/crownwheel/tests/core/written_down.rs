//! Descriptions and answers written down with serde and read back.

use std::sync::Arc;

use crownwheel::cycle::{Cycle, Grade, Samples};
use crownwheel::limit::LIMITS;
use crownwheel::range::{RangeRun, range};
use crownwheel::spec::{
    CarSpec, ColdCapacityTable, DaySpec, FirstStage, GearboxSpec, LossMap, MotorLossSpec,
    RoadLoadSpec, RollingSpec, Shifting, SpecError, SpringsSpec, StageSpec, TurningParts, Wind,
};
use crownwheel::windows::Series;
use crownwheel::{Car, Day, example};
use serde_json::{Value, from_str, from_value, json, to_string, to_value};

/// A car in which every choice is the other one of the saloon's.
fn the_other_choices() -> CarSpec {
    let mut spec = example::small_saloon();
    let gear = StageSpec { ratio: 3.6, ..spec.driveline.axle };
    spec.driveline.first = FirstStage::Gearbox(GearboxSpec {
        gears: vec![gear, StageSpec { ratio: 2.1, max_torque_nm: Some(180.0), ..gear }],
        shifting: Shifting::LeastLoss { dwell_s: 4.0, shift_s: 0.6 },
    });
    spec.road_load = RoadLoadSpec::Coefficients {
        f0_n: 120.0,
        f1_n_per_mps: 1.1,
        f2_n_per_mps2: 0.42,
        mass_kg: 905.0,
        temperature_k: 293.15,
        pressure_pa: 1e5,
        turning: TurningParts { axle: true, ..TurningParts::default() },
        road_factor: 1.0,
    };
    spec.motor.losses = MotorLossSpec::Map(Arc::new(LossMap {
        speed_radps: vec![0.0, 900.0],
        torque_nm: vec![0.0, 170.0],
        loss_w: vec![60.0, 6e3, 400.0, 9e3],
    }));
    spec.tyres.rolling = RollingSpec::Rolled { turns: 10.0, distance_m: 17.63 };
    spec.weights.springs = Some(SpringsSpec {
        front_wheel_rate_n_per_m: 17e3,
        rear_wheel_rate_n_per_m: 19e3,
        front_unsprung_kg: 60.0,
        rear_unsprung_kg: 80.0,
    });
    spec.pack.resistance_b_k = 0.0;
    spec.pack.cold_capacity = Some(Arc::new(ColdCapacityTable {
        temperature_k: vec![253.15, 298.15],
        capacity_frac: vec![0.7, 1.0],
    }));
    spec
}

#[test]
fn a_car_comes_back_to_the_last_bit() {
    for spec in [example::small_saloon(), the_other_choices()] {
        let read: CarSpec = from_str(&to_string(&spec).unwrap()).unwrap();
        assert_eq!(read, spec);
    }
    for day in [example::mild_day(), example::winter_day()] {
        let read: DaySpec = from_str(&to_string(&day).unwrap()).unwrap();
        assert_eq!(read, day);
    }
}

#[test]
fn what_was_read_still_has_to_pass_the_checks() {
    let mut text = to_value(example::small_saloon()).unwrap();
    text["driveline"]["axle"]["ratio"] = json!(-4.22);
    let spec: CarSpec = from_value(text).unwrap();
    let refused: SpecError = Car::new(&spec).unwrap_err();
    assert_eq!(refused.key(), "driveline.axle.ratio");
    let written = to_value(&refused).unwrap();
    assert_eq!(written["value"], json!(-4.22));
}

#[test]
fn a_name_that_is_not_known_is_refused_at_every_depth() {
    let misspelt = |path: &str| {
        let mut text = to_value(example::small_saloon()).unwrap();
        let place = text.pointer_mut(path).unwrap();
        place["rattio"] = json!(1.0);
        from_value::<CarSpec>(text).is_err()
    };
    for path in ["", "/driveline/axle", "/road_load/terms", "/pack", "/loads/0"] {
        assert!(misspelt(path), "{path}");
    }
}

#[test]
fn the_form_is_that_of_the_fields() {
    let stage: StageSpec = from_value(json!({
        "ratio": 4.22, "efficiency_frac": 0.96, "drag_torque_nm": 1.2, "drag_speed_radps": 314.0
    }))
    .unwrap();
    assert_eq!((stage.ratio, stage.max_torque_nm), (4.22, None));
    let wind = Wind::AlongRoad { speed_mps: 3.0, height_m: 10.0 };
    let written = json!({ "along_road": { "speed_mps": 3.0, "height_m": 10.0 } });
    assert_eq!(to_value(wind).unwrap(), written);
    assert_eq!(to_value(Wind::Calm).unwrap(), json!("calm"));
    for limit in LIMITS {
        assert_eq!(to_value(limit).unwrap(), json!(limit.name().replace(' ', "_")));
    }
}

#[test]
fn a_cycle_is_read_as_samples_and_checked() {
    let text = json!({ "by_time": {
        "time_s": [0.0, 10.0, 20.0], "speed_mps": [0.0, 10.0, 0.0], "grade": "flat"
    } });
    let samples: Samples = from_value(text).unwrap();
    // Two triangles of 10 s and 10 m/s: 100 m.
    assert!((Cycle::new("hump", &samples).unwrap().distance_m() - 100.0).abs() < 1e-9);
    let backwards = Samples::ByTime {
        time_s: vec![0.0, 10.0, 5.0],
        speed_mps: vec![0.0, 10.0, 0.0],
        grade: Grade::Flat,
    };
    let read: Samples = from_str(&to_string(&backwards).unwrap()).unwrap();
    assert_eq!(Cycle::new("back", &read).unwrap_err().row, 2);
}

#[test]
fn a_run_comes_back_to_the_last_bit() -> Result<(), SpecError> {
    let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::winter_day())?);
    let run = range(&car, &day, &Cycle::builtin("hwfet").unwrap());
    let read: RangeRun = from_str(&to_string(&run).unwrap()).unwrap();
    assert_eq!(read, run);
    assert_eq!(
        read.loads.current_squared.worst_rms(60.0),
        run.loads.current_squared.worst_rms(60.0)
    );
    Ok(())
}

#[test]
fn a_series_that_could_not_have_been_pushed_is_refused() {
    let refused = |text: Value| from_value::<Series>(text).unwrap_err().to_string();
    assert!(refused(json!({ "time_s": [0.0, 1.0], "integral": [0.0] })).contains("length"));
    assert!(refused(json!({ "time_s": [], "integral": [] })).contains("start at 0"));
    assert!(refused(json!({ "time_s": [1.0], "integral": [0.0] })).contains("start at 0"));
    let twice = json!({ "time_s": [0.0, 2.0, 2.0], "integral": [0.0, 1.0, 1.0] });
    assert!(refused(twice).contains("rise"));
}
