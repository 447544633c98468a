//! The tyres of a build.

use crownwheel::constants::METRE_PER_MILE;
use crownwheel::rolling::{CAR_CROSS_PLY, CAR_RADIAL};
use crownwheel::spec::{RollingSpec, TyreMark, TyresSpec};
use crownwheel::tyre_label::{LabelRule, TyreClass, label_range};

use crate::assemble::Assembler;
use crate::quantity::{Spread, SpreadKind};
use crate::tyre_mark::TyreMarkText;
use crate::values::Value;

/// Newton per kilonewton: labels give the coefficient in N/kN.
const PER_KILO: f64 = 1e-3;
/// From a label's drum value to the road (engineering judgement): asphalt costs more than a drum.
const DRUM_TO_ROAD: &str = "1.1 ± 0.15";
/// How unsure the rise with speed by a text book's law is (engineering judgement): tyres differ.
const RISE_BAND: f64 = 0.5;

/// All of the tyres but their mark, which other parts want, too.
pub(crate) fn tyres(
    a: &mut Assembler<'_>,
    mark: Option<TyreMark>,
    coast_down: bool,
) -> Option<TyresSpec> {
    let rolling = rolling(a);
    let (rolling_resistance, drum_to_road) = rolling_resistance(a, coast_down);
    let radial = mark.is_none_or(|mark| mark.radial);
    let rolling_rise_per_mps2 = if coast_down { 0.0 } else { rolling_rise_per_mps2(a, radial) };
    let wheel_inertia_kgm2 = a.number("tyres.wheel_inertia");
    let grip_dry = a.number("tyres.grip.dry");
    let grip_wet = a.number("tyres.grip.wet");
    let grip_ice = a.number("tyres.grip.ice");
    Some(TyresSpec {
        mark: mark?,
        rolling,
        rolling_resistance,
        drum_to_road,
        rolling_rise_per_mps2,
        wheel_inertia_kgm2,
        grip_dry,
        grip_wet,
        grip_ice,
    })
}

/// The mark; a section that it does not name is said to be assumed.
pub(crate) fn mark(a: &mut Assembler<'_>) -> Option<TyreMark> {
    let Value::Mark(TyreMarkText { mark, aspect_assumed }) = a.value("tyres.size")? else {
        return None;
    };
    if aspect_assumed {
        let text = format!("section height {:.0} % of the width", 100.0 * mark.aspect_frac);
        let source = if mark.radial {
            "the series of radial tyres without an aspect on the mark (from memory)"
        } else {
            "usual for cross-ply tyres marked in inches (from memory)"
        };
        a.assume("tyres.size", &text, source);
    }
    Some(mark)
}

fn rolling(a: &mut Assembler<'_>) -> RollingSpec {
    let keys = ["tyres.rolled", "tyres.revolutions_per_km", "tyres.revolutions_per_mile"];
    match a.one_of(&keys) {
        Some("tyres.rolled") => RollingSpec::Rolled {
            turns: a.number("tyres.rolled.turns"),
            distance_m: a.number("tyres.rolled.distance"),
        },
        Some("tyres.revolutions_per_mile") => {
            let per_mile = a.number("tyres.revolutions_per_mile");
            RollingSpec::RevolutionsPerKm(per_mile * 1000.0 / METRE_PER_MILE)
        }
        Some(key) => RollingSpec::RevolutionsPerKm(a.number(key)),
        None => RollingSpec::FromMark,
    }
}

/// Coefficient as given, and the factor from it to the road.
fn rolling_resistance(a: &mut Assembler<'_>, coast_down: bool) -> (f64, f64) {
    match a.one_of(&["tyres.rolling_resistance", "tyres.label_class"]) {
        Some("tyres.label_class") => {
            let coefficient = label(a);
            let source = "a label class holds on a smooth drum (engineering judgement)";
            (coefficient, a.number_or("tyres.drum_to_road", DRUM_TO_ROAD, source))
        }
        Some(key) => (a.number(key), a.optional("tyres.drum_to_road").unwrap_or(1.0)),
        // Coast-down coefficients hold the rolling resistance already.
        None if coast_down => (0.0, 1.0),
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
fn label(a: &mut Assembler<'_>) -> f64 {
    let letter = a.text("tyres.label_class").chars().next().unwrap_or(' ');
    let rule_name = a.text("tyres.label_rule");
    let rule = if rule_name == "1222/2009" { LabelRule::Until2021 } else { LabelRule::From2021 };
    let Some((low, high)) = label_range(rule, TyreClass::C1, letter) else {
        no_such_class(a, letter, rule);
        return 0.0;
    };
    let (low, high) = (low * PER_KILO, high * PER_KILO);
    let nominal = 0.5 * (low + high);
    let text = format!("{nominal:.5} .. {low:.4} to {high:.4}");
    let source = format!(
        "middle of EU label class {letter} ({rule_name}); open ends by engineering judgement"
    );
    a.assume("tyres.rolling_resistance", &text, &source);
    a.keep("tyres.rolling_resistance", Spread { nominal, kind: SpreadKind::Uniform { low, high } })
}

/// The letter is one of the other rule's.
fn no_such_class(a: &mut Assembler<'_>, letter: char, rule: LabelRule) {
    // A letter that was refused is said already.
    if a.values.get("tyres.label_class").is_none() {
        return;
    }
    let (this, letters, other) = match rule {
        LabelRule::From2021 => ("2020/740", "A, B, C, D and E", "1222/2009"),
        LabelRule::Until2021 => ("1222/2009", "A, B, C, E, F and G", "2020/740"),
    };
    let what = format!("`tyres.label_class`: the rule {this} gives no class {letter} to car tyres");
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
