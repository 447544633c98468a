//! How the road holds the car back: drag by its terms, or coast-down coefficients.

use crownwheel::air::{density_kgpm3, standard_atmosphere};
use crownwheel::road_load::{TopSpeed, drag_area_from_top_speed_m2};
use crownwheel::rolling::{CAR_CROSS_PLY, CAR_RADIAL};
use crownwheel::spec::{CarSpec, CornersKg, DragSpec, RoadLoadSpec, TurningParts, TyreMark};

use crate::assemble::Assembler;
use crate::quantity::Spread;
use crate::values::Value;

/// Driver during the runs of the day, kg (engineering judgement).
const PERIOD_DRIVER_KG: f64 = 75.0;
/// How unsure a drag area from period figures is (engineering judgement): they were generous.
const PERIOD_BAND: f64 = 0.12;

pub(crate) fn road_load(a: &mut Assembler<'_>, car: &mut CarSpec, mark: Option<&TyreMark>) {
    match a.one_of(&["car.road_load", "car.drag_area", "car.drag_coefficient"]) {
        Some("car.road_load") => coast_down(a, car),
        given => {
            drag(a, car, given, mark);
            a.fill(car, "car.brake_drag");
            a.fill(car, "car.drag_rise_with_yaw");
        }
    }
}

fn with_drag(car: &mut CarSpec, drag: DragSpec) {
    car.road_load = RoadLoadSpec::Terms { drag, brake_drag_n: 0.0, drag_rise_at_10_deg_yaw: 0.0 };
}

fn drag(a: &mut Assembler<'_>, car: &mut CarSpec, given: Option<&str>, mark: Option<&TyreMark>) {
    if given == Some("car.drag_area") {
        if a.values.get("car.frontal_area").is_some() {
            a.conflict("car.drag_area", "car.frontal_area");
        }
        if a.values.has_table("car.drag_area") {
            let area_m2 = period_drag_area_m2(a, &car.weights.corners, mark);
            return with_drag(car, DragSpec::Area(area_m2));
        }
        with_drag(car, DragSpec::Area(0.0));
        return a.fill(car, "car.drag_area");
    }
    with_drag(car, DragSpec::CoefficientAndArea { coefficient: 0.0, frontal_area_m2: 0.0 });
    a.fill(car, "car.drag_coefficient");
    a.fill(car, "car.frontal_area");
    // Neither key is required by itself; together they are, if the other ways are not taken.
    let hint = "write drag_coefficient and frontal_area in [car], or drag_area, or road_load";
    if a.values.get("car.drag_coefficient").is_none() {
        let what = "nothing says how the air holds the car back";
        a.missing_table("car.drag_coefficient", what, hint);
    } else if a.values.get("car.frontal_area").is_none() {
        a.missing_table("car.frontal_area", "it belongs to the drag coefficient", hint);
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

/// What coast-down coefficients hold already.
const HELD: [(&str, &str); 6] = [
    ("car.brake_drag", "what brakes and bearings drag"),
    ("car.drag_rise_with_yaw", "the drag of the air"),
    ("tyres.rolling_resistance", "the rolling resistance"),
    ("tyres.label_class", "the rolling resistance"),
    ("tyres.speed_law", "how the resistance goes with speed"),
    ("tyres.rolling_rise", "how the resistance goes with speed"),
];

fn coast_down(a: &mut Assembler<'_>, car: &mut CarSpec) {
    for (key, held) in HELD {
        if a.values.get(key).is_some() {
            let what =
                format!("`{key}` cannot stand beside `car.road_load`: that holds {held} already");
            let hint = "leave it out, or write the terms in place of the coefficients: drag_area, \
                brake_drag and rolling_resistance";
            a.exclude(key, &what, hint);
        }
    }
    let turned = match a.value("car.road_load.turning") {
        Some(Value::Words(words)) => words,
        _ => Vec::new(),
    };
    let has = |word: &str| turned.iter().any(|turned| turned == word);
    car.road_load = RoadLoadSpec::Coefficients {
        f0_n: 0.0,
        f1_n_per_mps: 0.0,
        f2_n_per_mps2: 0.0,
        mass_kg: 0.0,
        temperature_k: 0.0,
        pressure_pa: 0.0,
        turning: TurningParts { axle: has("axle"), gearbox: has("gearbox"), motor: has("motor") },
        road_factor: 1.0,
    };
    a.fill(car, "car.road_load");
    let factor = road_factor(a);
    if let RoadLoadSpec::Coefficients { road_factor, .. } = &mut car.road_load {
        *road_factor = factor;
    }
}

/// From what coefficients were measured on to the road (engineering judgement): a road is rougher than rollers or a track.
fn road_factor(a: &mut Assembler<'_>) -> f64 {
    let key = "car.road_load.road_factor";
    let source = match a.optional_text("car.road_load.measured_on").as_deref() {
        Some("road") => return a.optional(key).unwrap_or(1.0),
        Some(_) => "a road is rougher than rollers or a track (engineering judgement)",
        None => {
            "published figures are of rollers or a track; of your own coast-down write measured_on = \"road\" (engineering judgement)"
        }
    };
    a.number_or(key, "1.08 ± 0.08", source)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{assumed, changed, close, refused};

    const DRAG: &str = "drag_coefficient = \"0.43 ± 0.03\"\nfrontal_area = \"1.66 m2 ± 0.05 m2\"";

    const ROLLING: &str = "rolling_resistance = \"0.0115 ± 0.0015\"";

    fn area_m2(road_load: RoadLoadSpec) -> f64 {
        match road_load {
            RoadLoadSpec::Terms { drag, .. } => drag.area_m2(),
            RoadLoadSpec::Coefficients { .. } => 0.0,
        }
    }

    #[test]
    fn a_period_top_speed_tells_the_drag_area() {
        let period = "drag_area = { from_top_speed = \"129 km/h\", at_power = \"43 kW\" }";
        let build = changed(&[(DRAG, period)]);
        // By hand: 43 kW times 0.88 over 35.83 m/s, less rolling resistance of 867 kg.
        let speed = 129.0 / 3.6;
        let wheel_n = 43e3 * 0.88 / speed;
        let rolling_n = (0.0136 + 0.4e-7 * 129.0 * 129.0) * 867.0 * 9.806_65;
        let density = density_kgpm3(standard_atmosphere(0.0));
        let wanted_m2 = 2.0 * (wheel_n - rolling_n) / (density * speed * speed);
        assert!(close(area_m2(build.car.road_load), wanted_m2));
        let spread = build.spreads["car.drag_area"];
        assert!(
            close(spread.half_width_95(), 0.12 * wanted_m2) && close(spread.nominal, wanted_m2)
        );
        assert!(assumed(&build, "car.drag_area").unwrap().2.contains("867 kg"));
        assert_eq!(assumed(&build, "car.drag_area.driveline").unwrap().0, "0.88");
    }

    #[test]
    fn too_little_power_for_the_speed_is_refused() {
        let period = "drag_area = { from_top_speed = \"129 km/h\", at_power = \"4 kW\" }";
        let report = refused(&[(DRAG, period)]);
        assert!(report.contains("the tyres alone"), "{report}");
        let half = refused(&[(DRAG, "drag_area = { from_top_speed = \"129 km/h\" }")]);
        assert!(half.contains("`car.drag_area.at_power` is missing"), "{half}");
    }

    #[test]
    fn drag_rises_a_little_with_yaw_unless_it_is_said() {
        let rise = |build: &crate::Build| match build.car.road_load {
            RoadLoadSpec::Terms { drag_rise_at_10_deg_yaw, .. } => drag_rise_at_10_deg_yaw,
            RoadLoadSpec::Coefficients { .. } => f64::NAN,
        };
        let build = changed(&[]);
        assert!(close(rise(&build), 0.05));
        assert_eq!(assumed(&build, "car.drag_rise_with_yaw").unwrap().1, "± 0.05");
        let none = changed(&[(DRAG, &format!("{DRAG}\ndrag_rise_with_yaw = 0"))]);
        assert!(rise(&none).abs() < 1e-15 && assumed(&none, "car.drag_rise_with_yaw").is_none());
    }

    #[test]
    fn coast_down_coefficients_read_alike_in_every_spelling() {
        for square in ["lbf/mph2", "lbf/mph^2", "lbf/mph²", "lbf / mph^2"] {
            let road_load = format!(
                "road_load = {{ f0 = \"25 lbf\", f1 = \"0.1 lbf/mph\", f2 = \"0.02 {square}\", \
                 mass = \"2000 lb\", temperature = \"68 °F\", pressure = \"14.5 psi\", \
                 turning = [\"axle\", \"gearbox\", \"motor\"] }}"
            );
            let build = changed(&[(DRAG, &road_load), (ROLLING, "")]);
            let RoadLoadSpec::Coefficients { f0_n, f1_n_per_mps, f2_n_per_mps2, mass_kg, .. } =
                build.car.road_load
            else {
                panic!("no coefficients")
            };
            assert!(close(f0_n, 25.0 * 4.448_221_615_260_5));
            assert!(close(f1_n_per_mps, 0.1 * 9.950_388_366_277_066));
            assert!(close(f2_n_per_mps2, 0.02 * 22.258_384_856_561_083));
            assert!(close(mass_kg, 907.184_74));
        }
    }

    #[test]
    fn nothing_is_counted_twice_beside_coefficients() {
        let road_load = "road_load = { f0 = \"110 N\", f1 = \"0 N/(km/h)\", \
            f2 = \"0.033 N/(km/h)^2\", mass = \"905 kg\", turning = [] }";
        let report = refused(&[(DRAG, &format!("{road_load}\nbrake_drag = \"15 N\""))]);
        for key in ["car.brake_drag", "tyres.rolling_resistance"] {
            assert!(report.contains(&format!("`{key}` cannot stand beside")), "{report}");
        }
        assert!(report.contains("2 errors"), "{report}");
    }
}
