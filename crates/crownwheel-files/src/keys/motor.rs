//! Keys of the driveline, the motor and the inverter.

use super::{JUDGEMENT, KeyKind, KeyRow, from, number, over, row};
use crate::units::Dimension::{
    Conductance, Current, Inertia, LossPerShaftSpeed, LossPerShaftSpeedCubed, LossPerTorqueSquared,
    Power, Ratio, ShaftSpeed, Time, Torque, Voltage,
};

/// What a gear stage may be.
const GEARS: &[&str] = &["hypoid", "spiral bevel", "helical", "planetary", "belt"];
const BY_KIND: &str = "by the kind of gear (engineering judgement)";

const LOSSES: &str = "table of speed, torque and loss; \
or { best_efficiency, at_speed, at_torque }; or { copper, iron, windage, fixed }";

pub(super) const ROWS: &[KeyRow] = &[
    number(
        "driveline.reduction.ratio",
        "reduction between motor and propeller shaft: input speed over output speed",
        Ratio,
        from(0.05, 50.0, ""),
        "1.50",
    )
    .required()
    .knob(),
    row(
        "driveline.reduction.kind",
        "kind of gear of the reduction",
        KeyKind::Choice(GEARS),
        "\"helical\"",
    )
    .assumed("helical", "most reduction gears are helical"),
    number(
        "driveline.reduction.efficiency",
        "1 less the share of the entering power lost by load",
        Ratio,
        over(0.3, 1.0, ""),
        "\"0.98 ± 0.01\"",
    )
    .derived(BY_KIND)
    .knob(),
    number(
        "driveline.reduction.drag_torque",
        "drag torque at the input shaft without load, at drag_at and 80 °C oil",
        Torque,
        from(0.0, 100.0, "N m"),
        "\"0.4 N m ± 50 %\"",
    )
    .derived(BY_KIND)
    .knob(),
    number(
        "driveline.reduction.drag_at",
        "input shaft speed that the drag torque holds at",
        ShaftSpeed,
        over(0.0, 30_000.0, "rpm"),
        "\"3000 rpm\"",
    )
    .assumed("3000 rpm", "the speed that the assumed drag torques hold at"),
    number(
        "driveline.axle.ratio",
        "final drive ratio: input speed over output speed",
        Ratio,
        from(0.05, 50.0, ""),
        "4.22",
    )
    .required()
    .knob(),
    row(
        "driveline.axle.kind",
        "kind of gear of the final drive",
        KeyKind::Choice(GEARS),
        "\"hypoid\"",
    )
    .assumed("hypoid", "most rear axles since 1950 are hypoid"),
    number(
        "driveline.axle.efficiency",
        "1 less the share of the entering power lost by load",
        Ratio,
        over(0.3, 1.0, ""),
        "\"0.96 ± 0.01\"",
    )
    .derived(BY_KIND)
    .knob(),
    number(
        "driveline.axle.drag_torque",
        "drag torque at the input shaft without load, at drag_at and 80 °C oil",
        Torque,
        from(0.0, 100.0, "N m"),
        "\"1.2 N m ± 40 %\"",
    )
    .derived(BY_KIND)
    .knob(),
    number(
        "driveline.axle.drag_at",
        "input shaft speed that the drag torque holds at",
        ShaftSpeed,
        over(0.0, 30_000.0, "rpm"),
        "\"3000 rpm\"",
    )
    .assumed("3000 rpm", "the speed that the assumed drag torques hold at"),
    number(
        "driveline.oil_viscosity_exponent",
        "exponent of oil viscosity in the drag torque",
        Ratio,
        from(0.0, 1.0, ""),
        "\"0.33 ± 0.1\"",
    )
    .assumed("0.33 ± 0.1", JUDGEMENT)
    .knob(),
    number(
        "driveline.oil_time_constant",
        "time constant of the oil's warming",
        Time,
        from(1.0, 600.0, "min"),
        "\"25 min\"",
    )
    .assumed("25 min ± 5 min", "engineering judgement: 20 to 30 minutes")
    .knob(),
    number(
        "driveline.oil_conductance",
        "heat that the casings give off for each kelvin above the air",
        Conductance,
        over(0.0, 1000.0, "W/K"),
        "\"12 W/K\"",
    )
    .assumed("12 W/K ± 40 %", JUDGEMENT)
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
    .knob(),
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
    .assumed("1 ± 15 %", JUDGEMENT)
    .knob(),
    number(
        "inverter.fixed_loss",
        "loss of the inverter that is always there",
        Power,
        from(0.0, 100.0, "kW"),
        "\"60 W\"",
    )
    .assumed("60 W ± 50 %", JUDGEMENT)
    .knob(),
    number(
        "inverter.loss_share",
        "share of the passing power that the inverter loses",
        Ratio,
        from(0.0, 0.5, ""),
        "0.03",
    )
    .assumed("0.03 ± 0.01", JUDGEMENT)
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
