//! The motor, the inverter and regeneration of a build.

use std::sync::Arc;

use crownwheel::spec::{CarSpec, FallingPart, MotorCurve, MotorLossSpec, MotorSpec, RatingSpec};
use crownwheel::usual;

use crate::assemble::Assembler;
use crate::keys;
use crate::quantity::Spread;
use crate::{curve_file, loss_map_file};

pub(crate) fn motor(a: &mut Assembler<'_>, car: &mut CarSpec) {
    let curve = a.table("motor.curve", curve_file::parse);
    let greatest_nm = curve.as_ref().map(MotorCurve::greatest_torque_nm);
    car.motor.curve = Arc::new(curve.unwrap_or_default());
    a.fill(car, "motor.curve_scale");
    car.motor.phase_current_ratio = phase_current_ratio(a);
    car.motor.armature_ohm = armature_ohm(a);
    car.motor.back_emf_v_per_radps = back_emf_v_per_radps(a);
    a.fill(car, "motor.max_winding_temperature");
    if a.text("motor.falling_part") == "battery current" {
        car.motor.falling_part = FallingPart::BatteryCurrent;
    }
    if a.values.has_table("motor.long_rating") {
        car.motor.long_rating = Some(RatingSpec::default());
    }
    losses(a, car);
    a.fill(car, "motor");
    long_rating(a, &car.motor, greatest_nm);
    car.motor.losses_scale = a.usual("motor.losses_scale", usual::losses_scale(&car.motor.losses));
}

/// Phase current of the inverter over that of the sheet's test, said as one number or as two.
fn phase_current_ratio(a: &mut Assembler<'_>) -> f64 {
    let (ratio, sheet, inverter) =
        ("motor.phase_current_ratio", "motor.phase_current", "inverter.max_phase_current");
    let given = |key: &str| a.values.get(key).is_some();
    match (given(sheet), given(inverter)) {
        (false, false) => a.number(ratio),
        (sheet_given, _) if given(ratio) => {
            a.conflict(ratio, if sheet_given { sheet } else { inverter });
            0.0
        }
        (true, true) => phase_current_quotient(a, sheet, inverter),
        (true, false) => {
            let hint = "write max_phase_current = \"400 A\" in [inverter]";
            a.missing_table(inverter, "it belongs to motor.phase_current", hint);
            0.0
        }
        (false, true) => {
            let hint = "write phase_current = \"500 A\" in [motor]";
            a.missing_table(sheet, "it belongs to inverter.max_phase_current", hint);
            0.0
        }
    }
}

fn phase_current_quotient(a: &mut Assembler<'_>, sheet: &str, inverter: &str) -> f64 {
    let (sheet_a, inverter_a) = (a.spread(sheet), a.spread(inverter));
    let quotient = inverter_a.nominal / sheet_a.nominal;
    let range = keys::find("motor.phase_current_ratio").and_then(|row| row.range);
    if let Some(range) = range.filter(|range| !range.allows(quotient)) {
        let what = format!("`{inverter}` is {quotient:.3} times `{sheet}`");
        let allowed = format!("{range} times the current of the sheet's test");
        a.refuse_value(inverter, what, &allowed, "check both currents");
    }
    let relative = |current: Spread| current.half_width_95() / current.nominal;
    let band = quotient * libm::hypot(relative(sheet_a), relative(inverter_a));
    let source = "inverter.max_phase_current over motor.phase_current";
    a.worked_out("motor.phase_current_ratio", Spread::normal(quotient, band), "", source)
}

/// Armature resistance, which a brushed motor has and others have not.
fn armature_ohm(a: &mut Assembler<'_>) -> f64 {
    let key = "motor.armature_resistance";
    let kind = a.optional_text("motor.kind").unwrap_or_default();
    let given = a.optional(key);
    match given {
        Some(ohm) if kind == "brushed" => ohm,
        Some(_) => {
            let what = format!("`{key}` belongs to a brushed motor");
            let hint = "write kind = \"brushed\" in [motor], or leave the resistance out";
            a.refuse_value(key, what, "only with kind = \"brushed\"", hint);
            0.0
        }
        None => {
            if kind == "brushed" {
                let hint = "write armature_resistance = \"12 mohm\" in [motor]";
                a.missing_table(key, "resistance of armature and brushes of the motor", hint);
            }
            0.0
        }
    }
}

/// Induced voltage, which only magnets keep up without current.
fn back_emf_v_per_radps(a: &mut Assembler<'_>) -> Option<f64> {
    let key = "motor.back_emf";
    let back_emf = a.optional(key)?;
    let kind = a.optional_text("motor.kind").unwrap_or_default();
    if !matches!(kind.as_str(), "" | "permanent magnet") {
        let kind = if kind == "brushed" { "a brushed" } else { "an induction" };
        let what = format!("`{key}` does not belong to {kind} motor");
        let hint = "leave back_emf out, or write kind = \"permanent magnet\"";
        a.refuse_value(key, what, "only with kind = \"permanent magnet\"", hint);
    }
    Some(back_emf)
}

/// The second rating: lower than the peak, and longer.
fn long_rating(a: &mut Assembler<'_>, motor: &MotorSpec, greatest_nm: Option<f64>) {
    let Some(rating) = motor.long_rating else { return };
    let (torque, time) = ("motor.long_rating.torque", "motor.long_rating.time");
    let peak_nm = greatest_nm.unwrap_or(f64::INFINITY);
    if rating.torque_nm > peak_nm {
        let what = format!("`{torque}` is more than the peak of the curve");
        let allowed = format!("at most {peak_nm:.1} N m, and more than the continuous torque");
        let hint = "the second rating is the one that the motor holds longer, for 30 min, say";
        a.refuse_value(torque, what, &allowed, hint);
    }
    if let Some(peak_seconds) = motor.peak_seconds.filter(|seconds| rating.seconds <= *seconds)
        && a.values.get(time).is_some()
    {
        let what = format!("`{time}` is no longer than motor.peak_seconds");
        let allowed = format!("more than the {peak_seconds} s of the peak");
        let hint = "the second rating is the one that the motor holds longer, for 30 min, say";
        a.refuse_value(time, what, &allowed, hint);
    }
}

const LOSSES_HINT: &str = "write losses = \"motor-losses.csv\", or \
{ best_efficiency = \"92 %\", at_speed = \"3500 rpm\", at_torque = \"70 N m\" }, or \
{ copper = ..., iron = ..., windage = ..., fixed = ... }";

fn losses(a: &mut Assembler<'_>, car: &mut CarSpec) {
    if !a.values.has_table("motor.losses") {
        let map = a.table("motor.losses", loss_map_file::parse).unwrap_or_default();
        car.motor.losses = MotorLossSpec::Map(Arc::new(map));
        return;
    }
    let best = ["best_efficiency", "at_speed", "at_torque"];
    let of_best = |name: &str| best.contains(&name) || name == "light_load";
    let parts = ["copper", "iron", "windage", "fixed"];
    let names = a.values.names("motor.losses");
    let with_best = names.iter().any(|name| of_best(name));
    if let (true, Some(part)) =
        (with_best, names.iter().find(|name| parts.contains(&name.as_str())))
    {
        return a.conflict("motor.losses.best_efficiency", &format!("motor.losses.{part}"));
    }
    let wanted: &[&str] = if with_best { &best } else { &parts };
    for path in wanted.iter().map(|name| format!("motor.losses.{name}")) {
        if a.values.get(&path).is_none() {
            a.missing_table(&path, "the losses are not complete without it", LOSSES_HINT);
        }
    }
    car.motor.losses = if with_best {
        MotorLossSpec::BestPoint {
            efficiency_frac: 0.0,
            speed_radps: 0.0,
            torque_nm: 0.0,
            light_load_share: {
                let kind = a.optional_text("motor.kind");
                a.usual("motor.losses.light_load", usual::light_load(kind.as_deref()))
            },
        }
    } else {
        MotorLossSpec::Polynomial {
            copper_w_per_nm2: 0.0,
            iron_w_per_radps: 0.0,
            windage_w_per_radps3: 0.0,
            fixed_w: 0.0,
        }
    };
}

pub(crate) fn inverter(a: &mut Assembler<'_>, car: &mut CarSpec) {
    a.fill(car, "inverter");
    let inverter = &mut car.inverter;
    let (fixed_loss, loss_share) = usual::inverter_losses(inverter.max_voltage_v);
    inverter.fixed_loss_w = a.usual("inverter.fixed_loss", fixed_loss);
    inverter.loss_share = a.usual("inverter.loss_share", loss_share);
}

#[cfg(test)]
mod tests {
    use crate::bench::{assumed, changed, close, refused};

    const MOTOR: &str = "[motor]\n";
    const INVERTER: &str = "[inverter]\n";

    #[test]
    fn phase_current_comes_as_one_number_or_as_two() {
        let plain = changed(&[]);
        assert!(close(plain.car.motor.phase_current_ratio, 1.0));
        assert!(assumed(&plain, "motor.phase_current_ratio").is_some());
        let sheet = "[motor]\nphase_current = \"500 A ± 3 %\"\n";
        let inverter = "[inverter]\nmax_phase_current = \"400 A ± 4 %\"\n";
        let two = changed(&[(MOTOR, sheet), (INVERTER, inverter)]);
        assert!(close(two.car.motor.phase_current_ratio, 0.8));
        let band = two.spreads["motor.phase_current_ratio"].half_width_95();
        assert!(close(band, 0.8 * 0.05));
        let one = changed(&[(MOTOR, "[motor]\nphase_current_ratio = 1.2\n")]);
        assert!(close(one.car.motor.phase_current_ratio, 1.2));
        let half = refused(&[(MOTOR, sheet)]);
        assert!(half.contains("`inverter.max_phase_current` is missing"), "{half}");
        let half = refused(&[(INVERTER, inverter)]);
        assert!(half.contains("`motor.phase_current` is missing"), "{half}");
        let all = refused(&[
            (MOTOR, &format!("{sheet}phase_current_ratio = 0.8\n")),
            (INVERTER, inverter),
        ]);
        assert!(all.contains("cannot stand beside") && all.contains("1 error"), "{all}");
        let far = inverter.replace("400", "4000");
        let far = refused(&[(MOTOR, sheet), (INVERTER, &far)]);
        assert!(far.contains("8.000 times"), "{far}");
    }

    #[test]
    fn what_is_assumed_of_losses_goes_by_their_class() {
        let given = "fixed_loss = \"60 W\"\nloss_share = 0.03\n";
        let low = changed(&[(given, "")]);
        assert_eq!(assumed(&low, "inverter.loss_share").unwrap().1, "± 0.015");
        let volts = ("to = \"156 V\"", "to = \"400 V\"");
        let high = changed(&[(given, ""), volts]);
        assert!(close(high.car.inverter.loss_share, 0.02));
        assert!(close(high.car.inverter.fixed_loss_w, 100.0));
        let scale = "losses_scale = \"1 ± 15 %\"\n";
        assert_eq!(assumed(&changed(&[(scale, "")]), "motor.losses_scale").unwrap().1, "± 15 %");
        let point = "losses = { best_efficiency = \"92 %\", at_speed = \"3500 rpm\", \
            at_torque = \"70 N m\" }";
        let fitted = changed(&[(scale, ""), ("losses = \"motor-losses.csv\"", point)]);
        assert_eq!(assumed(&fitted, "motor.losses_scale").unwrap().1, "± 30 %");
    }

    #[test]
    fn only_a_brushed_motor_has_an_armature() {
        let brushed = "[motor]\nkind = \"brushed\"\narmature_resistance = \"12 mohm\"\n";
        assert!(close(changed(&[(MOTOR, brushed)]).car.motor.armature_ohm, 0.012));
        let without = refused(&[(MOTOR, "[motor]\nkind = \"brushed\"\n")]);
        assert!(without.contains("`motor.armature_resistance` is missing"), "{without}");
        let other = refused(&[(MOTOR, &brushed.replace("\"brushed\"", "\"induction\""))]);
        assert!(other.contains("belongs to a brushed motor"), "{other}");
    }

    #[test]
    fn induced_voltage_is_a_voltage_at_a_speed() {
        let magnets = "[motor]\nback_emf = \"24 V at 1000 rpm\"\n";
        let back_emf = changed(&[(MOTOR, magnets)]).car.motor.back_emf_v_per_radps.unwrap();
        assert!(close(back_emf, 24.0 * 30.0 / (1000.0 * std::f64::consts::PI)));
        assert!(changed(&[]).car.motor.back_emf_v_per_radps.is_none());
        for text in ["24 V", "24 A at 1000 rpm", "24 V at 0 rpm", "24 V at 10 V", "24 at 1000 rpm"]
        {
            let report = refused(&[(MOTOR, &format!("[motor]\nback_emf = \"{text}\"\n"))]);
            assert!(report.contains("24 V at 1000 rpm") && report.contains("1 error"), "{report}");
        }
        let none = refused(&[(MOTOR, &format!("{magnets}kind = \"induction\"\n"))]);
        assert!(none.contains("does not belong to an induction motor"), "{none}");
    }

    #[test]
    fn a_second_rating_is_whole_and_the_winding_is_of_class_f() {
        let plain = changed(&[]);
        assert!(plain.car.motor.long_rating.is_none());
        assert!(close(plain.car.motor.max_winding_k, 428.15));
        assert!(assumed(&plain, "motor.max_winding_temperature").unwrap().2.contains("60034-1"));
        let rating = "[motor]\nlong_rating = { torque = \"90 N m\", time = \"30 min\" }\n";
        let rating = changed(&[(MOTOR, rating)]).car.motor.long_rating.unwrap();
        assert!(close(rating.torque_nm, 90.0) && close(rating.seconds, 1800.0));
        let half = refused(&[(MOTOR, "[motor]\nlong_rating = { torque = \"90 N m\" }\n")]);
        assert!(half.contains("`motor.long_rating.time` is missing"), "{half}");
        for (torque, time, word) in [
            ("190 N m", "30 min", "more than the peak of the curve"),
            ("90 N m", "30 s", "is no longer than motor.peak_seconds"),
        ] {
            let text =
                format!("[motor]\nlong_rating = {{ torque = \"{torque}\", time = \"{time}\" }}\n");
            let report = refused(&[(MOTOR, &text)]);
            assert!(report.contains(word) && report.contains("1 error"), "{report}");
        }
    }
}
