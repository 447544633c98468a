//! Distributions that inputs are drawn from, and what is counted of the answers.

use crownwheel::spread::{SD_PER_HALF_WIDTH, Spread, SpreadKind};
use crownwheel_sweep::Weights;
use crownwheel_sweep::quantile::Sample;
use crownwheel_testkit::checks::expected;
use crownwheel_testkit::tolerance::{ROUNDING_REL, half_of_last_digit};
use crownwheel_testkit::{Table, assert_close};

pub(crate) const CHECKED: &[&str] = &["STA-01", "STA-06", "STA-07"];

const EVERYWHERE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

fn normal(mean: f64, standard_deviation: f64) -> Spread {
    Spread::normal(mean, SD_PER_HALF_WIDTH * standard_deviation)
}

fn quantile(values: &[f64], p: f64) -> f64 {
    Sample::new(values, &Weights::equal(values.len())).unwrap().value(p)
}

/// Source: standard tables of the normal distribution, known to 16 digits.
#[test]
fn sta_01_normal_quantiles() {
    let at = |p: f64| normal(0.0, 1.0).at(p, EVERYWHERE);
    expected("STA-01", "z90").check(at(0.90));
    expected("STA-01", "z95").check(at(0.95));
    expected("STA-01", "z975").check(at(0.975));
    expected("STA-01", "z99").check(at(0.99));
}

/// Source: the definition that spreadsheets use, rank 1 + (n - 1) p.
#[test]
fn sta_06_a_percentile() {
    expected("STA-06", "type7").check(quantile(&[15.0, 20.0, 35.0, 40.0, 50.0], 0.40));
}

/// Source: NIST Statistical Reference Datasets, univariate, NumAcc3 and NumAcc4.
#[test]
fn sta_07_deviations_without_cancellation() {
    let moments = |middle: f64, low: f64, high: f64| {
        let pairs = std::iter::repeat_n([low, high], 500).flatten();
        let values: Vec<f64> = std::iter::once(middle).chain(pairs).collect();
        assert_eq!(values.len(), 1001);
        Weights::equal(values.len()).moments(&values).unwrap()
    };
    let third = moments(1_000_000.2, 1_000_000.1, 1_000_000.3);
    expected("STA-07", "mean1").check(third.mean);
    expected("STA-07", "sd1").check(third.standard_deviation);
    let fourth = moments(10_000_000.2, 10_000_000.1, 10_000_000.3);
    expected("STA-07", "mean2").check(fourth.mean);
    expected("STA-07", "sd2").check(fourth.standard_deviation);
}

/// Source: quantiles of a general-purpose statistics library, named in the table. The distributions
/// that no build can ask for are not compared.
#[test]
fn quantiles_of_the_spreads_of_a_build() {
    let table = Table::read(include_str!("../../../data/quantiles.csv"));
    let mut compared = 0;
    for row in table.rows() {
        let numbers: Vec<f64> = row
            .text("parameters")
            .split_whitespace()
            .filter_map(|word| word.parse().ok())
            .collect();
        let spread = match (row.text("distribution"), &numbers[..]) {
            ("normal", [mean, sd]) => normal(*mean, *sd),
            ("uniform", [low, high]) => Spread {
                nominal: 0.5 * (low + high),
                kind: SpreadKind::Uniform { low: *low, high: *high },
            },
            _ => continue,
        };
        let printed = row.text("quantile");
        let allowed = half_of_last_digit(printed).max(1e-11);
        let value = spread.at(row.number("p"), EVERYWHERE);
        assert_close!(value, row.number("quantile"), abs = allowed, rel = 0.0, "{printed}");
        compared += 1;
    }
    assert_eq!(compared, 27);
}

/// Source: quantiles of a general-purpose numerical library, named in the table; the readings are those
/// of the percentile page of the NIST/SEMATECH e-Handbook.
#[test]
fn percentiles_are_of_the_seventh_definition() {
    let readings = [
        95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610, 95.1591, 95.1195, 95.1065, 95.0925,
        95.1990, 95.1682,
    ];
    let table = Table::read(include_str!("../../../data/percentile-definitions.csv"));
    let ours = table.rows().find(|row| row.text("name") == "linear").unwrap();
    let others = table.rows().filter(|row| row.text("name") != "linear");
    for (column, value) in [
        ("A_p90", quantile(&readings, 0.90)),
        ("A_p25", quantile(&readings, 0.25)),
        ("B_p40", quantile(&[15.0, 20.0, 35.0, 40.0, 50.0], 0.40)),
    ] {
        let allowed = half_of_last_digit(ours.text(column));
        assert_close!(value, ours.number(column), abs = allowed, rel = ROUNDING_REL, "{column}");
    }
    // No other definition gives the same three numbers.
    for other in others {
        assert_ne!(other.text("A_p25"), ours.text("A_p25"), "{}", other.text("name"));
    }
}
