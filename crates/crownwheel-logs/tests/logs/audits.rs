//! Logs of cars with a known fault: the audit must find it, and find nothing where nothing is wrong.

use std::fmt::Write as _;
use std::path::Path;

use crownwheel::cycle::Cycle;
use crownwheel::drive::{Driver, drive, start_state};
use crownwheel::spec::{CarSpec, DaySpec};
use crownwheel::{Car, Day};
use crownwheel_files::Build;
use crownwheel_logs::audit::{Audit, AuditOptions, Cause, audit};
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

/// What a logger writes of a car on a cycle, with noise in every column.
fn logged(car: &CarSpec, day: &DaySpec, cycle: &Cycle, said: &Said) -> Log {
    let (car, day) = (Car::new(car).unwrap(), Day::new(day).unwrap());
    let mut state = start_state(&car, &day, cycle);
    let mut text = "time_s,speed_kmh,elevation_m,pack_voltage_v,pack_current_a\n".to_owned();
    let (mut time_s, mut height_m) = (0.0, 100.0);
    let mut i = 0;
    drive(&mut Driver::new(&car, &day), cycle, &mut state, |driven| {
        let step = driven.step;
        time_s += step.duration_s;
        height_m += step.distance_m * driven.leg.sin;
        let sign = if said.negative { -1.0 } else { 1.0 };
        let current = sign * step.current_a + 0.3 * noise(i, said.salt + 1.0);
        if said.rows.contains(&i) {
            let _ = writeln!(
                text,
                "{time_s:.2},{:.2},{:.1},{:.2},{current:.1}",
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
        assert_eq!(found.judged[0].cause, None, "{:#?}", found.judged);
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
            assert_eq!(found.judged[0].cause, Some(cause), "{:#?}", found.judged);
            continue;
        }
        let salt = f64::from(u32::try_from(k).unwrap());
        let found = audited(&build, fault, &said(salt));
        let best = found.judged[0];
        assert_eq!(best.cause, Some(cause), "{amount}: {:#?}", found.judged);
        assert!(best.probability > 0.5, "{amount}: {:#?}", found.judged);
        let off = (best.amount - amount).abs();
        assert!(off < 1.5 * best.half_width_95, "{cause:?} {amount}: {best:?}");
        assert!(best.half_width_95 < 0.8 * amount.abs(), "{cause:?} {amount}: {best:?}");
    }
}

/// The demo's log is made with 90 N of a dragging brake: the audit says so.
#[test]
fn the_demo_has_a_dragging_brake() {
    let build = dunlin();
    let path = build.path.parent().unwrap().join("logs/finished-car.csv");
    let log = crownwheel_logs::read_log(&path, &ReadOptions::default()).unwrap();
    let found = audit(&log, &build, &build.days[0], &AuditOptions::default()).unwrap();
    let best = found.judged[0];
    assert_eq!(best.cause, Some(Cause::ConstantForce), "{:#?}", found.judged);
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
