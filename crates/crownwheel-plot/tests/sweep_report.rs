//! The report of an invented sweep: the decision first, every figure and table, nothing that runs.

use std::collections::BTreeMap;
use std::sync::Arc;

use crownwheel_answers::sweep::{
    Amount, AnswerName, Answers, Choices, DemandLimit, DemandMet, FactAgainst, FactsAnswer,
    HeadToHead, MeasureNext,
};
use crownwheel_answers::{Assumption, Band, Deciles, LoadCase, OptionAnswer, SweepAnswer, Units};
use crownwheel_plot::{SweepInput, sweep_files};
use crownwheel_quantities::{Question, rows};

fn range() -> Question {
    Question::of(&rows::RANGE).on_cycle("moor-round").on_day("winter")
}

fn names() -> Arc<[Question]> {
    Arc::from([
        range(),
        Question::of(&rows::TIME).between(0.0, 100.0),
        Question::of(&rows::MOTOR_SPEED).at_kmh(112.0),
        Question::of(&rows::MASS).loaded(LoadCase::DriverOnly),
    ])
}

fn option(ratio: f64, modules: u32, probability: f64) -> OptionAnswer {
    let (ratio_text, modules_text) = (format!("{ratio}"), modules.to_string());
    let band = |middle: f64, half: f64| {
        let (p10, p90) = (middle - half, middle + half);
        Band::with(middle, Deciles { p10, p50: middle, p90, standard_error: Some(0.02 * half) })
    };
    let count = f64::from(modules);
    let bands = vec![
        band(10.4 * count - ratio, 8.0),
        band(25.0 - 1.7 * ratio, 0.7),
        Band::only(1588.0 * ratio),
        band(802.7 + 11.4 * count, 3.0),
    ];
    let pair = |of: &str, is: &str| (Arc::from(of), Arc::from(is));
    let choices = Choices(vec![
        pair("driveline.axle.ratio", &ratio_text),
        pair("pack.modules_in_series", &modules_text),
    ]);
    let id = format!("axle.ratio={ratio_text} modules_in_series={modules_text}");
    if modules > 9 {
        return OptionAnswer::impossible(id, choices, "the controller allows 156 V".to_owned());
    }
    OptionAnswer {
        id,
        choices,
        answers: Answers::new(names(), bands),
        demands: vec![DemandMet {
            name: "moor_round".into(),
            probability,
            standard_error: 0.007,
            sure: Some(0.9),
            met: probability >= 0.9,
        }],
        all_demands_probability: Some(probability),
        all_demands_standard_error: Some(0.007),
        meets_all: probability >= 0.9,
        non_dominated: Some(true),
        price: Some(310.0 * count),
        worlds: 2000,
        reason: None,
    }
}

fn sweep() -> SweepAnswer {
    let options = vec![
        option(3.89, 9, 0.931),
        option(4.22, 9, 0.894),
        option(3.89, 8, 0.311),
        option(4.22, 8, 0.27),
        option(3.89, 10, 0.0),
        option(4.22, 10, 0.0),
    ];
    let mut answer = SweepAnswer {
        car: "Dunlin 1100 saloon, 1967".into(),
        cycles: vec!["moor-round".to_owned()],
        days: vec!["winter".into()],
        worlds: 2000,
        screening: Some("All options were run in the first 200 worlds.".to_owned()),
        currency: Some("EUR".to_owned()),
        option_count: 6,
        impossible_count: 2,
        meets_all_count: 1,
        demand_limits: vec![DemandLimit::new("moor_round", &range(), true, 85.0)],
        ranking: options[..4].iter().map(|option| option.id.clone()).collect(),
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
            (0.51, 0.03),
            Some("tyres.rolling_resistance = \"0.0115 ± 0.0005\"".to_owned()),
        )],
        facts: Some(FactsAnswer {
            used: vec!["moor_in_may".to_owned()],
            effective_worlds: 812.0,
            tempered_by: None,
            contradictions: vec![FactAgainst {
                fact: "moor_in_may".to_owned(),
                measured: Amount { value: 161.0, unit: "Wh/km" },
                predicted: Amount { value: 138.0, unit: "Wh/km" },
                distance_sd: 3.42,
            }],
        }),
        assumed: vec![Assumption {
            key: "car.brake_drag".to_owned(),
            value: "10 N".to_owned(),
            band: Some("± 10 N".to_owned()),
            source: "engineer's judgement".to_owned(),
            ..Assumption::default()
        }],
        options,
        ..SweepAnswer::default()
    };
    answer.trades = answer.trades_of_best(&names());
    answer.plain = answer.plain_line();
    answer
}

fn drawn(answer: SweepAnswer) -> BTreeMap<String, Vec<u8>> {
    let list = sweep_files(&SweepInput { answer, png: false }).expect("drawn");
    let count = list.len();
    let map: BTreeMap<_, _> = list.into_iter().collect();
    assert_eq!(map.len(), count, "two files have one name");
    map
}

fn page(files: &BTreeMap<String, Vec<u8>>) -> String {
    String::from_utf8(files["report.html"].clone()).expect("UTF-8").replace('\u{a0}', " ")
}

#[test]
fn the_decision_stands_first_and_everything_follows() {
    let answer = sweep();
    let page = page(&drawn(answer.clone()));
    let places: Vec<usize> = [
        answer.plain.as_str(),
        "moor_round 93 % (asked 90 %).",
        "A fact contradicts the build",
        "The best options",
        "What the best option chooses",
        "3.89 instead of 4.22",
        "How often the best option is better",
        "tyres.rolling_resistance = ",
        "share of the variance",
        "the controller allows 156 V",
        "engineer's judgement",
        "Made by crownwheel",
    ]
    .iter()
    .map(|part| page.find(*part).unwrap_or_else(|| panic!("{part}")))
    .collect();
    // The reason why options are impossible stands in a figure's words before its own section.
    let mut sorted = places.clone();
    sorted.sort_unstable();
    assert_eq!(places[..3], sorted[..3], "the answers come first");
    assert!(places[3..].iter().all(|place| *place > places[2]), "{places:?}");
    assert!(page.contains("id=\"decision\"") && page.contains("href=\"#decision\""));
}

#[test]
fn every_figure_and_table_is_there_and_linked() {
    let files = drawn(sweep());
    let page = page(&files);
    let figures =
        ["sweep-answers", "sweep-modules", "sweep-heat", "sweep-front", "sweep-measure-next"];
    for slug in figures {
        assert!(files.contains_key(&format!("figures/{slug}.svg")), "{slug}");
        assert!(page.contains(&format!("id=\"{slug}-desc\"")), "{slug}");
    }
    for name in files.keys().filter(|name| name.starts_with("tables/")) {
        assert!(page.contains(&format!("href=\"{name}\"")), "{name} is not linked");
    }
    assert!(page.contains("href=\"sweep.json\""));
    let json: serde_json::Value = serde_json::from_slice(&files["sweep.json"]).expect("JSON");
    assert_eq!(json["options"].as_array().map(Vec::len), Some(6));
    assert_eq!(json["demand_limits"][0]["limit"]["value"], 85.0);
}

#[test]
fn the_page_fetches_nothing_and_hostile_names_stay_words() {
    let hostile = "</title><script>alert(1)</script>\" onload=\"x' & \u{202e}\u{1b}[31m";
    let mut answer = sweep();
    answer.car = hostile.into();
    hostile.clone_into(&mut answer.ranking_rule);
    for option in &mut answer.options {
        for (_, is) in &mut option.choices.0 {
            *is = Arc::from(format!("{is} {hostile}"));
        }
        if let Some(reason) = &mut option.reason {
            reason.push_str(hostile);
        }
    }
    let sorting = format!("<script>{}</script>", include_str!("../src/page/sort.js"));
    let page = page(&drawn(answer)).replacen(&sorting, "", 1);
    for word in ["http:", "https:", "<script", "javascript:", "url(", " src=", "\u{202e}", "\u{1b}"]
    {
        assert!(!page.contains(word), "{word} is in the page");
    }
    assert!(!page.contains("\" onload="));
}

#[test]
fn us_units_and_the_empty_sweep_draw_too() {
    let us = SweepAnswer { units: Units::Us, ..sweep() };
    let files = drawn(us);
    let page_text = page(&files);
    assert!(page_text.contains("miles") && page_text.contains("lb"));
    let json: serde_json::Value = serde_json::from_slice(&files["sweep.json"]).expect("JSON");
    assert_eq!(json["demand_limits"][0]["limit"]["unit"], "miles");
    let empty =
        drawn(SweepAnswer { plain: "There is no option.".to_owned(), ..SweepAnswer::default() });
    assert!(page(&empty).contains("There is no option."));
    assert!(!empty.keys().any(|name| name.ends_with(".svg")));
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    assert_eq!(drawn(sweep()), drawn(sweep()));
}
