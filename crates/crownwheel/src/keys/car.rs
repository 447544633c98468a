//! Keys of the car itself: geometry and road load.

use super::bind::at;
use super::unit::{CELSIUS, KG, KPA, M, M2, N, N_PER_MPS, N_PER_MPS2, ONE};
use super::{Binding, JUDGEMENT, Key, key};
use crate::spec::DragSpec::{self, CoefficientAndArea};
use crate::spec::RoadLoadSpec::{Coefficients, Terms};

const HEIGHT: &str = "0.54 m ± 0.06 m (engineering judgement: usual range of saloons), or from \
axle_lift";
pub(super) const COAST_DOWN: &str =
    "coast down on a quiet, level road and give the log to `crownwheel coastdown`";

const ROAD_FACTOR: &str = "by car.road_load.measured_on: 1 on a road, 1.08 ± 0.08 on rollers or a track, which are \
smoother, and where it is not said (engineering judgement)";

pub(super) const ROWS: &[Key] = &[
    key("car.wheelbase", "distance between the axles")
        .over(0.5, 6.0, M)
        .code(0.5, 10.0)
        .like("\"2.32 m\"")
        .required()
        .of_car(|car| at(&mut car.weights.wheelbase_m)),
    key("car.track", "distance between the wheels of an axle, both axles alike")
        .over(0.5, 3.0, M)
        .code(0.3, 4.0)
        .like("\"1.21 m\"")
        .repeats()
        .of_car(|car| {
            let weights = &mut car.weights;
            Some(Binding::Alike(vec![
                at(&mut weights.track_front_m)?,
                at(&mut weights.track_rear_m)?,
            ]))
        }),
    key("car.track_front", "distance between the front wheels")
        .over(0.5, 3.0, M)
        .code(0.3, 4.0)
        .like("\"1.23 m\"")
        .of_car(|car| at(&mut car.weights.track_front_m)),
    key("car.track_rear", "distance between the rear wheels")
        .over(0.5, 3.0, M)
        .code(0.3, 4.0)
        .like("\"1.19 m\"")
        .of_car(|car| at(&mut car.weights.track_rear_m)),
    key("car.centre_of_gravity_height", "height of the centre of gravity of the car on the scales")
        .from(0.1, 2.0, M)
        .code(0.1, 3.0)
        .like("\"0.52 m ± 0.03 m\"")
        .derived(HEIGHT)
        .advice(
            "load that goes to the rear when pulling and to the front when braking",
            "lift one axle with the other on the scales, and write it as [axle_lift]",
        )
        .of_car(|car| at(&mut car.weights.centre_of_gravity_height_m)),
    key("car.front_roll_share", "share of the roll stiffness at the front axle")
        .from(0.0, 1.0, ONE)
        .like("0.55")
        .of_car(|car| at(&mut car.weights.front_roll_share)),
    key("car.drag_coefficient", "drag coefficient, with frontal_area")
        .over(0.0, 2.0, ONE)
        .code(0.0, 3.0)
        .like("\"0.43 ± 0.03\"")
        .of_car(|car| match &mut car.road_load {
            Terms { drag: CoefficientAndArea { coefficient, .. }, .. } => at(coefficient),
            _ => None,
        }),
    key("car.frontal_area", "frontal area, with drag_coefficient")
        .over(0.0, 20.0, M2)
        .code(0.0, 20.0)
        .like("\"1.66 m2 ± 0.05 m2\"")
        .of_car(|car| match &mut car.road_load {
            Terms { drag: CoefficientAndArea { frontal_area_m2, .. }, .. } => at(frontal_area_m2),
            _ => None,
        }),
    key("car.drag_area", "drag coefficient times frontal area, instead of the two")
        .over(0.0, 20.0, M2)
        .code(0.0, 30.0)
        .like("\"0.71 m2 ± 0.05 m2\"")
        .advice("range above 60 km/h, and top speed", COAST_DOWN)
        .of_car(|car| match &mut car.road_load {
            Terms { drag: DragSpec::Area(area_m2), .. } => at(area_m2),
            _ => None,
        }),
    key(
        "car.drag_rise_with_yaw",
        "relative rise of the drag area with air from 10 degrees to the side",
    )
    .from(0.0, 1.0, ONE)
    .like("\"0.05 ± 0.05\"")
    .assumed("0.05 ± 0.05", JUDGEMENT)
    .advice(
        "range in wind from the side",
        "only a wind tunnel tells; the band of the answers holds it",
    )
    .of_car(|car| match &mut car.road_load {
        Terms { drag_rise_at_10_deg_yaw, .. } => at(drag_rise_at_10_deg_yaw),
        _ => None,
    }),
    key("car.brake_drag", "constant force of dragging brakes and wheel bearings")
        .from(0.0, 2000.0, N)
        .or_more()
        .like("\"15 N ± 10 N\"")
        .assumed("15 N ± 10 N", JUDGEMENT)
        .advice(
            "range, most in town and of a light car",
            "each wheel in the air, out of gear: pull it round with a spring balance at \
             the tread and add the four forces; or coast down",
        )
        .of_car(|car| match &mut car.road_load {
            Terms { brake_drag_n, .. } => at(brake_drag_n),
            _ => None,
        }),
    key("car.road_load.f0", "coast-down: constant part of the road load")
        .from(0.0, 10_000.0, N)
        .code(f64::NEG_INFINITY, f64::INFINITY)
        .like("\"110 N\"")
        .required()
        .of_car(|car| match &mut car.road_load {
            Coefficients { f0_n, .. } => at(f0_n),
            _ => None,
        }),
    key("car.road_load.f1", "coast-down: part that grows with speed")
        .from(-500.0, 500.0, N_PER_MPS)
        .code(f64::NEG_INFINITY, f64::INFINITY)
        .like("\"0.5 N/(m/s)\"")
        .required()
        .of_car(|car| match &mut car.road_load {
            Coefficients { f1_n_per_mps, .. } => at(f1_n_per_mps),
            _ => None,
        }),
    key("car.road_load.f2", "coast-down: part that grows with speed squared")
        .from(0.0, 50.0, N_PER_MPS2)
        .code(f64::NEG_INFINITY, f64::INFINITY)
        .like("\"0.43 N/(m/s)^2\"")
        .required()
        .of_car(|car| match &mut car.road_load {
            Coefficients { f2_n_per_mps2, .. } => at(f2_n_per_mps2),
            _ => None,
        }),
    key("car.road_load.mass", "coast-down: mass of the car during the runs")
        .over(100.0, 20_000.0, KG)
        .code_over(0.0, f64::INFINITY)
        .like("\"905 kg\"")
        .required()
        .fixed()
        .of_car(|car| match &mut car.road_load {
            Coefficients { mass_kg, .. } => at(mass_kg),
            _ => None,
        }),
    key("car.road_load.temperature", "coast-down: air temperature that the coefficients hold for")
        .from(-40.0, 60.0, CELSIUS)
        .like("\"20 °C\"")
        .assumed("20 °C", "reference air of coast-down standards")
        .advice("what the coefficients become on other days", "the air at the road during the runs")
        .fixed()
        .of_car(|car| match &mut car.road_load {
            Coefficients { temperature_k, .. } => at(temperature_k),
            _ => None,
        }),
    key("car.road_load.pressure", "coast-down: air pressure that the coefficients hold for")
        .from(50.0, 110.0, KPA)
        .code(40.0, 120.0)
        .like("\"100 kPa\"")
        .assumed("100 kPa", "reference air of coast-down standards")
        .advice(
            "what the coefficients become on other days",
            "a barometer at the road during the runs, not reduced to sea level",
        )
        .fixed()
        .of_car(|car| match &mut car.road_load {
            Coefficients { pressure_pa, .. } => at(pressure_pa),
            _ => None,
        }),
    key("car.road_load.road_factor", "coast-down: factor on f0 and f1 to the road")
        .from(0.5, 3.0, ONE)
        .like("\"1.08 ± 0.08\"")
        .derived(ROAD_FACTOR)
        .advice("range at every speed, most in town", COAST_DOWN)
        .of_car(|car| match &mut car.road_load {
            Coefficients { road_factor, .. } => at(road_factor),
            _ => None,
        }),
];
