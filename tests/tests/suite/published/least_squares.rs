//! Least squares against the certified values of the NIST Statistical Reference Datasets.
//!
//! Certified to fifteen digits; how many of them double precision can keep depends on the set, and
//! stands in the table below for every parameter and standard error, not only for those of the
//! index. Source of all: NIST StRD, linear regression,
//! <http://www.itl.nist.gov/div898/strd/lls/lls.shtml>.

use crownwheel_logs::least_squares::{LinearFit, linear};
use crownwheel_testkit::checks::expected;
use crownwheel_testkit::{Row, Table, assert_close};
use nalgebra::{DMatrix, DVector};

pub(crate) const CHECKED: &[&str] = &[
    "LSQ-01", "LSQ-02", "LSQ-03", "LSQ-04", "LSQ-05", "LSQ-06", "LSQ-07", "LSQ-08", "LSQ-09",
    "LSQ-10", "LSQ-11",
];

const CERTIFIED: &str = include_str!("../../../data/nist-certified.csv");

/// What the columns of a model are.
enum Model {
    /// Powers of x up to this one, from 1.
    Powers(i32),
    /// The same of `(x + 6) / 3`, which span the same curves.
    PowersAboutMinusSix(i32),
    /// x alone.
    Slope,
    /// 1, then the columns x1 to x6.
    Columns,
}

fn fit(data: &str, model: &Model) -> LinearFit {
    let table = Table::read(data);
    let row = |row: Row<'_>| -> Vec<f64> {
        match model {
            Model::Powers(highest) => (0..=*highest).map(|k| row.number("x").powi(k)).collect(),
            Model::PowersAboutMinusSix(highest) => {
                (0..=*highest).map(|k| ((row.number("x") + 6.0) / 3.0).powi(k)).collect()
            }
            Model::Slope => vec![row.number("x")],
            Model::Columns => {
                std::iter::once(1.0).chain((1..=6).map(|k| row.number(&format!("x{k}")))).collect()
            }
        }
    };
    let rows: Vec<Vec<f64>> = table.rows().map(row).collect();
    let columns = rows[0].len();
    let observed = DVector::from_iterator(rows.len(), table.rows().map(|row| row.number("y")));
    linear(&DMatrix::from_row_iterator(rows.len(), columns, rows.concat()), &observed).unwrap()
}

/// Compares every certified number of a set to `digits` significant digits.
fn certified(name: &str, fit: &LinearFit, digits: i32) {
    let rel = 10f64.powi(-digits);
    let mut compared = 0;
    let table = Table::read(CERTIFIED);
    for row in table.rows().filter(|row| row.text("dataset") == name) {
        let parameter = row.text("parameter");
        if parameter == "residual_sd" {
            let wanted = row.number("exact_estimate");
            assert_close!(fit.residual_sd(), wanted, abs = 1e-6, rel = 1e-9, "{name}");
        } else if let Some(number) = parameter.strip_prefix('B') {
            // Without a constant the only parameter is B1.
            let number: usize = number.parse().unwrap();
            let place = if fit.parameters.len() == 1 { 0 } else { number };
            let (estimate, sd) = (row.number("exact_estimate"), row.number("exact_sd"));
            assert_close!(
                fit.parameters[place],
                estimate,
                abs = 0.0,
                rel = rel,
                "{name} {parameter}"
            );
            // An exact fit has no error but that of rounding.
            let abs = if sd > 0.0 { 0.0 } else { 1e-6 };
            assert_close!(
                fit.standard_errors[place],
                sd,
                abs = abs,
                rel = rel,
                "{name} {parameter}"
            );
            compared += 1;
        }
    }
    assert_eq!(compared, fit.parameters.len(), "{name}");
}

/// Two parameters, 36 readings: eleven digits.
#[test]
fn lsq_01_norris() {
    let fit = fit(include_str!("../../../data/nist-norris.csv"), &Model::Powers(1));
    expected("LSQ-01", "B0").check(fit.parameters[0]);
    expected("LSQ-01", "B1").check(fit.parameters[1]);
    expected("LSQ-01", "sd_B0").check(fit.standard_errors[0]);
    expected("LSQ-01", "sd_B1").check(fit.standard_errors[1]);
    expected("LSQ-01", "residual_sd").check(fit.residual_sd());
    certified("norris", &fit, 11);
}

/// Seven parameters that nearly hang together: nine digits; normal equations keep seven.
#[test]
fn lsq_02_longley() {
    let fit = fit(include_str!("../../../data/nist-longley.csv"), &Model::Columns);
    expected("LSQ-02", "B0").check(fit.parameters[0]);
    expected("LSQ-02", "B6").check(fit.parameters[6]);
    expected("LSQ-02", "sd_B0").check(fit.standard_errors[0]);
    expected("LSQ-02", "sd_B6").check(fit.standard_errors[6]);
    expected("LSQ-02", "residual_sd").check(fit.residual_sd());
    certified("longley", &fit, 9);
}

/// A parabola over six orders of ten: ten digits.
#[test]
fn lsq_03_pontius() {
    let fit = fit(include_str!("../../../data/nist-pontius.csv"), &Model::Powers(2));
    for (place, name) in ["B0", "B1", "B2"].into_iter().enumerate() {
        expected("LSQ-03", name).check(fit.parameters[place]);
    }
    expected("LSQ-03", "sd_B0").check(fit.standard_errors[0]);
    expected("LSQ-03", "sd_B1").check(fit.standard_errors[1]);
    expected("LSQ-03", "residual_sd").check(fit.residual_sd());
    certified("pontius", &fit, 10);
}

/// Powers up to the tenth: seven digits; normal equations keep none.
#[test]
fn lsq_04_filip() {
    let fit = fit(include_str!("../../../data/nist-filip.csv"), &Model::Powers(10));
    expected("LSQ-04", "B0").check(fit.parameters[0]);
    expected("LSQ-04", "B10").check(fit.parameters[10]);
    expected("LSQ-04", "sd_B0").check(fit.standard_errors[0]);
    expected("LSQ-04", "sd_B10").check(fit.standard_errors[10]);
    // Powers of x itself, rounded to 53 bits, move what is left over in the ninth digit, whoever adds them
    // up. About the middle of the data the same curves lose nothing.
    let about_the_middle = Model::PowersAboutMinusSix(10);
    let centred = self::fit(include_str!("../../../data/nist-filip.csv"), &about_the_middle);
    expected("LSQ-04", "residual_sd").check(centred.residual_sd());
    certified("filip", &fit, 7);
}

/// An exact polynomial of the fifth order, coefficients 1: eight digits.
#[test]
fn lsq_05_wampler_1() {
    let fit = fit(include_str!("../../../data/nist-wampler1.csv"), &Model::Powers(5));
    expected("LSQ-05", "B0").check(fit.parameters[0]);
    expected("LSQ-05", "B5").check(fit.parameters[5]);
    expected("LSQ-05", "residual_sd").check(fit.residual_sd());
    certified("wampler1", &fit, 8);
}

/// The same with coefficients that fall by tens: nine digits.
#[test]
fn lsq_06_wampler_2() {
    let fit = fit(include_str!("../../../data/nist-wampler2.csv"), &Model::Powers(5));
    expected("LSQ-06", "B0").check(fit.parameters[0]);
    expected("LSQ-06", "B5").check(fit.parameters[5]);
    expected("LSQ-06", "residual_sd").check(fit.residual_sd());
    certified("wampler2", &fit, 9);
}

/// The first with noise: eight digits.
#[test]
fn lsq_07_wampler_3() {
    let fit = fit(include_str!("../../../data/nist-wampler3.csv"), &Model::Powers(5));
    expected("LSQ-07", "B0").check(fit.parameters[0]);
    expected("LSQ-07", "B5").check(fit.parameters[5]);
    expected("LSQ-07", "sd_B0").check(fit.standard_errors[0]);
    expected("LSQ-07", "sd_B5").check(fit.standard_errors[5]);
    expected("LSQ-07", "residual_sd").check(fit.residual_sd());
    certified("wampler3", &fit, 8);
}

/// With a hundred times the noise: six digits.
#[test]
fn lsq_08_wampler_4() {
    let fit = fit(include_str!("../../../data/nist-wampler4.csv"), &Model::Powers(5));
    expected("LSQ-08", "B0").check(fit.parameters[0]);
    expected("LSQ-08", "B5").check(fit.parameters[5]);
    expected("LSQ-08", "sd_B0").check(fit.standard_errors[0]);
    expected("LSQ-08", "sd_B5").check(fit.standard_errors[5]);
    expected("LSQ-08", "residual_sd").check(fit.residual_sd());
    certified("wampler4", &fit, 6);
}

/// With ten thousand times the noise: five digits.
#[test]
fn lsq_09_wampler_5() {
    let fit = fit(include_str!("../../../data/nist-wampler5.csv"), &Model::Powers(5));
    expected("LSQ-09", "B0").check(fit.parameters[0]);
    expected("LSQ-09", "B5").check(fit.parameters[5]);
    expected("LSQ-09", "sd_B0").check(fit.standard_errors[0]);
    expected("LSQ-09", "sd_B5").check(fit.standard_errors[5]);
    expected("LSQ-09", "residual_sd").check(fit.residual_sd());
    certified("wampler5", &fit, 5);
}

/// A line through the origin: thirteen digits.
#[test]
fn lsq_10_without_a_constant() {
    let fit = fit(include_str!("../../../data/nist-noint1.csv"), &Model::Slope);
    expected("LSQ-10", "B1").check(fit.parameters[0]);
    expected("LSQ-10", "sd_B1").check(fit.standard_errors[0]);
    expected("LSQ-10", "residual_sd").check(fit.residual_sd());
    certified("noint1", &fit, 13);
}

/// The same with three readings: thirteen digits.
#[test]
fn lsq_11_without_a_constant_and_short() {
    let fit = fit(include_str!("../../../data/nist-noint2.csv"), &Model::Slope);
    expected("LSQ-11", "B1").check(fit.parameters[0]);
    expected("LSQ-11", "sd_B1").check(fit.standard_errors[0]);
    expected("LSQ-11", "residual_sd").check(fit.residual_sd());
    certified("noint2", &fit, 13);
}
