//! The probability of meeting all demands over the two keys that take most values.

use std::collections::BTreeMap;

use crownwheel_answers::sweep::percent;
use crownwheel_answers::unit::digits;
use crownwheel_answers::{OptionAnswer, SweepAnswer};

use super::varied::{VariedKey, beside, centre, rest, varied};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Point, SMALL, Sketch, WIDTH, Words, at, shortened};

const LEFT: f64 = 104.0;
const TOP: f64 = 30.0;
const FOOT: f64 = 48.0;
const RIGHT: f64 = 8.0;
/// Height of a cell.
const ROW: f64 = 34.0;
/// Values of a key that a figure shows.
const MOST: usize = 24;
/// Least width of a cell with a number in it.
const NUMBERED: f64 = 40.0;
/// Least width of a cell with bare digits in it.
const DIGITS: f64 = 24.0;
/// Distance of hatch lines.
const HATCH: f64 = 8.0;

/// A cell for each pair of values, other choices as in the best option. `None`: fewer than two keys
/// are varied, or nothing is demanded.
pub(crate) fn heat_map(answer: &SweepAnswer) -> Option<Sketch> {
    let centre = centre(answer).filter(|best| !best.demands.is_empty())?;
    let varied = varied(answer);
    let (across, down) = two_most(&varied)?;
    let columns: Vec<&str> = across.labels.iter().take(MOST).copied().collect();
    let rows: Vec<&str> = down.labels.iter().rev().take(MOST).copied().collect();
    let height = TOP + ROW * count(rows.len()) + FOOT;
    let mut sketch = Sketch::new("sweep-heat", "Probability of meeting all demands", height);
    let width = (WIDTH - LEFT - RIGHT) / count(columns.len());
    let mut cells = Vec::new();
    for (r, row) in rows.iter().enumerate() {
        let from = at(LEFT, TOP + ROW * count(r));
        let style = Words::small(Ink::Soft, Anchor::End);
        sketch.text(at(LEFT - 7.0, from.y + ROW / 2.0), &shortened(row, 14), style);
        for (c, column) in columns.iter().enumerate() {
            let option = beside(answer, centre, &[(across.key, column), (down.key, row)]);
            let corner = at(from.x + width * count(c), from.y);
            draw_cell(&mut sketch, corner, width, option);
            cells.extend(option);
        }
    }
    outline_best(&mut sketch, centre, &cells, columns.len(), width);
    name_axes(&mut sketch, &columns, width, rows.len(), (&across.name(), &down.name()));
    sketch.words = words(answer, centre, &cells, &rest(centre, &[across.key, down.key], &varied));
    Some(sketch)
}

#[allow(clippy::cast_precision_loss, reason = "a count of cells is far below 2^53")]
fn count(cells: usize) -> f64 {
    cells as f64
}

/// The two keys with most values, the first of them across; of keys with as many the earlier ones.
fn two_most<'a, 'b>(varied: &'b [VariedKey<'a>]) -> Option<(&'b VariedKey<'a>, &'b VariedKey<'a>)> {
    let mut sorted: Vec<&VariedKey<'_>> = varied.iter().collect();
    sorted.sort_by_key(|one| std::cmp::Reverse(one.labels.len()));
    match sorted[..] {
        [first, second, ..] => Some((first, second)),
        _ => None,
    }
}

fn draw_cell(sketch: &mut Sketch, from: Point, width: f64, option: Option<&OptionAnswer>) {
    let to = at(from.x + width - 2.0, from.y + ROW - 2.0);
    let corners = vec![from, at(to.x, from.y), to, at(from.x, to.y)];
    let middle = at((from.x + to.x) / 2.0, (from.y + to.y) / 2.0);
    let Some(option) = option else { return };
    let Some(probability) = option.all_demands_probability.filter(|it| it.is_finite()) else {
        hatch(sketch, from, to);
        return;
    };
    sketch.area(corners.clone(), Ink::Blue, 0.07 + 0.9 * probability.clamp(0.0, 1.0));
    if option.meets_all {
        let closed = corners.iter().copied().chain(corners.first().copied()).collect();
        sketch.line(closed, Ink::Text, 1.4, Dash::Solid);
    }
    let ink = if probability > 0.62 { Ink::Paper } else { Ink::Text };
    let style = Words::small(ink, Anchor::Middle);
    if width >= NUMBERED {
        let short = percent(probability).replace("under ", "<").replace("over ", ">");
        sketch.text(middle, &short, style);
    } else if width >= DIGITS {
        sketch.text(middle, &digits(100.0 * probability, 0), style);
    }
}

/// Slanting lines inside a box.
fn hatch(sketch: &mut Sketch, from: Point, to: Point) {
    let (width, height) = (to.x - from.x, to.y - from.y);
    let mut start = HATCH / 2.0;
    while start < width + height {
        // A line from the lower left to the upper right, cut at the box.
        let low = at(from.x + (start - height).max(0.0), from.y + start.min(height));
        let high = at(from.x + start.min(width), from.y + (start - width).max(0.0));
        sketch.line(vec![low, high], Ink::Slate, 0.8, Dash::Solid);
        start += HATCH;
    }
}

fn outline_best(
    sketch: &mut Sketch,
    best: &OptionAnswer,
    cells: &[&OptionAnswer],
    columns: usize,
    width: f64,
) {
    let Some(place) = cells.iter().position(|option| option.id == best.id) else { return };
    // Cells without an option are left out of the list: then places say nothing.
    if columns == 0 || !cells.len().is_multiple_of(columns) {
        return;
    }
    let (row, column) = (count(place / columns), count(place % columns));
    let from = at(LEFT + width * column, TOP + ROW * row);
    let to = at(from.x + width - 2.0, from.y + ROW - 2.0);
    let closed = vec![from, at(to.x, from.y), to, at(from.x, to.y), from];
    sketch.line(closed, Ink::Ochre, 3.4, Dash::Solid);
}

fn name_axes(
    sketch: &mut Sketch,
    columns: &[&str],
    width: f64,
    rows: usize,
    (across, down): (&str, &str),
) {
    let bottom = TOP + ROW * count(rows);
    let mut free_from = f64::NEG_INFINITY;
    for (c, label) in columns.iter().enumerate() {
        let x = LEFT + width * (count(c) + 0.5) - 1.0;
        let most = 14.min(usize::try_from(letters(width)).unwrap_or(14).max(4));
        let label = shortened(label, most);
        let half = count(label.chars().count()) * SMALL * 0.31;
        if x - half >= free_from {
            sketch.text(at(x, bottom + 11.0), &label, Words::small(Ink::Soft, Anchor::Middle));
            free_from = x + half + 3.0;
        }
    }
    let style = Words::small(Ink::Text, Anchor::End);
    sketch.text(at(WIDTH - RIGHT, bottom + 30.0), across, style);
    sketch.text(at(4.0, TOP - 14.0), down, Words::small(Ink::Text, Anchor::Start).bold());
}

/// Letters that fit a width, near enough.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a width in a figure is between 0 and 480"
)]
fn letters(width: f64) -> u32 {
    (width / (SMALL * 0.62)) as u32
}

fn words(answer: &SweepAnswer, best: &OptionAnswer, cells: &[&OptionAnswer], rest: &str) -> String {
    let mut words = String::from("Each cell is the share of worlds that meet all demands at once");
    if !rest.is_empty() {
        words.push_str(&format!(", other choices as in the best option ({rest})"));
    }
    words.push_str(". Thinly framed: each demand is met as surely as asked.");
    if cells.iter().any(|option| option.id == best.id) {
        let best = percent(best.all_demands_probability.unwrap_or(f64::NAN));
        let what = if answer.ranking.is_empty() { "first" } else { "best" };
        words.push_str(&format!(" The thick frame is the {what} option, {best}."));
    }
    let mut reasons: BTreeMap<&str, usize> = BTreeMap::new();
    for reason in cells.iter().filter_map(|option| option.reason.as_deref()) {
        *reasons.entry(reason).or_default() += 1;
    }
    for (reason, cells) in reasons.iter().take(3) {
        let cells = if *cells == 1 { "1 cell".to_owned() } else { format!("{cells} cells") };
        words.push_str(&format!(" Hatched ({cells}), cannot be built: {reason}."));
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::sweep::bench::sweep;
    use crate::svg::file_svg;

    #[test]
    fn cells_have_numbers_and_the_impossible_ones_a_reason() {
        let sketch = heat_map(&sweep()).unwrap();
        let svg = file_svg(&sketch).unwrap();
        // 3 counts of modules across, 2 ratios down.
        for part in ["93 %", "89 %", "31 %", "axle ratio", "modules in series"] {
            assert!(svg.contains(part), "{part}");
        }
        assert!(
            sketch.words.contains("Hatched (2 cells), cannot be built: `pack.modules_in_series` gives 168 V, and the controller allows 156 V."),
            "{}",
            sketch.words
        );
        assert!(sketch.words.contains("The thick frame is the best option, 93 %."));
    }

    #[test]
    fn hatching_stays_in_its_box() {
        let mut sketch = Sketch::new("box", "box", 100.0);
        hatch(&mut sketch, at(10.0, 20.0), at(70.0, 50.0));
        assert!(sketch.shapes.len() > 5);
        for shape in &sketch.shapes {
            let crate::sketch::Shape::Line { points, .. } = shape else { panic!("a line") };
            for p in points {
                assert!((10.0..=70.0).contains(&p.x) && (20.0..=50.0).contains(&p.y), "{p:?}");
            }
        }
    }

    #[test]
    fn one_key_or_no_demand_gives_no_figure() {
        let mut one_key = sweep();
        for option in &mut one_key.options {
            option.choices.0.truncate(1);
        }
        assert_eq!(heat_map(&one_key), None);
        let mut no_demand = sweep();
        for option in &mut no_demand.options {
            option.demands.clear();
        }
        assert_eq!(heat_map(&no_demand), None);
    }
}
