//! Range, time and motor speed against the axle ratio, or against the number that has most values.

use crownwheel_answers::{Band, OptionAnswer, SweepAnswer};
use crownwheel_quantities::{Question, rows};

use super::curves::{Curve, LimitLine, Panel, SharedAxis, draw, key};
use super::varied::{VariedKey, beside, centre, choice, first_of, limits, rest, text, varied};
use crate::figures::legend;
use crate::sketch::Sketch;

/// The key that is shown if it is varied.
const AXLE_RATIO: &str = "driveline.axle.ratio";

/// Lines that can be told apart in one panel.
const MOST_LINES: usize = 7;

/// The answers over the key, a line for the best option's other choices and one for each other
/// choice. `None`: no number is varied.
pub(crate) fn answers_over_key(answer: &SweepAnswer) -> Option<Sketch> {
    let varied = varied(answer);
    let shown = shown_key(&varied)?;
    let centre = centre(answer)?;
    let families = families(answer, centre, &varied, shown);
    let panels: Vec<Panel> = shown_answers(answer)
        .iter()
        .map(|name| panel(answer, name, shown, &families))
        .filter(|panel| panel.curves.iter().any(|curve| !curve.points.is_empty()))
        .collect();
    let first = panels.first()?;
    let entries = key(&panels);
    let title = format!("Answers against {}", shown.name());
    let said = words(answer, shown, &first.curves, &rest(centre, &[shown.key], &varied));
    let mut sketch = legend::figure("sweep-answers", &title, said, &entries);
    draw(&mut sketch, &panels, &axis(shown), answer.units);
    Some(sketch)
}

/// The axis of a key.
pub(super) fn axis<'a>(shown: &'a VariedKey<'_>) -> SharedAxis<'a> {
    let name = match shown.unit() {
        "" => shown.name(),
        unit => format!("{}, {unit}", shown.name()),
    };
    SharedAxis { name, numbers: &shown.numbers, labels: &shown.labels }
}

fn shown_key<'a, 'b>(varied: &'b [VariedKey<'a>]) -> Option<&'b VariedKey<'a>> {
    let numbers = || varied.iter().filter(|one| !one.numbers.is_empty());
    numbers().find(|one| one.key == AXLE_RATIO).or_else(|| {
        // Of keys with as many values the first.
        numbers().rev().max_by_key(|one| one.numbers.len())
    })
}

fn shown_answers(answer: &SweepAnswer) -> Vec<Question> {
    [
        first_of(answer, Question::is_range),
        first_of(answer, |name| name.is(&rows::TIME)),
        first_of(answer, |name| name.is(&rows::MOTOR_SPEED)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Options that differ in the shown key alone, and in what they differ from the best's.
type Family<'a> = (String, Vec<(f64, &'a OptionAnswer)>);

fn families<'a>(
    answer: &'a SweepAnswer,
    centre: &OptionAnswer,
    varied: &[VariedKey<'_>],
    shown: &VariedKey<'_>,
) -> Vec<Family<'a>> {
    let along = |change: Option<(&str, &str)>| -> Vec<(f64, &'a OptionAnswer)> {
        let values = shown.numbers.iter().zip(&shown.labels);
        let found = values.filter_map(|(number, label)| {
            let changes: Vec<_> = change.into_iter().chain([(shown.key, *label)]).collect();
            let option = beside(answer, centre, &changes)?;
            option.reason.is_none().then_some((*number, option))
        });
        found.collect()
    };
    let best = "other choices as in the best option".to_owned();
    let mut families = vec![(best, along(None))];
    for one in varied.iter().filter(|one| one.key != shown.key) {
        for label in &one.labels {
            if choice(centre, one.key) != Some(label) {
                let words = format!("{} {label}", one.name());
                families.push((words, along(Some((one.key, label)))));
            }
        }
    }
    families.retain(|(_, options)| !options.is_empty());
    families.truncate(MOST_LINES);
    families
}

fn panel(
    answer: &SweepAnswer,
    name: &Question,
    shown: &VariedKey<'_>,
    families: &[Family<'_>],
) -> Panel {
    let curve = |(look, (words, options)): (usize, &Family<'_>)| Curve {
        words: words.clone(),
        look,
        points: points(options, name),
    };
    let mut curves: Vec<Curve> = families.iter().enumerate().map(curve).collect();
    // Choices that change nothing here would only hide the line of the best.
    if name.is(&rows::MOTOR_SPEED) && shown.numbers.len() > 1 {
        let best = curves.first().map(|curve| curve.points.clone()).unwrap_or_default();
        let differs = |curve: &Curve| curve.points.iter().any(|point| !best.contains(point));
        let mut place = 0;
        curves.retain(|curve| {
            place += 1;
            place == 1 || differs(curve)
        });
    }
    Panel { name: name.title(), unit: name.unit(), curves, limits: across(answer, name) }
}

fn points(options: &[(f64, &OptionAnswer)], name: &Question) -> Vec<(f64, Band)> {
    options.iter().filter_map(|(x, option)| Some((*x, *option.answers.get(name)?))).collect()
}

/// The limits of demands on an answer, as lines across its panel.
pub(super) fn across(answer: &SweepAnswer, name: &Question) -> Vec<LimitLine> {
    let line = |limit: &&crownwheel_answers::sweep::DemandLimit| {
        let side = if limit.at_least { "at least" } else { "at most" };
        let value = text(name, limit.limit.value, answer.units);
        LimitLine { words: format!("{}: {side} {value}", limit.name), metric: limit.limit.value }
    };
    limits(answer, name).iter().map(line).collect()
}

fn words(answer: &SweepAnswer, shown: &VariedKey<'_>, curves: &[Curve], rest: &str) -> String {
    let mut words = format!(
        "The thick line and its shaded band (one world in ten below, nine in ten below) show the other choices of the best option{}; each other line changes one of them, with the same band as an upright.",
        if rest.is_empty() { String::new() } else { format!(" ({rest})") }
    );
    let name = first_of(answer, Question::is_range);
    let points = curves.first().map_or(&[][..], |curve| &curve.points);
    if let (Some(name), [(from, first), .., (to, last)]) = (name, points) {
        words.push_str(&format!(
            " From {} {from} to {to} the {} goes from {} to {}.",
            shown.name(),
            name.title(),
            name.shown(first, answer.units),
            name.shown(last, answer.units)
        ));
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::sweep::bench::{sweep, without_worlds};
    use crate::svg::file_svg;
    use crownwheel_answers::Units;

    #[test]
    fn three_panels_with_lines_bands_and_limits() {
        for (units, range) in [(Units::Metric, "km"), (Units::Us, "miles")] {
            let sweep = SweepAnswer { units, ..sweep() };
            let sketch = answers_over_key(&sweep).unwrap();
            let svg = file_svg(&sketch).unwrap();
            for part in [
                "<title id=\"sweep-answers-title\">Answers against axle ratio".to_owned(),
                format!("range on moor-round (winter), {range}"),
                "time from 0 to 100 km/h, s".to_owned(),
                "motor speed at 112 km/h, rpm".to_owned(),
                "tyres as they are".to_owned(),
                "moor_round: at least".to_owned(),
                "4.22".to_owned(),
            ] {
                assert!(svg.contains(&part), "{part}");
            }
        }
    }

    #[test]
    fn the_sentence_is_made_from_the_numbers() {
        let words = answers_over_key(&sweep()).unwrap().words;
        assert!(
            words.contains("From axle ratio 3.89 to 4.22 the range on moor-round (winter) goes from 92 km (84 to 101) to 90 km (82 to 99)."),
            "{words}"
        );
        assert!(words.contains("(modules in series 9, tyres narrow)"), "{words}");
    }

    #[test]
    fn without_a_number_there_is_no_figure_and_without_bands_no_band() {
        let mut words_only = sweep();
        for option in &mut words_only.options {
            option.choices.0.retain(|(of, _)| &**of == "tyres");
        }
        assert_eq!(answers_over_key(&words_only), None);
        assert_eq!(answers_over_key(&SweepAnswer::default()), None);
        let svg = file_svg(&answers_over_key(&without_worlds()).unwrap()).unwrap();
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
    }
}
