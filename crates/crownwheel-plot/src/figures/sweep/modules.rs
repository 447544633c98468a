//! Range against the number of battery modules, and what carrying and buying them costs.

use crownwheel_answers::unit::digits;
use crownwheel_answers::{Band, LoadCase, OptionAnswer, SweepAnswer, Unit};
use crownwheel_quantities::{Question, rows};

use super::curves::{Curve, Panel, draw, key};
use super::lines::{across, axis};
use super::varied::{VariedKey, beside, centre, first_of, limits, names, rest, text, varied};
use crate::figures::legend;
use crate::sketch::Sketch;

const MODULE_KEYS: [&str; 2] = ["pack.modules_in_series", "pack.modules_in_parallel"];

const MASS: Question = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);

/// Range, mass and price over the count of modules, other choices as in the best option. `None`:
/// the count is not varied, or nothing has a range.
pub(crate) fn range_over_modules(answer: &SweepAnswer) -> Option<Sketch> {
    let varied = varied(answer);
    let counts = varied.iter().filter(|one| MODULE_KEYS.contains(&one.key));
    let shown = counts.filter(|one| !one.numbers.is_empty()).max_by_key(|one| one.numbers.len())?;
    let centre = centre(answer)?;
    let range = first_of(answer, Question::is_range)?;
    let found = Neighbours::new(answer, centre, shown);
    let mut panels = vec![range_panel(answer, &range, &found)];
    panels.push(one_line(
        &MASS.title(),
        Unit::Kg,
        found.bands(|it| it.answers.get(&MASS).copied()),
    ));
    if let Some(currency) = &answer.currency {
        let price = found.bands(|it| it.price.map(Band::only));
        panels.push(one_line(&format!("price, {currency}"), Unit::None, price));
    }
    panels.retain(|panel| panel.curves.iter().any(|curve| !curve.points.is_empty()));
    let entries = key(&panels);
    let said = words(answer, &range, &found, shown, &rest(centre, &[shown.key], &varied));
    let title = "Range against battery modules";
    let mut sketch = legend::figure("sweep-modules", title, said, &entries);
    draw(&mut sketch, &panels, &axis(shown), answer.units);
    Some(sketch)
}

/// The options beside the best with each count.
struct Neighbours<'a> {
    possible: Vec<(f64, &'a OptionAnswer)>,
    impossible: Vec<(&'a str, &'a str)>,
}

impl<'a> Neighbours<'a> {
    fn new(answer: &'a SweepAnswer, centre: &OptionAnswer, shown: &VariedKey<'a>) -> Self {
        let mut found = Neighbours { possible: Vec::new(), impossible: Vec::new() };
        for (number, label) in shown.numbers.iter().zip(&shown.labels) {
            match beside(answer, centre, &[(shown.key, label)]) {
                Some(OptionAnswer { reason: Some(reason), .. }) => {
                    found.impossible.push((label, reason));
                }
                Some(option) => found.possible.push((*number, option)),
                None => {}
            }
        }
        found
    }

    fn bands(&self, value: impl Fn(&OptionAnswer) -> Option<Band>) -> Vec<(f64, Band)> {
        self.possible.iter().filter_map(|(x, option)| Some((*x, value(option)?))).collect()
    }
}

/// The range with a limit, and the same cycle on the other days.
fn range_panel(answer: &SweepAnswer, range: &Question, found: &Neighbours<'_>) -> Panel {
    let Some(cycle) = range.cycle() else { return one_line("range", Unit::Km, Vec::new()) };
    let alike = |name: &Question| name.is(range.quantity());
    let same_cycle = |name: &Question| alike(name) && name.cycle() == Some(cycle) && name != range;
    let others = names(answer).into_iter().filter(same_cycle);
    let curve = |(look, name): (usize, Question)| Curve {
        words: name.title(),
        look,
        points: found.bands(|option| option.answers.get(&name).copied()),
    };
    let curves = [range.clone()].into_iter().chain(others).enumerate().map(curve).collect();
    let mut limits = across(answer, range);
    limits.dedup_by(|a, b| a.metric.total_cmp(&b.metric).is_eq());
    Panel { name: format!("range on {cycle}"), unit: Unit::Km, curves, limits }
}

fn one_line(name: &str, unit: Unit, points: Vec<(f64, Band)>) -> Panel {
    let curves = vec![Curve { words: name.to_owned(), look: 0, points }];
    Panel { name: name.to_owned(), unit, curves, limits: Vec::new() }
}

fn words(
    answer: &SweepAnswer,
    range: &Question,
    found: &Neighbours<'_>,
    shown: &VariedKey<'_>,
    rest: &str,
) -> String {
    let units = answer.units;
    let mut words = String::from("Other choices as in the best option");
    if !rest.is_empty() {
        words.push_str(&format!(" ({rest})"));
    }
    words.push('.');
    let ranges = found.bands(|option| option.answers.get(range).copied());
    let masses = found.bands(|option| option.answers.get(&MASS).copied());
    if let [(from, first), .., (to, last)] = ranges[..] {
        let each = to - from;
        let gain = (last.middle() - first.middle()) / each;
        words.push_str(&format!(
            " Between {from} and {to} {} each one more brings {} on {}",
            shown.name(),
            text(range, gain, units),
            range.title().trim_start_matches("range on ")
        ));
        if let [(_, light), .., (_, heavy)] = masses[..] {
            let more = (heavy.middle() - light.middle()) / each;
            words.push_str(&format!(", weighs {} more", units.text(more, Unit::Kg)));
        }
        let prices = found.bands(|option| option.price.map(Band::only));
        if let (Some(currency), [(_, cheap), .., (_, dear)]) = (&answer.currency, &prices[..]) {
            let more = (dear.middle() - cheap.middle()) / each;
            words.push_str(&format!(", costs {} {currency} more", digits(more, 0)));
        }
        words.push('.');
    }
    for limit in limits(answer, range) {
        let meets = |band: &Band| {
            let worst = if limit.at_least { band.p10 } else { band.p90 };
            let worst = worst.unwrap_or(band.nominal);
            if limit.at_least { worst >= limit.limit.value } else { worst <= limit.limit.value }
        };
        let limit_text = text(range, limit.limit.value, units);
        words.push_str(&match ranges.iter().find(|(_, band)| meets(band)) {
            Some((count, _)) => format!(
                " From {count} on nine worlds in ten or more meet the {limit_text} of {}.",
                limit.name
            ),
            None => {
                format!(" With none do nine worlds in ten meet the {limit_text} of {}.", limit.name)
            }
        });
    }
    for (label, reason) in &found.impossible {
        words.push_str(&format!(" {label} cannot be built: {reason}."));
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::sweep::bench::sweep;
    use crate::svg::file_svg;

    #[test]
    fn range_mass_and_price_stand_one_above_the_other() {
        let sketch = range_over_modules(&sweep()).unwrap();
        let svg = file_svg(&sketch).unwrap();
        for part in [
            "<title id=\"sweep-modules-title\">Range against battery modules",
            "range on moor-round, km",
            "mass, driver only, kg",
            "price, EUR",
            "moor_round: at least 85 km",
        ] {
            assert!(svg.contains(part), "{part}");
        }
    }

    #[test]
    fn the_sentence_says_what_one_more_brings_and_costs() {
        let words = range_over_modules(&sweep()).unwrap().words;
        for part in [
            "Between 8 and 9 modules in series each one more brings 10 km on moor-round (winter), weighs 11.4 kg more, costs 310 EUR more.",
            "With none do nine worlds in ten meet the 85 km of moor_round.",
            "10 cannot be built: `pack.modules_in_series` gives 168 V, and the controller allows 156 V.",
        ] {
            assert!(words.contains(part), "{part}: {words}");
        }
    }

    #[test]
    fn without_modules_there_is_no_figure() {
        let mut sweep = sweep();
        for option in &mut sweep.options {
            option.choices.0.retain(|(of, _)| !of.starts_with("pack"));
        }
        assert_eq!(range_over_modules(&sweep), None);
    }
}
