//! The tyres of a build.

use crownwheel::constants::METRE_PER_MILE;
use crownwheel::rolling::{CAR_CROSS_PLY, CAR_RADIAL};
use crownwheel::spec::{CarSpec, RoadLoadSpec, RollingSpec};
use crownwheel::tyre_label::{LabelRule, TyreClass, label_range};
use crownwheel::usual;

use crate::assemble::Assembler;
use crate::quantity::{Spread, SpreadKind};
use crate::tyre_mark::TyreMarkText;
use crate::values::Value;

/// Newton per kilonewton: labels give the coefficient in N/kN.
const PER_KILO: f64 = 1e-3;
/// How unsure the rise with speed by a text book's law is (engineering judgement): tyres differ.
const RISE_BAND: f64 = 0.5;

/// All of the tyres; other parts want their mark, too.
pub(crate) fn tyres(a: &mut Assembler<'_>, car: &mut CarSpec, text: Option<TyreMarkText>) {
    let coast_down = matches!(car.road_load, RoadLoadSpec::Coefficients { .. });
    rolling(a, car);
    let class = if text.is_some_and(|text| text.van) { TyreClass::C2 } else { TyreClass::C1 };
    let tyres = &mut car.tyres;
    tyres.mark = text.map(|text| text.mark).unwrap_or_default();
    (tyres.rolling_resistance, tyres.drum_to_road) = rolling_resistance(a, class, coast_down);
    if !coast_down {
        let radial = text.is_none_or(|text| text.mark.radial);
        tyres.rolling_rise_per_mps2 = rolling_rise_per_mps2(a, radial);
    }
    a.fill(car, "tyres");
}

/// The mark; a section that it does not name is said to be assumed.
pub(crate) fn mark(a: &mut Assembler<'_>) -> Option<TyreMarkText> {
    let Value::Mark(text) = a.value("tyres.size")? else { return None };
    if text.aspect_assumed {
        let mark = text.mark;
        let section = format!("section height {:.0} % of the width", 100.0 * mark.aspect_frac);
        let source = if mark.radial {
            "the series of radial tyres without an aspect on the mark (from memory)"
        } else {
            "usual for cross-ply tyres marked in inches (from memory)"
        };
        a.assume("tyres.size", &section, source);
    }
    Some(text)
}

fn rolling(a: &mut Assembler<'_>, car: &mut CarSpec) {
    let keys = ["tyres.rolled", "tyres.revolutions_per_km", "tyres.revolutions_per_mile"];
    car.tyres.rolling = match a.one_of(&keys) {
        Some("tyres.rolled") => RollingSpec::Rolled { turns: 0.0, distance_m: 0.0 },
        Some("tyres.revolutions_per_mile") => {
            let per_mile = a.spread("tyres.revolutions_per_mile");
            let per_km = scaled(per_mile, 1000.0 / METRE_PER_MILE);
            RollingSpec::RevolutionsPerKm(a.keep("tyres.revolutions_per_km", per_km))
        }
        Some(_) => RollingSpec::RevolutionsPerKm(0.0),
        None => RollingSpec::FromMark,
    };
}

/// The same number and band in another unit.
fn scaled(spread: Spread, factor: f64) -> Spread {
    let kind = match spread.kind {
        SpreadKind::Exact => SpreadKind::Exact,
        SpreadKind::Normal { half_width_95 } => {
            SpreadKind::Normal { half_width_95: factor * half_width_95 }
        }
        SpreadKind::Uniform { low, high } => {
            SpreadKind::Uniform { low: factor * low, high: factor * high }
        }
    };
    Spread { nominal: factor * spread.nominal, kind }
}

/// Coefficient as given, and the factor from it to the road.
fn rolling_resistance(a: &mut Assembler<'_>, class: TyreClass, coast_down: bool) -> (f64, f64) {
    match a.one_of(&["tyres.rolling_resistance", "tyres.label_class"]) {
        Some("tyres.label_class") => {
            let coefficient = label(a, class);
            (coefficient, a.usual("tyres.drum_to_road", usual::DRUM_TO_ROAD))
        }
        Some(key) => (a.number(key), a.optional("tyres.drum_to_road").unwrap_or(1.0)),
        // Coast-down coefficients hold the rolling resistance already.
        None if coast_down || a.values.was_refused("tyres.label_class") => (0.0, 1.0),
        None => {
            let hint =
                "write rolling_resistance = \"0.0115 ± 0.0015\" in [tyres], or label_class = \"E\"";
            a.missing_table(
                "tyres.rolling_resistance",
                "nothing says how the tyres hold the car back",
                hint,
            );
            (0.0, 1.0)
        }
    }
}

/// The middle of a label class; the whole class is its spread.
fn label(a: &mut Assembler<'_>, class: TyreClass) -> f64 {
    let letter = a.text("tyres.label_class").chars().next().unwrap_or(' ');
    let rule_name = a.text("tyres.label_rule");
    let rule = if rule_name == "1222/2009" { LabelRule::Until2021 } else { LabelRule::From2021 };
    let Some((low, high)) = label_range(rule, class, letter) else {
        no_such_class(a, letter, rule, class);
        return 0.0;
    };
    let (low, high) = (low * PER_KILO, high * PER_KILO);
    let nominal = 0.5 * (low + high);
    let text = format!("{nominal:.5} .. {low:.4} to {high:.4}");
    let source = format!(
        "middle of EU label class {letter} ({rule_name}); open ends by engineering judgement"
    );
    a.assume_worked_out("tyres.rolling_resistance", &text, &source);
    a.keep("tyres.rolling_resistance", Spread { nominal, kind: SpreadKind::Uniform { low, high } })
}

/// The letter is one of the other rule's.
fn no_such_class(a: &mut Assembler<'_>, letter: char, rule: LabelRule, class: TyreClass) {
    // A letter that was refused is said already.
    if a.values.get("tyres.label_class").is_none() {
        return;
    }
    let (this, letters, other) = match rule {
        LabelRule::From2021 => ("2020/740", "A, B, C, D and E", "1222/2009"),
        LabelRule::Until2021 => ("1222/2009", "A, B, C, E, F and G", "2020/740"),
    };
    let tyres = if class == TyreClass::C2 { "van tyres" } else { "car tyres" };
    let what = format!("`tyres.label_class`: the rule {this} gives no class {letter} to {tyres}");
    let hint = format!("is it a label of the other rule? write label_rule = \"{other}\"");
    a.refuse_value("tyres.label_class", what, letters, &hint);
}

/// Relative rise of rolling resistance with speed squared, per (m/s)².
fn rolling_rise_per_mps2(a: &mut Assembler<'_>, radial: bool) -> f64 {
    match a.one_of(&["tyres.speed_law", "tyres.rolling_rise"]) {
        Some("tyres.rolling_rise") => a.number("tyres.rolling_rise"),
        _ if a.text("tyres.speed_law") == "rising" => {
            let (law, name) =
                if radial { (CAR_RADIAL, "radial") } else { (CAR_CROSS_PLY, "cross-ply") };
            let rise = law.rise / (law.at_rest * law.at_mps * law.at_mps);
            let source = format!(
                "Wong's square law of {name} car tyres (from memory); the band is engineering \
                 judgement"
            );
            let made = Spread::normal(rise, RISE_BAND * rise);
            a.worked_out("tyres.rolling_rise", made, "", &source)
        }
        _ => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{assumed, changed, close, refused};

    const COEFFICIENT: &str = "rolling_resistance = \"0.0115 ± 0.0015\"";
    const SIZE: &str = "155/80 R13 79T";

    #[test]
    fn a_section_that_the_mark_does_not_name_is_said_to_be_assumed() {
        let old = changed(&[(SIZE, "165 SR 13")]);
        assert!(close(old.car.tyres.mark.aspect_frac, 0.82));
        assert_eq!(assumed(&old, "tyres.size").unwrap().0, "section height 82 % of the width");
        let inches = changed(&[(SIZE, "5.60-13")]);
        assert!(!inches.car.tyres.mark.radial);
        assert!(assumed(&inches, "tyres.size").unwrap().0.contains("95 %"));
        assert!(assumed(&changed(&[]), "tyres.size").is_none());
    }

    #[test]
    fn impossible_marks_come_with_a_sensible_one() {
        for (wrong, right) in
            [("155/8 R13", "155/80 R13"), ("15/80 R13", "155/80 R13"), ("155/80 R31", "155/80 R13")]
        {
            let report = refused(&[(SIZE, wrong)]);
            assert!(report.contains(&format!("did you mean \"{right}\"?")), "{report}");
            assert!(report.contains("1 error"), "{report}");
        }
    }

    #[test]
    fn label_classes_have_two_rules_with_ends() {
        let class = |text: &str| changed(&[(COEFFICIENT, text)]).car.tyres.rolling_resistance;
        assert!(close(class("label_class = \"A\""), 0.5 * (0.005 + 0.0065)));
        assert!(close(class("label_class = \"E\""), 0.5 * (0.0106 + 0.013)));
        let old = "label_rule = \"1222/2009\"\nlabel_class = ";
        assert!(close(class(&format!("{old}\"E\"")), 0.5 * (0.0091 + 0.0105)));
        assert!(close(class(&format!("{old}\"G\"")), 0.5 * (0.0121 + 0.0131)));
        // A van's tyre has limits of its own.
        let van = changed(&[(COEFFICIENT, "label_class = \"C\""), (SIZE, "185/80 R14C 102/100R")]);
        assert!(close(van.car.tyres.rolling_resistance, 0.5 * (0.0068 + 0.0080)));
        let worked_out = |assumed: &crate::build::Assumption| {
            assumed.key == "tyres.rolling_resistance" && assumed.worked_out
        };
        assert!(van.assumed.iter().any(worked_out));
        let none = refused(&[(COEFFICIENT, "label_class = \"G\"")]);
        assert!(none.contains("gives no class G") && none.contains("1222/2009"), "{none}");
        let none = refused(&[(COEFFICIENT, &format!("{old}\"D\""))]);
        assert!(none.contains("gives no class D") && none.contains("1 error"), "{none}");
    }

    #[test]
    fn rolling_resistance_may_rise_with_speed() {
        let rise = |edits: &[(&str, &str)]| changed(edits).car.tyres.rolling_rise_per_mps2;
        let rising = format!("{COEFFICIENT}\nspeed_law = \"rising\"");
        // 0.40e-7 over 0.0136 for each (km/h)², of which there are 12.96 in an (m/s)².
        assert!(close(rise(&[(COEFFICIENT, &rising)]), 0.4e-7 / 0.0136 * 12.96));
        let cross_ply = rise(&[(COEFFICIENT, &rising), (SIZE, "5.60-13")]);
        assert!(close(cross_ply, 0.19e-6 / 0.0169 * 12.96));
        let plain = changed(&[]);
        assert!(plain.car.tyres.rolling_rise_per_mps2.abs() < 1e-15);
        assert_eq!(assumed(&plain, "tyres.speed_law").unwrap().2, "taken as constant with speed");
        let number = format!("{COEFFICIENT}\nrolling_rise = \"4e-5 ± 25 %\"");
        let build = changed(&[(COEFFICIENT, &number)]);
        assert!(close(build.spreads["tyres.rolling_rise"].half_width_95(), 1e-5));
        let both = refused(&[(COEFFICIENT, &format!("{number}\nspeed_law = \"none\""))]);
        assert!(both.contains("cannot stand beside"), "{both}");
    }

    #[test]
    fn turns_for_a_mile_are_turns_for_a_kilometre() {
        let build = changed(&[("# revolutions_per_km = 568", "revolutions_per_mile = 914")]);
        let RollingSpec::RevolutionsPerKm(per_km) = build.car.tyres.rolling else {
            panic!("{:?}", build.car.tyres.rolling)
        };
        assert!(close(per_km, 914.0 / 1.609_344));
        let unsure = "revolutions_per_mile = \"914 ± 1 %\"";
        let build = changed(&[("# revolutions_per_km = 568", unsure)]);
        let band = build.spreads["tyres.revolutions_per_km"].half_width_95();
        assert!(close(band, 9.14 / 1.609_344));
    }
}
