//! Logs of cars with a known fault: the audit must find it, and find nothing where nothing is wrong.

use std::fmt::Write as _;
use std::path::Path;

use crownwheel::cycle::Cycle;
use crownwheel::drive::{Driver, drive, start_state};
use crownwheel::spec::{CarSpec, DaySpec};
use crownwheel::{Car, Day};
use crownwheel_files::Build;
use crownwheel_logs::audit::{Audit, AuditOptions, Cause, CauseAmount, audit};
use crownwheel_logs::read::read_log_from;
use crownwheel_logs::{Log, ReadOptions};

fn dunlin() -> Build {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo/dunlin");
    crownwheel_files::load(&path, &[]).unwrap_or_else(|report| panic!("{report}"))
}

/// Noise of about one standard deviation that is the same every time.
fn noise(i: usize, salt: f64) -> f64 {
    let wave = |factor: f64| {
        let x = libm::sin(f64::from(u32::try_from(i).unwrap()) * factor + salt) * 43_758.545_3;
        x - x.floor() - 0.5
    };
    // The sum of four even draws has a variance of a third.
    1.732 * (wave(12.989_8) + wave(78.233) + wave(37.719) + wave(4.581))
}

struct Said {
    negative: bool,
    rows: std::ops::Range<usize>,
    salt: f64,
}

/// A row of a log in so many steps, and whether the heater has a column.
struct Habit {
    every: usize,
    heater: bool,
    /// What the clamp reads of an ampere.
    amperes: f64,
}

fn logged(car: &CarSpec, day: &DaySpec, cycle: &Cycle, said: &Said) -> Log {
    logged_so(car, day, cycle, said, &Habit { every: 1, heater: false, amperes: 1.0 })
}

/// What a logger writes of a car on a cycle, with noise in every column.
fn logged_so(car: &CarSpec, day: &DaySpec, cycle: &Cycle, said: &Said, habit: &Habit) -> Log {
    let loads_w: f64 = car.loads.iter().map(|load| load.power_w).sum();
    let (car, day) = (Car::new(car).unwrap(), Day::new(day).unwrap());
    let mut state = start_state(&car, &day, cycle);
    let mut text = "time_s,speed_kmh,elevation_m,pack_voltage_v,pack_current_a".to_owned();
    text.push_str(if habit.heater { ",heater_kw\n" } else { "\n" });
    let (mut time_s, mut height_m) = (0.0, 100.0);
    let mut i = 0;
    drive(&mut Driver::new(&car, &day), cycle, &mut state, |driven| {
        let step = driven.step;
        time_s += step.duration_s;
        height_m += step.distance_m * driven.leg.sin;
        let sign = if said.negative { -1.0 } else { 1.0 };
        let current = sign * habit.amperes * step.current_a + 0.3 * noise(i, said.salt + 1.0);
        let heater_kw = (step.energy.ancillaries_j / step.duration_s - loads_w) / 1000.0;
        let heater = if habit.heater { format!(",{heater_kw:.3}") } else { String::new() };
        if said.rows.contains(&i) && i.is_multiple_of(habit.every) {
            let _ = writeln!(
                text,
                "{time_s:.2},{:.2},{:.1},{:.2},{current:.1}{heater}",
                (step.state.speed_mps * 3.6 + 0.15 * noise(i, said.salt)).max(0.0),
                height_m + 1.0 * noise(i, said.salt + 2.0),
                step.voltage_v + 0.1 * noise(i, said.salt + 3.0),
            );
        }
        i += 1;
        true
    });
    read_log_from("drive.csv", text.as_bytes(), &ReadOptions::default()).unwrap()
}

fn round() -> Cycle {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo/dunlin/moor-round.csv");
    crownwheel_files::cycle_file::read(&path, 1 << 24).unwrap().cycle
}

fn audited(build: &Build, fault: impl Fn(&mut CarSpec, &mut DaySpec), said: &Said) -> Audit {
    let (mut car, mut day) = (build.car.clone(), build.days[0].clone());
    fault(&mut car, &mut day);
    let log = logged(&car, &day, &round(), said);
    audit(&log, build, &build.days[0], &AuditOptions::default()).unwrap_or_else(|e| panic!("{e}"))
}

/// The first explanation, if it is one cause alone.
fn first(found: &Audit) -> Option<CauseAmount> {
    match found.judged[0].causes[..] {
        [alone] => Some(alone),
        _ => None,
    }
}

const WHOLE: std::ops::Range<usize> = 0..usize::MAX;

fn brake_drag(car: &mut CarSpec, newton: f64) {
    let knob = crownwheel::knob::Knob::find("car.brake_drag", car).unwrap();
    let value = knob.get(car).unwrap();
    knob.set(car, value + newton).unwrap();
}

#[test]
fn a_car_as_its_build_says_is_found_so() {
    let build = dunlin();
    for (k, salt) in [0.0, 10.0, 20.0].into_iter().enumerate() {
        let found = audited(&build, |_, _| {}, &Said { negative: k == 1, rows: WHOLE, salt });
        assert!(found.judged[0].causes.is_empty(), "{:#?}", found.judged);
        assert!(found.judged[0].probability > 0.5);
        let ratio = found.measured_j / found.predicted_j;
        assert!((ratio - 1.0).abs() < 0.03, "{ratio}");
        assert_eq!(found.discharge_is_negative, k == 1);
        let resistance = found.resistance.unwrap();
        let off = resistance.measured_ohm / resistance.model_ohm;
        assert!((off - 1.0).abs() < 0.1, "{resistance:?}");
    }
}

#[test]
fn each_fault_is_found_with_its_size() {
    let build = dunlin();
    let said = |salt| Said { negative: true, rows: WHOLE, salt };
    type Fault = fn(&mut CarSpec, &mut DaySpec);
    let faults: [(Cause, f64, Fault); 7] = [
        (Cause::ConstantForce, 120.0, |car, _| brake_drag(car, 120.0)),
        (Cause::StandingLoads, 600.0, |_, day| day.extra_load_w += 600.0),
        (Cause::DragArea, 0.35, |car, _| {
            let knob = crownwheel::knob::Knob::find("car.drag_coefficient", car).unwrap();
            let value = knob.get(car).unwrap();
            knob.set(car, value * 1.35).unwrap();
        }),
        (Cause::Regeneration, -0.4, |car, _| car.regen.share -= 0.4),
        (Cause::PackResistance, 1.5, |car, _| car.pack.cell_resistance_ohm *= 2.5),
        (Cause::StandingLoads, -160.0, |_, day| day.extra_load_w -= 160.0),
        (Cause::ConstantForce, -50.0, |car, _| {
            brake_drag(car, -15.0);
            // 35 N over the weight of the car and its driver.
            car.tyres.rolling_resistance -= 35.0 / 9.80665 / 908.6 / car.tyres.drum_to_road;
        }),
    ];
    for (k, (cause, amount, fault)) in faults.into_iter().enumerate() {
        if amount < -100.0 {
            // No day has a load below zero: the build has more than the car instead.
            let mut heavier = build.clone();
            heavier.days[0].extra_load_w = 160.0;
            let log = logged(&build.car, &build.days[0], &round(), &said(7.0));
            let found = audit(&log, &heavier, &heavier.days[0], &AuditOptions::default()).unwrap();
            assert_eq!(first(&found).map(|it| it.cause), Some(cause), "{:#?}", found.judged);
            continue;
        }
        let salt = f64::from(u32::try_from(k).unwrap());
        let found = audited(&build, fault, &said(salt));
        let best = first(&found).unwrap_or_else(|| panic!("{amount}: {:#?}", found.judged));
        assert_eq!(best.cause, cause, "{amount}: {:#?}", found.judged);
        assert!(found.judged[0].probability > 0.5, "{amount}: {:#?}", found.judged);
        let off = (best.amount - amount).abs();
        assert!(off < 1.5 * best.half_width_95, "{cause:?} {amount}: {best:?}");
        assert!(best.half_width_95 < 0.8 * amount.abs(), "{cause:?} {amount}: {best:?}");
    }
}

/// A shunt that writes every five seconds is a log.
#[test]
fn a_slow_log_is_judged_too() {
    let build = dunlin();
    let (mut car, day) = (build.car.clone(), &build.days[0]);
    brake_drag(&mut car, 150.0);
    let said = Said { negative: false, rows: WHOLE, salt: 2.0 };
    let log =
        logged_so(&car, day, &round(), &said, &Habit { every: 5, heater: false, amperes: 1.0 });
    let found = audit(&log, &build, day, &AuditOptions::default()).unwrap();
    let best = first(&found).unwrap_or_else(|| panic!("{:#?}", found.judged));
    assert_eq!(best.cause, Cause::ConstantForce, "{:#?}", found.judged);
    assert!((best.amount - 150.0).abs() < 1.5 * best.half_width_95, "{best:?}");
    assert!(found.compared_s > 0.95 * found.trip.duration_s());
}

/// A heater that the build does not have: its column makes it a known load; without one it is what is found.
#[test]
fn a_heater_is_a_known_load_or_the_cause() {
    let mut build = dunlin();
    build.car.cabin = None;
    (build.days[0].temperature_k, build.days[0].cabin_off) = (275.15, false);
    let mut heated = build.car.clone();
    heated.cabin = Some(crownwheel_files::usual_cabin());
    let said = Said { negative: false, rows: WHOLE, salt: 4.0 };
    let judged = |heater| {
        let habit = Habit { every: 1, heater, amperes: 1.0 };
        let log = logged_so(&heated, &build.days[0], &round(), &said, &habit);
        audit(&log, &build, &build.days[0], &AuditOptions::default()).unwrap()
    };
    let known = judged(true);
    assert!(known.judged[0].causes.is_empty(), "{:#?}", known.judged);
    assert!((known.measured_j / known.predicted_j - 1.0).abs() < 0.03);
    let mean_w = known.cabin_j.unwrap() / known.compared_s;
    assert!((1000.0..3000.0).contains(&mean_w), "{mean_w}");
    let unknown = judged(false);
    let best = first(&unknown).unwrap_or_else(|| panic!("{:#?}", unknown.judged));
    assert_eq!(best.cause, Cause::Heater, "{:#?}", unknown.judged);
    assert!((best.amount - mean_w).abs() < 1.5 * best.half_width_95, "{best:?} {mean_w}");
}

/// A car with two faults gets both, and one that is none of these is never as its build says.
#[test]
fn two_faults_are_a_pair_and_what_nothing_explains_is_said() {
    let build = dunlin();
    let said = |salt| Said { negative: false, rows: WHOLE, salt };
    let pair = audited(
        &build,
        |car, day| {
            brake_drag(car, 150.0);
            day.extra_load_w += 800.0;
        },
        &said(5.0),
    );
    let named: Vec<Cause> = pair.judged[0].causes.iter().map(|it| it.cause).collect();
    assert_eq!(named, [Cause::StandingLoads, Cause::ConstantForce], "{:#?}", pair.judged);
    let [load, force] = pair.judged[0].causes[..] else { unreachable!() };
    assert!((load.amount - 800.0).abs() < 1.5 * load.half_width_95, "{load:?}");
    assert!((force.amount - 150.0).abs() < 1.5 * force.half_width_95, "{force:?}");
    // A clamp that reads three times the current is no fault of a car.
    let habit = Habit { every: 1, heater: false, amperes: 3.0 };
    let log = logged_so(&build.car, &build.days[0], &round(), &said(6.0), &habit);
    let off = audit(&log, &build, &build.days[0], &AuditOptions::default()).unwrap();
    let as_built = off.judged.iter().find(|it| it.causes.is_empty()).unwrap();
    assert!(as_built.probability < 1e-9, "{:#?}", off.judged);
    let answer = crownwheel_logs::audit::audit_answer(
        &off,
        &build.car,
        crownwheel_logs::audit::Source {
            log: "drive.csv".to_owned(),
            fact: "drive".to_owned(),
            provenance: crownwheel_answers::Provenance::default(),
            units: crownwheel_answers::Units::Metric,
        },
    );
    assert!(answer.plain.contains("None of the usual causes"), "{}", answer.plain);
    assert!(answer.warnings.iter().any(|it| it.code == "none_of_these_alone"));
}

/// The demo's log is made with 90 N of a dragging brake: the audit says so.
#[test]
fn the_demo_has_a_dragging_brake() {
    let build = dunlin();
    let path = build.path.parent().unwrap().join("logs/finished-car.csv");
    let log = crownwheel_logs::read_log(&path, &ReadOptions::default()).unwrap();
    let found = audit(&log, &build, &build.days[0], &AuditOptions::default()).unwrap();
    let best = first(&found).unwrap_or_else(|| panic!("{:#?}", found.judged));
    assert_eq!(best.cause, Cause::ConstantForce, "{:#?}", found.judged);
    assert!((best.amount - 90.0).abs() < best.half_width_95, "{best:?}");
    assert!(best.half_width_95 < 40.0, "{best:?}");
    assert!(found.discharge_is_negative);
}

#[test]
fn short_logs_and_logs_without_amperes_are_refused_in_words() {
    let build = dunlin();
    let refused = |log: &Log| {
        audit(log, &build, &build.days[0], &AuditOptions::default()).unwrap_err().to_string()
    };
    let said = Said { negative: false, rows: 0..200, salt: 0.0 };
    let short = logged(&build.car, &build.days[0], &round(), &said);
    assert!(refused(&short).contains("too short to judge"), "{}", refused(&short));
    let read =
        |text: &str| read_log_from("d.csv", text.as_bytes(), &ReadOptions::default()).unwrap();
    let mut text = "time_s,speed_kmh,pack_voltage_v\n".to_owned();
    let mut gappy = "time_s,speed_kmh,pack_voltage_v,pack_current_a\n".to_owned();
    for i in 0..900 {
        let _ = writeln!(text, "{i},50,130");
        let _ = writeln!(gappy, "{i},50,130,{}", if i < 100 { "40" } else { "OFF" });
    }
    assert!(refused(&read(&text)).contains("no column of pack amperes"));
    assert!(refused(&read(&gappy)).contains("% of its time has volts and amperes"));
}

#[test]
fn the_written_fact_is_read_as_it_was_meant() {
    let build = dunlin();
    let found = audited(&build, |_, _| {}, &Said { negative: false, rows: WHOLE, salt: 3.0 });
    let folder = tempfile::tempdir().unwrap();
    let source = build.path.parent().unwrap();
    for entry in std::fs::read_dir(source).unwrap() {
        let entry = entry.unwrap();
        if entry.path().is_file() {
            std::fs::copy(entry.path(), folder.path().join(entry.file_name())).unwrap();
        }
    }
    let path = folder.path().join("build.toml");
    let fact = crownwheel_logs::audit::measured_table(&found, "june", "a \"log\".csv");
    let text = std::fs::read_to_string(&path).unwrap() + "\n" + &fact;
    std::fs::write(&path, text).unwrap();
    let cycle = found.trip.cycle_csv(crownwheel_logs::trip::CycleAxis::Time);
    std::fs::write(folder.path().join("june.csv"), cycle).unwrap();
    let read = crownwheel_files::load(&path, &[]).unwrap_or_else(|report| panic!("{report}"));
    let june = read.measured.iter().find(|fact| &*fact.name == "june").unwrap();
    let use_jpm = found.measured_j / found.compared_m;
    assert!((june.use_jpm.nominal / use_jpm - 1.0).abs() < 1e-3);
    assert!((june.use_jpm.half_width_95() / use_jpm - 0.02).abs() < 1e-3);
}
