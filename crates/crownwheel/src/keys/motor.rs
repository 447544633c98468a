//! Keys of the motor and the inverter.

use super::bind::at;
use super::unit::{
    A, CELSIUS, KG_M2, KW, N_M, OHM, ONE, RPM, S, V, W_PER_NM2, W_PER_RADPS, W_PER_RADPS3,
};
use super::{Key, key};
use crate::spec::MotorLossSpec::{BestPoint, Polynomial};

const LOSSES_SCALE: &str = "1 ± 15 % for a table or a sum, 1 ± 30 % for losses that are fitted \
to one point (engineering judgement)";
const LIGHT_LOAD: &str = "by motor.kind: 20 % ± 8 % with magnets or where none is named, 30 % ± 10 % for an \
induction or a brushed motor (engineering judgement)";
const BY_VOLTAGE: &str = "by the voltage window: below 200 V 60 W ± 50 % and 0.03 ± 0.015, else \
100 W ± 50 % and 0.02 ± 0.01 (engineering judgement)";

pub(super) const ROWS: &[Key] = &[
    key("motor.armature_resistance", "resistance of armature and brushes of a brushed motor, warm")
        .over(0.0, 1.0, OHM)
        .code(0.0, 10.0)
        .like("\"12 mohm\"")
        .of_car(|car| at(&mut car.motor.armature_ohm).filter(|place| place.get() != Some(0.0))),
    key("motor.curve_scale", "factor on both torque curves, 1 as on the sheet")
        .from(0.1, 5.0, ONE)
        .code(0.1, 10.0)
        .like("1")
        .assumed("1 ± 5 %", "as on the sheet; motors of a kind differ (engineering judgement)")
        .advice(
            "times at full throttle, hills, top speed",
            "time a run at full throttle, or a dynamometer, and hold it against \
             `crownwheel pull`",
        )
        .of_car(|car| at(&mut car.motor.curve_scale)),
    key(
        "motor.phase_current_ratio",
        "phase current that the inverter gives over that of the sheet's test",
    )
    .from(0.05, 5.0, ONE)
    .like("0.8")
    .assumed("1", "the inverter is taken to give the current of the sheet")
    .advice(
        "torque at low speed: starts and hills",
        "the controller's phase current and that of the sheet's test, as \
         inverter.max_phase_current and motor.phase_current",
    )
    .of_car(|car| at(&mut car.motor.phase_current_ratio)),
    key("motor.curve_voltage", "voltage under load during the test of the curve")
        .from(5.0, 1500.0, V)
        .code(5.0, 2000.0)
        .like("\"126 V\"")
        .required()
        .of_car(|car| at(&mut car.motor.test_voltage_v)),
    key("motor.peak_seconds", "time that peak torque may be held from cold")
        .from(0.1, 36_000.0, S)
        .like("\"60 s\"")
        .of_car(|car| at(&mut car.motor.peak_seconds)),
    key(
        "motor.long_rating.torque",
        "a second, longer rating from cold: the torque at the corner of the peak curve",
    )
    .over(0.0, 10_000.0, N_M)
    .or_more()
    .like("\"90 N m\"")
    .required()
    .of_car(|car| at(&mut car.motor.long_rating.as_mut()?.torque_nm)),
    key("motor.long_rating.time", "a second, longer rating from cold: how long it may be held")
        .over(1.0, 86_400.0, S)
        .code(1.0, 86_400.0)
        .like("\"30 min\"")
        .required()
        .fixed()
        .of_car(|car| at(&mut car.motor.long_rating.as_mut()?.seconds)),
    key("motor.max_winding_temperature", "highest temperature of the winding")
        .from(80.0, 300.0, CELSIUS)
        .like("\"155 °C\"")
        .assumed("155 °C", "thermal class F of IEC 60034-1")
        .advice(
            "minutes to cut-back, and lasting power on hot days",
            "the thermal class on the motor's plate: B 130 °C, F 155 °C, H 180 °C",
        )
        .fixed()
        .of_car(|car| at(&mut car.motor.max_winding_k)),
    key("motor.max_speed", "highest permitted motor speed")
        .over(0.0, 60_000.0, RPM)
        .or_more()
        .like("\"8000 rpm\"")
        .required()
        .of_car(|car| at(&mut car.motor.max_speed_radps)),
    key("motor.rotor_inertia", "moment of inertia of the rotor with everything on its shaft")
        .from(0.0, 50.0, KG_M2)
        .like("\"0.045 kg m2\"")
        .assumed("0.045 kg m2 ± 50 %", "engineering judgement: motors of about 70 kg")
        .advice(
            "times at full throttle, most in low gears",
            "the motor's sheet says it, as J or moment of inertia",
        )
        .of_car(|car| at(&mut car.motor.rotor_inertia_kgm2)),
    key("motor.losses.best_efficiency", "best efficiency of the motor on its sheet")
        .over(0.3, 0.999, ONE)
        .code_over(0.0, 1.0)
        .like("\"92 %\"")
        .of_car(|car| match &mut car.motor.losses {
            BestPoint { efficiency_frac, .. } => at(efficiency_frac),
            _ => None,
        }),
    key("motor.losses.at_speed", "speed of the best point")
        .over(0.0, 60_000.0, RPM)
        .or_more()
        .like("\"3500 rpm\"")
        .of_car(|car| match &mut car.motor.losses {
            BestPoint { speed_radps, .. } => at(speed_radps),
            _ => None,
        }),
    key("motor.losses.at_torque", "torque of the best point")
        .over(0.0, 10_000.0, N_M)
        .or_more()
        .like("\"70 N m\"")
        .of_car(|car| match &mut car.motor.losses {
            BestPoint { torque_nm, .. } => at(torque_nm),
            _ => None,
        }),
    key("motor.losses.light_load", "share of the loss at the best point that is left without torque")
        .over(0.0, 0.5, ONE)
        .like("\"20 %\"")
        .derived(LIGHT_LOAD)
        .advice(
            "use at steady speed: most of it is at light load",
            "the battery's power with the wheels off the ground at the speed of the best point, less the \
             standing loads, over the loss at that point: for who may work on a raised car",
        )
        .of_car(|car| match &mut car.motor.losses {
            BestPoint { light_load_share, .. } => at(light_load_share),
            _ => None,
        }),
    key("motor.losses.copper", "loss for each newton metre squared")
        .from(0.0, 1000.0, W_PER_NM2)
        .or_more()
        .like("\"0.12 W/(N m)^2\"")
        .of_car(|car| match &mut car.motor.losses {
            Polynomial { copper_w_per_nm2, .. } => at(copper_w_per_nm2),
            _ => None,
        }),
    key("motor.losses.iron", "loss that grows with speed")
        .from(0.0, 1000.0, W_PER_RADPS)
        .or_more()
        .like("\"0.9 W/(rad/s)\"")
        .of_car(|car| match &mut car.motor.losses {
            Polynomial { iron_w_per_radps, .. } => at(iron_w_per_radps),
            _ => None,
        }),
    key("motor.losses.windage", "loss that grows with speed cubed")
        .from(0.0, 1.0, W_PER_RADPS3)
        .or_more()
        .like("\"4e-7 W/(rad/s)^3\"")
        .of_car(|car| match &mut car.motor.losses {
            Polynomial { windage_w_per_radps3, .. } => at(windage_w_per_radps3),
            _ => None,
        }),
    key("motor.losses.fixed", "loss that is always there")
        .from(0.0, 100.0, KW)
        .or_more()
        .like("\"50 W\"")
        .of_car(|car| match &mut car.motor.losses {
            Polynomial { fixed_w, .. } => at(fixed_w),
            _ => None,
        }),
    key("motor.losses_scale", "factor on all motor losses")
        .from(0.05, 10.0, ONE)
        .code(0.05, 20.0)
        .like("\"1 ± 15 %\"")
        .derived(LOSSES_SCALE)
        .advice(
            "use and range everywhere",
            "log volts and amperes of the pack on a trip, and give the log to `crownwheel \
             audit`",
        )
        .of_car(|car| at(&mut car.motor.losses_scale)),
    key("inverter.fixed_loss", "loss of the inverter that is always there")
        .from(0.0, 100.0, KW)
        .or_more()
        .like("\"60 W\"")
        .derived(BY_VOLTAGE)
        .advice(
            "use in slow traffic",
            "the controller's sheet: supply power with the motor at rest and ready",
        )
        .bare(0.5)
        .of_car(|car| at(&mut car.inverter.fixed_loss_w)),
    key("inverter.loss_share", "share of the passing power that the inverter loses")
        .from(0.0, 0.5, ONE)
        .like("0.03")
        .derived(BY_VOLTAGE)
        .advice(
            "use and range everywhere, a little",
            "the controller's sheet: 1 less its efficiency near the usual load",
        )
        .bare(0.5)
        .of_car(|car| at(&mut car.inverter.loss_share)),
    key("inverter.max_battery_current", "highest current from the battery")
        .over(0.0, 5000.0, A)
        .or_more()
        .like("\"420 A\"")
        .required()
        .of_car(|car| at(&mut car.inverter.max_battery_current_a)),
    key("inverter.voltage_window.from", "lowest supply voltage of the inverter")
        .over(0.0, 1500.0, V)
        .or_more()
        .like("\"90 V\"")
        .required()
        .fixed()
        .of_car(|car| at(&mut car.inverter.min_voltage_v)),
    key("inverter.voltage_window.to", "highest supply voltage of the inverter")
        .over(0.0, 1500.0, V)
        .or_more()
        .like("\"156 V\"")
        .required()
        .fixed()
        .of_car(|car| at(&mut car.inverter.max_voltage_v)),
];
