//! Keys of the motor and the inverter.

use super::{KeyKind, KeyRow, from, number, over, row};
use crate::units::Dimension::{
    Current, Inertia, LossPerShaftSpeed, LossPerShaftSpeedCubed, LossPerTorqueSquared, Power,
    Ratio, Resistance, ShaftSpeed, Temperature, Time, Torque, Voltage,
};

const LOSSES: &str = "table of speed, torque and loss; \
or { best_efficiency, at_speed, at_torque }; or { copper, iron, windage, fixed }";

const LOSSES_SCALE: &str = "1 ± 15 % for a table or a sum, 1 ± 30 % for losses that are fitted to \
one point (engineering judgement)";
const BY_VOLTAGE: &str = "by the voltage window: below 200 V 60 W ± 50 % and 0.03 ± 0.015, else 100 W \
± 50 % and 0.02 ± 0.01 (engineering judgement)";

pub(super) const ROWS: &[KeyRow] = &[
    row(
        "motor.kind",
        "kind of motor",
        KeyKind::Choice(&["permanent magnet", "induction", "brushed"]),
        "\"brushed\"",
    ),
    number(
        "motor.armature_resistance",
        "resistance of armature and brushes of a brushed motor, warm",
        Resistance,
        over(0.0, 1.0, "ohm"),
        "\"12 mohm\"",
    )
    .knob(),
    row(
        "motor.curve",
        "table of speed, peak torque and continuous torque",
        KeyKind::TableFile,
        "\"motor-curve.csv\"",
    )
    .required(),
    number(
        "motor.curve_scale",
        "factor on both torque curves, 1 as on the sheet",
        Ratio,
        from(0.1, 5.0, ""),
        "1",
    )
    .assumed("1 ± 5 %", "as on the sheet; motors of a kind differ (engineering judgement)")
    .knob(),
    number(
        "motor.phase_current_ratio",
        "phase current that the inverter gives over that of the sheet's test",
        Ratio,
        from(0.05, 5.0, ""),
        "0.8",
    )
    .assumed("1", "the inverter is taken to give the current of the sheet")
    .knob(),
    number(
        "motor.phase_current",
        "phase current of the sheet's test, with inverter.max_phase_current",
        Current,
        over(0.0, 5000.0, "A"),
        "\"500 A\"",
    )
    .unsure(),
    number(
        "motor.curve_voltage",
        "voltage under load during the test of the curve",
        Voltage,
        from(5.0, 1500.0, "V"),
        "\"126 V\"",
    )
    .required()
    .knob(),
    row(
        "motor.falling_part",
        "what shaped the falling part of the peak curve on the sheet",
        KeyKind::Choice(&["voltage", "battery current"]),
        "\"voltage\"",
    )
    .assumed("voltage", "usual for a sheet taken at one test voltage"),
    number(
        "motor.peak_seconds",
        "time that peak torque may be held from cold",
        Time,
        from(0.1, 36_000.0, "s"),
        "\"60 s\"",
    )
    .knob(),
    number(
        "motor.long_rating.torque",
        "a second, longer rating from cold: the torque at the corner of the peak curve",
        Torque,
        over(0.0, 10_000.0, "N m"),
        "\"90 N m\"",
    )
    .required()
    .knob(),
    number(
        "motor.long_rating.time",
        "a second, longer rating from cold: how long it may be held",
        Time,
        over(1.0, 86_400.0, "s"),
        "\"30 min\"",
    )
    .required(),
    number(
        "motor.max_winding_temperature",
        "highest temperature of the winding",
        Temperature,
        from(80.0, 300.0, "°C"),
        "\"155 °C\"",
    )
    .assumed("155 °C", "thermal class F of IEC 60034-1"),
    row(
        "motor.back_emf",
        "voltage that the turning motor induces, as direct voltage at the inverter",
        KeyKind::VoltageAtSpeed,
        "\"24 V at 1000 rpm\"",
    ),
    number(
        "motor.max_speed",
        "highest permitted motor speed",
        ShaftSpeed,
        over(0.0, 60_000.0, "rpm"),
        "\"8000 rpm\"",
    )
    .required()
    .knob(),
    number(
        "motor.rotor_inertia",
        "moment of inertia of the rotor with everything on its shaft",
        Inertia,
        from(0.0, 50.0, "kg m2"),
        "\"0.045 kg m2\"",
    )
    .assumed("0.045 kg m2 ± 50 %", "engineering judgement: motors of about 70 kg")
    .knob(),
    row("motor.losses", LOSSES, KeyKind::TableFile, "\"motor-losses.csv\"").required(),
    number(
        "motor.losses.best_efficiency",
        "best efficiency of the motor on its sheet",
        Ratio,
        over(0.3, 0.999, ""),
        "\"92 %\"",
    )
    .knob(),
    number(
        "motor.losses.at_speed",
        "speed of the best point",
        ShaftSpeed,
        over(0.0, 60_000.0, "rpm"),
        "\"3500 rpm\"",
    )
    .knob(),
    number(
        "motor.losses.at_torque",
        "torque of the best point",
        Torque,
        over(0.0, 10_000.0, "N m"),
        "\"70 N m\"",
    )
    .knob(),
    number(
        "motor.losses.copper",
        "loss for each newton metre squared",
        LossPerTorqueSquared,
        from(0.0, 1000.0, "W/(N m)^2"),
        "\"0.12 W/(N m)^2\"",
    )
    .knob(),
    number(
        "motor.losses.iron",
        "loss that grows with speed",
        LossPerShaftSpeed,
        from(0.0, 1000.0, "W/(rad/s)"),
        "\"0.9 W/(rad/s)\"",
    )
    .knob(),
    number(
        "motor.losses.windage",
        "loss that grows with speed cubed",
        LossPerShaftSpeedCubed,
        from(0.0, 1.0, "W/(rad/s)^3"),
        "\"4e-7 W/(rad/s)^3\"",
    )
    .knob(),
    number(
        "motor.losses.fixed",
        "loss that is always there",
        Power,
        from(0.0, 100.0, "kW"),
        "\"50 W\"",
    )
    .knob(),
    number(
        "motor.losses_scale",
        "factor on all motor losses",
        Ratio,
        from(0.05, 10.0, ""),
        "\"1 ± 15 %\"",
    )
    .derived(LOSSES_SCALE)
    .knob(),
    number(
        "inverter.fixed_loss",
        "loss of the inverter that is always there",
        Power,
        from(0.0, 100.0, "kW"),
        "\"60 W\"",
    )
    .derived(BY_VOLTAGE)
    .knob(),
    number(
        "inverter.loss_share",
        "share of the passing power that the inverter loses",
        Ratio,
        from(0.0, 0.5, ""),
        "0.03",
    )
    .derived(BY_VOLTAGE)
    .knob(),
    number(
        "inverter.max_battery_current",
        "highest current from the battery",
        Current,
        over(0.0, 5000.0, "A"),
        "\"420 A\"",
    )
    .required()
    .knob(),
    number(
        "inverter.max_phase_current",
        "highest current to a phase of the motor, with motor.phase_current",
        Current,
        over(0.0, 5000.0, "A"),
        "\"400 A\"",
    )
    .unsure(),
    number(
        "inverter.voltage_window.from",
        "lowest supply voltage of the inverter",
        Voltage,
        over(0.0, 1500.0, "V"),
        "\"90 V\"",
    )
    .required(),
    number(
        "inverter.voltage_window.to",
        "highest supply voltage of the inverter",
        Voltage,
        over(0.0, 1500.0, "V"),
        "\"156 V\"",
    )
    .required(),
];
