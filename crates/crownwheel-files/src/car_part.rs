//! The car of a build, put together from its parts.
//!
//! The parts are shaped by hand where the build has a choice; [`Assembler::fill`] writes the numbers that
//! the shape has, by the rows of their keys.

use crownwheel::spec::{CarSpec, OriginalSpec};

use crate::assemble::Assembler;
use crate::{driveline_part, motor_part, pack_part, road_load_part, tyres_part, weights_part};

/// The whole car; what is missing is reported, and stands as 0 or empty.
pub(crate) fn car(a: &mut Assembler<'_>) -> CarSpec {
    let called = a.text("car.name");
    let name = a.named("car", &called);
    let mut car = CarSpec { name, ..CarSpec::default() };
    let mark_text = tyres_part::mark(a);
    let mark = mark_text.map(|text| text.mark);
    weights_part::weights(a, &mut car, mark.as_ref());
    if a.values.has_table("original") {
        car.original = Some(OriginalSpec::default());
        a.fill(&mut car, "original");
    }
    road_load_part::road_load(a, &mut car, mark.as_ref());
    tyres_part::tyres(a, &mut car, mark_text);
    driveline_part::driveline(a, &mut car);
    motor_part::motor(a, &mut car);
    motor_part::inverter(a, &mut car);
    pack_part::pack(a, &mut car);
    a.fill(&mut car, "regen");
    a.fill(&mut car, "dcdc");
    pack_part::loads(a, &mut car);
    a.fill(&mut car, "charger");
    a.fill(&mut car, "model");
    car.model.trip_sd = a.spread("model.trip_scale").standard_deviation();
    // No measurement narrows how trips differ.
    a.without_line(|key| key == "model.trip_scale");
    car
}
