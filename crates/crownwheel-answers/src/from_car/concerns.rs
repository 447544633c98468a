//! What stands out about a build, whatever is asked of it: values that are allowed and hardly ever right.

use crownwheel::constants::ZERO_CELSIUS_K;
use crownwheel::loads::StandingLoad;
use crownwheel::spec::{CarSpec, DragSpec, RoadLoadSpec};
use crownwheel::weights::{LoadCase, loaded};
use crownwheel::{Car, Day};

use super::{Subject, warning};
use crate::unit::digits;
use crate::{Unit, Units, Warning};

/// Lowest and highest value that is usual; every such pair is engineer's judgement.
type Usual = (f64, f64);

/// Energy of modules over their mass, Wh/kg: with case and connectors.
const WH_PER_KG: Usual = (60.0, 350.0);
/// The same of lead, which is known by its low cell voltage.
const LEAD_WH_PER_KG: Usual = (20.0, 60.0);
/// Highest voltage of a lead cell, V; lithium cells of every kind have more.
const LEAD_CELL_V: f64 = 2.6;
/// Drag coefficient: a record car to a lorry with an open load.
const DRAG_COEFFICIENT: Usual = (0.15, 1.2);
/// Drag area, m².
const DRAG_AREA_M2: Usual = (0.2, 8.0);
/// Rolling resistance: the best tyres of today to off-road tyres.
const ROLLING: Usual = (0.005, 0.03);
/// Efficiency of a stage of gears, of a converter and of a charger.
const EFFICIENCY: Usual = (0.8, 0.995);
/// Temperature of the pack at the start of a day, °C.
const PACK_DEGC: Usual = (-30.0, 50.0);
/// Heaviest single part that goes into a car, kg.
const PART_KG: f64 = 500.0;
/// Peak power of a motor over its mass, kW/kg.
const KW_PER_KG: Usual = (0.1, 8.0);

/// Everything that stands out about the build itself: what was said of it while it was read, and what is
/// unusual about its car and its days.
#[must_use]
pub fn concerns(subject: &Subject) -> Vec<Warning> {
    let (spec, units) = (subject.car.spec(), subject.units);
    let mut all = subject.warnings.clone();
    all.extend(heavy_parts(spec, units));
    all.extend(road_load(spec, units));
    all.extend(efficiencies(spec));
    all.extend(motor_power(&subject.car));
    all.extend(module_energy(spec));
    all.extend(dcdc(spec, &subject.days));
    all.extend(lifted(spec));
    all.extend(subject.days.iter().filter_map(|day| pack_temperature(day, units)));
    all
}

/// An axle that has no load left with everybody aboard, or when the car is loaded to its gross mass.
fn lifted(spec: &CarSpec) -> Option<Warning> {
    let cases = [LoadCase::EverySeat, LoadCase::AtGross];
    let (axle, case) = cases.into_iter().find_map(|case| {
        let corners = loaded(&spec.weights, &spec.pack, case).corners;
        let axles = [("front", corners.front_axle_kg()), ("rear", corners.rear_axle_kg())];
        axles.into_iter().find(|(_, kg)| *kg <= 0.0).map(|(axle, _)| (axle, case))
    })?;
    let text = format!(
        "The {axle} axle has no load left {}: whoever sits and whatever lies behind the other axle lifts it.",
        case.label()
    );
    Some(warning("axle_lifted", text))
}

/// What the 12 V side asks for and does not get.
fn dcdc(spec: &CarSpec, days: &[Day]) -> Option<Warning> {
    let of_days = days.iter().map(|day| StandingLoad::of(spec, day.spec()));
    let standing = of_days.max_by(|a, b| a.beyond_dcdc_w.total_cmp(&b.beyond_dcdc_w))?;
    let (gets_w, more_w) = (standing.twelve_volt_w, standing.beyond_dcdc_w);
    (more_w > 0.0).then(|| {
        let text = format!(
            "The 12 V loads ask for {:.0} W on average, and the DC-DC converter gives {gets_w:.0} W: the rest comes from the 12 V battery until it is flat, and is not in the use.",
            gets_w + more_w
        );
        warning("dcdc_overloaded", text)
    })
}

fn is_usual(value: f64, (low, high): Usual) -> bool {
    (low..=high).contains(&value)
}

fn unusual(what: &str, value: &str, usual: &str) -> Warning {
    let text = format!("{what} is {value}; usual is {usual} (engineer's judgement), so check it.");
    warning("unusual", text)
}

/// A pure number outside of what is usual.
fn number(key: &str, value: f64, usual: Usual) -> Option<Warning> {
    let range = format!("{} to {}", usual.0, usual.1);
    (!is_usual(value, usual)).then(|| unusual(key, &value.to_string(), &range))
}

fn heavy_parts(spec: &CarSpec, units: Units) -> Vec<Warning> {
    let kg = |mass_kg: f64| units.text_to(mass_kg, Unit::Kg, 0);
    let heavy = spec.weights.put_in.iter().filter(|part| part.mass_kg > PART_KG);
    let warning = |part: &crownwheel::spec::PartSpec| {
        let key = format!("put_in.{}.mass", part.name);
        unusual(&key, &kg(part.mass_kg), &format!("at most {}", kg(PART_KG)))
    };
    heavy.map(warning).collect()
}

fn road_load(spec: &CarSpec, units: Units) -> Vec<Warning> {
    let RoadLoadSpec::Terms { drag, .. } = &spec.road_load else { return Vec::new() };
    let drag = match *drag {
        DragSpec::CoefficientAndArea { coefficient, .. } => {
            number("car.drag_coefficient", coefficient, DRAG_COEFFICIENT)
        }
        DragSpec::Area(area_m2) => (!is_usual(area_m2, DRAG_AREA_M2)).then(|| {
            let (low, high) = DRAG_AREA_M2;
            let text = |area_m2: f64| units.text(area_m2, Unit::M2);
            let range = format!("{} to {}", text(low), text(high));
            unusual("car.drag_area", &text(area_m2), &range)
        }),
    };
    let rolling = number("tyres.rolling_resistance", spec.tyres.rolling_resistance, ROLLING);
    drag.into_iter().chain(rolling).collect()
}

fn efficiencies(spec: &CarSpec) -> Vec<Warning> {
    let first = &spec.driveline.first;
    let name = match first {
        crownwheel::spec::FirstStage::Gearbox(_) => "gearbox",
        _ => "reduction",
    };
    // One key gives the efficiency of all gears.
    let first = first.stage(0).map(|stage| (format!("driveline.{name}"), stage.efficiency_frac));
    let others = [
        ("driveline.axle", spec.driveline.axle.efficiency_frac),
        ("dcdc", spec.dcdc.efficiency_frac),
        ("charger", spec.charger.efficiency_frac),
    ];
    let all = first.into_iter().chain(others.map(|(key, value)| (key.to_owned(), value)));
    all.filter_map(|(table, value)| number(&format!("{table}.efficiency"), value, EFFICIENCY))
        .collect()
}

/// Power of the part that is called the motor, where one is.
fn motor_power(car: &Car) -> Option<Warning> {
    let spec = car.spec();
    let part = spec.weights.put_in.iter().find(|part| part.name.contains("motor"))?;
    let curve = &spec.motor.curve;
    let points = curve.speed_radps.iter().zip(&curve.peak_torque_nm);
    let power_w = points.map(|(radps, nm)| radps * nm).fold(0.0, f64::max);
    let power_kw = spec.motor.curve_scale * power_w / 1000.0;
    let kw_per_kg = power_kw / part.mass_kg;
    // A motor that weighs nothing is left out of the weights on purpose; one that is too heavy for any part
    // is named already.
    (0.0 < part.mass_kg && part.mass_kg <= PART_KG && !is_usual(kw_per_kg, KW_PER_KG)).then(|| {
        let value = format!(
            "{} kg for {} kW of peak power, {} kW/kg",
            digits(part.mass_kg, 1),
            digits(power_kw, 1),
            digits(kw_per_kg, 2)
        );
        let (low, high) = KW_PER_KG;
        unusual(
            &format!("put_in.{}.mass", part.name),
            &value,
            &format!("{low} kW/kg to {high} kW/kg"),
        )
    })
}

fn module_energy(spec: &CarSpec) -> Option<Warning> {
    let pack = &spec.pack;
    let is_lead = pack.cell_max_voltage_v < LEAD_CELL_V;
    let usual = if is_lead { LEAD_WH_PER_KG } else { WH_PER_KG };
    let wh_per_kg = 1000.0 * pack.energy_kwh() / pack.state_of_health_frac / pack.modules_kg();
    (!is_usual(wh_per_kg, usual)).then(|| {
        let value = format!(
            "{} kg for {} kWh, {} Wh/kg",
            digits(pack.module_mass_kg, 1),
            digits(wh_per_kg * pack.module_mass_kg / 1000.0, 2),
            digits(wh_per_kg, 0)
        );
        unusual("pack.module_mass", &value, &format!("{} Wh/kg to {} Wh/kg", usual.0, usual.1))
    })
}

fn pack_temperature(day: &Day, units: Units) -> Option<Warning> {
    let degc = day.pack_temperature_k() - ZERO_CELSIUS_K;
    (!is_usual(degc, PACK_DEGC)).then(|| {
        let text = |degc: f64| units.text_to(degc, Unit::Degc, 0);
        unusual(
            &format!("The pack's temperature on the {} day", day.name()),
            &text(degc),
            &format!("{} to {}", text(PACK_DEGC.0), text(PACK_DEGC.1)),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::from_car::bench::{changed, subject};
    use crownwheel::example::mild_day;
    use crownwheel::spec::DaySpec;

    fn texts(change: impl FnOnce(&mut CarSpec)) -> Vec<String> {
        let all = concerns(&changed(change));
        assert!(all.iter().all(|warning| warning.code == "unusual"));
        all.into_iter().map(|warning| warning.text).collect()
    }

    #[test]
    fn a_usual_car_is_not_warned_of() {
        assert_eq!(texts(|_| {}), Vec::<String>::new());
    }

    #[test]
    fn each_unusual_value_is_said_with_what_is_usual() {
        let drag = |coefficient: f64| {
            move |spec: &mut CarSpec| {
                let RoadLoadSpec::Terms { drag, .. } = &mut spec.road_load else { panic!() };
                *drag = DragSpec::CoefficientAndArea { coefficient, frontal_area_m2: 1.66 };
            }
        };
        let one = |change: &dyn Fn(&mut CarSpec), words: &[&str]| {
            let texts = texts(change);
            assert_eq!(texts.len(), 1, "{texts:?}");
            for word in words.iter().chain(&["engineer's judgement", "check"]) {
                assert!(texts[0].contains(word), "{word}: {texts:?}");
            }
        };
        one(&drag(0.01), &["car.drag_coefficient is 0.01", "0.15 to 1.2"]);
        one(&drag(1.3), &["car.drag_coefficient is 1.3"]);
        one(
            &|spec| {
                let RoadLoadSpec::Terms { drag, .. } = &mut spec.road_load else { panic!() };
                *drag = DragSpec::Area(0.1);
            },
            &["car.drag_area is 0.1", "0.2"],
        );
        one(&|spec| spec.tyres.rolling_resistance = 0.001, &["tyres.rolling_resistance is 0.001"]);
        one(&|spec| spec.driveline.axle.efficiency_frac = 1.0, &["driveline.axle.efficiency is 1"]);
        one(
            &|spec| spec.driveline.axle.efficiency_frac = 0.7,
            &["driveline.axle.efficiency is 0.7"],
        );
        one(&|spec| spec.dcdc.efficiency_frac = 1.0, &["dcdc.efficiency is 1"]);
        one(&|spec| spec.charger.efficiency_frac = 0.5, &["charger.efficiency is 0.5"]);
        one(
            &|spec| spec.pack.module_mass_kg = 1.0,
            &["pack.module_mass is 1.0 kg for", "350 Wh/kg"],
        );
        one(&|spec| spec.pack.module_mass_kg = 90.0, &["pack.module_mass is 90.0 kg for"]);
        let part = |spec: &mut CarSpec, name: &str, mass_kg: f64| {
            spec.weights.put_in.clear();
            let place = crownwheel::spec::Place { behind_front_axle_m: 1.0, ..Default::default() };
            let name = name.into();
            spec.weights.put_in.push(crownwheel::spec::PartSpec { name, mass_kg, place });
        };
        one(&|spec| part(spec, "ballast", 501.0), &["put_in.ballast.mass is 501 kg", "500 kg"]);
        one(&|spec| part(spec, "motor", 2.0), &["put_in.motor.mass is 2.0 kg for", "8 kW/kg"]);
    }

    #[test]
    fn an_axle_that_lifts_when_loaded_is_said() {
        let mut spec = crownwheel::example::small_saloon();
        assert!(lifted(&spec).is_none());
        spec.weights.plate.gross_kg = Some(4000.0);
        spec.weights.luggage.place.behind_front_axle_m = 3.5;
        let said = lifted(&spec).unwrap();
        assert!(said.text.contains("front axle has no load left at gross"), "{}", said.text);
    }

    #[test]
    fn a_12_v_side_that_asks_for_more_than_it_gets_is_said() {
        let mut spec = crownwheel::example::small_saloon();
        let days = [Day::new(&crownwheel::example::mild_day()).unwrap()];
        assert!(dcdc(&spec, &days).is_none());
        spec.dcdc.max_w = Some(50.0);
        let said = dcdc(&spec, &days).unwrap();
        assert_eq!(said.code, "dcdc_overloaded");
        assert!(said.text.contains("gives 50 W"), "{}", said.text);
    }

    #[test]
    fn hot_and_frozen_packs_are_said_by_their_day() {
        let mut of_days = subject();
        let hot = DaySpec { name: "oven".into(), pack_temperature_k: Some(335.0), ..mild_day() };
        of_days.days.push(Day::new(&hot).unwrap());
        let texts: Vec<String> = concerns(&of_days).into_iter().map(|it| it.text).collect();
        assert_eq!(texts.len(), 1);
        assert!(
            texts[0].contains("on the oven day is 62 °C; usual is -30 °C to 50 °C"),
            "{texts:?}"
        );
    }

    #[test]
    fn lead_is_heavier() {
        let lead = |module_kg: f64| {
            move |spec: &mut CarSpec| {
                spec.pack.cell_max_voltage_v = 2.4;
                spec.pack.cell_min_voltage_v = 1.75;
                let table = crownwheel::spec::OpenCircuitTable {
                    charge_frac: vec![0.0, 1.0],
                    voltage_v: vec![1.9, 2.15],
                };
                spec.pack.open_circuit = table.into();
                spec.inverter.min_voltage_v = 40.0;
                spec.pack.module_mass_kg = module_kg;
            }
        };
        // Two cells of 2 V in parallel, four in series, 78 Ah: 1.26 kWh.
        assert_eq!(texts(lead(36.0)), Vec::<String>::new());
        assert!(texts(lead(12.0))[0].contains("20 Wh/kg to 60 Wh/kg"));
    }

    /// What was said while the build was read comes first.
    #[test]
    fn warnings_of_the_reader_are_passed_on() {
        let said = warning("band_cut_off", "Half of it.".to_owned());
        let subject = Subject { warnings: vec![said.clone()], ..subject() };
        assert_eq!(concerns(&subject), [said]);
    }
}
