//! The driveline, the motor, the inverter and regeneration of a build.

use std::sync::Arc;

use crownwheel::spec::{
    Differential, DrivelineSpec, DrivenAxle, FallingPart, FirstStage, InverterSpec, MotorLossSpec,
    MotorSpec, RegenSpec, StageSpec,
};

use crate::assemble::Assembler;
use crate::{curve_file, loss_map_file};

/// What is assumed of a gear stage by its kind: efficiency, drag torque at 3,000 rpm.
struct Gears {
    kind: &'static str,
    efficiency: &'static str,
    drag_torque: &'static str,
}

/// Engineering judgement. The sliding teeth of a hypoid cost most; a belt has no oil to stir.
const GEARS: [Gears; 5] = [
    Gears { kind: "hypoid", efficiency: "0.96 ± 0.015", drag_torque: "1.2 N m ± 40 %" },
    Gears { kind: "spiral bevel", efficiency: "0.97 ± 0.01", drag_torque: "0.8 N m ± 40 %" },
    Gears { kind: "helical", efficiency: "0.98 ± 0.01", drag_torque: "0.4 N m ± 50 %" },
    Gears { kind: "planetary", efficiency: "0.98 ± 0.01", drag_torque: "0.4 N m ± 50 %" },
    Gears { kind: "belt", efficiency: "0.97 ± 0.015", drag_torque: "0.2 N m ± 50 %" },
];

pub(crate) fn driveline(a: &mut Assembler<'_>) -> DrivelineSpec {
    let driven_axle =
        if a.text("car.driven_axle") == "front" { DrivenAxle::Front } else { DrivenAxle::Rear };
    let differential = if a.text("car.differential") == "locked" {
        Differential::Locked
    } else {
        Differential::Open
    };
    let live_axle = a.flag_or("car.live_axle", driven_axle == DrivenAxle::Rear);
    let first = if a.values.has_table("driveline.reduction") {
        FirstStage::Reduction(stage(a, "driveline.reduction"))
    } else {
        FirstStage::Direct
    };
    DrivelineSpec {
        driven_axle,
        differential,
        live_axle,
        first,
        axle: stage(a, "driveline.axle"),
        oil_viscosity_exponent: a.number("driveline.oil_viscosity_exponent"),
        oil_time_constant_s: a.number("driveline.oil_time_constant"),
        oil_conductance_wpk: a.number("driveline.oil_conductance"),
    }
}

fn stage(a: &mut Assembler<'_>, path: &str) -> StageSpec {
    let ratio = a.number(&format!("{path}.ratio"));
    let kind = a.text(&format!("{path}.kind"));
    let gears = GEARS.iter().find(|gears| gears.kind == kind).unwrap_or(&GEARS[0]);
    let source = format!("a {} gear (engineering judgement)", gears.kind);
    StageSpec {
        ratio,
        efficiency_frac: a.number_or(&format!("{path}.efficiency"), gears.efficiency, &source),
        drag_torque_nm: a.number_or(&format!("{path}.drag_torque"), gears.drag_torque, &source),
        drag_speed_radps: a.number(&format!("{path}.drag_at")),
        max_torque_nm: None,
        max_speed_radps: None,
    }
}

pub(crate) fn motor(a: &mut Assembler<'_>) -> Option<MotorSpec> {
    let curve = a.table("motor.curve", curve_file::parse);
    let curve_scale = a.optional("motor.curve_scale").unwrap_or(1.0);
    let test_voltage_v = a.number("motor.curve_voltage");
    let falling_part = if a.text("motor.falling_part") == "battery current" {
        FallingPart::BatteryCurrent
    } else {
        FallingPart::Voltage
    };
    let max_speed_radps = a.number("motor.max_speed");
    let rotor_inertia_kgm2 = a.number("motor.rotor_inertia");
    let losses = losses(a);
    let losses_scale = a.number("motor.losses_scale");
    let peak_seconds = a.optional("motor.peak_seconds");
    Some(MotorSpec {
        curve: Arc::new(curve?),
        curve_scale,
        phase_current_ratio: 1.0,
        armature_ohm: 0.0,
        back_emf_v_per_radps: None,
        max_winding_k: 428.15,
        test_voltage_v,
        falling_part,
        max_speed_radps,
        rotor_inertia_kgm2,
        losses: losses?,
        losses_scale,
        peak_seconds,
        long_rating: None,
    })
}

const LOSSES_HINT: &str = "write losses = \"motor-losses.csv\", or \
{ best_efficiency = \"92 %\", at_speed = \"3500 rpm\", at_torque = \"70 N m\" }, or \
{ copper = ..., iron = ..., windage = ..., fixed = ... }";

fn losses(a: &mut Assembler<'_>) -> Option<MotorLossSpec> {
    if !a.values.has_table("motor.losses") {
        return a
            .table("motor.losses", loss_map_file::parse)
            .map(|map| MotorLossSpec::Map(Arc::new(map)));
    }
    let best = ["best_efficiency", "at_speed", "at_torque"];
    let parts = ["copper", "iron", "windage", "fixed"];
    let names = a.values.names("motor.losses");
    let with_best = names.iter().any(|name| best.contains(&name.as_str()));
    if let (true, Some(part)) =
        (with_best, names.iter().find(|name| parts.contains(&name.as_str())))
    {
        a.conflict("motor.losses.best_efficiency", &format!("motor.losses.{part}"));
        return None;
    }
    let wanted: &[&str] = if with_best { &best } else { &parts };
    let mut numbers = Vec::new();
    for name in wanted {
        let path = format!("motor.losses.{name}");
        match a.optional(&path) {
            Some(number) => numbers.push(number),
            None => a.missing_table(&path, "the losses are not complete without it", LOSSES_HINT),
        }
    }
    match *numbers.as_slice() {
        [efficiency_frac, speed_radps, torque_nm] if with_best => {
            Some(MotorLossSpec::BestPoint { efficiency_frac, speed_radps, torque_nm })
        }
        [copper_w_per_nm2, iron_w_per_radps, windage_w_per_radps3, fixed_w] => {
            Some(MotorLossSpec::Polynomial {
                copper_w_per_nm2,
                iron_w_per_radps,
                windage_w_per_radps3,
                fixed_w,
            })
        }
        _ => None,
    }
}

pub(crate) fn inverter(a: &mut Assembler<'_>) -> InverterSpec {
    InverterSpec {
        fixed_loss_w: a.number("inverter.fixed_loss"),
        loss_share: a.number("inverter.loss_share"),
        max_battery_current_a: a.number("inverter.max_battery_current"),
        min_voltage_v: a.number("inverter.voltage_window.from"),
        max_voltage_v: a.number("inverter.voltage_window.to"),
    }
}

pub(crate) fn regen(a: &mut Assembler<'_>) -> RegenSpec {
    RegenSpec {
        share: a.number("regen.share"),
        fade_out_below_mps: a.number("regen.fade_out_below"),
    }
}
