//! Days as cold, hot, high, low and windy as the rules allow.

use crownwheel::Day;
use crownwheel::cycle::Cycle;
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::range::RangeRun;
use crownwheel::spec::{DaySpec, RoadSurface, Wind};
use crownwheel_testkit::assert_close;

use super::answers::{assert_finite, assert_plain_refusal, to_the_end};

fn town() -> Vec<Cycle> {
    vec![Cycle::builtin("udds").unwrap()]
}

fn degc(degrees: f64) -> DaySpec {
    DaySpec { name: format!("{degrees} °C").into(), temperature_k: 273.15 + degrees, ..mild_day() }
}

#[test]
fn cold_and_heat() {
    let days = [-60.0, -40.0, 60.0, 70.0].map(degc);
    assert_finite("temperature", &small_saloon(), &days, &town());
    // The colder, the thicker air, oil and tyres, the more the cells resist: the car goes less far.
    let far_m = days.map(|day| driven(&day).distance_m);
    assert!(far_m.is_sorted(), "{far_m:?}");
    assert!(far_m[0] < 0.8 * far_m[3], "{far_m:?}");
}

fn driven(day: &DaySpec) -> RangeRun {
    to_the_end(&small_saloon(), day, &town()[0])
}

#[test]
fn below_the_sea_and_on_high_passes() {
    let at = |altitude_m: f64| DaySpec {
        altitude_m,
        name: format!("{altitude_m} m").into(),
        ..mild_day()
    };
    let days = [-500.0, -400.0, 5000.0, 6000.0].map(at);
    assert_finite("altitude", &small_saloon(), &days, &town());
    // Thin air: the standard atmosphere has 0.60 of its density at 5,000 m; here the day is as warm as
    // at sea level, so it goes as the pressure, 54,020 over 101,325 Pa.
    let density = |day: &DaySpec| Day::new(day).unwrap().air_density_kgpm3();
    let dry = |altitude_m: f64| density(&DaySpec { humidity_frac: 0.0, ..at(altitude_m) });
    // Compressibility is 1 to 4 parts in ten thousand.
    assert_close!(dry(5000.0) / dry(0.0), 54_020.0 / 101_325.0, abs = 0.0, rel = 5e-4);
    let air_j = days.map(|day| driven(&day).balance.sum.air_j / driven(&day).distance_m);
    assert!(air_j.is_sorted_by(|low, high| low > high), "{air_j:?}");
}

#[test]
fn storms_and_stillness() {
    let with = |name: &str, wind: Wind| DaySpec { wind, name: name.into(), ..mild_day() };
    let days = [
        with("storm ahead", Wind::AlongRoad { speed_mps: 40.0, height_m: 0.75 }),
        with("storm behind", Wind::AlongRoad { speed_mps: -40.0, height_m: 0.75 }),
        with("storm", Wind::AllRound { speed_mps: 40.0, height_m: 2.0 }),
        with("no wind all round", Wind::AllRound { speed_mps: 0.0, height_m: 10.0 }),
        with("a breath", Wind::AllRound { speed_mps: 1e-9, height_m: 10.0 }),
    ];
    assert_finite("wind", &small_saloon(), &days, &town());
    let [ahead, behind, _, none, breath] = days.map(|day| driven(&day));
    assert!(behind.distance_m > ahead.distance_m);
    // A storm from behind pushes: air gives energy instead of taking it.
    assert!(behind.balance.sum.air_j < 0.0 && ahead.balance.sum.air_j > 0.0);
    let calm = driven(&mild_day());
    for still in [none, breath] {
        assert_close!(still.distance_m, calm.distance_m, abs = 0.0, rel = 1e-6);
    }
}

#[test]
fn dry_air_fog_ice_and_a_heater() {
    let dry = DaySpec { humidity_frac: 0.0, name: "dry".into(), ..mild_day() };
    let fog = DaySpec { humidity_frac: 1.0, name: "fog".into(), ..degc(70.0) };
    let ice = DaySpec { road: RoadSurface::Ice, name: "ice".into(), ..degc(-20.0) };
    let heater = DaySpec { extra_load_w: 50e3, name: "heater".into(), ..degc(-40.0) };
    let steam = DaySpec { altitude_m: 6000.0, name: "high fog".into(), ..fog.clone() };
    assert_finite("odd", &small_saloon(), &[dry, fog, steam, ice, heater], &town());
}

/// One step further is refused, and the end itself is not, however it was converted.
#[test]
fn what_lies_outside_is_refused_by_name() {
    let wind = |speed_mps: f64| Wind::AllRound { speed_mps, height_m: 10.0 };
    let outside = [
        (degc(-61.0), "temperature"),
        (degc(71.0), "temperature"),
        (degc(f64::NAN), "temperature"),
        (DaySpec { altitude_m: 6001.0, ..mild_day() }, "altitude"),
        (DaySpec { altitude_m: f64::NEG_INFINITY, ..mild_day() }, "altitude"),
        (DaySpec { humidity_frac: 1.01, ..mild_day() }, "humidity"),
        (DaySpec { wind: wind(-1.0), ..mild_day() }, "wind"),
        (DaySpec { wind: wind(41.0), ..mild_day() }, "wind"),
        (DaySpec { extra_load_w: -1.0, ..mild_day() }, "extra_load"),
        (DaySpec { pack_temperature_k: Some(100.0), ..mild_day() }, "pack_temperature"),
    ];
    for (day, key) in outside {
        let error = Day::new(&day).expect_err(key);
        assert_plain_refusal(key, &error);
        assert!(error.key().ends_with(key), "{error}");
    }
    for degrees in [-60.0, 70.0] {
        assert!(Day::new(&degc(degrees)).is_ok(), "{degrees} °C is allowed");
    }
}
