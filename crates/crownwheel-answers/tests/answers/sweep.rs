//! A sweep in all its renderings: the agreed keys, the same words in CSV and JSON, sentences made
//! from the numbers, US units.

use std::sync::Arc;

use crownwheel_answers::sweep::{
    Amount, AnswerName, Answers, Choices, DemandMet, FactAgainst, FactsAnswer, HeadToHead,
    JudgedBy, MeasureNext, facts_sentences, trade,
};
use crownwheel_answers::{
    Band, Cell, ChargeAnswer, Deciles, LoadCase, OptionAnswer, Provenance, RangeAnswer,
    SweepAnswer, Units, WorldDraw, json,
};
use crownwheel_quantities::{Question, rows};
use serde_json::Value;

fn range() -> Question {
    Question::of(&rows::RANGE).on_cycle("moor-round").on_day("winter")
}

fn names() -> Arc<[Question]> {
    Arc::from([
        range(),
        Question::of(&rows::TIME).between(0.0, 100.0),
        Question::of(&rows::MOTOR_SPEED).at_kmh(112.0),
        Question::of(&rows::CRUISE_MINUTES).at_kmh(112.0),
        Question::of(&rows::MASS).loaded(LoadCase::DriverOnly),
    ])
}

fn band(nominal: f64, half: f64, standard_error: f64) -> Band {
    let deciles = Deciles {
        p10: nominal - half,
        p50: nominal,
        p90: nominal + half,
        standard_error: Some(standard_error),
    };
    Band::with(nominal, deciles)
}

struct Numbers {
    modules: u8,
    range_km: f64,
    time_s: f64,
    motor_rpm: f64,
    mass_kg: f64,
    probability: f64,
}

fn option(ratio: &str, numbers: &Numbers) -> OptionAnswer {
    let modules = numbers.modules.to_string();
    let bands = vec![
        band(numbers.range_km, 8.437, 0.312),
        band(numbers.time_s, 0.712, 0.021),
        band(numbers.motor_rpm, 0.0, 0.0),
        Band::only(f64::INFINITY),
        band(numbers.mass_kg, 3.2, 0.11),
    ];
    let met = |name: &str, probability: f64| DemandMet {
        name: name.into(),
        probability,
        standard_error: 0.007,
        sure: Some(0.9),
        met: probability >= 0.9,
    };
    OptionAnswer {
        id: format!("axle.ratio={ratio} modules_in_series={modules}"),
        choices: choices(ratio, &modules),
        answers: Answers::new(names(), bands),
        demands: vec![met("moor_round", numbers.probability), met("cruise", 1.0)],
        all_demands_probability: Some(numbers.probability),
        all_demands_standard_error: Some(0.007),
        meets_all: numbers.probability >= 0.9,
        non_dominated: Some(true),
        price: Some(310.0 * f64::from(numbers.modules)),
        worlds: 2000,
        reason: None,
    }
}

fn choices(ratio: &str, modules: &str) -> Choices {
    let pair = |of: &str, is: &str| (Arc::from(of), Arc::from(is));
    Choices(vec![pair("driveline.axle.ratio", ratio), pair("pack.modules_in_series", modules)])
}

fn sweep() -> SweepAnswer {
    let numbers = |modules, range_km, time_s, motor_rpm, mass_kg, probability| Numbers {
        modules,
        range_km,
        time_s,
        motor_rpm,
        mass_kg,
        probability,
    };
    let options = vec![
        option("3.89", &numbers(9, 92.345, 18.312, 6176.0, 905.3, 0.931)),
        option("4.22", &numbers(9, 90.112, 17.704, 6700.0, 905.3, 0.894_5)),
        option("3.89", &numbers(8, 82.004, 18.9, 6176.0, 893.9, 0.311)),
        OptionAnswer::impossible(
            "axle.ratio=3.89 modules_in_series=10".to_owned(),
            choices("3.89", "10"),
            "`pack.modules_in_series` gives 168 V, and the controller allows 156 V".to_owned(),
        ),
    ];
    let mut answer = SweepAnswer {
        provenance: Provenance { seed: Some(1), ..Provenance::default() },
        car: "Dunlin 1100 saloon, 1967".into(),
        cycles: vec!["moor-round".to_owned()],
        days: vec!["winter".into()],
        worlds: 2000,
        screening: Some("All options were run in the first 200 worlds.".to_owned()),
        currency: Some("EUR".to_owned()),
        option_count: 4,
        impossible_count: 1,
        meets_all_count: 1,
        judged_by: names().iter().map(JudgedBy::of).collect(),
        ranking: [0, 1, 2].map(|place: usize| options[place].id.clone()).to_vec(),
        ranking_rule: "The least money first.".to_owned(),
        non_dominated_over: vec![AnswerName::of(&range())],
        head_to_head: vec![HeadToHead {
            id: options[0].id.clone(),
            over: options[1].id.clone(),
            answer: range().key(),
            probability: 0.997,
            standard_error: 0.002,
        }],
        measure_next: vec![MeasureNext::new(
            &range(),
            "tyres.rolling_resistance",
            (0.5123, 0.031),
            Some("tyres.rolling_resistance = \"0.0115 ± 0.0005\"".to_owned()),
        )],
        facts: Some(FactsAnswer {
            used: vec!["moor_in_may".to_owned()],
            effective_worlds: 312.4,
            tempered_by: None,
            contradictions: vec![FactAgainst {
                fact: "moor_in_may".to_owned(),
                measured: Amount { value: 161.0, unit: "Wh/km" },
                predicted: Amount { value: 138.0, unit: "Wh/km" },
                distance_sd: 3.42,
            }],
        }),
        options,
        ..SweepAnswer::default()
    };
    answer.trades = answer.trades_of_best(&names());
    answer.plain = answer.plain_line();
    answer
}

#[test]
fn the_agreed_keys_are_there() {
    let json = json::value(&sweep(), Units::Metric).unwrap();
    let first = &json["options"][0];
    assert_eq!(first["id"], "axle.ratio=3.89 modules_in_series=9");
    assert_eq!(first["choices"]["driveline.axle.ratio"], "3.89");
    assert_eq!(first["demands"][0]["name"], "moor_round");
    assert_eq!(first["demands"][0]["probability"], 0.931);
    assert_eq!(first["demands"][0]["met"], true);
    assert_eq!(first["reason"], Value::Null);
    // No more digits than the standard error allows; the nominal value is exact.
    let range = &first["answers"]["range_km.moor-round.winter"];
    assert_eq!(
        range.to_string(),
        r#"{"nominal":92.345,"p10":84.0,"p50":92.0,"p90":101.0,"standard_error":0.31}"#
    );
    let impossible = &json["options"][3];
    assert!(impossible["reason"].as_str().unwrap().contains("156 V"));
    assert_eq!(impossible["answers"].to_string(), "{}");
    assert_eq!(json["ranking"][0], first["id"]);
    let next = &json["measure_next"][0];
    assert_eq!(next["answer"], "range_km.moor-round.winter");
    assert_eq!(next["key"], "tyres.rolling_resistance");
    assert_eq!(next["share"], 0.5);
    assert_eq!(next["band_shrinks_pct"], 30.0);
}

#[test]
fn differences_are_said_as_people_say_them() {
    let answer = sweep();
    let [time, speed] = [&names()[1], &names()[2]].map(Question::clone);
    let said = trade(&answer.options[0], &answer.options[1], &[time, speed], None, Units::Metric);
    assert_eq!(
        said.unwrap().text,
        "3.89 instead of 4.22 gives up 0.6 s to 100 km/h and turns 524 rpm slower at 112 km/h."
    );
    let texts: Vec<&str> = answer.trades.iter().map(|trade| trade.text.as_str()).collect();
    assert_eq!(
        texts,
        [
            "3.89 instead of 4.22 goes 2 km farther on moor-round (winter), gives up 0.6 s to 100 km/h and turns 524 rpm slower at 112 km/h.",
            "9 instead of 8 goes 10 km farther on moor-round (winter), gains 0.6 s to 100 km/h, weighs 11.4 kg more and costs 310 EUR more.",
        ]
    );
    // Two choices at once are no trade.
    assert_eq!(trade(&answer.options[1], &answer.options[2], &names(), None, Units::Metric), None);
}

#[test]
fn the_first_line_says_what_to_take() {
    let mut answer = sweep();
    assert_eq!(
        answer.plain_line(),
        "axle.ratio=3.89 modules_in_series=9 meets both demands with a probability of 93 % and costs 2790 EUR; it is the only one of 4 options. One of them cannot be built."
    );
    answer.currency = None;
    answer.options[1].meets_all = true;
    answer.meets_all_count = 2;
    assert_eq!(
        answer.plain_line(),
        "axle.ratio=3.89 modules_in_series=9 meets both demands with a probability of 93 % and weighs 905.3 kg with the driver; 2 do so of 4 options. One of them cannot be built."
    );
    for option in &mut answer.options {
        option.meets_all = false;
    }
    assert_eq!(
        answer.plain_line(),
        "None of 4 options meets both demands as surely as asked; the closest is axle.ratio=3.89 modules_in_series=9, which meets them together with a probability of 93 % and weighs 905.3 kg with the driver. One of them cannot be built."
    );
    answer.ranking.clear();
    answer.impossible_count = 4;
    assert_eq!(
        answer.plain_line(),
        "None of 4 options can be built; the first because `pack.modules_in_series` gives 168 V, and the controller allows 156 V."
    );
    assert_eq!(SweepAnswer::default().plain_line(), "There is no option.");
}

/// The path of a column that goes through a name with dots in it.
fn at<'a>(json: &'a Value, key: &str) -> Option<&'a Value> {
    if let Some((name, part)) = key.strip_prefix("answers.").and_then(|rest| rest.rsplit_once('.'))
    {
        return json["answers"].get(name)?.get(part);
    }
    if let Some(of) = key.strip_prefix("choices.") {
        return json["choices"].get(of);
    }
    if let Some((name, part)) = key.strip_prefix("demands.").and_then(|rest| rest.rsplit_once('.'))
    {
        let demands = json["demands"].as_array()?;
        return demands.iter().find(|met| met["name"] == name)?.get(part);
    }
    json.get(key)
}

#[test]
fn csv_headers_are_the_json_keys_in_both_units() {
    for units in [Units::Metric, Units::Us] {
        let answer = SweepAnswer { units, ..sweep() };
        let json = json::value(&answer, units).unwrap();
        let table = answer.options_table();
        let rows: Value = serde_json::to_value(&table).unwrap();
        for (row, option) in
            rows.as_array().unwrap().iter().zip(json["options"].as_array().unwrap())
        {
            for (key, value) in row.as_object().unwrap() {
                let there = at(option, key).unwrap_or(&Value::Null);
                let same = match (value.as_f64(), there.as_f64()) {
                    (Some(cell), Some(number)) => (cell - number).abs() <= 1e-9 * number.abs(),
                    _ => value == there,
                };
                assert!(same, "{key}: {value} in the table, {there} in JSON");
            }
        }
        assert_eq!(rows.as_array().unwrap().len(), 4);
    }
}

#[test]
fn us_units_reach_every_name_and_number() {
    let answer = SweepAnswer { units: Units::Us, ..sweep() };
    let json = json::value(&answer, Units::Us).unwrap();
    let band = &json["options"][0]["answers"]["range_miles.moor-round.winter"];
    assert!((band["nominal"].as_f64().unwrap() - 92.345 / 1.609_344).abs() < 1e-9);
    assert_eq!(json["measure_next"][0]["answer"], "range_miles.moor-round.winter");
    assert_eq!(json["head_to_head"][0]["answer"], "range_miles.moor-round.winter");
    assert_eq!(json["judged_by"][0]["unit"], "miles");
    assert_eq!(json["facts"]["contradictions"][0]["measured"]["unit"], "Wh/mile");
    let rows = answer.answers_table().rows;
    assert_eq!(rows[0][1], Cell::from("range_miles.moor-round.winter"));
    assert_eq!(rows[0][2], Cell::from("miles"));
    assert_eq!(rows[0][3], Cell::from(92.345 / 1.609_344));
    assert!(answer.sheet().text().contains("farther on moor-round"), "{}", answer.sheet().text());
}

#[test]
fn the_screen_shows_the_decision_and_hides_nothing() {
    let text = sweep().sheet().text();
    assert!(text.starts_with(&sweep().plain));
    for part in [
        "axle.ratio=3.89 modules_in_series=9",
        "89 % !",
        "no cut-back",
        "instead of 4.22 goes 2 km farther",
        "over 99 %",
        "tyres.rolling_resistance = \"0.0115 ± 0.0005\"",
        "168 V",
        "312 of 2000 are left in effect",
        "The least money first.",
        "seed 1",
    ] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
}

#[test]
fn facts_are_said_with_both_numbers() {
    let mut facts = sweep().facts.unwrap();
    let said = |facts: &FactsAnswer, units| facts_sentences(facts, 2000, units).join("\n");
    assert!(said(&facts, Units::Metric).ends_with(
        "The fact moor_in_may contradicts the build: 161 Wh/km was measured where the build says 138 Wh/km, 3.4 joint standard deviations apart."
    ));
    assert!(said(&facts, Units::Us).contains("259 Wh/mile was measured where the build says 222"));
    assert!(said(&facts, Units::Metric).contains("draw more worlds."), "312 are few");
    facts.tempered_by = Some(0.314);
    assert!(said(&facts, Units::Metric).contains("they count with 0.31 of their weight"));
}

#[test]
fn a_known_input_narrows_the_band_by_the_root_of_what_is_left() {
    // 1 - √(1 - 0.75) = 0.5; below 0 a share is noise.
    let shrinks = |share| MeasureNext::new(&range(), "k", (share, 0.004), None).band_shrinks_pct;
    assert!((shrinks(0.75) - 50.0).abs() < 1e-9);
    assert!(shrinks(-0.01).abs() < 1e-9 && (shrinks(1.02) - 100.0).abs() < 1e-9);
}

#[test]
fn one_build_shows_bands_and_what_to_measure_too() {
    let first = sweep().options.remove(0);
    let charge = ChargeAnswer { bands: first.answers, ..ChargeAnswer::default() };
    let json = json::value(&charge, Units::Us).unwrap();
    let band = &json["bands"]["range_miles.moor-round.winter"];
    assert_eq!(band["p10"], 52.1);
    let none = json::value(&ChargeAnswer::default(), Units::Metric).unwrap();
    assert_eq!(none.get("bands"), None);
    let range = RangeAnswer { measure_next: sweep().measure_next, ..RangeAnswer::default() };
    let text = range.sheet().text();
    assert!(text.contains("What to measure next") && text.contains("0.0115 ± 0.0005"), "{text}");
}

#[test]
fn tidy_tables_have_a_row_for_each_thing() {
    let answer = sweep();
    assert_eq!(answer.answers_table().rows.len(), 3 * 5);
    assert_eq!(answer.demands_table().rows.len(), 3 * 2);
    assert_eq!(answer.ranking_table().rows.len(), 3);
    assert_eq!(answer.measure_table().rows.len(), 1);
    let csv = answer.answers_table().csv(&answer.provenance);
    assert!(csv.contains("range_km.moor-round.winter,km,92.345,84,92,101,0.312"), "{csv}");
}

#[test]
fn what_bands_are_drawn_from_is_said() {
    let mut drawn = WorldDraw { worlds: 2000, facts: None };
    let said = drawn.sentences(Units::Metric);
    assert_eq!(said.len(), 1);
    assert!(said[0].starts_with("Bands are from 2000 worlds"), "{said:?}");
    drawn.facts = sweep().facts;
    let said = drawn.sentences(Units::Metric).join(" ");
    assert!(said.contains("312 of 2000 are left in effect"), "{said}");
    assert!(said.contains("The fact moor_in_may contradicts the build"), "{said}");
}
