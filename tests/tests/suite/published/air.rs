//! Density of the air and the standard atmosphere.

use crownwheel::air::{
    AirState, density_kgpm3, dry_density_kgpm3, geopotential_height_m, moist_air,
    standard_atmosphere,
};
use crownwheel::constants::{
    CFR_AIR_GAS_CONSTANT_JPKGK, STANDARD_AIR_GAS_CONSTANT_JPKGK, ZERO_CELSIUS_K,
};
use crownwheel_testkit::checks::expected;
use crownwheel_testkit::tolerance::half_of_last_digit;
use crownwheel_testkit::{Table, assert_close};

pub(crate) const CHECKED: &[&str] = &[
    "AIR-01", "AIR-02", "AIR-03", "AIR-04", "AIR-05", "AIR-06", "AIR-07", "AIR-08", "AIR-09",
    "AIR-10", "AIR-11",
];

/// Pascals in a pound-force per square inch (NIST SP 811).
const PASCAL_PER_PSI: f64 = 6_894.757_293_168_361;

fn dry(temperature_k: f64, pressure_pa: f64) -> AirState {
    AirState { temperature_k, pressure_pa, humidity_frac: 0.0 }
}

/// Density of the standard atmosphere, kg/m³.
fn standard_density(air: AirState) -> f64 {
    dry_density_kgpm3(air, STANDARD_AIR_GAS_CONSTANT_JPKGK)
}

/// Source: US Standard Atmosphere 1976, Table I; ISO 2533. The tables print 1.2250.
#[test]
fn air_01_sea_level() {
    expected("AIR-01", "rho").check(standard_density(standard_atmosphere(0.0)));
}

/// Source: ISO 2533 / US Standard Atmosphere 1976; 89 874.6 Pa and 281.65 K are printed.
#[test]
fn air_02_at_1000_m() {
    let air = standard_atmosphere(1000.0);
    expected("AIR-02", "T").check(air.temperature_k);
    expected("AIR-02", "p").check(air.pressure_pa);
    expected("AIR-02", "rho").check(standard_density(air));
}

/// Source: ISO 2533; 79 495.2 Pa at 2,000 m is printed, the others follow from the definition.
#[test]
fn air_03_at_2000_3000_4000_m() {
    for (height_m, pressure, density) in
        [(2000.0, "p2000", "rho2000"), (3000.0, "p3000", "rho3000"), (4000.0, "p4000", "rho4000")]
    {
        let air = standard_atmosphere(height_m);
        expected("AIR-03", pressure).check(air.pressure_pa);
        expected("AIR-03", density).check(standard_density(air));
    }
}

/// Source: ISO 2533 with r0 = 6 356 766 m. The two heights differ by 1.7 Pa at 1 km.
#[test]
fn air_04_at_a_geometric_height() {
    let height_m = geopotential_height_m(1000.0);
    let air = standard_atmosphere(height_m);
    expected("AIR-04", "H").check(height_m);
    expected("AIR-04", "T").check(air.temperature_k);
    expected("AIR-04", "p").check(air.pressure_pa);
    expected("AIR-04", "rho").check(standard_density(air));
}

/// Source: table of the HVAC handbook kind,
/// <https://engineersedge.com/calculators/standard_atmospheric_data_15729.htm>,
/// `p = 14.696 (1 - 6.8754e-6 Z)^5.2559` psia. Two other rows of that page contradict its own formula.
#[test]
fn air_05_at_5000_feet() {
    let air = standard_atmosphere(5000.0 * 0.304_8);
    expected("AIR-05", "p5000ft").check(air.pressure_pa / PASCAL_PER_PSI);
    expected("AIR-05", "t5000ft").check((air.temperature_k - ZERO_CELSIUS_K) * 1.8 + 32.0);
}

/// Source: Picard, Davis, Gläser, Fujii, Metrologia 45 (2008) 149-155 (CIPM-2007).
#[test]
fn air_06_moist_air() {
    let air = AirState { temperature_k: 293.15, pressure_pa: 101_325.0, humidity_frac: 0.5 };
    let found = moist_air(air);
    expected("AIR-06", "rho").check(found.density_kgpm3);
    expected("AIR-06", "p_sat").check(found.saturation_pressure_pa);
    expected("AIR-06", "x_v").check(found.vapour_frac);
    expected("AIR-06", "Z").check(found.compressibility);
}

/// Source: CoolProp 8.0.0, an independent equation of state for moist air.
#[test]
fn air_07_dry_and_saturated() {
    let saturated = AirState { temperature_k: 303.15, pressure_pa: 101_325.0, humidity_frac: 1.0 };
    expected("AIR-07", "rho_0_dry").check(density_kgpm3(dry(273.15, 101_325.0)));
    expected("AIR-07", "rho_30_sat").check(density_kgpm3(saturated));
}

/// Source: UN GTR 15 Annex 4 / UN R154 Annex B4 reference conditions (from memory); 1.189 is printed.
#[test]
fn air_08_reference_of_the_worldwide_procedure() {
    expected("AIR-08", "rho0").check(density_kgpm3(dry(293.0, 100_000.0)));
}

/// Source: SAE J2263 abstract (20 °C, 29.00 inHg); 40 CFR 1066.310 rounds to 1.17.
#[test]
fn air_09_reference_of_american_coast_downs() {
    expected("AIR-09", "rho").check(density_kgpm3(dry(293.15, 98_210.0)));
}

/// Source: SAE J1349 / ISO 1585 (from memory).
#[test]
fn air_10_reference_of_engine_ratings() {
    expected("AIR-10", "rho").check(density_kgpm3(dry(298.15, 99_000.0)));
}

/// Source: 40 CFR 1037.528, which prescribes R = 287.058 J/(kg K).
#[test]
fn air_11_density_of_the_federal_example() {
    let density = dry_density_kgpm3(dry(285.97, 101_727.0), CFR_AIR_GAS_CONSTANT_JPKGK);
    expected("AIR-11", "rho").check(density);
}

/// Source: the lines at the head of `isa.csv`. Allowed is half of the last printed digit.
#[test]
fn table_of_the_standard_atmosphere() {
    let table = Table::read(include_str!("../../../data/isa.csv"));
    for row in table.rows() {
        let altitude_m = row.number("altitude_m");
        let height_m = match row.text("altitude_kind") {
            "geopotential" => altitude_m,
            "geometric" => geopotential_height_m(altitude_m),
            other => panic!("what is the altitude kind {other}?"),
        };
        let air = standard_atmosphere(height_m);
        for (column, value) in [
            ("T_K", air.temperature_k),
            ("p_Pa", air.pressure_pa),
            ("rho_kg_m3", standard_density(air)),
        ] {
            let allowed = half_of_last_digit(row.text(column)) * 1.000_001;
            assert_close!(
                value,
                row.number(column),
                abs = allowed,
                rel = 0.0,
                "{column} at {altitude_m} m"
            );
        }
        if let Some(published_pa) = row.maybe_number("p_published_Pa") {
            // Six digits are printed, so 84 556 Pa may stand for 84 556.0 Pa.
            assert_close!(air.pressure_pa, published_pa, abs = 0.5, rel = 0.0, "{altitude_m} m");
        }
    }
}

/// Source: the lines at the head of `moist-air.csv`.
#[test]
fn table_of_moist_air() {
    let table = Table::read(include_str!("../../../data/moist-air.csv"));
    for row in table.rows() {
        let air = AirState {
            temperature_k: row.number("t_degC") + ZERO_CELSIUS_K,
            pressure_pa: row.number("p_Pa"),
            humidity_frac: row.number("relative_humidity"),
        };
        let found = moist_air(air);
        // The formula prints 0.3780 for 1 - Mv/Ma, the table was made with 0.37804.
        assert_close!(
            found.density_kgpm3,
            row.number("rho_cipm2007"),
            abs = 0.5e-6,
            rel = 4e-6,
            "{row:?}"
        );
        let half_pa = half_of_last_digit(row.text("p_sat_cipm_Pa")) * 1.000_001;
        assert_close!(
            found.saturation_pressure_pa,
            row.number("p_sat_cipm_Pa"),
            abs = half_pa,
            rel = 0.0,
            "{row:?}"
        );
        // The independent equation of state: the table's own spread is 6e-5.
        assert_close!(
            found.density_kgpm3,
            row.number("rho_coolprop"),
            abs = 0.0,
            rel = 1e-4,
            "{row:?}"
        );
        assert_close!(
            found.density_kgpm3,
            row.number("rho_ideal"),
            abs = 0.0,
            rel = 1e-3,
            "{row:?}"
        );
    }
}
