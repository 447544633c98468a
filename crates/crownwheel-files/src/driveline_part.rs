//! The driveline of a build: reduction or gearbox, and axle.

use crownwheel::spec::{
    CarSpec, Differential, DrivenAxle, FirstStage, GearboxSpec, Shifting, StageSpec,
};
use crownwheel::usual;

use crate::assemble::Assembler;
use crate::values::Value;

pub(crate) fn driveline(a: &mut Assembler<'_>, car: &mut CarSpec) {
    let driveline = &mut car.driveline;
    driveline.driven_axle =
        if a.text("car.driven_axle") == "front" { DrivenAxle::Front } else { DrivenAxle::Rear };
    if a.text("car.differential") == "locked" {
        driveline.differential = Differential::Locked;
    }
    driveline.live_axle = a.flag_or("car.live_axle", driveline.driven_axle == DrivenAxle::Rear);
    first_stage(a, car);
    car.driveline.axle = stage(a, "driveline.axle");
    a.fill(car, "driveline");
}

/// What stands between motor and propeller shaft.
fn first_stage(a: &mut Assembler<'_>, car: &mut CarSpec) {
    let (reduction, gearbox) = ("driveline.reduction", "driveline.gearbox");
    match (a.values.has_table(reduction), a.values.has_table(gearbox)) {
        (true, true) => {
            let what = "`driveline.gearbox` cannot stand beside `driveline.reduction`: the motor \
                drives the propeller shaft through one of them";
            let hint = "keep one of the two; a reduction before a gearbox goes into its ratios";
            a.exclude(gearbox, what, hint);
        }
        (true, false) => {
            car.driveline.first = FirstStage::Reduction(stage(a, reduction));
            a.fill(car, reduction);
        }
        (false, true) => {
            car.driveline.first = FirstStage::Gearbox(gearbox_spec(a, gearbox));
            a.fill(car, gearbox);
        }
        (false, false) => {}
    }
}

fn gearbox_spec(a: &mut Assembler<'_>, path: &str) -> GearboxSpec {
    let ratios = match a.value("driveline.gearbox.gears") {
        Some(Value::Ratios(ratios)) => ratios,
        _ => Vec::new(),
    };
    // What is not the ratio is taken to be alike in all gears.
    let common = stage(a, path);
    let shifting = match a.value("driveline.gearbox.gear") {
        Some(Value::Whole(gear)) => {
            Shifting::Fixed(usize::try_from(gear.saturating_sub(1)).unwrap_or(usize::MAX))
        }
        _ => Shifting::LeastLoss { dwell_s: 0.0, shift_s: 0.0 },
    };
    let gears = ratios.into_iter().map(|ratio| StageSpec { ratio, ..common }).collect();
    GearboxSpec { gears, shifting }
}

/// A stage with what depends on its kind of gear.
fn stage(a: &mut Assembler<'_>, path: &str) -> StageSpec {
    let kind = a.text(&format!("{path}.kind"));
    let gears = usual::gears_of(&kind);
    StageSpec {
        efficiency_frac: a.usual(&format!("{path}.efficiency"), gears.efficiency),
        drag_torque_nm: a.usual(&format!("{path}.drag_torque"), gears.drag_torque),
        ..StageSpec::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{assumed, changed, close, refused};

    const REDUCTION: &str = "[driveline.reduction]\nratio = 1.50\nefficiency = \"0.98 ± 0.01\"\n";

    fn gearbox(lines: &str) -> String {
        format!("[driveline.gearbox]\ngears = [3.64, 2.16, 1.48, 1.0]\n{lines}\n")
    }

    fn first(lines: &str) -> FirstStage {
        changed(&[(REDUCTION, &gearbox(lines))]).car.driveline.first
    }

    #[test]
    fn a_gearbox_stays_in_a_gear_or_takes_the_best() {
        let FirstStage::Gearbox(fixed) = first("gear = 3") else { panic!("no gearbox") };
        assert_eq!(fixed.shifting, Shifting::Fixed(2));
        let ratios: Vec<f64> = fixed.gears.iter().map(|gear| gear.ratio).collect();
        assert_eq!(ratios, [3.64, 2.16, 1.48, 1.0]);
        assert!(fixed.gears.iter().all(|gear| close(gear.efficiency_frac, 0.98)));
        let build = changed(&[(REDUCTION, &gearbox("gear = \"best\""))]);
        let FirstStage::Gearbox(best) = &build.car.driveline.first else { panic!("no gearbox") };
        assert_eq!(best.shifting, Shifting::LeastLoss { dwell_s: 4.0, shift_s: 0.6 });
        assert_eq!(assumed(&build, "driveline.gearbox.dwell").unwrap().0, "4 s");
        assert!(assumed(&build, "driveline.gearbox.shift_time").is_some());
    }

    #[test]
    fn gears_may_come_over_the_command_line() {
        let folder = tempfile::tempdir().unwrap();
        for file in crate::template::FILES {
            let text = file.text.replacen(REDUCTION, &gearbox("gear = 2"), 1);
            std::fs::write(folder.path().join(file.name), text).unwrap();
        }
        let set = crate::Set::parse("driveline.gearbox.gears=[4.1, 2.3]").unwrap();
        let build = crate::load(folder.path(), &[set]).unwrap();
        assert_eq!(build.car.driveline.first.gear_count(), 2);
    }

    #[test]
    fn gearboxes_that_cannot_be_are_refused() {
        for (lines, word) in [
            ("", "`driveline.gearbox.gear` is missing"),
            ("gear = 5", "1 to 4"),
            ("gear = \"third\"", "a gear counted from 1"),
            ("gear = 0", "`driveline.gearbox.gear` is 0"),
            ("gear = 1\nkind = \"hypoid\"", "cannot be \"hypoid\""),
        ] {
            let report = refused(&[(REDUCTION, &gearbox(lines))]);
            assert!(report.contains(word) && report.contains("1 error"), "{report}");
        }
        for (gears, word) in [
            ("[]", "has 0 gears"),
            ("3.64", "is not a list"),
            ("[3.64, \"two\"]", "is not a gear ratio"),
            ("[3.64, 2.16, 2.16]", "2.16 comes after 2.16"),
        ] {
            let text = gearbox("gear = 1").replace("[3.64, 2.16, 1.48, 1.0]", gears);
            let report = refused(&[(REDUCTION, &text)]);
            assert!(report.contains(word), "{report}");
        }
        let both = refused(&[(REDUCTION, &format!("{REDUCTION}{}", gearbox("gear = 1")))]);
        assert!(
            both.contains("beside `driveline.reduction`") && both.contains("1 error"),
            "{both}"
        );
    }

    #[test]
    fn every_kind_of_gear_has_figures() {
        for gears in usual::GEARS {
            let axle = format!("kind = \"{}\"\nefficiency = \"0.96 ± 0.01\"", gears.kind);
            let given = ("kind = \"hypoid\"\nefficiency = \"0.96 ± 0.01\"", axle.as_str());
            let build = changed(&[given, ("drag_torque = \"1.2 N m ± 40 %\"", "")]);
            let drag = assumed(&build, "driveline.axle.drag_torque").unwrap();
            assert_eq!(format!("{} {}", drag.0, drag.1), gears.drag_torque.text);
        }
    }

    #[test]
    fn ratings_are_read_and_never_assumed() {
        let rated = format!("{REDUCTION}max_torque = \"150 lbf ft\"\nmax_speed = \"7000 rpm\"\n");
        let build = changed(&[(REDUCTION, &rated)]);
        let FirstStage::Reduction(stage) = build.car.driveline.first else {
            panic!("no reduction")
        };
        assert!(close(stage.max_torque_nm.unwrap(), 203.372_692_249_710_05));
        assert!(close(stage.max_speed_radps.unwrap(), 733.038_285_837_618));
        let axle = build.car.driveline.axle;
        assert_eq!((axle.max_torque_nm, axle.max_speed_radps), (None, None));
    }
}
