//! Tyre sizes, rolling radius, rolling resistance, label classes.

use crownwheel::constants::ZERO_CELSIUS_K;
use crownwheel::rolling::{self, LoadPressureLaw, SpeedLaw, TyreWork, force_at_air_temperature_n};
use crownwheel::spec::{RollingSpec, TyreMark};
use crownwheel::tyre;
use crownwheel::tyre_label::{LabelRule, TyreClass, label_class, label_range};
use crownwheel_testkit::checks::{expected, expected_words};
use crownwheel_testkit::tolerance::{ROUNDING_REL, half_of_last_digit};
use crownwheel_testkit::{Row, Table, assert_close};

pub(crate) const CHECKED: &[&str] = &[
    "TYR-01", "TYR-02", "TYR-03", "TYR-04", "TYR-05", "TYR-06", "TYR-07", "TYR-08", "TYR-09",
    "TYR-10", "TYR-11", "TYR-12", "TYR-13", "TYR-14", "TYR-15",
];

const MPS_PER_KMH: f64 = 1.0 / 3.6;
const MPS_PER_MPH: f64 = 0.447_04;
const MILLIMETRE_M: f64 = 1e-3;

/// A radial tyre from width in mm, aspect ratio in per cent and rim in inches.
fn radial(width_mm: f64, aspect_pct: f64, rim_inch: f64) -> TyreMark {
    TyreMark {
        section_width_m: width_mm * MILLIMETRE_M,
        aspect_frac: aspect_pct / 100.0,
        rim_diameter_m: rim_inch * 0.0254,
        radial: true,
        load_index: None,
        speed_symbol: None,
    }
}

/// Source: 185/60R14 in the public lecture notes NMA380 (FEI), power-limit exercise 1.
#[test]
fn tyr_01_overall_diameter() {
    let diameter_m = tyre::overall_diameter_m(&radial(185.0, 60.0, 14.0));
    expected("TYR-01", "D").check(diameter_m / MILLIMETRE_M);
    expected("TYR-01", "r").check(diameter_m / 2.0 / MILLIMETRE_M);
}

/// Source: side-wall height as printed on <https://www.oponeo.co.uk/tyres/205-55-r16>.
#[test]
fn tyr_02_section_height() {
    let mark = radial(205.0, 55.0, 16.0);
    expected("TYR-02", "H").check(tyre::section_height_m(&mark) / MILLIMETRE_M);
    expected("TYR-02", "D").check(tyre::overall_diameter_m(&mark) / MILLIMETRE_M);
}

/// Source: ETRTO standards manual, factor 3.05 for radial tyres (from memory).
#[test]
fn tyr_03_rolling_circumference() {
    let mark = radial(205.0, 55.0, 16.0);
    let radius_m = tyre::rolling_radius_m(&mark, &RollingSpec::FromMark);
    let circumference_m = tyre::rolling_circumference_m(&mark);
    expected("TYR-03", "U").check(circumference_m / MILLIMETRE_M);
    expected("TYR-03", "r_dyn").check(radius_m / MILLIMETRE_M);
    expected("TYR-03", "rev_per_km").check(1000.0 / circumference_m);
}

fn classes(rule: LabelRule, coefficients: &[f64]) -> Vec<String> {
    let class = |c: &f64| label_class(rule, TyreClass::C1, *c).unwrap().to_string();
    coefficients.iter().map(class).collect()
}

/// Source: Regulation (EC) 1222/2009 Annex I Part A,
/// <https://legislation.gov.uk/eur/2009/1222/annex/I/part/1/2020-01-31/data.html>.
#[test]
fn tyr_04_label_classes_until_2021() {
    let found = classes(LabelRule::Until2021, &[6.5, 6.6, 7.7, 9.0, 9.1, 10.5, 12.0, 12.1]);
    assert_eq!(found, expected_words("TYR-04", "classes"));
}

/// Source: Regulation (EU) 2020/740 Annex I Part A (from memory).
#[test]
fn tyr_05_label_classes_from_2021() {
    let found = classes(LabelRule::From2021, &[6.5, 6.6, 7.8, 9.1, 10.5, 10.6, 12.1]);
    assert_eq!(found, expected_words("TYR-05", "classes"));
}

/// Source: UN Regulation 117 Annex 6 par. 6.2 / ISO 28580, ECE document of 19 June 2012,
/// <https://studylib.net/doc/7367751/e-ece-324-rev>.
#[test]
fn tyr_06_drum_test_at_another_temperature() {
    let at_22 = ZERO_CELSIUS_K + 22.0;
    let force_n = tyre::drum_force_at_25_degc_n(50.0, at_22, tyre::DRUM_SLOPE_C1_PER_K);
    expected("TYR-06", "Fr25").check(force_n);
    expected("TYR-06", "K_C1").check(tyre::DRUM_SLOPE_C1_PER_K);
    expected("TYR-06", "K_C2_C3_LI<=121").check(tyre::DRUM_SLOPE_C2_PER_K);
    expected("TYR-06", "K_C3_LI>121").check(tyre::DRUM_SLOPE_C3_PER_K);
}

/// Force of all tyres of an axle, N, from a row of `tyre-j2452.csv`.
fn axle_force_n(row: &Row<'_>) -> f64 {
    let law = LoadPressureLaw {
        pressure_exponent: row.number("alpha"),
        load_exponent: row.number("beta"),
        by_speed: [row.number("a"), row.number("b"), row.number("c")],
    };
    let tyres = row.number("n_tyres");
    let work = TyreWork {
        load: row.number("L_axle_N") / tyres,
        pressure: row.number("p_kPa"),
        speed: row.number("v_km_h"),
    };
    tyres * law.force(work)
}

/// Source: 40 CFR 1037.528(h)(6)(ii), printed example (86 FR 34474, 29 June 2021). The steer axle is
/// printed as 365.6 N although 365.68 rounds to 365.7.
#[test]
fn tyr_07_load_pressure_and_speed() {
    let table = Table::read(include_str!("../../../data/tyre-j2452.csv"));
    let mut sum_n = [0.0, 0.0];
    for row in table.rows() {
        let high = row.number("v_km_h") > 50.0;
        let name = format!("F_{}_{}", row.text("axle"), if high { "hi" } else { "lo" });
        let force_n = axle_force_n(&row);
        expected("TYR-07", &name).check(force_n);
        let printed_n = row.number("F_recomputed_N");
        assert_close!(force_n, printed_n, abs = 0.000_051, rel = 0.0, "{name}");
        sum_n[usize::from(high)] += force_n;
    }
    expected("TYR-07", "sum_lo").check(sum_n[0]);
    expected("TYR-07", "sum_hi").check(sum_n[1]);
}

/// Source: 40 CFR 1037.528(h)(6), the same example; the reference is 24 °C.
#[test]
fn tyr_08_at_the_temperature_of_the_air() {
    let carried =
        |force_n, celsius| force_at_air_temperature_n(force_n, ZERO_CELSIUS_K + celsius, 0.006);
    let (high_n, low_n) = (carried(1028.7, 25.5), carried(837.5, 25.1));
    expected("TYR-08", "F_hi").check(high_n);
    expected("TYR-08", "F_lo").check(low_n);
    expected("TYR-08", "difference").check(high_n - low_n);
}

/// Source: coefficients in the public lecture notes NMA380 (FEI), in lbf, psi and mph; the script
/// there swaps the names of the two exponents.
#[test]
fn tyr_09_the_same_law_in_us_units() {
    let law = LoadPressureLaw {
        pressure_exponent: -0.410_819_27,
        load_exponent: 1.033_999_04,
        by_speed: [0.059_331_57, 0.855_26e-5, 3.723_14e-7],
    };
    let work = TyreWork { load: 800.0, pressure: 34.0, speed: 50.0 };
    expected("TYR-09", "RR").check(law.force(work));
}

/// Source: public lecture notes NMA380 (FEI), resistances, exercise 3, after Gillespie ch. 4. The
/// printed answers (2020.4 N, 2226.6 N, 63.9 hp, 91.4 hp) come from rounded speeds.
#[test]
fn tyr_10_heavy_radial() {
    let weight_n = 32_874.0 * 9.81;
    let force_n = |kmh: f64| rolling::LORRY_RADIAL.coefficient(kmh * MPS_PER_KMH) * weight_n;
    let power_hp = |kmh: f64| force_n(kmh) * kmh * MPS_PER_KMH / 745.7;
    expected("TYR-10", "R85").check(force_n(85.0));
    expected("TYR-10", "R110").check(force_n(110.0));
    expected("TYR-10", "P85").check(power_hp(85.0));
    expected("TYR-10", "P110").check(power_hp(110.0));
}

/// Source: Mannering and Washburn, Principles of Highway Engineering and Traffic Analysis, ch. 2,
/// example to eq. 2.5, <https://essaywritingpros.com/2023/05/16/grade-resistance/>.
#[test]
fn tyr_11_linear_in_feet_per_second() {
    let coefficient = rolling::LINEAR_FROM_FEET.coefficient(70.0 * MPS_PER_MPH);
    expected("TYR-11", "frl").check(coefficient);
    expected("TYR-11", "R").check(coefficient * 2000.0);
}

/// Source: Ehsani et al., Modern Electric, Hybrid Electric and Fuel Cell Vehicles, ch. 2 (from memory).
#[test]
fn tyr_12_linear_in_kilometres_per_hour() {
    for (kmh, quantity) in [(0.0, "f0"), (50.0, "f50"), (100.0, "f100"), (160.0, "f160")] {
        expected("TYR-12", quantity).check(rolling::LINEAR.coefficient(kmh * MPS_PER_KMH));
    }
}

/// Source: Institute of Technology Stuttgart form in Gillespie, as used in the public lecture notes
/// NMA380 (FEI), power-limit exercise 3.
#[test]
fn tyr_13_power_two_and_a_half() {
    let law = SpeedLaw::power_two_and_a_half(0.012, 0.007);
    expected("TYR-13", "fr").check(law.coefficient(100.0 * MPS_PER_KMH));
}

/// Source: Wong, Theory of Ground Vehicles, ch. 1 (from memory).
#[test]
fn tyr_14_square_of_speed() {
    for (law, quantity) in [
        (rolling::CAR_RADIAL, "car_radial"),
        (rolling::CAR_CROSS_PLY, "car_bias"),
        (rolling::LORRY_RADIAL_SQUARE, "truck_radial"),
    ] {
        expected("TYR-14", quantity).check(law.coefficient(100.0 * MPS_PER_KMH));
    }
}

/// Source: <https://www.engineeringtoolbox.com/rolling-friction-resistance-d_1303.html>.
#[test]
fn tyr_15_pressure_and_speed() {
    for (bar, kmh, quantity) in [(2.9, 90.0, "c_2.9_90"), (2.5, 100.0, "c_2.5_100")] {
        let law = SpeedLaw::of_pressure(bar * 1e5);
        expected("TYR-15", quantity).check(law.coefficient(kmh * MPS_PER_KMH));
    }
}

/// Source: the lines at the head of `rr-formulas.csv`.
#[test]
fn table_of_speed_laws() {
    let table = Table::read(include_str!("../../../data/rr-formulas.csv"));
    let laws = [
        ("linear_160kmh", rolling::LINEAR),
        ("linear_147fts", rolling::LINEAR_FROM_FEET),
        ("heavy_radial", rolling::LORRY_RADIAL),
        ("power_2p5", SpeedLaw::power_two_and_a_half(0.012, 0.007)),
        ("wong_radial", rolling::CAR_RADIAL),
        ("wong_bias", rolling::CAR_CROSS_PLY),
        ("pressure_2p5bar", SpeedLaw::of_pressure(2.5e5)),
    ];
    for row in table.rows() {
        let speed_mps = row.number("V_km_h") * MPS_PER_KMH;
        for (column, law) in laws {
            let allowed = half_of_last_digit(row.text(column)) * 1.000_001;
            assert_close!(
                law.coefficient(speed_mps),
                row.number(column),
                abs = allowed,
                rel = 0.0,
                "{column} {row:?}"
            );
        }
    }
}

/// Source: the lines at the head of `tyre-sizes.csv`. The rule starts from the rounded diameter of
/// the yearbook there, which differs from ours by up to 1.4 mm.
#[test]
fn table_of_tyre_sizes() {
    let table = Table::read(include_str!("../../../data/tyre-sizes.csv"));
    for row in table.rows() {
        let mark =
            radial(row.number("width_mm"), row.number("aspect_percent"), row.number("rim_inch"));
        let diameter_mm = tyre::overall_diameter_m(&mark) / MILLIMETRE_M;
        let height_mm = tyre::section_height_m(&mark) / MILLIMETRE_M;
        assert_close!(height_mm, row.number("H_mm"), abs = 0.0, rel = ROUNDING_REL, "{row:?}");
        assert_close!(
            diameter_mm,
            row.number("D_inch_mm"),
            abs = 0.0,
            rel = ROUNDING_REL,
            "{row:?}"
        );
        assert_close!(diameter_mm, row.number("D_norm_mm"), abs = 1.45, rel = 0.0, "{row:?}");
        let radius_mm = tyre::rolling_radius_m(&mark, &RollingSpec::FromMark) / MILLIMETRE_M;
        assert_close!(radius_mm, row.number("r_dyn_mm"), abs = 0.0, rel = 0.002_2, "{row:?}");
        let ours = tyre::rolling_circumference_m(&mark) / MILLIMETRE_M;
        assert_close!(ours, row.number("circ_3.05D_mm"), abs = 0.0, rel = 0.002_2, "{row:?}");
    }
}

/// Source: the lines at the head of `tyre-label-classes.csv`.
#[test]
fn table_of_label_classes() {
    let table = Table::read(include_str!("../../../data/tyre-label-classes.csv"));
    for row in table.rows() {
        let rule = match &row.text("regulation")[..7] {
            "EU 2020" => LabelRule::From2021,
            "EC 1222" => LabelRule::Until2021,
            other => panic!("what regulation is {other}?"),
        };
        let class = match row.text("tyre_class") {
            "C1" => TyreClass::C1,
            "C2" => TyreClass::C2,
            "C3" => TyreClass::C3,
            other => panic!("what tyres are {other}?"),
        };
        let letter = row.text("label").chars().next().unwrap();
        let (from, to) = label_range(rule, class, letter).unwrap();
        for (column, ours) in [("rrc_min", from), ("rrc_max", to)] {
            if let Some(printed) = row.maybe_number(column) {
                assert_close!(ours, printed, abs = 0.0, rel = ROUNDING_REL, "{column} {row:?}");
                assert_eq!(label_class(rule, class, printed), Some(letter), "{row:?}");
            }
        }
    }
}

/// Lengths and turns must be three ways to say one thing.
#[test]
fn the_three_ways_to_a_rolling_radius_agree() {
    let mark = radial(155.0, 80.0, 13.0);
    let circumference_m = tyre::rolling_circumference_m(&mark);
    let from_mark_m = tyre::rolling_radius_m(&mark, &RollingSpec::FromMark);
    let rolled = RollingSpec::Rolled { turns: 5.0, distance_m: 5.0 * circumference_m };
    let turns = RollingSpec::RevolutionsPerKm(1000.0 / circumference_m);
    for spec in [rolled, turns] {
        let radius_m = tyre::rolling_radius_m(&mark, &spec);
        assert_close!(radius_m, from_mark_m, abs = 0.0, rel = ROUNDING_REL, "{spec:?}");
    }
}
