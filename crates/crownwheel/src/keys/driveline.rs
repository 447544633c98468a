//! Keys of the driveline: reduction or gearbox, axle, oil.

use super::bind::at;
use super::unit::{MIN, N_M, ONE, RPM, S, W_PER_K};
use super::{Binding, JUDGEMENT, Key, Range, key};
use crate::spec::Shifting::{Fixed, LeastLoss};
use crate::spec::{CarSpec, FirstStage, GearboxSpec, StageSpec};

const BY_KIND: &str = "by the kind of gear (engineering judgement)";
const GEAR_DRAG: &str = "range at steady speed, more with cold oil";
const GEAR_DRAG_HOW: &str = "wheels in the air, oil warm: turn the input shaft steadily with a \
small torque wrench, and ask the maker what it is at speed";
const BELONGS: &str = "the drag torque, which holds at this speed";
const BELONGS_HOW: &str = "the shaft speed at which you measured the drag torque";
const UNDER_LOAD: &str = "use and range under load, pull on hills";
const UNDER_LOAD_HOW: &str = "ask the maker; a log of the finished car shows it, with the \
motor's losses, in `crownwheel audit`";

/// Ratios that gears have; those of a gearbox are a list.
pub const GEAR_RATIOS: Range = Range { low: 0.05, above_low: false, high: 50.0, unit: ONE };

const fn efficiency(path: &'static str) -> Key {
    key(path, "1 less the share of the entering power lost by load")
        .over(0.3, 1.0, ONE)
        .code_over(0.0, 1.0)
        .derived(BY_KIND)
        .bare(0.5)
        .advice(UNDER_LOAD, UNDER_LOAD_HOW)
}

const fn drag_torque(path: &'static str) -> Key {
    key(path, "drag torque at the input shaft without load, at drag_at and 80 °C oil")
        .from(0.0, 100.0, N_M)
        .code(0.0, 200.0)
        .derived(BY_KIND)
        .advice(GEAR_DRAG, GEAR_DRAG_HOW)
}

const fn drag_at(path: &'static str) -> Key {
    key(path, "input shaft speed that the drag torque holds at")
        .over(0.0, 30_000.0, RPM)
        .or_more()
        .like("\"3000 rpm\"")
        .assumed("3000 rpm", "the speed that the assumed drag torques hold at")
        .advice(BELONGS, BELONGS_HOW)
        .fixed()
}

const fn max_torque(path: &'static str) -> Key {
    let row = key(path, "highest torque at the input shaft by its maker");
    row.over(0.0, 10_000.0, N_M).or_more().like("\"180 N m\"").fixed()
}

const fn max_speed(path: &'static str) -> Key {
    let row = key(path, "highest speed of the input shaft by its maker");
    row.over(0.0, 60_000.0, RPM).or_more().like("\"7000 rpm\"").fixed()
}

fn reduction(car: &mut CarSpec) -> Option<&mut StageSpec> {
    match &mut car.driveline.first {
        FirstStage::Reduction(stage) => Some(stage),
        FirstStage::Direct | FirstStage::Gearbox(_) => None,
    }
}

fn gearbox(car: &mut CarSpec) -> Option<&mut GearboxSpec> {
    match &mut car.driveline.first {
        FirstStage::Gearbox(gearbox) => Some(gearbox),
        FirstStage::Direct | FirstStage::Reduction(_) => None,
    }
}

/// A number that all gears of a gearbox have alike.
fn gears<'a>(
    car: &'a mut CarSpec,
    number: fn(&mut StageSpec) -> Option<Binding<'_>>,
) -> Option<Binding<'a>> {
    Some(Binding::Alike(gearbox(car)?.gears.iter_mut().filter_map(number).collect()))
}

pub(super) const ROWS: &[Key] = &[
    key(
        "driveline.reduction.ratio",
        "reduction between motor and propeller shaft: input speed over output speed",
    )
    .within(GEAR_RATIOS)
    .like("1.50")
    .required()
    .of_car(|car| at(&mut reduction(car)?.ratio)),
    efficiency("driveline.reduction.efficiency")
        .like("\"0.98 ± 0.01\"")
        .of_car(|car| at(&mut reduction(car)?.efficiency_frac)),
    drag_torque("driveline.reduction.drag_torque")
        .like("\"0.4 N m ± 50 %\"")
        .of_car(|car| at(&mut reduction(car)?.drag_torque_nm)),
    drag_at("driveline.reduction.drag_at").of_car(|car| at(&mut reduction(car)?.drag_speed_radps)),
    max_torque("driveline.reduction.max_torque")
        .of_car(|car| at(&mut reduction(car)?.max_torque_nm)),
    max_speed("driveline.reduction.max_speed")
        .of_car(|car| at(&mut reduction(car)?.max_speed_radps)),
    key("driveline.gearbox.dwell", "with gear = \"best\": shortest time in a gear")
        .from(0.0, 60.0, S)
        .like("\"4 s\"")
        .assumed("4 s ± 2 s", JUDGEMENT)
        .advice(
            "how often gears change, so use in town",
            "the shortest time that you stay in a gear on a usual drive",
        )
        .of_car(|car| match &mut gearbox(car)?.shifting {
            LeastLoss { dwell_s, .. } => at(dwell_s),
            Fixed(_) => None,
        }),
    key(
        "driveline.gearbox.shift_time",
        "with gear = \"best\": time without drive while shifting at full throttle",
    )
    .from(0.0, 5.0, S)
    .like("\"0.6 s\"")
    .assumed("0.6 s ± 0.2 s", "engineering judgement: a brisk hand shift")
    .advice("times at full throttle", "film a brisk shift: from power off to power on")
    .of_car(|car| match &mut gearbox(car)?.shifting {
        LeastLoss { shift_s, .. } => at(shift_s),
        Fixed(_) => None,
    }),
    efficiency("driveline.gearbox.efficiency")
        .like("\"0.98 ± 0.01\"")
        .of_car(|car| gears(car, |gear| at(&mut gear.efficiency_frac))),
    drag_torque("driveline.gearbox.drag_torque")
        .like("\"0.4 N m ± 50 %\"")
        .of_car(|car| gears(car, |gear| at(&mut gear.drag_torque_nm))),
    drag_at("driveline.gearbox.drag_at")
        .of_car(|car| gears(car, |gear| at(&mut gear.drag_speed_radps))),
    max_torque("driveline.gearbox.max_torque")
        .of_car(|car| gears(car, |gear| at(&mut gear.max_torque_nm))),
    max_speed("driveline.gearbox.max_speed")
        .of_car(|car| gears(car, |gear| at(&mut gear.max_speed_radps))),
    key("driveline.axle.ratio", "final drive ratio: input speed over output speed")
        .within(GEAR_RATIOS)
        .like("4.22")
        .required()
        .of_car(|car| at(&mut car.driveline.axle.ratio)),
    efficiency("driveline.axle.efficiency")
        .like("\"0.96 ± 0.01\"")
        .of_car(|car| at(&mut car.driveline.axle.efficiency_frac)),
    drag_torque("driveline.axle.drag_torque")
        .like("\"1.2 N m ± 40 %\"")
        .of_car(|car| at(&mut car.driveline.axle.drag_torque_nm)),
    drag_at("driveline.axle.drag_at").of_car(|car| at(&mut car.driveline.axle.drag_speed_radps)),
    max_torque("driveline.axle.max_torque").of_car(|car| at(&mut car.driveline.axle.max_torque_nm)),
    max_speed("driveline.axle.max_speed").of_car(|car| at(&mut car.driveline.axle.max_speed_radps)),
    key("driveline.oil_viscosity_exponent", "exponent of oil viscosity in the drag torque")
        .from(0.0, 1.0, ONE)
        .like("\"0.33 ± 0.1\"")
        .assumed("0.33 ± 0.1", JUDGEMENT)
        .advice(
            "drag of cold oil: short trips in winter",
            "coast down once with cold and once with warm oil; leave it if winter does not \
             matter",
        )
        .of_car(|car| at(&mut car.driveline.oil_viscosity_exponent)),
    key("driveline.oil_time_constant", "time constant of a casing's warming at 50 km/h")
        .from(1.0, 600.0, MIN)
        .like("\"25 min\"")
        .assumed("25 min ± 5 min", "engineering judgement: 20 to 30 minutes")
        .advice(
            "how long cold oil costs range",
            "a thermometer on the casing during a steady drive: the time to two thirds of \
             the whole rise",
        )
        .of_car(|car| at(&mut car.driveline.oil_time_constant_s)),
    key(
        "driveline.oil_conductance",
        "heat that each casing (reduction or gearbox, axle) gives off at 50 km/h for \
         each kelvin above the air",
    )
    .over(0.0, 1000.0, W_PER_K)
    .or_more()
    .like("\"10 W/K\"")
    .assumed("10 W/K ± 40 %", JUDGEMENT)
    .advice(
        "how warm the oil gets",
        "the casing's whole rise over the air on a steady drive: the heat of the \
         losses over it",
    )
    .of_car(|car| at(&mut car.driveline.oil_conductance_wpk)),
];
