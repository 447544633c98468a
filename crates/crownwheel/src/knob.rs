//! Knobs: every adjustable number of a car or of a day, by its path in a build file.
//!
//! A sweep or an uncertainty study changes a copy of a [`CarSpec`] through knobs, without parsing:
//! the path is looked up once, [`Knob::set`] is a plain assignment. [`DayKnob`] does the same for a
//! [`crate::spec::DaySpec`].

mod day;
#[macro_use]
mod declare;
mod several;

pub use day::DayKnob;

use crate::spec::{
    CarSpec, DragSpec, FirstStage, GearboxSpec, MotorLossSpec, RatingSpec, RoadLoadSpec,
    RollingSpec, Shifting, SpecError, SpringsSpec, StageSpec,
};

/// One adjustable number of a car.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Knob(Which);

knobs! {
    plain {
        Wheelbase "car.wheelbase": weights.wheelbase_m;
        TrackFront "car.track_front": weights.track_front_m;
        TrackRear "car.track_rear": weights.track_rear_m;
        CentreOfGravityHeight "car.centre_of_gravity_height": weights.centre_of_gravity_height_m;
        FrontLeft "corner_weights.front_left": weights.corners.front_left_kg;
        FrontRight "corner_weights.front_right": weights.corners.front_right_kg;
        RearLeft "corner_weights.rear_left": weights.corners.rear_left_kg;
        RearRight "corner_weights.rear_right": weights.corners.rear_right_kg;
        LuggageMass "luggage.mass": weights.luggage.mass_kg;
        LuggagePlace "luggage.behind_front_axle": weights.luggage.place.behind_front_axle_m;
        LuggageRight "luggage.right_of_centre": weights.luggage.place.right_of_centre_m;
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
        FrontRollShare "car.front_roll_share": weights.front_roll_share, Some(it) => it;
        LuggageHeight "luggage.above_ground": weights.luggage.place.above_ground_m, Some(it) => it;
        FrontSpring "springs.front_wheel_rate": weights.springs,
            Some(SpringsSpec { front_wheel_rate_n_per_m: it, .. }) => it;
        RearSpring "springs.rear_wheel_rate": weights.springs,
            Some(SpringsSpec { rear_wheel_rate_n_per_m: it, .. }) => it;
        FrontUnsprung "springs.front_unsprung": weights.springs,
            Some(SpringsSpec { front_unsprung_kg: it, .. }) => it;
        RearUnsprung "springs.rear_unsprung": weights.springs,
            Some(SpringsSpec { rear_unsprung_kg: it, .. }) => it;
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
        Dwell "driveline.gearbox.dwell": driveline.first,
            FirstStage::Gearbox(GearboxSpec {
                shifting: Shifting::LeastLoss { dwell_s: it, .. }, ..
            }) => it;
        ShiftTime "driveline.gearbox.shift_time": driveline.first,
            FirstStage::Gearbox(GearboxSpec {
                shifting: Shifting::LeastLoss { shift_s: it, .. }, ..
            }) => it;
        DragRise "car.drag_rise_with_yaw": road_load,
            RoadLoadSpec::Terms { drag_rise_at_10_deg_yaw: it, .. } => it;
        PeakSeconds "motor.peak_seconds": motor.peak_seconds, Some(it) => it;
        LongRating "motor.long_rating.torque": motor.long_rating,
            Some(RatingSpec { torque_nm: it, .. }) => it;
        BestSpeed "motor.losses.at_speed": motor.losses,
            MotorLossSpec::BestPoint { speed_radps: it, .. } => it;
        BestTorque "motor.losses.at_torque": motor.losses,
            MotorLossSpec::BestPoint { torque_nm: it, .. } => it;
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
        DcDcMax "dcdc.max": dcdc.max_w, Some(it) => it;
    }
    listed {
        TakenOutMass "taken_out" "mass": weights.taken_out, name, mass_kg;
        TakenOutPlace "taken_out" "behind_front_axle":
            weights.taken_out, name, place.behind_front_axle_m;
        TakenOutRight "taken_out" "right_of_centre":
            weights.taken_out, name, place.right_of_centre_m;
        PutInMass "put_in" "mass": weights.put_in, name, mass_kg;
        PutInPlace "put_in" "behind_front_axle":
            weights.put_in, name, place.behind_front_axle_m;
        PutInRight "put_in" "right_of_centre":
            weights.put_in, name, place.right_of_centre_m;
        SeatMass "seat" "mass": weights.seats, person.name, person.mass_kg;
        SeatPlace "seat" "behind_front_axle":
            weights.seats, person.name, person.place.behind_front_axle_m;
        SeatRight "seat" "right_of_centre":
            weights.seats, person.name, person.place.right_of_centre_m;
        LoadPower "load" "power": loads, name, power_w;
        LoadDuty "load" "duty": loads, name, duty_frac;
        BoxPlace "pack.box" "behind_front_axle": pack.boxes, name, place.behind_front_axle_m;
        BoxRight "pack.box" "right_of_centre": pack.boxes, name, place.right_of_centre_m;
    }
    open {
        TakenOutHeight "taken_out" "above_ground":
            weights.taken_out, name, place.above_ground_m;
        PutInHeight "put_in" "above_ground": weights.put_in, name, place.above_ground_m;
        SeatHeight "seat" "above_ground":
            weights.seats, person.name, person.place.above_ground_m;
        BoxHeight "pack.box" "above_ground": pack.boxes, name, place.above_ground_m;
    }
    several {
        Track "car.track": several::track_m, several::set_track;
        GearEfficiency "driveline.gearbox.efficiency":
            several::gear_efficiency_frac, several::set_gear_efficiency;
        GearDrag "driveline.gearbox.drag_torque":
            several::gear_drag_nm, several::set_gear_drag;
        Armature "motor.armature_resistance":
            several::armature_ohm, several::set_armature;
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
    fn one_key_of_a_gearbox_sets_all_gears() {
        let mut spec = small_saloon();
        assert_eq!(Knob::find("driveline.gearbox.efficiency", &spec), None);
        let gear = StageSpec { ratio: 3.6, ..spec.driveline.axle };
        let shifting = Shifting::LeastLoss { dwell_s: 4.0, shift_s: 0.6 };
        let gears = vec![gear, StageSpec { ratio: 2.1, ..gear }];
        spec.driveline.first = FirstStage::Gearbox(GearboxSpec { gears, shifting });
        for (path, wanted) in
            [("driveline.gearbox.efficiency", 0.93), ("driveline.gearbox.drag_torque", 0.7)]
        {
            let knob = Knob::find(path, &spec).unwrap();
            knob.set(&mut spec, wanted).unwrap();
            assert_eq!(knob.get(&spec), Some(wanted));
        }
        let gears = (0..2).map(|gear| *spec.driveline.first.stage(gear).unwrap());
        for (gear, ratio) in gears.zip([3.6, 2.1]) {
            assert_eq!(
                gear,
                StageSpec { ratio, efficiency_frac: 0.93, drag_torque_nm: 0.7, ..gear }
            );
        }
        let shift = Knob::find("driveline.gearbox.shift_time", &spec).unwrap();
        assert_eq!(shift.get(&spec), Some(0.6));
    }

    #[test]
    fn one_track_is_both_while_they_are_alike() {
        let mut spec = small_saloon();
        let track = Knob::find("car.track", &spec).unwrap();
        track.set(&mut spec, 1.25).unwrap();
        for path in ["car.track", "car.track_front", "car.track_rear"] {
            assert_eq!(Knob::find(path, &spec).unwrap().get(&spec), Some(1.25), "{path}");
        }
        spec.weights.track_rear_m = 1.3;
        assert_eq!(Knob::find("car.track", &spec), None);
        assert!(track.set(&mut spec, 1.2).is_err());
    }

    #[test]
    fn what_is_left_open_is_no_knob_and_what_is_given_is() {
        let mut spec = small_saloon();
        let path = format!("put_in.{}.above_ground", spec.weights.put_in[0].name);
        spec.weights.put_in[0].place.above_ground_m = None;
        assert_eq!(Knob::find(&path, &spec), None);
        spec.weights.put_in[0].place.above_ground_m = Some(0.4);
        let knob = Knob::find(&path, &spec).unwrap();
        knob.set(&mut spec, 0.5).unwrap();
        assert_eq!(spec.weights.put_in[0].place.above_ground_m, Some(0.5));
        assert_eq!(Knob::find("motor.armature_resistance", &spec), None);
        spec.motor.armature_ohm = 0.012;
        assert!(Knob::find("motor.armature_resistance", &spec).is_some());
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
