//! How much of a band lies outside of what its key allows, where it is cut off.
//!
//! A little is as it should be: 0.98 ± 0.02 of an efficiency ends above 1. Where much of a band is cut off
//! it was not meant so, and what is left says less than it seems to.

use crownwheel::normal::share_below;
use crownwheel_quantities::Warning;

use crate::document::{At, Document};
use crate::explain;
use crate::keys::{self, KeyRow};
use crate::message::{Problem, ProblemKind, printable};
use crate::quantity::{SD_PER_HALF_WIDTH, Spread, SpreadKind};
use crate::values::{Value, Values};
use crate::wind::WindText;

/// Most of a band that may be cut off (engineer's judgement): with more the nominal value is near an end,
/// and no longer the middle of what is left.
pub const MOST: f64 = 0.30;

/// So much that it is warned of (engineer's judgement): with less the ends of the band hardly move.
const WORTH_A_WORD: f64 = 0.05;

/// How near to an end a nominal value stands at it, relative: units are converted.
const ROUNDING: f64 = 1e-9;

/// A band that is cut off.
struct CutOff {
    /// The share of it that is outside, 0..1.
    share: f64,
    allowed: String,
}

impl CutOff {
    /// `None`: the value has no band, or its key no limits.
    fn of(row: &KeyRow, value: &Value, text: &str) -> Option<Self> {
        let (low, high) = row.range?.ends_si();
        let (spread, limits, allowed) = match value {
            Value::Number(spread) => (*spread, (low, high), explain::allowed_as_written(row, text)),
            Value::Wind(WindText::AllRound(speed)) => {
                (*speed, (0.0, high), format!("0 m/s to {high} m/s"))
            }
            Value::Wind(WindText::AlongRoad(speed)) => {
                (*speed, (low, high), format!("at most {high} m/s"))
            }
            _ => return None,
        };
        Some(Self { share: share_outside(&spread, limits), allowed })
    }
}

/// The share of a spread outside of the limits. Where the nominal value stands at one of them, as in
/// `0 kg ± 10 kg`, the side that is closed was never meant: the open one counts as the whole.
///
/// ```
/// use crownwheel_files::cut_off::share_outside;
/// use crownwheel_files::quantity::Spread;
///
/// // Half of a twentieth of the band is below 2.
/// assert!((share_outside(&Spread::normal(5.0, 3.0), (2.0, 100.0)) - 0.025).abs() < 1e-4);
/// ```
#[must_use]
pub fn share_outside(spread: &Spread, (low, high): (f64, f64)) -> f64 {
    let width = match spread.kind {
        SpreadKind::Exact => return 0.0,
        SpreadKind::Uniform { low: from, high: to } => {
            let inside = to.min(high) - from.max(low);
            return 1.0 - inside.max(0.0) / (to - from);
        }
        SpreadKind::Normal { half_width_95 } => half_width_95 / SD_PER_HALF_WIDTH,
    };
    let below = share_below((low - spread.nominal) / width);
    let above = share_below((spread.nominal - high) / width);
    let stands_at = |end: f64| (spread.nominal - end).abs() <= ROUNDING * low.abs().max(high.abs());
    match (stands_at(low), stands_at(high)) {
        (true, _) => 2.0 * above,
        (_, true) => 2.0 * below,
        _ => below + above,
    }
}

/// A value of which too much would be cut off.
pub(crate) fn refusal(
    document: &Document,
    path: &str,
    row: &KeyRow,
    value: &Value,
    at: &At,
) -> Option<Problem> {
    let text = unquoted(document.text_at(at));
    let cut = CutOff::of(row, value, text).filter(|cut| cut.share > MOST)?;
    let what = format!(
        "`{path}` is {}: {} of this band lies outside of what is allowed",
        printable(text),
        percent(cut.share)
    );
    let problem = document.problem(ProblemKind::OutOfRange, at, what);
    let hint =
        "± holds 19 times out of 20: write a narrower band, or its two ends with .. between them";
    Some(problem.key(path).value(text).allowed(cut.allowed).hint(hint))
}

/// A warning for each value of which some is cut off.
pub(crate) fn warnings(document: &Document, values: &Values) -> Vec<Warning> {
    let warning = |(path, given): (&String, &crate::values::WrittenValue)| {
        let text = unquoted(document.text_at(&given.at));
        let cut = CutOff::of(keys::find(path)?, &given.value, text)?;
        (cut.share > WORTH_A_WORD).then(|| Warning {
            code: "band_cut_off".to_owned(),
            text: format!(
                "{path} is {}: {} of this band lies outside of what is allowed ({}) and is cut off; check how unsure it is.",
                printable(text),
                percent(cut.share),
                cut.allowed
            ),
        })
    };
    values.iter().filter_map(warning).collect()
}

fn unquoted(text: &str) -> &str {
    text.trim_matches(['"', '\''])
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{changed, refused};
    use crate::keys::Need;
    use crate::values::default_value;

    fn share(nominal: f64, half_width: f64, limits: (f64, f64)) -> f64 {
        share_outside(&Spread::normal(nominal, half_width), limits)
    }

    #[test]
    fn shares_are_those_of_the_normal_distribution() {
        // 1.96 standard deviations to each side: a fortieth of the band.
        assert!((share(5.0, 3.0, (2.0, 100.0)) - 0.025).abs() < 1e-4);
        assert!((share(5.0, 3.0, (2.0, 8.0)) - 0.05).abs() < 2e-4);
        assert!((share(5.0, 1e17, (0.0, 10.0)) - 1.0).abs() < 1e-9);
        let range = Spread { nominal: 3.0, kind: SpreadKind::Uniform { low: -1.0, high: 7.0 } };
        assert!((share_outside(&range, (0.0, 4.0)) - 0.5).abs() < 1e-12);
        assert!(share_outside(&Spread::exact(5.0), (0.0, 1.0)).abs() < 1e-12);
    }

    #[test]
    fn at_an_end_only_the_open_side_counts() {
        assert!(share(0.0, 10.0, (0.0, 5000.0)) < 1e-12);
        assert!(share(1.0, 0.05, (0.3, 1.0)) < 1e-12);
        // Of the open half a twentieth lies beyond 1.96 standard deviations.
        assert!((share(0.0, 10.0, (0.0, 10.0)) - 0.05).abs() < 2e-4);
        assert!((share(10.0, 10.0, (0.0, 10.0)) - 0.05).abs() < 2e-4);
    }

    #[test]
    fn wide_bands_are_refused_with_share_and_limits() {
        let wheelbase = "wheelbase = \"2.32 m\"";
        let motor = "mass = \"71 kg\"";
        let drag = "drag_coefficient = \"0.43 ± 0.03\"";
        let wind = "wind = \"5 m/s all round\"";
        for (from, to, key, outside, allowed) in [
            (
                wheelbase,
                "wheelbase = \"2 m ± 500 %\"",
                "car.wheelbase",
                "60 %",
                "0.5 m and at most 6 m",
            ),
            (
                drag,
                "drag_coefficient = \"0.43 ± 1e17\"",
                "car.drag_coefficient",
                "100 %",
                "at most",
            ),
            (motor, "mass = \"71 kg ± 5000 kg\"", "put_in.motor.mass", "52 %", "0 kg to 5000 kg"),
            (
                motor,
                "mass = { value = \"71 kg ± 5000 kg\", from = \"scales\" }",
                "put_in.motor.mass",
                "52 %",
                "0 kg to 5000 kg",
            ),
            (wind, "wind = \"1 m/s ± 9 m/s all round\"", "day.winter.wind", "41 %", "40 m/s"),
        ] {
            let why = refused(&[(from, to)]);
            for words in [key, outside, allowed, "build.toml:", "write a narrower band"] {
                assert!(why.contains(words), "{to}: {words} is not in {why}");
            }
        }
    }

    #[test]
    fn bands_that_are_cut_a_little_are_warned_of() {
        let drag = "drag_coefficient = \"0.43 ± 0.03\"";
        let axle = "efficiency = \"0.96 ± 0.01\"";
        let build = changed(&[
            (drag, "drag_coefficient = \"0.43 ± 0.6\""),
            (axle, "efficiency = \"0.96 ± 0.06\""),
        ]);
        let codes: Vec<&str> = build.warnings.iter().map(|it| it.code.as_str()).collect();
        assert_eq!(codes, ["band_cut_off"; 2]);
        let [first, second] = [&build.warnings[0].text, &build.warnings[1].text];
        assert!(first.starts_with("car.drag_coefficient is 0.43 ± 0.6: 8 % of"), "{first}");
        assert!(
            second.starts_with("driveline.axle.efficiency is 0.96 ± 0.06: 10 % of"),
            "{second}"
        );
        assert!(second.contains("more than 0.3 and at most 1"), "{second}");
        assert!(changed(&[]).warnings.is_empty());
    }

    /// What is assumed, and what the reference shows, may be written down.
    #[test]
    fn no_default_and_no_example_is_cut_by_much() {
        let mut seen = 0;
        for row in keys::all() {
            let assumed = match row.need {
                Need::Assumed { text, .. } => Some(text),
                _ => None,
            };
            for text in assumed.into_iter().chain([row.example.trim_matches('"')]) {
                let Some(value) = default_value(row.kind, text) else { continue };
                let Some(cut) = CutOff::of(row, &value, text) else { continue };
                assert!(cut.share <= WORTH_A_WORD, "{} = {text}: {}", row.path, cut.share);
                seen += 1;
            }
        }
        assert!(seen > 200, "{seen}");
    }
}
