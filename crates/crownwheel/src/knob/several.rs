//! Numbers that one key of a build writes in several places, or that only some cars have.
//!
//! Each reader gives `None` where the places differ, so that the key says nothing of this car.

use crate::spec::{CarSpec, FirstStage, StageSpec};

/// Both tracks, m.
pub(super) fn track_m(spec: &CarSpec) -> Option<f64> {
    alike([spec.weights.track_front_m, spec.weights.track_rear_m].into_iter())
}

pub(super) fn set_track(spec: &mut CarSpec, track_m: f64) -> bool {
    let alike = self::track_m(spec).is_some();
    if alike {
        spec.weights.track_front_m = track_m;
        spec.weights.track_rear_m = track_m;
    }
    alike
}

/// Efficiency of all gears of a gearbox, 0..1.
pub(super) fn gear_efficiency_frac(spec: &CarSpec) -> Option<f64> {
    alike(gears(spec).iter().map(|gear| gear.efficiency_frac))
}

pub(super) fn set_gear_efficiency(spec: &mut CarSpec, efficiency_frac: f64) -> bool {
    set_gears(spec, gear_efficiency_frac, |gear| gear.efficiency_frac = efficiency_frac)
}

/// Drag torque of all gears of a gearbox, N m.
pub(super) fn gear_drag_nm(spec: &CarSpec) -> Option<f64> {
    alike(gears(spec).iter().map(|gear| gear.drag_torque_nm))
}

pub(super) fn set_gear_drag(spec: &mut CarSpec, drag_torque_nm: f64) -> bool {
    set_gears(spec, gear_drag_nm, |gear| gear.drag_torque_nm = drag_torque_nm)
}

/// Armature resistance of a brushed motor, ohm; other motors have none.
pub(super) fn armature_ohm(spec: &CarSpec) -> Option<f64> {
    Some(spec.motor.armature_ohm).filter(|ohm| *ohm > 0.0)
}

pub(super) fn set_armature(spec: &mut CarSpec, ohm: f64) -> bool {
    let brushed = armature_ohm(spec).is_some();
    if brushed {
        spec.motor.armature_ohm = ohm;
    }
    brushed
}

fn gears(spec: &CarSpec) -> &[StageSpec] {
    match &spec.driveline.first {
        FirstStage::Gearbox(gearbox) => &gearbox.gears,
        FirstStage::Direct | FirstStage::Reduction(_) => &[],
    }
}

/// Changes every gear if all of them read alike.
fn set_gears(
    spec: &mut CarSpec,
    read: fn(&CarSpec) -> Option<f64>,
    change: impl FnMut(&mut StageSpec),
) -> bool {
    let alike = read(spec).is_some();
    if let (true, FirstStage::Gearbox(gearbox)) = (alike, &mut spec.driveline.first) {
        gearbox.gears.iter_mut().for_each(change);
    }
    alike
}

/// The number, if all are the same to the last bit.
fn alike(mut numbers: impl Iterator<Item = f64>) -> Option<f64> {
    let first = numbers.next()?;
    numbers.all(|number| number.to_bits() == first.to_bits()).then_some(first)
}
