//! Two answers of every option, and the options that no other beats in both.

use crownwheel_answers::unit::digits;
use crownwheel_answers::{LoadCase, OptionAnswer, SweepAnswer, Unit, Units};
use crownwheel_quantities::{Question, rows};

use super::varied::{VariedKey, choice, first_of, names, varied};
use crate::chart::{Axis, Chart, Plan, span};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Sketch, Words, at, shortened};

/// Height of a line of names below the figure.
const LINE: f64 = 19.0;
/// Options that are named.
const MOST_NAMED: usize = 12;
/// Letters of a name.
const NAME: usize = 60;
/// Options that are drawn: more would be a blot.
const MOST_DRAWN: usize = 2000;

/// What one of the axes shows.
enum Side {
    Price(String),
    Answer(Box<Question>),
}

impl Side {
    fn value(&self, option: &OptionAnswer) -> Option<f64> {
        let value = match self {
            Side::Price(_) => option.price,
            Side::Answer(name) => option.answers.get(name).map(crownwheel_answers::Band::middle),
        };
        value.filter(|value| value.is_finite())
    }

    fn more_is_better(&self) -> bool {
        match self {
            Side::Price(_) => false,
            Side::Answer(name) => name.quantity().more_is_better,
        }
    }

    fn unit(&self) -> Unit {
        match self {
            Side::Price(_) => Unit::None,
            Side::Answer(name) => name.unit(),
        }
    }

    fn label(&self) -> String {
        match self {
            Side::Price(_) => "price".to_owned(),
            Side::Answer(name) => name.title(),
        }
    }

    fn axis_name(&self, units: Units) -> String {
        match self {
            Side::Price(currency) => format!("price, {currency}"),
            Side::Answer(name) => match units.symbol(name.unit()) {
                "" => name.title(),
                symbol => format!("{}, {symbol}", name.title()),
            },
        }
    }

    fn text(&self, value: f64, units: Units) -> String {
        match self {
            Side::Price(currency) => format!("{} {currency}", digits(value, 0)),
            Side::Answer(name) => units.text_to(value, name.unit(), name.decimals()),
        }
    }
}

/// An option with both values.
struct OptionDot<'a> {
    option: &'a OptionAnswer,
    x: f64,
    y: f64,
}

/// Range (or what else is compared) over price (or mass). `None`: there are no two such answers.
pub(crate) fn front(answer: &SweepAnswer) -> Option<Sketch> {
    let (across, up) = sides(answer)?;
    let all: Vec<OptionDot<'_>> = answer
        .options
        .iter()
        .filter_map(|option| {
            Some(OptionDot { option, x: across.value(option)?, y: up.value(option)? })
        })
        .collect();
    if all.is_empty() {
        return None;
    }
    let unbeaten = unbeaten(&all, &across, &up);
    let title = "Options that no other beats in both answers";
    let mut sketch = Sketch::new("sweep-front", title, 4.0);
    sketch.words = words(answer, &all, &unbeaten, &across, &up);
    let units = answer.units;
    let pair =
        |it: &OptionDot<'_>| (units.value(it.x, across.unit()), units.value(it.y, up.unit()));
    let pairs = || all.iter().map(pair);
    let chart = Chart::below(
        &mut sketch,
        Plan {
            height: 280.0,
            right: 16.0,
            x: with_margin(pairs().map(|pair| pair.0)),
            x_name: &across.axis_name(units),
            y: with_margin(pairs().map(|pair| pair.1)),
            y_name: &up.axis_name(units),
        },
    );
    for it in all.iter().take(MOST_DRAWN) {
        let meets = it.option.meets_all;
        chart.dots(&mut sketch, [(pair(it), 3.4)], (ink_of(it), meets, 1.0));
    }
    let steps = unbeaten.iter().map(|it| pair(it));
    chart.line(&mut sketch, steps, (Ink::Blue, 1.4, Dash::Short));
    for (i, it) in unbeaten.iter().enumerate() {
        chart.dots(&mut sketch, [(pair(it), 9.5)], (ink_of(it), true, 1.0));
        let words = if i < MOST_NAMED { (i + 1).to_string() } else { String::new() };
        let (x, y) = pair(it);
        sketch.text(chart.place(x, y), &words, Words::small(Ink::Paper, Anchor::Middle).bold());
    }
    name_all(&mut sketch, &unbeaten, &varied(answer));
    Some(sketch)
}

/// Green for what meets all demands.
fn ink_of(it: &OptionDot<'_>) -> Ink {
    if it.option.meets_all { Ink::Green } else { Ink::Slate }
}

fn with_margin(values: impl Iterator<Item = f64>) -> Axis {
    let (min, max) = span(values);
    let margin = 0.04 * (max - min);
    Axis::round(min - margin, max + margin, 5.0)
}

/// Across what one pays in money or mass, up what one gets for it.
fn sides(answer: &SweepAnswer) -> Option<(Side, Side)> {
    let mass = Question::of(&rows::MASS).loaded(LoadCase::DriverOnly);
    let priced = answer.options.iter().any(|option| option.price.is_some());
    let across = match &answer.currency {
        Some(currency) if priced => Side::Price(currency.clone()),
        _ => Side::Answer(Box::new(mass.clone())),
    };
    let compared = names(answer).into_iter().find(|name| {
        let key = name.key();
        let chosen = answer.non_dominated_over.iter().any(|over| over.answer == key);
        chosen && *name != mass && *name != Question::of(&rows::PRICE)
    });
    let range = || first_of(answer, Question::is_range);
    Some((across, Side::Answer(Box::new(compared.or_else(range)?))))
}

/// The options that no other is at least as good as in both and better in one, from the left.
fn unbeaten<'a, 'b>(all: &'b [OptionDot<'a>], across: &Side, up: &Side) -> Vec<&'b OptionDot<'a>> {
    let better = |side: &Side, value: f64| if side.more_is_better() { -value } else { value };
    let key = |it: &OptionDot<'_>| (better(across, it.x), better(up, it.y));
    let mut sorted: Vec<&OptionDot<'_>> = all.iter().collect();
    sorted.sort_by(|a, b| {
        let (a, b) = (key(a), key(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let mut least = f64::INFINITY;
    sorted.retain(|it| {
        let second = key(it).1;
        let kept = second < least;
        least = least.min(second);
        kept
    });
    sorted
}

/// What the numbered options choose, as far as they differ; the keys stand above.
fn name_all(sketch: &mut Sketch, unbeaten: &[&OptionDot<'_>], varied: &[VariedKey<'_>]) {
    let named = &unbeaten[..unbeaten.len().min(MOST_NAMED)];
    let differs = |one: &&VariedKey<'_>| {
        let mut chosen = named.iter().map(|it| choice(it.option, one.key));
        let first = chosen.next();
        first.is_some_and(|first| chosen.any(|other| other != first))
    };
    let keys: Vec<&VariedKey<'_>> = varied.iter().filter(differs).collect();
    let names: Vec<String> = keys.iter().map(|one| one.name()).collect();
    let (style, top) = (Words::small(Ink::Text, Anchor::Start), sketch.height + 6.0);
    sketch.text(at(32.0, top), &shortened(&names.join(", "), NAME), style.bold());
    let mut y = top + LINE;
    for (i, it) in named.iter().enumerate() {
        let number = Words::small(Ink::Text, Anchor::End).bold();
        sketch.text(at(24.0, y), &(i + 1).to_string(), number);
        let values: Vec<&str> = keys.iter().filter_map(|one| choice(it.option, one.key)).collect();
        let name = if values.is_empty() { it.option.id.clone() } else { values.join(", ") };
        sketch.text(at(32.0, y), &shortened(&name, NAME), style);
        y += LINE;
    }
    sketch.height = y;
}

fn words(
    answer: &SweepAnswer,
    all: &[OptionDot<'_>],
    unbeaten: &[&OptionDot<'_>],
    across: &Side,
    up: &Side,
) -> String {
    let better = if across.more_is_better() { "more" } else { "less" };
    let mut words = format!(
        "Each dot is an option: filled ones meet each demand as surely as asked, rings do not. The {} numbered ones are beaten by none: whatever has {better} {} has a worse {}.",
        unbeaten.len(),
        across.label(),
        up.label()
    );
    if let [first, .., last] = unbeaten {
        let said = |it: &OptionDot<'_>| {
            format!("{} for {}", up.text(it.y, answer.units), across.text(it.x, answer.units))
        };
        words.push_str(&format!(" They go from {} to {}.", said(first), said(last)));
    }
    if all.len() > MOST_DRAWN {
        words.push_str(&format!(" The first {MOST_DRAWN} of {} options are drawn.", all.len()));
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::sweep::bench::sweep;
    use crate::svg::file_svg;

    #[test]
    fn what_is_beaten_by_none_is_numbered_and_named() {
        let sweep = sweep();
        let sketch = front(&sweep).unwrap();
        let svg = file_svg(&sketch).unwrap();
        for part in ["price, EUR", "range on moor-round (winter), km", ">modules in series<", ">9<"]
        {
            assert!(svg.contains(part), "{part}");
        }
        assert!(
            sketch.words.contains("They go from 82 km for 2480 EUR to 92 km for 2790 EUR."),
            "{}",
            sketch.words
        );
    }

    #[test]
    fn no_option_of_the_line_is_beaten_and_every_other_is() {
        let sweep = sweep();
        let (across, up) = sides(&sweep).unwrap();
        let all: Vec<OptionDot<'_>> = sweep
            .options
            .iter()
            .filter_map(|option| {
                Some(OptionDot { option, x: across.value(option)?, y: up.value(option)? })
            })
            .collect();
        let kept: Vec<&str> =
            unbeaten(&all, &across, &up).iter().map(|it| it.option.id.as_str()).collect();
        for it in &all {
            let beaten = all.iter().any(|other| {
                other.x <= it.x && other.y >= it.y && (other.x < it.x || other.y > it.y)
            });
            assert_eq!(kept.contains(&it.option.id.as_str()), !beaten, "{}", it.option.id);
        }
    }

    #[test]
    fn without_prices_mass_stands_for_them_and_without_answers_there_is_no_figure() {
        let mut sweep = sweep();
        sweep.currency = None;
        let svg = file_svg(&front(&sweep).unwrap()).unwrap();
        assert!(svg.contains("mass, driver only, kg"));
        assert_eq!(front(&SweepAnswer::default()), None);
    }
}
