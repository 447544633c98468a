//! An invented sweep for the tests of its figures.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking, in its helpers too")]

use std::sync::Arc;

use crownwheel_answers::sweep::{
    AnswerName, Answers, Choices, DemandLimit, DemandMet, JudgedBy, MeasureNext,
};
use crownwheel_answers::{Band, Deciles, LoadCase, OptionAnswer, SweepAnswer};
use crownwheel_quantities::{Question, rows};

pub(crate) fn range() -> Question {
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

fn band(middle: f64, half: f64, standard_error: f64) -> Band {
    let (p10, p90) = (middle - half, middle + half);
    Band::with(middle, Deciles { p10, p50: middle, p90, standard_error: Some(standard_error) })
}

fn choices(ratio: &str, modules: &str, tyres: &str) -> Choices {
    let pair = |of: &str, is: &str| (Arc::from(of), Arc::from(is));
    Choices(vec![
        pair("driveline.axle.ratio", ratio),
        pair("pack.modules_in_series", modules),
        pair("tyres", tyres),
    ])
}

fn option(ratio: &str, modules: u8, tyres: &str, range_km: f64, probability: f64) -> OptionAnswer {
    let number: f64 = ratio.parse().unwrap();
    let bands = vec![
        band(range_km, 8.437, 0.312),
        band(25.0 - 1.7 * number, 0.712, 0.021),
        Band::only(1588.0 * number),
        band(905.3 - 11.4 * f64::from(9 - modules), 3.2, 0.11),
    ];
    let met = DemandMet {
        name: "moor_round".into(),
        probability,
        standard_error: 0.007,
        sure: Some(0.9),
        met: probability >= 0.9,
    };
    OptionAnswer {
        id: format!("axle.ratio={ratio} modules_in_series={modules} tyres={tyres}"),
        choices: choices(ratio, &modules.to_string(), tyres),
        answers: Answers::new(names(), bands),
        demands: vec![met],
        all_demands_probability: Some(probability),
        all_demands_standard_error: Some(0.007),
        meets_all: probability >= 0.9,
        non_dominated: Some(true),
        price: Some(310.0 * f64::from(modules)),
        worlds: 2000,
        reason: None,
    }
}

/// Two axles, eight to ten modules (ten are too many), two sets of tyres.
pub(crate) fn sweep() -> SweepAnswer {
    let mut options = Vec::new();
    for (tyres, less_km, less) in [("narrow", 0.0, 0.0), ("as they are", 2.5, 0.11)] {
        for (ratio, km, share) in [("3.89", 92.345, 0.931), ("4.22", 90.112, 0.894)] {
            options.push(option(ratio, 8, tyres, km - less_km - 10.341, share - less - 0.62));
            options.push(option(ratio, 9, tyres, km - less_km, share - less));
            options.push(OptionAnswer::impossible(
                format!("axle.ratio={ratio} modules_in_series=10 tyres={tyres}"),
                choices(ratio, "10", tyres),
                "`pack.modules_in_series` gives 168 V, and the controller allows 156 V".to_owned(),
            ));
        }
    }
    let mut ranked: Vec<&OptionAnswer> =
        options.iter().filter(|option| option.reason.is_none()).collect();
    let share = |option: &OptionAnswer| option.all_demands_probability.unwrap();
    ranked.sort_by(|a, b| share(b).total_cmp(&share(a)));
    let ranking = ranked.iter().map(|option| option.id.clone()).collect();
    let mut answer = SweepAnswer {
        car: "Dunlin 1100 saloon, 1967".into(),
        cycles: vec!["moor-round".to_owned()],
        days: vec!["winter".into()],
        worlds: 2000,
        currency: Some("EUR".to_owned()),
        option_count: options.len(),
        impossible_count: 4,
        meets_all_count: options.iter().filter(|option| option.meets_all).count(),
        judged_by: names().iter().map(JudgedBy::of).collect(),
        demand_limits: vec![DemandLimit::new("moor_round", &range(), true, 85.0)],
        options,
        ranking,
        ranking_rule: "The least money first.".to_owned(),
        non_dominated_over: vec![AnswerName::of(&range())],
        measure_next: vec![MeasureNext::new(
            &range(),
            "tyres.rolling_resistance",
            (0.5123, 0.031),
            Some("tyres.rolling_resistance = \"0.0115 ± 0.0005\"".to_owned()),
        )],
        ..SweepAnswer::default()
    };
    answer.trades = answer.trades_of_best(&names());
    answer.plain = answer.plain_line();
    answer
}

/// The same judged at nominal values.
pub(crate) fn without_worlds() -> SweepAnswer {
    let mut answer = sweep();
    for option in &mut answer.options {
        let bands = option.answers.iter().map(|(_, band)| Band::only(band.nominal)).collect();
        if !option.answers.is_empty() {
            option.answers = Answers::new(option.answers.names(), bands);
        }
    }
    answer
}
