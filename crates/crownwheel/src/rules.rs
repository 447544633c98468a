//! What a description must satisfy before it becomes a car or a day.

use crate::spec::{
    CarSpec, ColdCapacityTable, DaySpec, DragSpec, DrivelineSpec, FirstStage, LossMap,
    MotorLossSpec, MotorSpec, OpenCircuitTable, PackSpec, PartSpec, RoadLoadSpec, RollingSpec,
    Shifting, SpecError, StageSpec, TyresSpec, WeightsSpec, Wind,
};

/// Slack on comparisons with numbers that a unit was converted to or that are products of typed
/// numbers, relative: -60 °C is 213.149 999 999 999 98 K.
const ROUNDING: f64 = 1e-9;

/// Most cells, modules or places: far above any car, far below overflow.
const MOST_CELLS: f64 = 100_000.0;

/// Everything that is wrong with a car, in the order of the build file.
///
/// Does no more than compare: [`crate::Car::problems`] also lays the car out.
///
/// ```
/// let mut spec = crownwheel::example::small_saloon();
/// spec.weights.wheelbase_m = -2.3;
/// let problems = crownwheel::rules::car_problems(&spec);
/// assert_eq!((problems[0].key.as_str(), problems[0].unit), ("car.wheelbase", "m"));
/// ```
#[must_use]
pub fn car_problems(spec: &CarSpec) -> Vec<SpecError> {
    let mut rules = Rules::default();
    rules.weights(&spec.weights);
    if let Some(original) = spec.original {
        rules.above_zero("original.peak_torque", original.peak_torque_nm, "N m");
        rules.above_zero("original.first_gear", original.first_gear_ratio, "");
    }
    rules.road_load(&spec.road_load);
    rules.tyres(&spec.tyres);
    rules.driveline(&spec.driveline);
    rules.motor(&spec.motor);
    rules.rest(spec);
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
pub fn day_problems(day: &DaySpec) -> Vec<SpecError> {
    let mut rules = Rules::default();
    let key = |field: &str| format!("day.{}.{field}", day.name);
    rules.between(key("temperature"), day.temperature_k, "K", (213.15, 343.15));
    if let Some(pack_k) = day.pack_temperature_k {
        rules.between(key("pack_temperature"), pack_k, "K", (213.15, 343.15));
    }
    rules.between(key("altitude"), day.altitude_m, "m", (-500.0, 6000.0));
    rules.between(key("humidity"), day.humidity_frac, "", (0.0, 1.0));
    let (speed_mps, height_m) = match day.wind {
        Wind::Calm => (0.0, 10.0),
        Wind::AlongRoad { speed_mps, height_m } | Wind::AllRound { speed_mps, height_m } => {
            (speed_mps, height_m)
        }
    };
    let lowest_mps = if matches!(day.wind, Wind::AllRound { .. }) { 0.0 } else { -40.0 };
    rules.between(key("wind"), speed_mps, "m/s", (lowest_mps, 40.0));
    rules.between(key("wind_height"), height_m, "m", (0.5, 200.0));
    rules.between(key("extra_load"), day.extra_load_w, "W", (0.0, 50e3));
    rules.found
}

/// Collects what is wrong.
#[derive(Default)]
struct Rules {
    found: Vec<SpecError>,
}

impl Rules {
    fn refuse(&mut self, key: impl Into<String>, value: f64, unit: &'static str, allowed: String) {
        self.found.push(SpecError { key: key.into(), value, unit, allowed });
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

    /// An efficiency: above 0, at most 1.
    fn efficiency(&mut self, key: impl Into<String>, value: f64) {
        if !(value > 0.0 && value <= 1.0) {
            self.refuse(key, value, "", "more than 0 and at most 1".into());
        }
    }

    fn finite(&mut self, key: impl Into<String>, value: f64, unit: &'static str) {
        if !value.is_finite() {
            self.refuse(key, value, unit, "a finite number".into());
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

    fn part(&mut self, group: &str, part: &PartSpec) {
        let key = |field: &str| {
            if part.name.is_empty() {
                format!("{group}.{field}")
            } else {
                format!("{group}.{}.{field}", part.name)
            }
        };
        self.at_least_zero(key("mass"), part.mass_kg, "kg");
        let place = part.place;
        self.between(key("behind_front_axle"), place.behind_front_axle_m, "m", (-5.0, 15.0));
        self.between(key("right_of_centre"), place.right_of_centre_m, "m", (-3.0, 3.0));
        self.between(key("above_ground"), place.above_ground_m.unwrap_or(0.0), "m", (0.0, 4.0));
    }

    fn weights(&mut self, spec: &WeightsSpec) {
        self.between("car.wheelbase", spec.wheelbase_m, "m", (0.5, 10.0));
        self.between("car.track_front", spec.track_front_m, "m", (0.3, 4.0));
        self.between("car.track_rear", spec.track_rear_m, "m", (0.3, 4.0));
        let height_m = spec.centre_of_gravity_height_m;
        self.between("car.centre_of_gravity_height", height_m, "m", (0.1, 3.0));
        if let Some(share) = spec.front_roll_share {
            self.between("car.front_roll_share", share, "", (0.0, 1.0));
        }
        let corners = spec.corners;
        self.above_zero("corner_weights.front_left", corners.front_left_kg, "kg");
        self.above_zero("corner_weights.front_right", corners.front_right_kg, "kg");
        self.above_zero("corner_weights.rear_left", corners.rear_left_kg, "kg");
        self.above_zero("corner_weights.rear_right", corners.rear_right_kg, "kg");
        spec.taken_out.iter().for_each(|part| self.part("taken_out", part));
        spec.put_in.iter().for_each(|part| self.part("put_in", part));
        spec.seats.iter().for_each(|seat| self.part("seat", &seat.person));
        let luggage = PartSpec { name: "".into(), ..spec.luggage.clone() };
        self.part("luggage", &luggage);
        if let Some(springs) = spec.springs {
            let (front, rear) = (springs.front_wheel_rate_n_per_m, springs.rear_wheel_rate_n_per_m);
            self.between("springs.front_wheel_rate", front, "N/m", (1e3, 1e6));
            self.between("springs.rear_wheel_rate", rear, "N/m", (1e3, 1e6));
            let (front, rear) = (springs.front_unsprung_kg, springs.rear_unsprung_kg);
            self.between("springs.front_unsprung", front, "kg", (0.0, 1000.0));
            self.between("springs.rear_unsprung", rear, "kg", (0.0, 1000.0));
        }
        for (key, limit) in [
            ("plate.gross", spec.plate.gross_kg),
            ("plate.front_axle", spec.plate.front_axle_kg),
            ("plate.rear_axle", spec.plate.rear_axle_kg),
        ] {
            if let Some(limit_kg) = limit {
                self.above_zero(key, limit_kg, "kg");
            }
        }
    }

    fn road_load(&mut self, spec: &RoadLoadSpec) {
        match *spec {
            RoadLoadSpec::Terms { drag, brake_drag_n, drag_rise_at_10_deg_yaw } => {
                match drag {
                    DragSpec::Area(area_m2) => {
                        self.between("car.drag_area", area_m2, "m2", (0.0, 30.0));
                    }
                    DragSpec::CoefficientAndArea { coefficient, frontal_area_m2 } => {
                        self.between("car.drag_coefficient", coefficient, "", (0.0, 3.0));
                        self.between("car.frontal_area", frontal_area_m2, "m2", (0.0, 20.0));
                    }
                }
                self.at_least_zero("car.brake_drag", brake_drag_n, "N");
                self.between("car.drag_rise_with_yaw", drag_rise_at_10_deg_yaw, "", (0.0, 1.0));
            }
            RoadLoadSpec::Coefficients { f0_n, f1_n_per_mps, f2_n_per_mps2, .. } => {
                self.finite("car.road_load.f0", f0_n, "N");
                self.finite("car.road_load.f1", f1_n_per_mps, "N/(m/s)");
                self.finite("car.road_load.f2", f2_n_per_mps2, "N/(m/s)2");
                self.coast_down_conditions(spec);
            }
        }
    }

    fn coast_down_conditions(&mut self, spec: &RoadLoadSpec) {
        if let RoadLoadSpec::Coefficients { mass_kg, temperature_k, pressure_pa, .. } = *spec {
            self.above_zero("car.road_load.mass", mass_kg, "kg");
            self.between("car.road_load.temperature", temperature_k, "K", (233.15, 333.15));
            self.between("car.road_load.pressure", pressure_pa, "Pa", (40e3, 120e3));
        }
    }

    fn tyres(&mut self, spec: &TyresSpec) {
        self.between("tyres.size", spec.mark.section_width_m, "m", (0.05, 0.6));
        self.between("tyres.size", spec.mark.aspect_frac, "", (0.2, 1.2));
        self.between("tyres.size", spec.mark.rim_diameter_m, "m", (0.1, 1.0));
        match spec.rolling {
            RollingSpec::FromMark => {}
            RollingSpec::Rolled { turns, distance_m } => {
                self.above_zero("tyres.rolled.turns", turns, "");
                self.above_zero("tyres.rolled.distance", distance_m, "m");
            }
            RollingSpec::RevolutionsPerKm(turns) => {
                self.between("tyres.revolutions_per_km", turns, "1/km", (100.0, 2000.0));
            }
        }
        self.between("tyres.rolling_resistance", spec.rolling_resistance, "", (0.0, 0.2));
        self.between("tyres.drum_to_road", spec.drum_to_road, "", (0.5, 3.0));
        self.between("tyres.rolling_rise", spec.rolling_rise_per_mps2, "", (0.0, 1e-2));
        self.between("tyres.wheel_inertia", spec.wheel_inertia_kgm2, "kg m2", (0.0, 100.0));
        for (key, grip) in [
            ("tyres.grip.dry", spec.grip_dry),
            ("tyres.grip.wet", spec.grip_wet),
            ("tyres.grip.ice", spec.grip_ice),
        ] {
            self.between(key, grip, "", (0.01, 2.0));
        }
    }

    fn stage(&mut self, name: &str, stage: &StageSpec) {
        let key = |field: &str| format!("driveline.{name}.{field}");
        self.between(key("ratio"), stage.ratio, "", (0.05, 50.0));
        self.efficiency(key("efficiency"), stage.efficiency_frac);
        self.between(key("drag_torque"), stage.drag_torque_nm, "N m", (0.0, 200.0));
        self.above_zero(key("drag_at"), stage.drag_speed_radps, "rad/s");
        if let Some(torque_nm) = stage.max_torque_nm {
            self.above_zero(key("max_torque"), torque_nm, "N m");
        }
        if let Some(speed_radps) = stage.max_speed_radps {
            self.above_zero(key("max_speed"), speed_radps, "rad/s");
        }
    }

    fn first_stage(&mut self, first: &FirstStage) {
        let gearbox = match first {
            FirstStage::Direct => return,
            FirstStage::Reduction(reduction) => return self.stage("reduction", reduction),
            FirstStage::Gearbox(gearbox) => gearbox,
        };
        let gears = crate::table::count(gearbox.gears.len());
        self.between("driveline.gearbox.gears", gears, "gears", (1.0, 12.0));
        gearbox.gears.iter().for_each(|gear| self.stage("gearbox", gear));
        match gearbox.shifting {
            Shifting::Fixed(gear) => {
                let number = crate::table::count(gear) + 1.0;
                self.between("driveline.gearbox.gear", number, "", (1.0, gears.max(1.0)));
            }
            Shifting::LeastLoss { dwell_s, shift_s } => {
                self.between("driveline.gearbox.dwell", dwell_s, "s", (0.0, 60.0));
                self.between("driveline.gearbox.shift_time", shift_s, "s", (0.0, 5.0));
            }
        }
    }

    fn driveline(&mut self, spec: &DrivelineSpec) {
        self.first_stage(&spec.first);
        self.stage("axle", &spec.axle);
        let exponent = spec.oil_viscosity_exponent;
        self.between("driveline.oil_viscosity_exponent", exponent, "", (0.0, 1.0));
        self.between("driveline.oil_time_constant", spec.oil_time_constant_s, "s", (60.0, 36e3));
        self.above_zero("driveline.oil_conductance", spec.oil_conductance_wpk, "W/K");
    }

    fn motor(&mut self, spec: &MotorSpec) {
        self.motor_curve(spec);
        self.between("motor.curve_scale", spec.curve_scale, "", (0.1, 10.0));
        self.between("motor.phase_current_ratio", spec.phase_current_ratio, "", (0.05, 5.0));
        self.between("motor.armature_resistance", spec.armature_ohm, "ohm", (0.0, 10.0));
        self.between("motor.max_winding_temperature", spec.max_winding_k, "K", (353.15, 573.15));
        if let Some(back_emf) = spec.back_emf_v_per_radps {
            self.above_zero("motor.back_emf", back_emf, "V/(rad/s)");
        }
        if let Some(rating) = spec.long_rating {
            self.above_zero("motor.long_rating.torque", rating.torque_nm, "N m");
            self.between("motor.long_rating.time", rating.seconds, "s", (1.0, 86_400.0));
        }
        self.between("motor.curve_voltage", spec.test_voltage_v, "V", (5.0, 2000.0));
        self.above_zero("motor.max_speed", spec.max_speed_radps, "rad/s");
        self.between("motor.rotor_inertia", spec.rotor_inertia_kgm2, "kg m2", (0.0, 50.0));
        self.between("motor.losses_scale", spec.losses_scale, "", (0.05, 20.0));
        if let Some(seconds) = spec.peak_seconds {
            self.between("motor.peak_seconds", seconds, "s", (0.1, 36e3));
        }
        match &spec.losses {
            MotorLossSpec::Map(map) => self.loss_map(map),
            MotorLossSpec::Polynomial {
                copper_w_per_nm2,
                iron_w_per_radps,
                windage_w_per_radps3,
                fixed_w,
            } => {
                self.at_least_zero("motor.losses.copper", *copper_w_per_nm2, "W/(N m)2");
                self.at_least_zero("motor.losses.iron", *iron_w_per_radps, "W/(rad/s)");
                self.at_least_zero("motor.losses.windage", *windage_w_per_radps3, "W/(rad/s)3");
                self.at_least_zero("motor.losses.fixed", *fixed_w, "W");
            }
            MotorLossSpec::BestPoint { efficiency_frac, speed_radps, torque_nm } => {
                self.efficiency("motor.losses.best_efficiency", *efficiency_frac);
                self.above_zero("motor.losses.at_speed", *speed_radps, "rad/s");
                self.above_zero("motor.losses.at_torque", *torque_nm, "N m");
            }
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

    fn rest(&mut self, spec: &CarSpec) {
        let inverter = &spec.inverter;
        self.at_least_zero("inverter.fixed_loss", inverter.fixed_loss_w, "W");
        self.between("inverter.loss_share", inverter.loss_share, "", (0.0, 0.5));
        self.above_zero("inverter.max_battery_current", inverter.max_battery_current_a, "A");
        self.above_zero("inverter.voltage_window.from", inverter.min_voltage_v, "V");
        if inverter.max_voltage_v.is_nan() || inverter.max_voltage_v <= inverter.min_voltage_v {
            let allowed = format!("more than {} V, where it starts", inverter.min_voltage_v);
            self.refuse("inverter.voltage_window.to", inverter.max_voltage_v, "V", allowed);
        }
        self.between("regen.share", spec.regen.share, "", (0.0, 1.0));
        self.above_zero("regen.fade_out_below", spec.regen.fade_out_below_mps, "m/s");
        self.efficiency("dcdc.efficiency", spec.dcdc.efficiency_frac);
        if let Some(max_w) = spec.dcdc.max_w {
            self.above_zero("dcdc.max", max_w, "W");
        }
        for load in &spec.loads {
            let key = |field: &str| format!("load.{}.{field}", load.name);
            self.at_least_zero(key("power"), load.power_w, "W");
            self.between(key("duty"), load.duty_frac, "", (0.0, 1.0));
        }
        self.above_zero("charger.power", spec.charger.power_w, "W");
        self.efficiency("charger.efficiency", spec.charger.efficiency_frac);
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
        for (key, cells) in [
            ("pack.cells_in_series", pack.cells_in_series),
            ("pack.cells_in_parallel", pack.cells_in_parallel),
            ("pack.modules_in_series", pack.modules_in_series),
            ("pack.modules_in_parallel", pack.modules_in_parallel),
        ] {
            self.between(key, f64::from(cells), "", (1.0, MOST_CELLS));
        }
        self.above_zero("pack.cell_capacity", pack.cell_capacity_c, "A s");
        self.above_zero("pack.cell_resistance", pack.cell_resistance_ohm, "ohm");
        self.between("pack.resistance_b", pack.resistance_b_k, "K", (0.0, 10_000.0));
        self.between("pack.module_spread", pack.module_spread, "", (0.0, 0.2));
        if let Some(table) = &pack.cold_capacity {
            self.cold_capacity(table, pack.resistance_b_k);
        }
        self.above_zero("pack.cell_voltage.from", pack.cell_min_voltage_v, "V");
        if pack.cell_max_voltage_v.is_nan() || pack.cell_max_voltage_v <= pack.cell_min_voltage_v {
            let allowed = format!("more than {} V, where it starts", pack.cell_min_voltage_v);
            self.refuse("pack.cell_voltage.to", pack.cell_max_voltage_v, "V", allowed);
        }
        self.above_zero("pack.max_discharge", pack.max_discharge_per_h, "C");
        self.above_zero("pack.max_charge", pack.max_charge_per_h, "C");
        self.at_least_zero("pack.module_mass", pack.module_mass_kg, "kg");
        self.above_zero("pack.specific_heat", pack.specific_heat_jpkgk, "J/(kg K)");
        self.at_least_zero("pack.conductance", pack.conductance_wpk, "W/K");
        self.at_least_zero("pack.harness_resistance", pack.harness_resistance_ohm, "ohm");
        self.between("pack.usable.from", pack.usable_from_frac, "", (0.0, 1.0));
        self.between("pack.usable.to", pack.usable_to_frac, "", (0.0, 1.0));
        self.efficiency("pack.state_of_health", pack.state_of_health_frac);
        self.between("pack.reserve", pack.reserve_frac, "", (0.0, 0.95));
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
