//! Knobs: every adjustable number of a car, by its path in a build file.
//!
//! A sweep or an uncertainty study changes a copy of a [`CarSpec`] through knobs, without parsing:
//! the path is looked up once, [`Knob::set`] is a plain assignment.

use crate::spec::{
    CarSpec, DragSpec, FirstStage, MotorLossSpec, RoadLoadSpec, RollingSpec, SpecError, StageSpec,
};

/// One adjustable number of a car.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Knob(Which);

/// Declares the knobs: those with one place in the description, those inside an alternative, those
/// of a named list, and whole numbers.
macro_rules! knobs {
    (
        plain { $($plain:ident $plain_path:literal: $($field:ident).+;)* }
        inside { $($inside:ident $inside_path:literal: $($outer:ident).+, $pattern:pat => $it:ident;)* }
        listed { $($listed:ident $group:literal $item_field:literal:
            $($list:ident).+, $($name:ident).+, $($item:ident).+;)* }
        whole { $($whole:ident $whole_path:literal: $($count:ident).+;)* }
    ) => {
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        enum Which {
            $($plain,)*
            $($inside,)*
            $($listed(usize),)*
            $($whole,)*
        }

        impl Knob {
            /// The knob of a path, `driveline.axle.ratio` or `put_in.motor.mass`. `None` if the
            /// path is no knob of this car (it may be one of another).
            #[must_use]
            pub fn find(path: &str, spec: &CarSpec) -> Option<Knob> {
                $(if path == $plain_path { return Some(Knob(Which::$plain)); })*
                $(if path == $inside_path {
                    let knob = Knob(Which::$inside);
                    return knob.get(spec).map(|_| knob);
                })*
                $(if let Some(name) = middle(path, $group, $item_field) {
                    let place = spec.$($list).+.iter().position(|item| *item.$($name).+ == *name);
                    return place.map(|place| Knob(Which::$listed(place)));
                })*
                $(if path == $whole_path { return Some(Knob(Which::$whole)); })*
                None
            }

            /// All knobs of a car, with their paths.
            #[must_use]
            pub fn all(spec: &CarSpec) -> Vec<(String, Knob)> {
                let mut all = vec![$(($plain_path.to_owned(), Knob(Which::$plain)),)*];
                $(if Knob(Which::$inside).get(spec).is_some() {
                    all.push(($inside_path.to_owned(), Knob(Which::$inside)));
                })*
                $(for (place, item) in spec.$($list).+.iter().enumerate() {
                    let path = format!("{}.{}.{}", $group, item.$($name).+, $item_field);
                    all.push((path, Knob(Which::$listed(place))));
                })*
                $(all.push(($whole_path.to_owned(), Knob(Which::$whole)));)*
                all
            }

            /// The number, in the unit of its field in [`crate::spec`]. `None` if this car has no
            /// such number.
            #[must_use]
            pub fn get(self, spec: &CarSpec) -> Option<f64> {
                match self.0 {
                    $(Which::$plain => Some(spec.$($field).+),)*
                    $(Which::$inside => match &spec.$($outer).+ {
                        $pattern => Some(*$it),
                        _ => None,
                    },)*
                    $(Which::$listed(place) => spec.$($list).+.get(place).map(|item| item.$($item).+),)*
                    $(Which::$whole => Some(f64::from(spec.$($count).+)),)*
                }
            }

            /// Sets the number; [`crate::Car::new`] checks it with all others.
            ///
            /// # Errors
            /// When this car has no such number, or a whole number is wanted and `value` is none.
            pub fn set(self, spec: &mut CarSpec, value: f64) -> Result<(), SpecError> {
                match self.0 {
                    $(Which::$plain => {
                        spec.$($field).+ = value;
                        Ok(())
                    })*
                    $(Which::$inside => match &mut spec.$($outer).+ {
                        $pattern => {
                            *$it = value;
                            Ok(())
                        }
                        _ => Err(absent($inside_path, value)),
                    },)*
                    $(Which::$listed(place) => match spec.$($list).+.get_mut(place) {
                        Some(item) => {
                            item.$($item).+ = value;
                            Ok(())
                        }
                        None => Err(absent($group, value)),
                    },)*
                    $(Which::$whole => {
                        spec.$($count).+ = whole($whole_path, value)?;
                        Ok(())
                    })*
                }
            }
        }
    };
}

knobs! {
    plain {
        Wheelbase "car.wheelbase": weights.wheelbase_m;
        CentreOfGravityHeight "car.centre_of_gravity_height": weights.centre_of_gravity_height_m;
        FrontLeft "corner_weights.front_left": weights.corners.front_left_kg;
        FrontRight "corner_weights.front_right": weights.corners.front_right_kg;
        RearLeft "corner_weights.rear_left": weights.corners.rear_left_kg;
        RearRight "corner_weights.rear_right": weights.corners.rear_right_kg;
        LuggageMass "luggage.mass": weights.luggage.mass_kg;
        RollingResistance "tyres.rolling_resistance": tyres.rolling_resistance;
        DrumToRoad "tyres.drum_to_road": tyres.drum_to_road;
        RollingRise "tyres.rolling_rise": tyres.rolling_rise_per_mps2;
        WheelInertia "tyres.wheel_inertia": tyres.wheel_inertia_kgm2;
        GripDry "tyres.grip.dry": tyres.grip_dry;
        GripWet "tyres.grip.wet": tyres.grip_wet;
        GripIce "tyres.grip.ice": tyres.grip_ice;
        AxleRatio "driveline.axle.ratio": driveline.axle.ratio;
        AxleEfficiency "driveline.axle.efficiency": driveline.axle.efficiency_frac;
        AxleDrag "driveline.axle.drag_torque": driveline.axle.drag_torque_nm;
        OilExponent "driveline.oil_viscosity_exponent": driveline.oil_viscosity_exponent;
        OilTime "driveline.oil_time_constant": driveline.oil_time_constant_s;
        OilConductance "driveline.oil_conductance": driveline.oil_conductance_wpk;
        CurveScale "motor.curve_scale": motor.curve_scale;
        PhaseCurrent "motor.phase_current_ratio": motor.phase_current_ratio;
        CurveVoltage "motor.curve_voltage": motor.test_voltage_v;
        MaxSpeed "motor.max_speed": motor.max_speed_radps;
        RotorInertia "motor.rotor_inertia": motor.rotor_inertia_kgm2;
        LossesScale "motor.losses_scale": motor.losses_scale;
        InverterFixedLoss "inverter.fixed_loss": inverter.fixed_loss_w;
        InverterLossShare "inverter.loss_share": inverter.loss_share;
        MaxBatteryCurrent "inverter.max_battery_current": inverter.max_battery_current_a;
        CellCapacity "pack.cell_capacity": pack.cell_capacity_c;
        CellResistance "pack.cell_resistance": pack.cell_resistance_ohm;
        ResistanceB "pack.resistance_b": pack.resistance_b_k;
        MaxDischarge "pack.max_discharge": pack.max_discharge_per_h;
        MaxCharge "pack.max_charge": pack.max_charge_per_h;
        ModuleSpread "pack.module_spread": pack.module_spread;
        ModuleMass "pack.module_mass": pack.module_mass_kg;
        SpecificHeat "pack.specific_heat": pack.specific_heat_jpkgk;
        PackConductance "pack.conductance": pack.conductance_wpk;
        UsableFrom "pack.usable.from": pack.usable_from_frac;
        UsableTo "pack.usable.to": pack.usable_to_frac;
        Harness "pack.harness_resistance": pack.harness_resistance_ohm;
        StateOfHealth "pack.state_of_health": pack.state_of_health_frac;
        Reserve "pack.reserve": pack.reserve_frac;
        RegenShare "regen.share": regen.share;
        RegenFade "regen.fade_out_below": regen.fade_out_below_mps;
        DcDcEfficiency "dcdc.efficiency": dcdc.efficiency_frac;
        ChargerPower "charger.power": charger.power_w;
        ChargerEfficiency "charger.efficiency": charger.efficiency_frac;
    }
    inside {
        DragArea "car.drag_area": road_load,
            RoadLoadSpec::Terms { drag: DragSpec::Area(it), .. } => it;
        DragCoefficient "car.drag_coefficient": road_load,
            RoadLoadSpec::Terms { drag: DragSpec::CoefficientAndArea { coefficient: it, .. }, .. }
                => it;
        FrontalArea "car.frontal_area": road_load,
            RoadLoadSpec::Terms {
                drag: DragSpec::CoefficientAndArea { frontal_area_m2: it, .. }, ..
            } => it;
        BrakeDrag "car.brake_drag": road_load,
            RoadLoadSpec::Terms { brake_drag_n: it, .. } => it;
        RoadLoadF0 "car.road_load.f0": road_load,
            RoadLoadSpec::Coefficients { f0_n: it, .. } => it;
        RoadLoadF1 "car.road_load.f1": road_load,
            RoadLoadSpec::Coefficients { f1_n_per_mps: it, .. } => it;
        RoadLoadF2 "car.road_load.f2": road_load,
            RoadLoadSpec::Coefficients { f2_n_per_mps2: it, .. } => it;
        RolledDistance "tyres.rolled.distance": tyres.rolling,
            RollingSpec::Rolled { distance_m: it, .. } => it;
        RevolutionsPerKm "tyres.revolutions_per_km": tyres.rolling,
            RollingSpec::RevolutionsPerKm(it) => it;
        ReductionRatio "driveline.reduction.ratio": driveline.first,
            FirstStage::Reduction(StageSpec { ratio: it, .. }) => it;
        ReductionEfficiency "driveline.reduction.efficiency": driveline.first,
            FirstStage::Reduction(StageSpec { efficiency_frac: it, .. }) => it;
        ReductionDrag "driveline.reduction.drag_torque": driveline.first,
            FirstStage::Reduction(StageSpec { drag_torque_nm: it, .. }) => it;
        DragRise "car.drag_rise_with_yaw": road_load,
            RoadLoadSpec::Terms { drag_rise_at_10_deg_yaw: it, .. } => it;
        PeakSeconds "motor.peak_seconds": motor.peak_seconds, Some(it) => it;
        BestEfficiency "motor.losses.best_efficiency": motor.losses,
            MotorLossSpec::BestPoint { efficiency_frac: it, .. } => it;
        Copper "motor.losses.copper": motor.losses,
            MotorLossSpec::Polynomial { copper_w_per_nm2: it, .. } => it;
        Iron "motor.losses.iron": motor.losses,
            MotorLossSpec::Polynomial { iron_w_per_radps: it, .. } => it;
        Windage "motor.losses.windage": motor.losses,
            MotorLossSpec::Polynomial { windage_w_per_radps3: it, .. } => it;
        FixedLoss "motor.losses.fixed": motor.losses,
            MotorLossSpec::Polynomial { fixed_w: it, .. } => it;
    }
    listed {
        TakenOutMass "taken_out" "mass": weights.taken_out, name, mass_kg;
        TakenOutPlace "taken_out" "behind_front_axle":
            weights.taken_out, name, place.behind_front_axle_m;
        PutInMass "put_in" "mass": weights.put_in, name, mass_kg;
        PutInPlace "put_in" "behind_front_axle":
            weights.put_in, name, place.behind_front_axle_m;
        SeatMass "seat" "mass": weights.seats, person.name, person.mass_kg;
        SeatPlace "seat" "behind_front_axle":
            weights.seats, person.name, person.place.behind_front_axle_m;
        LoadPower "load" "power": loads, name, power_w;
        LoadDuty "load" "duty": loads, name, duty_frac;
        BoxPlace "pack.box" "behind_front_axle": pack.boxes, name, place.behind_front_axle_m;
    }
    whole {
        CellsInSeries "pack.cells_in_series": pack.cells_in_series;
        CellsInParallel "pack.cells_in_parallel": pack.cells_in_parallel;
        ModulesInSeries "pack.modules_in_series": pack.modules_in_series;
        ModulesInParallel "pack.modules_in_parallel": pack.modules_in_parallel;
    }
}

/// The name between a group and a field: `motor` of `put_in.motor.mass`.
fn middle<'a>(path: &'a str, group: &str, field: &str) -> Option<&'a str> {
    let rest = path.strip_prefix(group)?.strip_prefix('.')?;
    let name = rest.strip_suffix(field)?.strip_suffix('.')?;
    (!name.is_empty()).then_some(name)
}

fn absent(path: &str, value: f64) -> SpecError {
    SpecError { key: path.into(), value, unit: "", allowed: "only on a car that has it".into() }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "checked to be a whole number in range"
)]
fn whole(path: &str, value: f64) -> Result<u32, SpecError> {
    if value.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&value) {
        return Ok(value as u32);
    }
    Err(SpecError {
        key: path.into(),
        value,
        unit: "",
        allowed: "a whole number, 0 or more".into(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::small_saloon;

    #[test]
    fn every_knob_finds_itself_and_sets_what_it_gets() {
        let mut spec = small_saloon();
        let all = Knob::all(&spec);
        assert!(all.len() > 60);
        for (path, knob) in all {
            assert_eq!(Knob::find(&path, &spec), Some(knob), "{path}");
            let value = knob.get(&spec).unwrap();
            knob.set(&mut spec, value + 1.0).unwrap();
            assert_eq!(knob.get(&spec), Some(value + 1.0), "{path}");
            knob.set(&mut spec, value).unwrap();
        }
        assert_eq!(spec, small_saloon());
    }

    #[test]
    fn what_a_car_does_not_have_is_no_knob_of_it() {
        let spec = small_saloon();
        assert_eq!(Knob::find("car.drag_area", &spec), None);
        assert_eq!(Knob::find("put_in.sail.mass", &spec), None);
        assert_eq!(Knob::find("car.colour", &spec), None);
        let knob = Knob::find("pack.modules_in_series", &spec).unwrap();
        assert!(knob.set(&mut small_saloon(), 8.5).is_err());
    }
}
