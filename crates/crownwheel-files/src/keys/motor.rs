//! Keys of the motor and the inverter.

use crownwheel::keys::unit::A;

use super::{KeyKind, KeyRow, key, number, row};

const LOSSES: &str = "table of speed, torque and loss; or { best_efficiency, at_speed, at_torque }; \
or { copper, iron, windage, fixed }";

pub(super) const ROWS: &[KeyRow] = &[
    row(
        KeyKind::Choice(&["permanent magnet", "induction", "brushed"]),
        key("motor.kind", "kind of motor").like("\"brushed\""),
    ),
    row(
        KeyKind::TableFile,
        key("motor.curve", "table of speed, peak torque and continuous torque")
            .like("\"motor-curve.csv\"")
            .required(),
    )
    .after("motor.armature_resistance"),
    number(
        key(
            "motor.phase_current",
            "phase current of the sheet's test, with inverter.max_phase_current",
        )
        .over(0.0, 5000.0, A)
        .like("\"500 A\""),
    )
    .unsure()
    .after("motor.phase_current_ratio"),
    row(
        KeyKind::Choice(&["voltage", "battery current"]),
        key("motor.falling_part", "what shaped the falling part of the peak curve on the sheet")
            .like("\"voltage\"")
            .assumed("voltage", "usual for a sheet taken at one test voltage")
            .advice(
                "pull at high speed on a sagging pack",
                "ask the motor's maker what ended the test: the voltage or the battery current",
            ),
    )
    .after("motor.curve_voltage"),
    row(
        KeyKind::VoltageAtSpeed,
        key(
            "motor.back_emf",
            "voltage that the turning motor induces, as direct voltage at the inverter",
        )
        .like("\"24 V at 1000 rpm\""),
    )
    .after("motor.max_winding_temperature"),
    row(KeyKind::TableFile, key("motor.losses", LOSSES).like("\"motor-losses.csv\"").required())
        .after("motor.rotor_inertia"),
    number(
        key(
            "inverter.max_phase_current",
            "highest current to a phase of the motor, with motor.phase_current",
        )
        .over(0.0, 5000.0, A)
        .like("\"400 A\""),
    )
    .unsure()
    .after("inverter.max_battery_current"),
];
