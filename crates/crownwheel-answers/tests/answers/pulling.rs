//! `pull`, `charge` and `gauges` from real runs of the model.

use crownwheel::example::{mild_day, small_saloon, winter_day};
use crownwheel::gauges::{FinalDrive, SpeedometerDrive};
use crownwheel::hold::Climb;
use crownwheel::spec::{FirstStage, GearboxSpec, Shifting, StageSpec};
use crownwheel_answers::from_car::{ChargeAsked, Hill, SpeedometerSource, charge, gauges, pull};
use crownwheel_answers::{PullAnswer, Units, json};
use crownwheel_quantities::{Question, Questions, Supply, rows};
use serde_json::Value;

use crate::subjects::subject;

fn bank() -> Hill {
    let climb = Climb { speed_mps: 60.0 / 3.6, grade_frac: 0.20 };
    Hill { name: "bank".into(), length_m: 5_200.0, climb }
}

fn saloon(units: Units) -> PullAnswer {
    pull(&subject(&small_saloon(), &[mild_day(), winter_day()], units), 0, &[bank()])
}

#[test]
fn pull_has_the_keys_that_programs_read() {
    let answer = json::value(&saloon(Units::Metric), Units::Metric).expect("plain data");
    let row = &answer["table"][0];
    for key in [
        "speed_kmh",
        "motor_speed_rpm",
        "gear",
        "effective_mass_kg",
        "pull_n",
        "continuous_pull_n",
        "road_load_n",
    ] {
        assert!(row[key].is_number(), "{key}");
    }
    for key in ["kmh_0_50", "kmh_0_100", "mph_0_60", "kmh_50_80", "kmh_80_120", "quarter_mile"] {
        assert!(answer["times_s"][key].is_number(), "{key}");
    }
    assert_eq!(answer["shift_s"], Value::Null);
    assert!(answer["top_speed"]["kmh"].is_number() && answer["top_speed"]["limit"].is_string());
    assert!(answer["start_grade_pct"].is_number());
    for key in [
        "speed_kmh",
        "grade_pct",
        "continuous_grade_pct",
        "minutes_to_cut_back",
        "minutes_to_cut_back_warm",
    ] {
        assert!(answer["hold"][1][key].is_number(), "{key}");
    }
}

#[test]
fn every_row_has_a_limit_and_the_table_is_every_km_h() {
    let answer = saloon(Units::Metric);
    let tables =
        std::iter::once(&answer.table).chain(answer.at_less_charge.iter().map(|at| &at.table));
    for table in tables {
        assert!(table.iter().all(|row| !row.limit.is_empty() && row.limit != "none"));
        let last = table.len() - 1;
        for (i, row) in table[..last].iter().enumerate() {
            let wanted = f64::from(u32::try_from(i).expect("a short table"));
            assert!((row.speed_kmh - wanted).abs() < 1e-9, "{}", row.speed_kmh);
        }
    }
    // A weaker pack pulls less at speed, never more.
    let at = |answer: &PullAnswer, i: usize| answer.at_less_charge[i].table[100].pull_n;
    assert!(at(&answer, 1) < at(&answer, 0) && at(&answer, 0) < answer.table[100].pull_n);
}

#[test]
fn minutes_are_fewer_when_warm_and_a_hill_says_how_it_ends() {
    let answer = saloon(Units::Metric);
    for line in &answer.hold {
        if let (Some(cold), Some(warm)) = (line.minutes_to_cut_back, line.minutes_to_cut_back_warm)
        {
            assert!(warm <= cold, "{line:?}");
        }
        if let (Some(peak), Some(hot)) = (line.grade_pct, line.continuous_grade_pct) {
            assert!(hot < peak, "{line:?}");
        }
    }
    let flat = &answer.cruise[0];
    assert!((flat.speed_kmh - 112.0).abs() < 1e-9 && flat.grade_pct == 0.0);
    assert_eq!(flat.minutes_to_cut_back, None, "{flat:?}");
    let hill = &answer.hills[0];
    assert_eq!(hill.held, "motor cuts back");
    assert!(hill.minutes_to_cut_back.expect("it cuts back") < hill.minutes + 10.0);
    assert!(hill.heat.len() > 50 && hill.heat.iter().all(|point| point.heat_used < 1.01));
}

#[test]
fn every_hill_says_how_fast_it_is_climbed_cold_and_hot_and_what_limits_it() {
    let subject = subject(&small_saloon(), &[mild_day()], Units::Metric);
    let on = |grade_frac| Hill { climb: Climb { speed_mps: 15.0, grade_frac }, ..bank() };
    let answer = pull(&subject, 0, &[on(0.08), on(0.95)]);
    let (hill, flat) = (&answer.hills[0], &answer.cruise[0]);
    let [cold, hot] =
        [hill.fastest_kmh, hill.fastest_hot_kmh].map(|kmh| kmh.expect("it is climbed"));
    assert!(hot < cold && cold < answer.top_speed.kmh, "{hot} {cold}");
    // On the flat it is the top speed.
    assert!((flat.fastest_kmh.expect("it goes") - answer.top_speed.kmh).abs() < 1e-6);
    assert_eq!(flat.fastest_limit, answer.top_speed.limit);
    assert_eq!(hill.fastest_hot_limit, "heat");
    // At that speed the grade is the steepest, and what demands and sweeps ask is the same number.
    let ask = |list: Vec<Question>| {
        let names = vec![subject.days[0].name().clone()];
        let questions =
            Questions::new(list, Vec::new(), names, Vec::new()).expect("they are there");
        questions.of_one(&subject.car, &subject.days, None)
    };
    let on = |row| Question::of(row).on_grade_pct(8.0);
    let asked = ask(vec![
        on(&rows::HILL_SPEED),
        on(&rows::HILL_SPEED_HOT),
        Question::of(&rows::HOLD_GRADE).at_kmh(cold),
    ]);
    assert_eq!(asked[..2], [cold, hot]);
    assert!((asked[2] - 8.0).abs() < 1e-3, "{asked:?}");
    let wall = &answer.hills[1];
    assert_eq!((wall.fastest_kmh, wall.fastest_limit.as_str()), (None, "not held"));
}

#[test]
fn without_peak_seconds_heat_is_not_known_and_the_rest_is_answered() {
    let mut spec = small_saloon();
    spec.motor.peak_seconds = None;
    let answer = pull(&subject(&spec, &[mild_day(), winter_day()], Units::Metric), 0, &[bank()]);
    assert!(answer.warnings.iter().any(|warning| warning.code == "heat_not_known"));
    assert!(answer.hills[0].held.starts_with("heat not known"));
    assert_eq!(answer.thirty_minutes.power_kw, None);
    assert!(answer.times_s.kmh_0_100.is_some());
}

#[test]
fn a_hill_too_steep_is_said_and_the_rest_is_answered() {
    let steep = Hill { climb: Climb { speed_mps: 20.0, grade_frac: 0.5 }, ..bank() };
    let answer =
        pull(&subject(&small_saloon(), &[mild_day(), winter_day()], Units::Metric), 0, &[steep]);
    let warning = answer.warnings.iter().find(|warning| warning.code == "hill_not_held");
    assert!(warning.expect("it says so").text.contains("bank (50.0 %)"));
    assert!(answer.top_speed.kmh > 100.0);
}

#[test]
fn a_gearbox_is_shifted_and_every_gear_has_its_shafts() {
    let mut spec = small_saloon();
    let FirstStage::Reduction(stage) = spec.driveline.first else { panic!("it has a reduction") };
    let gears = [3.2, 1.9, 1.3].map(|ratio| StageSpec { ratio, ..stage }).to_vec();
    let shifting = Shifting::LeastLoss { dwell_s: 2.0, shift_s: 0.6 };
    spec.driveline.first = FirstStage::Gearbox(GearboxSpec { gears, shifting });
    let answer = pull(&subject(&spec, &[mild_day(), winter_day()], Units::Metric), 0, &[]);
    assert_eq!(answer.shift_s, Some(0.6));
    let gears: std::collections::BTreeSet<usize> = answer.run.iter().map(|p| p.gear).collect();
    assert!(gears.len() >= 2, "{gears:?}");
    assert!(answer.shafts.iter().any(|line| line.gear == 1 && line.over_speed));
    assert!(answer.shafts.iter().any(|line| line.gear == 3 && !line.over_speed));
}

#[test]
fn us_units_convert_forces_and_speeds() {
    let metric = saloon(Units::Metric);
    let us = json::value(&saloon(Units::Us), Units::Us).expect("plain data");
    let pull_lbf = us["table"][0]["pull_lbf"].as_f64().expect("a number");
    assert!((pull_lbf * 4.448_221_615_260_5 / metric.table[0].pull_n - 1.0).abs() < 1e-12);
    let speed_mph = us["table"][100]["speed_mph"].as_f64().expect("a number");
    assert!((speed_mph * 1.609_344 - 100.0).abs() < 1e-9);
    assert!(saloon(Units::Us).sheet().text().contains("lbf"));
}

#[test]
fn charge_says_each_supply_and_what_does_not_charge() {
    let subject = subject(&small_saloon(), &[mild_day(), winter_day()], Units::Metric);
    let supply = |name: &str, limit_w: f64| Supply { name: name.into(), limit_w };
    let asked = ChargeAsked {
        day: 1,
        from_frac: 0.1,
        to_frac: 1.0,
        supplies: vec![supply("wallbox", 7400.0), supply("dead", 0.0)],
        wall_use: Some((160.0, "wltc3b (mild)".to_owned())),
    };
    let answer = charge(&subject, &asked);
    let wallbox = &answer.supplies[0];
    let (hours, kwh) = (wallbox.hours.expect("it charges"), wallbox.wall_kwh.expect("so"));
    assert!(hours > 3.0 && hours < 6.0 && kwh > 18.0 && kwh < 25.0, "{hours} {kwh}");
    assert!(wallbox.end_pct > 98.0 && wallbox.end_pct < 100.0 && wallbox.taper_from_pct.is_some());
    let by_hand = kwh * 1000.0 / 160.0 / hours;
    assert!((wallbox.km_per_hour.expect("a use is given") / by_hand - 1.0).abs() < 1e-9);
    assert_eq!(answer.supplies[1].hours, None);
    let codes: Vec<&str> = answer.warnings.iter().map(|warning| warning.code.as_str()).collect();
    assert_eq!(codes, ["cold_pack", "ends_early", "does_not_charge"]);
    assert!(answer.warm_up_kwh > 0.1);
    let text = answer.sheet().text();
    assert!(text.starts_with("From 10 % to 100 %: "), "{text}");
    assert!(text.contains("no charge at dead"));
}

#[test]
fn gauges_correct_the_speedometer_from_what_it_belonged_to() {
    let subject = subject(&small_saloon(), &[mild_day(), winter_day()], Units::Metric);
    let radius = subject.car.rolling_radius_m();
    let before = SpeedometerSource {
        gearing: FinalDrive { final_drive_ratio: 3.7, rolling_radius_m: radius },
        drive: SpeedometerDrive::PropellerShaft,
        pulses_per_turn: Some(6.0),
    };
    let answer = gauges(&subject, Some(&before));
    let speedometer = answer.speedometer.as_ref().expect("it is known");
    assert!((speedometer.reads_at_100_kmh_kmh - 100.0 * 4.22 / 3.7).abs() < 1e-9);
    let turns = 1000.0 * 4.22 / (std::f64::consts::TAU * radius);
    assert!((speedometer.turns_per_kilometre / turns - 1.0).abs() < 1e-12);
    assert!((speedometer.pulses_per_kilometre.expect("a sender") / turns - 6.0).abs() < 1e-9);
    assert!(
        (answer.charge[5].cell_voltage_v * 36.0 - answer.charge[5].rest_voltage_v).abs() < 1e-9
    );
    assert!(answer.sheet().text().contains("114.1 km/h"), "{}", answer.sheet().text());
    let unknown = gauges(&subject, None);
    assert!(unknown.plain.starts_with("What the speedometer belonged to is not known"));
}
