//! Keys of the pack.

use super::weights::RIGHT;
use super::{JUDGEMENT, KeyKind, KeyRow, from, number, over, row, whole};
use crate::units::Dimension::{
    Charge, ChargeRate, Conductance, Length, Mass, Ratio, Resistance, SpecificHeat,
    TemperatureCoefficient, Voltage,
};

const BY_CHEMISTRY: &str = "by the chemistry: 3.0 V to 4.2 V for nmc, 2.5 V to 3.65 V for lfp, \
1.75 V to 2.4 V for lead (usual sheets)";
const RESISTANCE_B: &str = "2000 K ± 800 K (engineering judgement), or 0 with a cold capacity sheet, \
which already holds it";

pub(super) const ROWS: &[KeyRow] = &[
    row(
        "pack.chemistry",
        "cell chemistry, for a built-in open-circuit voltage",
        KeyKind::Choice(&["nmc", "lfp", "lead"]),
        "\"nmc\"",
    ),
    row(
        "pack.open_circuit",
        "table of charge and open-circuit voltage of a cell, instead of chemistry",
        KeyKind::TableFile,
        "\"cell-ocv.csv\"",
    ),
    whole("pack.cells_in_series", "cells in series in one module", 1.0, 400.0, "4")
        .required()
        .knob(),
    whole("pack.cells_in_parallel", "cells in parallel in one module", 1.0, 1000.0, "2")
        .required()
        .knob(),
    number(
        "pack.cell_capacity",
        "capacity of one cell at 25 °C",
        Charge,
        over(0.0, 2000.0, "Ah"),
        "\"78 Ah\"",
    )
    .required()
    .knob(),
    number(
        "pack.cell_resistance",
        "direct-current resistance of one cell: 10 s, half charge, 25 °C",
        Resistance,
        over(0.0, 1.0, "ohm"),
        "\"0.8 mohm ± 20 %\"",
    )
    .required()
    .knob(),
    row(
        "pack.resistance_kind",
        "how the resistance was measured: with direct current for 10 s, or at 1 kHz",
        KeyKind::Choice(&["dc", "1 kHz"]),
        "\"dc\"",
    )
    .assumed("dc", "the usual figure for driving"),
    number(
        "pack.resistance_b",
        "temperature coefficient B of the resistance",
        TemperatureCoefficient,
        from(0.0, 10_000.0, "K"),
        "\"2000 K ± 800 K\"",
    )
    .derived(RESISTANCE_B)
    .knob(),
    row(
        "pack.cold_capacity",
        "table of usable capacity against temperature, instead of resistance_b",
        KeyKind::ColdCapacity,
        "\"cold-capacity.csv\"",
    ),
    number(
        "pack.cell_voltage.from",
        "lowest cell voltage",
        Voltage,
        over(0.0, 5.0, "V"),
        "\"3.0 V\"",
    )
    .derived(BY_CHEMISTRY),
    number(
        "pack.cell_voltage.to",
        "highest cell voltage",
        Voltage,
        over(0.0, 5.0, "V"),
        "\"4.2 V\"",
    )
    .derived(BY_CHEMISTRY),
    number(
        "pack.max_discharge",
        "highest discharge current over capacity",
        ChargeRate,
        over(0.0, 200.0, "C"),
        "\"4 C\"",
    )
    .required()
    .knob(),
    number(
        "pack.max_charge",
        "highest charging current over capacity",
        ChargeRate,
        over(0.0, 200.0, "C"),
        "\"1 C\"",
    )
    .required()
    .knob(),
    number(
        "pack.module_spread",
        "standard deviation of capacity from module to module; the weakest rules in series",
        Ratio,
        from(0.0, 0.2, ""),
        "\"2 %\"",
    )
    .assumed("2 % ± 1 %", "engineering judgement: new modules; used ones differ by 5 %")
    .knob(),
    number("pack.module_mass", "mass of one module", Mass, over(0.0, 1000.0, "kg"), "\"11.4 kg\"")
        .required()
        .knob(),
    number(
        "pack.specific_heat",
        "specific heat of a module",
        SpecificHeat,
        over(100.0, 5000.0, "J/(kg K)"),
        "\"1000 J/(kg K)\"",
    )
    .assumed("1000 J/(kg K) ± 10 %", JUDGEMENT)
    .knob(),
    number(
        "pack.conductance",
        "heat that the pack gives off for each kelvin above the air",
        Conductance,
        from(0.0, 1000.0, "W/K"),
        "\"5 W/K\"",
    )
    .assumed("5 W/K ± 50 %", JUDGEMENT)
    .knob(),
    whole("pack.modules_in_series", "modules in series", 1.0, 400.0, "9").required().knob(),
    whole("pack.modules_in_parallel", "strings of modules in parallel", 1.0, 100.0, "1")
        .required()
        .knob(),
    number(
        "pack.usable.from",
        "lowest state of charge in use",
        Ratio,
        from(0.0, 1.0, ""),
        "\"8 %\"",
    )
    .assumed("5 % ± 2 %", JUDGEMENT)
    .knob(),
    number(
        "pack.usable.to",
        "highest state of charge in use",
        Ratio,
        from(0.0, 1.0, ""),
        "\"96 %\"",
    )
    .assumed("95 % ± 2 %", JUDGEMENT)
    .knob(),
    number(
        "pack.harness_resistance",
        "cables, fuses and contactors between pack and inverter",
        Resistance,
        from(0.0, 1.0, "ohm"),
        "\"3 mohm\"",
    )
    .assumed("3 mohm ± 50 %", JUDGEMENT)
    .knob(),
    number("pack.state_of_health", "capacity left, 1 for new", Ratio, over(0.1, 1.0, ""), "1.0")
        .assumed("1", "new cells")
        .knob(),
    number(
        "pack.reserve",
        "share of the usable part that is kept back as a reserve",
        Ratio,
        from(0.0, 0.9, ""),
        "\"15 %\"",
    )
    .assumed("15 %", "a choice, not a property of the car")
    .knob(),
    whole("pack.box.*.room_for", "modules that fit into this box", 0.0, 1000.0, "5").required(),
    number(
        "pack.box.*.behind_front_axle",
        "where the modules of this box sit, behind the front axle",
        Length,
        from(-5.0, 10.0, "m"),
        "\"0.02 m\"",
    )
    .required()
    .knob(),
    number("pack.box.*.right_of_centre", RIGHT, Length, from(-2.0, 2.0, "m"), "\"0 m\"")
        .assumed("0 m", "on the centre line")
        .knob(),
    number(
        "pack.box.*.above_ground",
        "height of the modules of this box above the ground",
        Length,
        from(0.0, 3.0, "m"),
        "\"0.50 m\"",
    )
    .knob(),
];
