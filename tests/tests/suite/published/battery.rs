//! Cells, packs, current from power, charging in closed form.

use std::sync::Arc;

use crownwheel::cell;
use crownwheel::charger::Socket;
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::pack::{Source, constant_power_charge_h};
use crownwheel::spec::{OpenCircuitTable, PackSpec};
use crownwheel::{Car, Day};
use crownwheel_testkit::checks::expected;
use crownwheel_testkit::{Table, assert_same_bits};

use crate::fixture::flat_cell;

pub(crate) const CHECKED: &[&str] = &[
    "BAT-01", "BAT-02", "BAT-03", "BAT-04", "BAT-05", "BAT-07", "BAT-10", "BAT-11", "BAT-12",
    "BAT-13", "BAT-14", "BAT-15", "BAT-16",
];

const JOULE_PER_KWH: f64 = 3.6e6;

const SOURCE: Source = Source { open_circuit_v: 400.0, resistance_ohm: 0.1 };

/// Source: own numbers, `P = I (E - I R)` solved for I.
#[test]
fn bat_01_current_for_power() {
    let current_a = SOURCE.current_a(50e3).unwrap();
    expected("BAT-01", "I").check(current_a);
    expected("BAT-01", "V").check(SOURCE.terminal_v(current_a));
    expected("BAT-01", "loss").check(current_a * current_a * SOURCE.resistance_ohm);
}

/// Source: the same with power going in.
#[test]
fn bat_02_current_for_charging_power() {
    let current_a = SOURCE.current_a(-50e3).unwrap();
    expected("BAT-02", "I").check(current_a);
    expected("BAT-02", "V").check(SOURCE.terminal_v(current_a));
}

/// Source: maximum power transfer. More is no number, and no NaN either.
#[test]
fn bat_03_the_most_a_source_can_give() {
    let most_w = SOURCE.greatest_power_w();
    let current_a = SOURCE.current_a(most_w).unwrap();
    expected("BAT-03", "P_max").check(most_w);
    expected("BAT-03", "I").check(current_a);
    expected("BAT-03", "V").check(SOURCE.terminal_v(current_a));
    assert_eq!(SOURCE.current_a(most_w * 1.001), None);
}

/// Source: Robertson, Fundamental Electrical and Electronic Principles, examples 1.9 and 1.10.
#[test]
fn bat_04_terminal_voltage() {
    let source = Source { open_circuit_v: 6.0, resistance_ohm: 0.15 };
    for (current_a, quantity) in [(0.5, "V0.5"), (2.0, "V2"), (10.0, "V10")] {
        expected("BAT-04", quantity).check(source.terminal_v(current_a));
    }
}

/// A pack of modules of one cell.
fn pack_of(cell_v: f64, cell_ohm: f64, series: u32, parallel: u32) -> PackSpec {
    PackSpec {
        open_circuit: Arc::new(flat_cell(cell_v)),
        cells_in_series: 1,
        cells_in_parallel: 1,
        cell_resistance_ohm: cell_ohm,
        modules_in_series: series,
        modules_in_parallel: parallel,
        harness_resistance_ohm: 0.0,
        ..small_saloon().pack
    }
}

/// Source: Dhogal, Basic Electrical Engineering with Numerical Problems, ch. 9, examples 9.1 to 9.3.
#[test]
fn bat_05_cells_in_series_and_parallel() {
    let into_resistor_a = |load_ohm: f64, pack: &PackSpec| {
        pack.open_circuit_v(0.5) / (load_ohm + pack.cells_resistance_ohm())
    };
    expected("BAT-05", "I_series").check(into_resistor_a(5.0, &pack_of(1.5, 0.5, 20, 1)));
    expected("BAT-05", "I_parallel").check(into_resistor_a(4.9, &pack_of(1.5, 1.0, 1, 10)));
    expected("BAT-05", "I_mixed").check(into_resistor_a(2.5, &pack_of(1.5, 0.5, 10, 3)));
}

/// Source: Dhogal, ch. 9, example 9.8: 50 cells behind 20 ohms in all, charged from 250 V.
#[test]
fn bat_07_charging_current_falls_as_voltage_rises() {
    let charging_a = |cell_v: f64| {
        let pack = pack_of(cell_v, 0.01, 50, 1);
        let resistance_ohm = pack.cells_resistance_ohm() + 0.1 + 19.4;
        let source = Source { open_circuit_v: pack.open_circuit_v(0.5), resistance_ohm };
        -source.power_at_voltage_w(250.0) / 250.0
    };
    expected("BAT-07", "I_start").check(charging_a(1.8));
    expected("BAT-07", "I_end").check(charging_a(2.2));
}

/// Source: listing of Larminie and Lowry, battery chapter, read in two public copies.
#[test]
fn bat_10_pack_resistance() {
    let pack = pack_of(2.0, 0.022 / 60.0, 156, 1);
    expected("BAT-10", "R").check(pack.cells_resistance_ohm() + 0.05);
}

/// Source: <https://www.batterydesign.net/pack/sizing/> (prints 34.6 kWh).
#[test]
fn bat_11_pack_voltage_and_energy() {
    let pack = PackSpec { cell_capacity_c: 50.0 * 3600.0, ..pack_of(3.6, 1e-3, 96, 2) };
    expected("BAT-11", "V").check(pack.open_circuit_v(0.5));
    expected("BAT-11", "E").check(pack.stored_j(0.0, 1.0) / JOULE_PER_KWH);
}

/// One cell of `ocv.csv`. Source: the lines at its head.
fn measured(cell: &str) -> OpenCircuitTable {
    let table = Table::read(include_str!("../../../data/ocv.csv"));
    let rows: Vec<_> = table.rows().filter(|row| row.text("cell") == cell).collect();
    OpenCircuitTable {
        charge_frac: rows.iter().map(|row| row.number("soc")).collect(),
        voltage_v: rows.iter().map(|row| row.number("ocv_V")).collect(),
    }
}

/// Source: Sunil, Pattipati, Balasingam, IEEE Trans. Instrum. Meas. 2025; linear between its points.
#[test]
fn bat_12_open_circuit_voltage() {
    for (charge, quantity) in [(0.2, "B0.2"), (0.5, "B0.5"), (0.8, "B0.8")] {
        expected("BAT-12", quantity).check(cell::lfp().voltage_at(charge));
    }
    expected("BAT-12", "A0.5").check(measured("A").voltage_at(0.5));
}

/// Source: the same tables; the trapezium is exact for straight pieces.
#[test]
fn bat_13_energy_of_a_cell() {
    let (iron, nickel) = (cell::lfp().integral_v(0.0, 1.0), measured("A").integral_v(0.0, 1.0));
    expected("BAT-13", "mean_B").check(iron);
    expected("BAT-13", "mean_A").check(nickel);
    let energy_wh = |open_circuit, capacity_ah: f64| {
        let cell_capacity_c = capacity_ah * 3600.0;
        let pack = pack_of(1.0, 1e-3, 1, 1);
        let pack = PackSpec { open_circuit: Arc::new(open_circuit), cell_capacity_c, ..pack };
        pack.stored_j(0.0, 1.0) / 3600.0
    };
    expected("BAT-13", "E_B").check(energy_wh(cell::lfp(), 1.2));
    expected("BAT-13", "E_A").check(energy_wh(measured("A"), 4.2));
}

/// The built-in tables are those of the source, digit for digit.
#[test]
fn the_built_in_cells_are_the_published_ones() {
    for (ours, name) in [(cell::lfp(), "B"), (cell::nmc(), "C")] {
        let theirs = measured(name);
        assert_eq!(ours.charge_frac.len(), theirs.charge_frac.len());
        for i in 0..theirs.charge_frac.len() {
            assert_same_bits!(ours.charge_frac[i], theirs.charge_frac[i]);
            assert_same_bits!(ours.voltage_v[i], theirs.voltage_v[i]);
        }
    }
}

/// Source: own numbers, energy over power and efficiency: 60 kWh, 20 to 80 %, 11 kW, 0.90.
#[test]
fn bat_14_charging_at_constant_power() {
    let hours = constant_power_charge_h(60.0 * 0.6 * JOULE_PER_KWH, 11e3, 0.90);
    expected("BAT-14", "t").check(hours);
}

/// One cell of 50 Ah and 2 mΩ, its voltage at rest 3.4 V + 0.8 V z, at 1 C and 4.2 V. Below a fifth of
/// charge the model's resistance rises, which constant current does not feel.
fn one_cell() -> (Car, Day) {
    let (charge_frac, voltage_v) = (vec![0.0, 1.0], vec![3.4, 4.2]);
    let mut spec = small_saloon();
    spec.pack = PackSpec {
        open_circuit: Arc::new(OpenCircuitTable { charge_frac, voltage_v }),
        cell_capacity_c: 50.0 * 3600.0,
        resistance_b_k: 0.0,
        max_charge_per_h: 1.0,
        usable_from_frac: 0.0,
        usable_to_frac: 1.0,
        ..pack_of(3.8, 2e-3, 1, 1)
    };
    (spec.inverter.min_voltage_v, spec.inverter.max_voltage_v) = (1.0, 5.0);
    (Car::new(&spec).unwrap(), Day::new(&mild_day()).unwrap())
}

/// Seconds to charge in `parts` charges one after the other, each of a thousand pieces.
fn charging_s(socket: &Socket<'_>, from_frac: f64, to_frac: f64, parts: u32) -> f64 {
    let at = |i: u32| from_frac + (to_frac - from_frac) * f64::from(i) / f64::from(parts);
    (0..parts).map(|i| socket.charge(at(i), at(i + 1)).duration_s).sum()
}

/// The same to nine digits: the pieces are of second order, so that a third of the difference between
/// 8 and 16 parts is left.
fn long_charging_s(socket: &Socket<'_>, from_frac: f64, to_frac: f64) -> f64 {
    let [coarse_s, fine_s] = [8, 16].map(|parts| charging_s(socket, from_frac, to_frac, parts));
    fine_s + (fine_s - coarse_s) / 3.0
}

/// Source: own numbers: constant current to `(4.2 - 0.1 - 3.4) / 0.8`, then `I = I0 e^(-t/τ)` with
/// `τ = R Q / 0.8 V` down to a twentieth of the capacity.
#[test]
fn bat_15_constant_current_then_constant_voltage() {
    let (car, day) = one_cell();
    let socket = Socket::unlimited(&car, &day);
    let current_a = |z: f64| socket.charge(z, z).points[0].current_a;
    let (mut full_a, mut less_a) = (0.5, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (full_a + less_a);
        if current_a(middle) < 50.0 { less_a = middle } else { full_a = middle }
    }
    // At the very switch 50 A are 50 A but for their last bits.
    expected("BAT-15", "soc_switch").check(less_a);
    let end_frac = socket.charge(0.0, 1.0).end_charge_frac;
    expected("BAT-15", "soc_end").check(end_frac);
    expected("BAT-15", "t_cc").check(charging_s(&socket, 0.0, less_a, 1) / 60.0);
    let falling_s = long_charging_s(&socket, less_a, end_frac);
    expected("BAT-15", "t_cv").check(falling_s / 60.0);
    // The time constant from the time between two currents.
    let (early, late) = (0.90, 0.98);
    let between_s = long_charging_s(&socket, early, late);
    let tau_s = between_s / (current_a(early) / current_a(late)).ln();
    expected("BAT-15", "tau_cv").check(tau_s / 60.0);
}

/// Source: definition, current over capacity.
#[test]
fn bat_16_current_over_capacity() {
    let pack = PackSpec {
        cell_capacity_c: 60.0 * 3600.0,
        max_discharge_per_h: 1.0,
        ..pack_of(3.7, 1e-3, 1, 1)
    };
    for (current_a, quantity) in [(30.0, "c30"), (60.0, "c60"), (180.0, "c180")] {
        expected("BAT-16", quantity).check(current_a / pack.max_discharge_a());
    }
}
