//! The car of a build, put together from its parts.

use crownwheel::spec::{CarSpec, OriginalSpec, RoadLoadSpec};

use crate::assemble::Assembler;
use crate::{driveline_part, motor_part, pack_part, road_load_part, tyres_part, weights_part};

/// The whole car; `None` if a table could not be read.
pub(crate) fn car(a: &mut Assembler<'_>) -> Option<CarSpec> {
    let name = a.text("car.name").into();
    let mark_text = tyres_part::mark(a);
    let mark = mark_text.map(|text| text.mark);
    let weights = weights_part::weights(a, mark.as_ref());
    let original = original(a);
    let road_load = road_load_part::road_load(a, &weights.corners, mark.as_ref());
    let coast_down = matches!(road_load, RoadLoadSpec::Coefficients { .. });
    let tyres = tyres_part::tyres(a, mark_text, coast_down);
    let driveline = driveline_part::driveline(a);
    let motor = motor_part::motor(a);
    let inverter = motor_part::inverter(a);
    let pack = pack_part::pack(a);
    let regen = motor_part::regen(a);
    let dcdc = pack_part::dcdc(a);
    let loads = pack_part::loads(a);
    let charger = pack_part::charger(a);
    Some(CarSpec {
        name,
        weights,
        original,
        tyres: tyres?,
        road_load,
        driveline,
        motor: motor?,
        inverter,
        pack: pack?,
        regen,
        dcdc,
        loads,
        charger,
    })
}

fn original(a: &mut Assembler<'_>) -> Option<OriginalSpec> {
    a.values.has_table("original").then(|| OriginalSpec {
        peak_torque_nm: a.number("original.peak_torque"),
        first_gear_ratio: a.number("original.first_gear"),
    })
}
