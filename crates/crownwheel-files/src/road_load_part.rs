//! How the road holds the car back: drag by its terms, or coast-down coefficients.

use crownwheel::air::{density_kgpm3, standard_atmosphere};
use crownwheel::road_load::{TopSpeed, drag_area_from_top_speed_m2};
use crownwheel::rolling::{CAR_CROSS_PLY, CAR_RADIAL};
use crownwheel::spec::{CornersKg, DragSpec, RoadLoadSpec, Turning, TyreMark};

use crate::assemble::Assembler;
use crate::quantity::Spread;
use crate::values::Value;

/// Driver during the runs of the day, kg (engineering judgement).
const PERIOD_DRIVER_KG: f64 = 75.0;
/// How unsure a drag area from period figures is (engineering judgement): they were generous.
const PERIOD_BAND: f64 = 0.12;

pub(crate) fn road_load(
    a: &mut Assembler<'_>,
    corners: &CornersKg,
    mark: Option<&TyreMark>,
) -> RoadLoadSpec {
    match a.one_of(&["car.road_load", "car.drag_area", "car.drag_coefficient"]) {
        Some("car.road_load") => coast_down(a),
        given => {
            let drag = drag(a, given, corners, mark);
            RoadLoadSpec::Terms {
                drag,
                brake_drag_n: a.number("car.brake_drag"),
                drag_rise_at_10_deg_yaw: a.number("car.drag_rise_with_yaw"),
            }
        }
    }
}

fn drag(
    a: &mut Assembler<'_>,
    given: Option<&str>,
    corners: &CornersKg,
    mark: Option<&TyreMark>,
) -> DragSpec {
    if given == Some("car.drag_area") {
        if a.values.get("car.frontal_area").is_some() {
            a.conflict("car.drag_area", "car.frontal_area");
        }
        return DragSpec::Area(if a.values.has_table("car.drag_area") {
            period_drag_area_m2(a, corners, mark)
        } else {
            a.number("car.drag_area")
        });
    }
    // Neither key is required by itself; together they are, if the other ways are not taken.
    let coefficient = a.optional("car.drag_coefficient");
    let frontal_area_m2 = a.optional("car.frontal_area");
    let hint = "write drag_coefficient and frontal_area in [car], or drag_area, or road_load";
    if coefficient.is_none() {
        a.missing_table(
            "car.drag_coefficient",
            "nothing says how the air holds the car back",
            hint,
        );
    } else if frontal_area_m2.is_none() {
        a.missing_table("car.frontal_area", "it belongs to the drag coefficient", hint);
    }
    DragSpec::CoefficientAndArea {
        coefficient: coefficient.unwrap_or_default(),
        frontal_area_m2: frontal_area_m2.unwrap_or_default(),
    }
}

/// Drag area by what the car did in its day: top speed, and the power that took.
///
/// The car is taken with its driver, at 15 °C and sea level, on tyres of the law in
/// [`crownwheel::rolling`] that belongs to the construction of its tyres.
fn period_drag_area_m2(a: &mut Assembler<'_>, corners: &CornersKg, mark: Option<&TyreMark>) -> f64 {
    let speed_mps = a.number("car.drag_area.from_top_speed");
    let power_w = a.number("car.drag_area.at_power");
    let driveline_frac = a.number("car.drag_area.driveline");
    let Some(mark) = mark.filter(|_| a.report.is_empty()) else { return 0.0 };
    let law = if mark.radial { CAR_RADIAL } else { CAR_CROSS_PLY };
    let car = TopSpeed {
        speed_mps,
        power_w,
        driveline_frac,
        mass_kg: corners.total_kg() + PERIOD_DRIVER_KG,
        rolling_resistance: law.coefficient(speed_mps),
        density_kgpm3: density_kgpm3(standard_atmosphere(0.0)),
    };
    let Some(area_m2) = drag_area_from_top_speed_m2(&car) else {
        let what = "`car.drag_area` comes out below zero: at that speed the tyres alone take more \
            than this power";
        let allowed = "more power, or a lower top speed";
        let hint = "the power is the engine's at that speed, not the motor's of the conversion";
        a.refuse_value("car.drag_area.at_power", what.to_owned(), allowed, hint);
        return 0.0;
    };
    let source = format!(
        "by top speed and power of its day with {:.0} kg and rolling resistance {:.4} (Wong's law, \
         from memory); the band is engineering judgement",
        car.mass_kg, car.rolling_resistance
    );
    let area = Spread::normal(area_m2, PERIOD_BAND * area_m2);
    a.worked_out("car.drag_area", area, "m2", &source)
}

fn coast_down(a: &mut Assembler<'_>) -> RoadLoadSpec {
    let turned = match a.value("car.road_load.turning") {
        Some(Value::Words(words)) => words,
        _ => Vec::new(),
    };
    let has = |word: &str| turned.iter().any(|turned| turned == word);
    RoadLoadSpec::Coefficients {
        f0_n: a.number("car.road_load.f0"),
        f1_n_per_mps: a.number("car.road_load.f1"),
        f2_n_per_mps2: a.number("car.road_load.f2"),
        mass_kg: a.number("car.road_load.mass"),
        temperature_k: a.number("car.road_load.temperature"),
        pressure_pa: a.number("car.road_load.pressure"),
        turning: Turning { axle: has("axle"), gearbox: has("gearbox"), motor: has("motor") },
    }
}
