//! What a description must satisfy before it becomes a car or a day.

use crate::keys::{self, Binding, GEAR_RATIOS, Key};
use crate::spec::{
    CarSpec, ColdCapacityTable, DaySpec, FirstStage, InverterSpec, LossMap, MotorLossSpec,
    MotorSpec, OpenCircuitTable, PackSpec, Shifting, SpecError, SpecErrorKind, TyreMark, Wind,
};

/// Slack on comparisons with numbers that a unit was converted to or that are products of typed
/// numbers, relative: -60 °C is 213.149 999 999 999 98 K.
const ROUNDING: f64 = 1e-9;

/// Everything that is wrong with a car, in the order of the build file.
///
/// Each number by itself by the range of its key ([`crate::keys`]), then what several must satisfy
/// together. Does no more than compare: [`crate::Car::problems`] also lays the car out.
///
/// ```
/// let mut spec = crownwheel::example::small_saloon();
/// spec.weights.wheelbase_m = -2.3;
/// let problems = crownwheel::rules::car_problems(&spec);
/// assert_eq!((problems[0].key(), problems[0].unit()), ("car.wheelbase", "m"));
/// assert_eq!(problems[0].allowed(), "0.5 m to 10 m");
/// ```
#[must_use]
pub fn car_problems(spec: &CarSpec) -> Vec<SpecError> {
    let mut rules = Rules::default();
    rules.numbers(spec);
    rules.tyre_mark(&spec.tyres.mark);
    rules.gearbox(&spec.driveline.first);
    rules.motor(&spec.motor);
    rules.inverter(&spec.inverter);
    rules.pack(&spec.pack);
    if rules.found.is_empty() {
        // These compare values that must be sound on their own first.
        rules.together(spec);
    }
    rules.found
}

/// Everything that is wrong with a day.
///
/// ```
/// let mut day = crownwheel::example::mild_day();
/// day.humidity_frac = 1.5;
/// assert_eq!(crownwheel::rules::day_problems(&day).len(), 1);
/// ```
#[must_use]
pub fn day_problems(spec: &DaySpec) -> Vec<SpecError> {
    let mut rules = Rules::default();
    // Keys lend what may be written, so that a copy is looked at.
    let mut day = spec.clone();
    for key in keys::all() {
        if let Some(place) = key.in_day(&mut day) {
            rules.within(key, &place, &|| key.named(&spec.name));
        }
    }
    match spec.wind {
        Wind::AllRound { speed_mps, .. } if speed_mps < 0.0 => {
            let key = format!("day.{}.wind", spec.name.key());
            rules.refuse(key, speed_mps, "m/s", "0 or more from all round".into());
        }
        _ => {}
    }
    rules.found
}

/// Collects what is wrong.
#[derive(Default)]
struct Rules {
    found: Vec<SpecError>,
}

impl Rules {
    /// Every number of a car by itself.
    fn numbers(&mut self, spec: &CarSpec) {
        // As in a day: a copy.
        let mut car = spec.clone();
        for key in keys::all().filter(|key| !key.repeats) {
            for place in key.places(spec) {
                if let Some(number) = key.in_car(&mut car, place) {
                    self.within(key, &number, &|| key.path_at(spec, place));
                }
            }
        }
    }

    /// A number, or each of several, in the range of its key.
    fn within(&mut self, key: &Key, place: &Binding<'_>, path: &dyn Fn() -> String) {
        if let Binding::Alike(places) = place {
            return places.iter().for_each(|place| self.within(key, place, path));
        }
        match (place.get(), key.borne()) {
            (Some(value), Some(range)) if !range.allows(value) => {
                self.refuse(path(), range.unit.value_of(value), range.unit.name, range.to_string());
            }
            _ => {}
        }
    }

    fn refuse(&mut self, key: impl Into<String>, value: f64, unit: &'static str, allowed: String) {
        self.found.push(SpecError {
            kind: SpecErrorKind::Range,
            key: key.into(),
            value,
            unit,
            allowed,
        });
    }

    fn above_zero(&mut self, key: impl Into<String>, value: f64, unit: &'static str) {
        if !(value.is_finite() && value > 0.0) {
            self.refuse(key, value, unit, "more than 0".into());
        }
    }

    fn at_least_zero(&mut self, key: impl Into<String>, value: f64, unit: &'static str) {
        if !(value.is_finite() && value >= 0.0) {
            self.refuse(key, value, unit, "0 or more".into());
        }
    }

    fn between(
        &mut self,
        key: impl Into<String>,
        value: f64,
        unit: &'static str,
        ends: (f64, f64),
    ) {
        let room = |end: f64| ROUNDING * end.abs();
        if !(ends.0 - room(ends.0)..=ends.1 + room(ends.1)).contains(&value) {
            self.refuse(key, value, unit, format!("{} to {}", ends.0, ends.1));
        }
    }

    /// Numbers that must rise from one to the next.
    fn rising(&mut self, key: &str, values: &[f64], unit: &'static str) {
        for pair in values.windows(2) {
            let rises = pair[1] > pair[0] && pair[1].is_finite() && pair[0].is_finite();
            if !rises {
                let allowed = format!("only values that rise; {} comes before it", pair[0]);
                self.refuse(key, pair[1], unit, allowed);
                return;
            }
        }
    }

    fn tyre_mark(&mut self, mark: &TyreMark) {
        self.between("tyres.size", mark.section_width_m, "m", (0.05, 0.6));
        self.between("tyres.size", mark.aspect_frac, "", (0.2, 1.2));
        self.between("tyres.size", mark.rim_diameter_m, "m", (0.1, 1.0));
    }

    fn gearbox(&mut self, first: &FirstStage) {
        let FirstStage::Gearbox(gearbox) = first else { return };
        let gears = crate::table::count(gearbox.gears.len());
        self.between("driveline.gearbox.gears", gears, "gears", (1.0, 12.0));
        for gear in gearbox.gears.iter().filter(|gear| !GEAR_RATIOS.allows(gear.ratio)) {
            self.refuse("driveline.gearbox.gears", gear.ratio, "", GEAR_RATIOS.to_string());
        }
        if let Shifting::Fixed(gear) = gearbox.shifting {
            let number = crate::table::count(gear) + 1.0;
            self.between("driveline.gearbox.gear", number, "", (1.0, gears.max(1.0)));
        }
    }

    fn motor(&mut self, spec: &MotorSpec) {
        self.motor_curve(spec);
        if let Some(back_emf) = spec.back_emf_v_per_radps {
            self.above_zero("motor.back_emf", back_emf, "V/(rad/s)");
        }
        if let MotorLossSpec::Map(map) = &spec.losses {
            self.loss_map(map);
        }
    }

    fn motor_curve(&mut self, spec: &MotorSpec) {
        let curve = &spec.curve;
        let rows = curve.speed_radps.len();
        let columns = [&curve.peak_torque_nm, &curve.continuous_torque_nm];
        if rows < 2 || columns.iter().any(|column| column.len() != rows) {
            let allowed = "a curve of at least two rows with speed, peak and continuous torque";
            self.refuse("motor.curve", crate::table::count(rows), "rows", allowed.into());
            return;
        }
        self.rising("motor.curve", &curve.speed_radps, "rad/s");
        if curve.speed_radps[0] != 0.0 {
            let allowed = "a first row at standstill, 0 rad/s".into();
            self.refuse("motor.curve", curve.speed_radps[0], "rad/s", allowed);
        }
        for row in 0..rows {
            let (peak, steady) = (curve.peak_torque_nm[row], curve.continuous_torque_nm[row]);
            self.at_least_zero("motor.curve", peak, "N m");
            self.at_least_zero("motor.curve", steady, "N m");
            if steady > peak * (1.0 + ROUNDING) {
                let allowed = format!("continuous torque at most the peak torque of {peak} N m");
                self.refuse("motor.curve", steady, "N m", allowed);
            }
        }
        if curve.greatest_torque_nm() <= 0.0 {
            self.refuse("motor.curve", 0.0, "N m", "a peak torque above 0 somewhere".into());
        }
    }

    fn loss_map(&mut self, map: &LossMap) {
        let cells = map.speed_radps.len() * map.torque_nm.len();
        let complete = map.speed_radps.len() >= 2 && map.torque_nm.len() >= 2;
        if !complete || map.loss_w.len() != cells {
            let allowed = "a full grid of at least two speeds by two torques".into();
            self.refuse("motor.losses", crate::table::count(map.loss_w.len()), "values", allowed);
            return;
        }
        self.rising("motor.losses", &map.speed_radps, "rad/s");
        self.rising("motor.losses", &map.torque_nm, "N m");
        map.loss_w.iter().for_each(|loss| self.at_least_zero("motor.losses", *loss, "W"));
    }

    fn inverter(&mut self, spec: &InverterSpec) {
        self.window("inverter.voltage_window.to", spec.min_voltage_v, spec.max_voltage_v);
    }

    /// A window of voltages that has a width.
    fn window(&mut self, key: &str, from_v: f64, to_v: f64) {
        if to_v <= from_v {
            self.refuse(key, to_v, "V", format!("more than {from_v} V, where it starts"));
        }
    }

    fn open_circuit(&mut self, table: &OpenCircuitTable) {
        let key = "pack.open_circuit";
        let rows = table.charge_frac.len();
        if rows < 2 || table.voltage_v.len() != rows {
            let allowed = "a table of at least two rows".into();
            self.refuse(key, crate::table::count(rows), "rows", allowed);
            return;
        }
        self.rising(key, &table.charge_frac, "");
        self.rising(key, &table.voltage_v, "V");
        self.above_zero(key, table.voltage_v[0], "V");
        let ends_off = table.charge_frac[0].abs().max((table.charge_frac[rows - 1] - 1.0).abs());
        if ends_off > ROUNDING {
            let allowed = "a table from 0 (empty) to 1 (full)".into();
            self.refuse(key, table.charge_frac[rows - 1], "", allowed);
        }
    }

    fn cold_capacity(&mut self, table: &ColdCapacityTable, resistance_b_k: f64) {
        let key = "pack.cold_capacity";
        let rows = table.temperature_k.len();
        if rows < 2 || table.capacity_frac.len() != rows {
            let allowed = "a table of at least two rows".into();
            self.refuse(key, crate::table::count(rows), "rows", allowed);
            return;
        }
        self.rising(key, &table.temperature_k, "K");
        table.capacity_frac.iter().for_each(|share| self.between(key, *share, "", (0.0, 1.0)));
        if resistance_b_k > 0.0 {
            let allowed = "0 beside a cold capacity sheet, which already holds the resistance";
            self.refuse("pack.resistance_b", resistance_b_k, "K", allowed.into());
        }
    }

    fn pack(&mut self, pack: &PackSpec) {
        self.open_circuit(&pack.open_circuit);
        if let Some(table) = &pack.cold_capacity {
            self.cold_capacity(table, pack.resistance_b_k);
        }
        self.window("pack.cell_voltage.to", pack.cell_min_voltage_v, pack.cell_max_voltage_v);
    }

    fn together(&mut self, spec: &CarSpec) {
        let (pack, inverter) = (&spec.pack, &spec.inverter);
        let full_v = pack.full_voltage_v();
        if full_v > inverter.max_voltage_v * (1.0 + ROUNDING) {
            let allowed = format!(
                "a pack of at most {} V, the highest of the inverter; {} cells in series at {} V \
                 make {full_v:.1} V",
                inverter.max_voltage_v,
                pack.series_cells(),
                pack.cell_max_voltage_v
            );
            self.refuse("pack.modules_in_series", f64::from(pack.modules_in_series), "", allowed);
        }
        let floor = pack.floor_frac();
        if pack.usable_to_frac <= floor {
            let allowed = format!("more than {floor:.3}, where the usable part starts");
            self.refuse("pack.usable.to", pack.usable_to_frac, "", allowed);
        } else if pack.open_circuit_v(pack.usable_to_frac) <= pack.min_voltage_v(inverter) {
            let allowed = format!(
                "a window that begins below the pack's {:.1} V at rest",
                pack.open_circuit_v(pack.usable_to_frac)
            );
            self.refuse("inverter.voltage_window.from", inverter.min_voltage_v, "V", allowed);
        }
        let without_room = crate::weights::modules_without_room(pack);
        if without_room > 0 {
            let allowed =
                format!("no more modules than room in the boxes: {without_room} too many");
            let modules = f64::from(pack.module_count());
            self.refuse("pack.modules_in_series", modules, "modules", allowed);
        }
        self.found.extend(crate::axle_loads::problem(&spec.weights, pack));
        let last_radps = spec.motor.curve.last_speed_radps();
        if spec.motor.max_speed_radps > last_radps * (1.0 + ROUNDING) {
            let rpm = last_radps * 30.0 / std::f64::consts::PI;
            let allowed = format!("at most {rpm:.0} rpm, where the curve ends");
            let given = spec.motor.max_speed_radps * 30.0 / std::f64::consts::PI;
            self.refuse("motor.max_speed", given, "rpm", allowed);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::Car;
    use crate::example::small_saloon;

    #[test]
    fn a_motor_turns_no_faster_than_its_sheet() {
        let mut spec = small_saloon();
        let last_radps = spec.motor.curve.last_speed_radps();
        for (share, refused) in [(0.9, false), (1.0, false), (1.01, true), (2.0, true)] {
            spec.motor.max_speed_radps = share * last_radps;
            let named = Car::problems(&spec).iter().any(|error| error.key == "motor.max_speed");
            assert_eq!(named, refused, "{share}");
        }
    }
}
