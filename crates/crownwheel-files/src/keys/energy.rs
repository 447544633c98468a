//! Keys of the pack, regeneration, the 12 V side, charging.

use super::weights::RIGHT;
use super::{JUDGEMENT, KeyKind, KeyRow, from, number, over, row, whole};
use crate::units::Dimension::{
    Charge, ChargeRate, Conductance, Length, Mass, Power, Ratio, Resistance, SpecificHeat, Speed,
    TemperatureCoefficient, Voltage,
};

const BY_CHEMISTRY: &str =
    "by the chemistry: 3.0 V to 4.2 V for nmc, 2.5 V to 3.65 V for lfp (usual cell sheets)";

pub(super) const ROWS: &[KeyRow] = &[
    row(
        "pack.chemistry",
        "cell chemistry, for a built-in open-circuit voltage",
        KeyKind::Choice(&["nmc", "lfp"]),
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
    number(
        "pack.resistance_b",
        "temperature coefficient B of the resistance",
        TemperatureCoefficient,
        from(0.0, 10_000.0, "K"),
        "\"2000 K ± 800 K\"",
    )
    .assumed("2000 K ± 800 K", JUDGEMENT)
    .knob(),
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
    .assumed("5 %", JUDGEMENT)
    .knob(),
    number(
        "pack.usable.to",
        "highest state of charge in use",
        Ratio,
        from(0.0, 1.0, ""),
        "\"96 %\"",
    )
    .assumed("95 %", JUDGEMENT)
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
    number(
        "regen.share",
        "share of the braking force that the motor takes, within its limits",
        Ratio,
        from(0.0, 1.0, ""),
        "0.6",
    )
    .assumed("0.5 ± 0.2", JUDGEMENT)
    .knob(),
    number(
        "regen.fade_out_below",
        "speed below which regeneration fades to nothing",
        Speed,
        over(0.0, 60.0, "km/h"),
        "\"8 km/h\"",
    )
    .assumed("8 km/h ± 3 km/h", JUDGEMENT)
    .knob(),
    number(
        "dcdc.efficiency",
        "power out over power in of the DC-DC converter",
        Ratio,
        over(0.3, 1.0, ""),
        "0.90",
    )
    .assumed("0.90 ± 0.03", JUDGEMENT)
    .knob(),
    number(
        "dcdc.max",
        "highest power out of the DC-DC converter",
        Power,
        over(0.0, 50.0, "kW"),
        "\"1.2 kW\"",
    )
    .knob(),
    number(
        "load.*.power",
        "power of a standing load while on",
        Power,
        from(0.0, 100.0, "kW"),
        "\"180 W\"",
    )
    .required()
    .knob(),
    row(
        "load.*.side",
        "where the load is connected",
        KeyKind::Choice(&["12 V", "traction"]),
        "\"12 V\"",
    )
    .assumed("12 V", "most loads of a car are"),
    number(
        "load.*.duty",
        "share of the time that the load is on",
        Ratio,
        from(0.0, 1.0, ""),
        "1.0",
    )
    .assumed("1", "always on")
    .knob(),
    number(
        "charger.power",
        "highest power of the on-board charger into the pack",
        Power,
        over(0.0, 1000.0, "kW"),
        "\"5.0 kW\"",
    )
    .assumed("3.3 kW", "a usual size; it does not change use or range")
    .knob(),
    number(
        "charger.efficiency",
        "power into the pack over power from the wall",
        Ratio,
        over(0.3, 1.0, ""),
        "0.92",
    )
    .assumed("0.90 ± 0.04", JUDGEMENT)
    .knob(),
    row(
        "supply.*.limit",
        "what a supply can give: a power, or a voltage times a current",
        KeyKind::PowerLimit,
        "\"230 V x 10 A\"",
    )
    .required(),
];
