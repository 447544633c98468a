//! Which inputs move the answers of the best option most, with the errors of their shares.

use crownwheel_answers::SweepAnswer;
use crownwheel_answers::sweep::MeasureNext;
use crownwheel_answers::unit::digits;

use crate::chart::{Axis, Chart};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Sketch, Words, at, shortened};

const LEFT: f64 = 16.0;
const RIGHT: f64 = 40.0;
const TOP: f64 = 8.0;
/// Height of the words and the bar of an input.
const ROW: f64 = 40.0;
const BAR: f64 = 13.0;
/// Height of the name of an answer.
const NAME: f64 = 26.0;
/// Answers, and inputs of each, that are drawn.
const MOST_ANSWERS: usize = 3;
const MOST_INPUTS: usize = 5;

/// Bars of the shares, for each answer its inputs. `None`: nothing is known of them.
pub(crate) fn measure_next(answer: &SweepAnswer) -> Option<Sketch> {
    let groups = groups(&answer.measure_next);
    if groups.is_empty() {
        return None;
    }
    let label = |key: &str| answer.label_of(key);
    let rows: f64 = groups.iter().map(|(_, inputs)| NAME + ROW * inputs_count(inputs)).sum();
    let mut sketch = Sketch::new("sweep-measure-next", "What to measure next", TOP);
    let name = "share of the variance that the input explains, %";
    let axis = Axis::exact(0.0, 100.0, 5.0);
    let frame = Chart::for_bars(&mut sketch, (LEFT, RIGHT), rows, (axis, name));
    let mut y = TOP;
    for (key, inputs) in &groups {
        let style = Words::small(Ink::Text, Anchor::Start).bold();
        sketch.text(at(LEFT, y + NAME / 2.0 + 2.0), &shortened(&label(key), 60), style);
        y += NAME;
        for input in inputs {
            draw_input(&mut sketch, &frame, input, y);
            y += ROW;
        }
    }
    sketch.words = words(&groups, &label);
    Some(sketch)
}

type Group<'a> = (&'a str, Vec<&'a MeasureNext>);

/// Inputs by answer, in the order in which they come.
fn groups(all: &[MeasureNext]) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for next in all.iter().filter(|next| next.share.is_finite()) {
        match groups.iter_mut().find(|(key, _)| *key == next.answer) {
            Some((_, inputs)) => inputs.push(next),
            None => groups.push((&next.answer, vec![next])),
        }
    }
    groups.truncate(MOST_ANSWERS);
    for (_, inputs) in &mut groups {
        inputs.truncate(MOST_INPUTS);
    }
    groups
}

fn inputs_count(inputs: &[&MeasureNext]) -> f64 {
    f64::from(u32::try_from(inputs.len()).unwrap_or(u32::MAX))
}

fn draw_input(sketch: &mut Sketch, frame: &Chart, next: &MeasureNext, top: f64) {
    let style = Words::small(Ink::Soft, Anchor::Start);
    sketch.text(at(LEFT + 2.0, top + 8.0), &shortened(&next.key, 58), style);
    let (y, pct) = (top + 17.0, 100.0 * next.share);
    let end = frame.along(pct);
    sketch.bar(at(LEFT, y), at(end.max(LEFT + 1.0), y + BAR), Ink::Sky);
    // 19 in 20: two standard errors to each side.
    let error = 196.0 * next.standard_error;
    let middle = y + BAR / 2.0;
    let mut free = end;
    if error.is_finite() && error > 0.0 {
        let low = frame.along((pct - error).max(0.0));
        let high = frame.along((pct + error).min(100.0));
        sketch.line(vec![at(low, middle), at(high, middle)], Ink::Text, 1.6, Dash::Solid);
        for x in [low, high] {
            sketch.line(
                vec![at(x, middle - 4.0), at(x, middle + 4.0)],
                Ink::Text,
                1.6,
                Dash::Solid,
            );
        }
        free = high;
    }
    let words = format!("{} %", digits(pct, 0));
    sketch.text(at(free + 5.0, middle), &words, Words::small(Ink::Text, Anchor::Start).bold());
}

fn words(groups: &[Group<'_>], label: &impl Fn(&str) -> String) -> String {
    let first = |(key, inputs): &Group<'_>| {
        let next = inputs.first()?;
        Some(format!(
            "For the {} measure {} first: known exactly, it would narrow the band by {} %.",
            label(key),
            next.key,
            digits(next.band_shrinks_pct, 0)
        ))
    };
    let mut said: Vec<String> = groups.iter().filter_map(first).collect();
    said.push("Uprights: 19 in 20 such sets of worlds give a share between them.".to_owned());
    said.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::sweep::bench::sweep;
    use crate::svg::file_svg;

    #[test]
    fn each_input_has_a_bar_an_error_and_a_sentence() {
        let sketch = measure_next(&sweep()).unwrap();
        let svg = file_svg(&sketch).unwrap();
        for part in ["range on moor-round (winter)", "tyres.rolling_resistance", "51 %"] {
            assert!(svg.contains(part), "{part}");
        }
        assert!(
            sketch.words.starts_with("For the range on moor-round (winter) measure tyres.rolling_resistance first: known exactly, it would narrow the band by 30 %."),
            "{}",
            sketch.words
        );
    }

    #[test]
    fn no_share_gives_no_figure_and_many_are_cut() {
        assert_eq!(measure_next(&SweepAnswer::default()), None);
        let next = sweep().measure_next[0].clone();
        let many = vec![next; 30];
        assert_eq!(groups(&many)[0].1.len(), MOST_INPUTS);
    }
}
