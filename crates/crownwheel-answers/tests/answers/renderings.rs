//! Every rendering of the same answers: JSON, CSV and terminal text say the same and hide nothing.

use crownwheel_answers::{Band, Deciles, LoadCase, Units};
use serde_json::Value;

use crate::fixture;
use crate::same_words::{assert_range_words, assert_same_words, at, items};

#[test]
fn csv_headers_are_the_json_keys() {
    let (check, weigh, range) = (fixture::check(), fixture::weigh(), fixture::range());
    let check_json = serde_json::to_value(&check).unwrap();
    assert_same_words(&check.table(), &[&check_json]);
    assert_same_words(&check.days_table(), &items(&check_json["days"]));
    assert_same_words(&check.gears_table(), &items(&check_json["gears"]));
    assert_same_words(&check.stages_table(), &items(&check_json["stages"]));
    assert_same_words(
        &crownwheel_answers::sheets::assumed_table(&check.assumed),
        &items(&check_json["assumed"]),
    );
    let weigh_json = serde_json::to_value(&weigh).unwrap();
    assert_same_words(&weigh.table(), &items(&weigh_json["cases"]));
    assert_same_words(&weigh.limits_table(), &[&weigh_json["limits"]]);
    assert_same_words(
        &crownwheel_answers::sheets::warnings_table(&weigh.warnings),
        &items(&weigh_json["warnings"]),
    );
    let range_json = serde_json::to_value(&range).unwrap();
    assert_range_words(&range, &range_json);
}

#[test]
fn the_agreed_keys_of_range_are_there() {
    let json = serde_json::to_value(fixture::range()).unwrap();
    let result = &json["results"][0];
    for key in [
        "cycle",
        "day",
        "distance_km",
        "duration_s",
        "use_wh_per_km",
        "wall_wh_per_km",
        "range_km.nominal",
        "range_with_reserve_km",
        "shortfall_s",
        "shortfall_m",
        "cannot_follow_when_full",
        "binding.motor torque",
        "motor.rms_torque_nm",
        "motor.max_speed_rpm",
        "motor.heat_used_max",
        "windows",
        "balance_wh_per_km.air",
        "balance_wh_per_km.rolling",
        "balance_wh_per_km.climbing",
        "balance_wh_per_km.kinetic",
        "balance_wh_per_km.brake_drag",
        "balance_wh_per_km.driveline",
        "balance_wh_per_km.motor",
        "balance_wh_per_km.inverter",
        "balance_wh_per_km.dcdc",
        "balance_wh_per_km.pack",
        "balance_wh_per_km.ancillaries",
        "balance_wh_per_km.friction_brakes",
        "balance_wh_per_km.from_pack",
        "balance_wh_per_km.imbalance",
    ] {
        assert!(at(result, key).is_some(), "{key} is not in the JSON");
    }
    // A band that is not real is absent, not null.
    assert!(at(result, "range_km.p10").is_none());
}

#[test]
fn a_speed_that_cannot_be_held_is_said_and_dashed() {
    let mut range = fixture::range();
    range.steady.retain(|s| s.speed_kmh > 135.0 && s.day == "mild");
    let json = serde_json::to_value(&range).unwrap();
    assert_eq!(json["steady"][0]["held"], Value::from(false));
    let csv = range.steady_table().csv(&range.provenance);
    assert!(csv.contains("\n140,mild,false,"), "{csv}");
    assert!(range.steady_table().grid().rows[0].iter().any(|cell| *cell == "–"));
}

#[test]
fn a_number_that_went_astray_is_missing_in_every_rendering() {
    let mut range = fixture::range();
    range.results[0].wall_wh_per_km = f64::NAN;
    let json = serde_json::to_value(&range).unwrap();
    assert_eq!(json["results"][0]["wall_wh_per_km"], Value::Null);
    assert_same_words(&range.table(), &items(&json["results"]));
    assert!(!range.sheet().text().contains("NaN"));
}

#[test]
fn the_first_line_is_the_plain_answer() {
    let (check, weigh, range) = (fixture::check(), fixture::weigh(), fixture::range());
    for (text, plain) in [
        (check.sheet().text(), &check.plain),
        (weigh.sheet().text(), &weigh.plain),
        (range.sheet().text(), &range.plain),
    ] {
        assert_eq!(text.lines().next(), Some(plain.as_str()));
        assert!(text.trim_end().ends_with("crownwheel 0.1.0, inputs 5f3c9a1be07d42c8"), "{text}");
    }
}

#[test]
fn weigh_says_in_words_that_the_rear_axle_is_over_its_plate() {
    let weigh = fixture::weigh();
    let over = weigh.overloads();
    assert_eq!(over.len(), 1);
    assert_eq!((over[0].case, over[0].carrier), (LoadCase::AtGross, "the rear axle"));
    assert_eq!(
        weigh.plain,
        "Four up and loaded to gross mass the rear axle is at 676.1 kg, 16.1 kg over its plate. \
         Converted and empty the car weighs 845.4 kg, 50.5 % of it on the front axle."
    );
}

#[test]
fn weigh_names_the_closest_limit_when_all_are_kept() {
    let mut weigh = fixture::weigh();
    weigh.cases.truncate(4);
    assert!(
        weigh.plain_line().starts_with(
            "Every axle stays under its limits; the closest is the front axle four up, 60.9 kg under its plate."
        ),
        "{}",
        weigh.plain_line()
    );
    for case in &mut weigh.cases {
        case.front_plate_margin_kg = None;
        case.rear_plate_margin_kg = None;
        case.gross_margin_kg = None;
        case.front_tyre_margin_kg = None;
        case.rear_tyre_margin_kg = None;
    }
    assert!(weigh.plain_line().starts_with("No plate and no tyre load index are given"));
}

#[test]
fn range_text_keeps_to_a_terminal() {
    let text = fixture::range().sheet().text();
    for line in text.lines().skip(1) {
        assert!(unicode_width::UnicodeWidthStr::width(line) <= 120, "{line}");
    }
    assert!(text.contains("motor torque, 30 s"), "{text}");
}

#[test]
fn range_names_the_cycles_that_the_car_cannot_follow() {
    let mut range = fixture::range();
    assert!(range.plain.ends_with(" cannot follow wltc3b."), "{}", range.plain);
    range.results[1].cannot_follow_when_full = false;
    assert!(
        range.plain_line().ends_with(" cannot follow wltc3b (winter, summer)."),
        "{}",
        range.plain_line()
    );
    range.results.truncate(1);
    assert_eq!(range.plain_line(), "From full 163 km on udds (mild); with 15 % kept back 139 km.");
}

#[test]
fn ranges_of_one_build_stand_with_their_bands_in_brackets() {
    let band = |nominal: f64, half: f64| {
        let (p10, p90) = (nominal - half, nominal + half);
        Band::with(nominal, Deciles { p10, p50: nominal, p90, standard_error: Some(0.3) })
    };
    let mut range = fixture::range();
    range.results.truncate(1);
    let nominal = range.short_table().grid();
    assert!(!nominal.rows.iter().flatten().any(|cell| cell.text.contains(" to ")), "{nominal:?}");
    range.results[0].range_km = band(118.3, 10.4);
    range.results[0].use_wh_per_km = 141.2;
    range.results[0].use_band_wh_per_km = Some(band(141.2, 9.1));
    let grid = range.short_table().grid();
    assert_eq!(grid.head, nominal.head);
    let cell = |heading: &str| {
        let place = grid.head.iter().position(|head| head == heading).unwrap();
        grid.rows[0][place].text.as_str()
    };
    assert_eq!(cell("range, km"), "118 (108 to 129)");
    assert_eq!(cell("use, Wh/km"), "141 (132 to 150)");
    let csv = range.table().csv(&range.provenance);
    assert!(csv.contains("use_band_wh_per_km.p10,use_band_wh_per_km.p50,use_band_wh_per_km.p90"));
    range.units = Units::Us;
    let grid = range.short_table().grid();
    assert!(grid.rows[0].iter().any(|cell| *cell == "74 (67 to 80)"), "{grid:?}");
}
