//! A car in six facts; everything else is assumed, and said.
//!
//! What is assumed comes from the rows of [`crate::keys`] and from what is usual of a part by its kind, the same that a
//! build file falls back to. Each can be replaced by its key with [`CarSpec::with`].

use std::sync::Arc;

use crate::cell;
use crate::constants::RPM_PER_RADPS;
use crate::keys::unit::AH;
use crate::keys::{self, JUDGEMENT, Need};
use crate::spec::{
    BoxSpec, CarSpec, CornersKg, DragSpec, LoadSide, LoadSpec, MotorCurve, MotorLossSpec, PartSpec,
    Place, RoadLoadSpec, SeatSpec, TyreMark,
};
use crate::usual::{self, Usual};

/// Chemistry of cells whose open-circuit voltage is known here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
pub enum Chemistry {
    /// Nickel, manganese, cobalt.
    Nmc,
    /// Iron phosphate.
    Lfp,
}

impl Chemistry {
    const fn name(self) -> &'static str {
        match self {
            Chemistry::Nmc => "nmc",
            Chemistry::Lfp => "lfp",
        }
    }
}

/// A pack in four numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct EssentialPack {
    /// Chemistry of its cells.
    pub chemistry: Chemistry,
    /// Cells in series.
    pub cells_in_series: u32,
    /// Capacity at 25 °C, Ah.
    pub capacity_ah: f64,
    /// Mass with its box, kg.
    pub mass_kg: f64,
}

/// What one must know of a car to ask anything.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(deny_unknown_fields))]
pub struct Essentials {
    /// On four scales with everything in but the pack and people, kg.
    pub corners: CornersKg,
    /// Mark on the tyres.
    pub tyre: TyreMark,
    /// Drag coefficient times frontal area, m².
    pub drag_area_m2: f64,
    /// Torque over speed, peak and continuous; [`MotorCurve::of_plate`] makes one from a plate.
    pub motor: MotorCurve,
    /// The pack.
    pub pack: EssentialPack,
    /// Motor speed over wheel speed, all stages together.
    pub ratio: f64,
}

/// A value that nobody gave.
#[derive(Clone, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
pub struct Assumed {
    /// Its key.
    pub key: String,
    /// The value with its band, as it would be written in a build.
    pub value: String,
    /// Where it is from.
    pub source: String,
}

/// Usual of cars whose scales, tape and sheets say nothing else.
const BY_JUDGEMENT: [(&str, &str); 9] = [
    ("car.wheelbase", "2.45 m ± 0.2 m"),
    ("car.track_front", "1.3 m ± 0.1 m"),
    ("car.track_rear", "1.3 m ± 0.1 m"),
    ("tyres.rolling_resistance", "0.0115 ± 0.0015"),
    ("pack.max_discharge", "3 C"),
    ("pack.max_charge", "0.5 C"),
    ("seat.driver.mass", "75 kg"),
    ("luggage.mass", "0 kg"),
    ("tyres.drum_to_road", "1"),
];
/// Resistance of a cell times its capacity, ohm Ah (engineering judgement, ± 40 %): larger cells have less.
const RESISTANCE_OHM_AH: f64 = 0.1;
/// Share of what the motor takes at its peak that is lost before it (engineering judgement).
const PEAK_LOSS: f64 = 0.15;
/// How far from the pack's own voltages the inverter's window is taken to end.
const WINDOW_MARGIN: f64 = 0.1;

impl Essentials {
    /// The car, and everything that was assumed for it with its source. [`crate::Car::new`] checks it.
    ///
    /// ```
    /// use crownwheel::{Car, Cycle, Day, example};
    ///
    /// let (spec, assumed) = example::essentials().car();
    /// let run = Car::new(&spec)?.on(&Day::mild()).range(&Cycle::udds());
    /// assert!(run.distance_m > 120e3 && run.distance_m < 180e3, "{}", run.distance_m);
    /// assert!(assumed.iter().any(|it| it.key == "tyres.rolling_resistance"));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn car(&self) -> (CarSpec, Vec<Assumed>) {
        let mut made = Assuming { car: self.given(), assumed: Vec::new() };
        made.fill_rows();
        for (key, text) in BY_JUDGEMENT {
            made.number(key, usual_of(text));
        }
        made.number("car.centre_of_gravity_height", usual::CENTRE_OF_GRAVITY_HEIGHT);
        made.places();
        made.driveline();
        made.motor(self);
        made.pack(self);
        (made.car, made.assumed)
    }

    /// What is known, and parts of the kinds that the car is taken to have.
    fn given(&self) -> CarSpec {
        let mut car = CarSpec::default();
        car.weights.corners = self.corners;
        car.weights.seats = vec![SeatSpec { person: part("driver", 0.0), aboard: true }];
        car.weights.luggage = part("luggage", 0.0);
        car.tyres.mark = self.tyre;
        car.road_load = RoadLoadSpec::Terms {
            drag: DragSpec::Area(self.drag_area_m2),
            brake_drag_n: 0.0,
            drag_rise_at_10_deg_yaw: 0.0,
        };
        car.driveline.axle.ratio = self.ratio;
        car.motor.curve = Arc::new(self.motor.clone());
        car.loads = vec![LoadSpec {
            name: "base".into(),
            side: LoadSide::TwelveVolt,
            ..LoadSpec::default()
        }];
        let pack = &mut car.pack;
        pack.open_circuit = Arc::new(match self.pack.chemistry {
            Chemistry::Nmc => cell::nmc(),
            Chemistry::Lfp => cell::lfp(),
        });
        (pack.cells_in_series, pack.cells_in_parallel) = (self.pack.cells_in_series, 1);
        (pack.modules_in_series, pack.modules_in_parallel) = (1, 1);
        pack.cell_capacity_c = AH.to_si(self.pack.capacity_ah);
        pack.module_mass_kg = self.pack.mass_kg;
        pack.boxes = vec![BoxSpec { name: "pack".into(), room_for: 1, place: Place::default() }];
        car
    }
}

const fn usual_of(text: &'static str) -> Usual {
    Usual { text, source: JUDGEMENT }
}

fn part(name: &str, mass_kg: f64) -> PartSpec {
    PartSpec { name: name.into(), mass_kg, place: Place::default() }
}

/// A car on its way to being whole, with what was assumed for it.
struct Assuming {
    car: CarSpec,
    assumed: Vec<Assumed>,
}

impl Assuming {
    /// What the rows of the keys assume whatever else is written.
    fn fill_rows(&mut self) {
        for key in keys::all().filter(|key| !key.repeats) {
            let Need::Assumed { text, source } = key.need else { continue };
            let paths: Vec<String> =
                key.places(&self.car).map(|place| key.path_at(&self.car, place)).collect();
            for path in paths {
                self.number(&path, Usual { text, source });
            }
        }
    }

    /// Sets a number of the car, if it has one of this key.
    fn number(&mut self, path: &str, usual: Usual) {
        if usual::nominal_si(usual.text).is_some_and(|si| self.set(path, si)) {
            self.say(path, usual.text, usual.source);
        }
    }

    /// Sets a number that follows from others.
    fn worked_out(&mut self, path: &str, si: f64, value: &str, source: &str) {
        if self.set(path, si) {
            self.say(path, value, source);
        }
    }

    fn set(&mut self, path: &str, si: f64) -> bool {
        let Some(key) = keys::find(path) else { return false };
        let place = key.places(&self.car).find(|place| key.path_at(&self.car, *place) == path);
        place
            .and_then(|place| key.in_car(&mut self.car, place))
            .is_some_and(|it| it.write(si).is_ok())
    }

    fn say(&mut self, key: &str, value: &str, source: &str) {
        self.assumed.retain(|it| it.key != key);
        let (key, value, source) = (key.to_owned(), value.to_owned(), source.to_owned());
        self.assumed.push(Assumed { key, value, source });
    }

    /// Where people, luggage and the pack sit.
    fn places(&mut self) {
        let base_m = self.car.weights.wheelbase_m;
        let middle = "the middle of the wheelbase (engineering judgement)";
        for (path, at_m, source) in [
            ("seat.driver.behind_front_axle", 0.5 * base_m, middle),
            ("pack.box.pack.behind_front_axle", 0.5 * base_m, middle),
            ("luggage.behind_front_axle", base_m, "over the rear axle (engineering judgement)"),
        ] {
            self.worked_out(path, at_m, &format!("{at_m:.3} m"), source);
        }
    }

    fn driveline(&mut self) {
        let axle = usual::gears_of("hypoid");
        self.number("driveline.axle.efficiency", axle.efficiency);
        self.number("driveline.axle.drag_torque", axle.drag_torque);
        self.say("car.driven_axle", "rear", JUDGEMENT);
        self.say("driveline.reduction", "none: one stage holds the whole ratio", JUDGEMENT);
    }

    fn motor(&mut self, given: &Essentials) {
        let curve = &given.motor;
        let top = curve.speed_radps.last().copied().unwrap_or(0.0);
        let rpm = |radps: f64| format!("{:.0} rpm", radps * RPM_PER_RADPS);
        let (at_radps, at_nm) = base_point(curve);
        self.car.motor.losses = MotorLossSpec::BestPoint {
            efficiency_frac: 0.0,
            speed_radps: at_radps,
            torque_nm: at_nm,
            light_load_share: 0.0,
        };
        self.number("motor.losses.best_efficiency", usual_of("0.9 ± 0.03"));
        self.say("motor.losses.at_speed", &rpm(at_radps), "where the peak power begins");
        self.say("motor.losses.at_torque", &format!("{at_nm:.1} N m"), "half of the peak there");
        self.number("motor.losses.light_load", usual::light_load(None));
        self.number("motor.losses_scale", usual::losses_scale(&self.car.motor.losses));
        self.worked_out("motor.max_speed", top, &rpm(top), "the end of the curve");
    }

    fn pack(&mut self, given: &Essentials) {
        let chemistry = Some(given.pack.chemistry.name());
        let (low, high) = usual::cell_window(chemistry);
        self.number("pack.cell_voltage.from", low);
        self.number("pack.cell_voltage.to", high);
        self.number("pack.resistance_b", usual::RESISTANCE_B);
        self.number("pack.cold_loss", usual::cold_loss(chemistry));
        self.number("load.base.power", usual::BASE_LOAD);
        let ohm = RESISTANCE_OHM_AH / given.pack.capacity_ah;
        let source = "0.1 ohm Ah over the capacity (engineering judgement)";
        let text = format!("{:.2} mohm ± 40 %", 1e3 * ohm);
        self.worked_out("pack.cell_resistance", ohm, &text, source);
        self.inverter(given);
    }

    /// An inverter that takes the pack and gives the motor its peak.
    fn inverter(&mut self, given: &Essentials) {
        let pack = &self.car.pack;
        let cells = f64::from(given.pack.cells_in_series);
        let (low_v, high_v) = (cells * pack.cell_min_voltage_v, cells * pack.cell_max_voltage_v);
        let half_v = cells * pack.open_circuit.voltage_at(0.5);
        let volts = |v: f64| format!("{v:.0} V");
        let (from_v, to_v) = (low_v * (1.0 - WINDOW_MARGIN), high_v * (1.0 + WINDOW_MARGIN));
        let window = "the pack's voltages and 10 % more";
        self.worked_out("motor.curve_voltage", half_v, &volts(half_v), "the pack at half charge");
        self.worked_out("inverter.voltage_window.from", from_v, &volts(from_v), window);
        self.worked_out("inverter.voltage_window.to", to_v, &volts(to_v), window);
        let curve = &given.motor;
        let powers = curve.speed_radps.iter().zip(&curve.peak_torque_nm).map(|(w, t)| w * t);
        let amperes = powers.fold(0.0, f64::max) * (1.0 + PEAK_LOSS) / low_v;
        let source = "what the motor's peak takes of an empty pack (engineering judgement)";
        let text = format!("{amperes:.0} A");
        self.worked_out("inverter.max_battery_current", amperes, &text, source);
        let (fixed, share) = usual::inverter_losses(to_v);
        self.number("inverter.fixed_loss", fixed);
        self.number("inverter.loss_share", share);
    }
}

/// Where the peak power begins, and half of the torque there.
fn base_point(curve: &MotorCurve) -> (f64, f64) {
    let rows = || curve.speed_radps.iter().zip(&curve.peak_torque_nm);
    let most_w = rows().map(|(w, t)| w * t).fold(0.0, f64::max);
    rows().find(|(w, t)| **w * **t >= 0.99 * most_w).map_or((0.0, 0.0), |(w, t)| (*w, 0.5 * t))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::essentials;
    use crate::{Car, Day};

    #[test]
    fn six_facts_make_a_car_that_is_accepted() {
        for chemistry in [Chemistry::Nmc, Chemistry::Lfp] {
            let mut facts = essentials();
            facts.pack.chemistry = chemistry;
            let (spec, _) = facts.car();
            assert_eq!(Car::problems(&spec), Vec::new());
            let car = Car::new(&spec).unwrap();
            assert!((car.mass_kg() - (650.0 + 103.0 + 75.0)).abs() < 1e-9);
            assert!(car.on(&Day::mild()).pull(0.9).top_speed().0 > 25.0);
        }
    }

    #[test]
    fn every_number_of_the_car_is_given_or_said_to_be_assumed() {
        let (spec, assumed) = essentials().car();
        let given = |path: &str| {
            path.starts_with("corner_weights.")
                || [
                    "car.drag_area",
                    "driveline.axle.ratio",
                    "pack.cells_in_series",
                    "pack.cells_in_parallel",
                    "pack.cell_capacity",
                    "pack.modules_in_series",
                    "pack.modules_in_parallel",
                    "pack.module_mass",
                    "pack.box.pack.room_for",
                ]
                .contains(&path)
        };
        for (path, knob) in crate::Knob::all(&spec).into_iter().filter(|it| !it.1.key().repeats) {
            let said = assumed.iter().any(|it| it.key == path);
            assert!(said || given(&path) || knob.get(&spec) == Some(0.0), "{path}");
        }
        assert!(assumed.iter().all(|it| !it.source.is_empty()));
    }

    #[test]
    fn what_is_assumed_can_be_replaced_by_its_key() {
        let (spec, assumed) = essentials().car();
        for it in
            assumed.iter().filter(|it| keys::find(&it.key).is_some_and(keys::Key::is_adjustable))
        {
            assert!(crate::Knob::find(&it.key, &spec).is_ok(), "{}", it.key);
        }
    }
}
