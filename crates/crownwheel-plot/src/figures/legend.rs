//! The key of a figure: marks with words, in lines.

use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, SMALL, Sketch, WIDTH, Words, at};

/// How a key shows its mark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Mark {
    /// A filled square.
    Square,
    /// A line.
    Line(Dash, f64),
    /// A line with a marker on it.
    Marked(Dash, Marker),
    /// A filled dot.
    Dot,
    /// A ring.
    Ring,
    /// An upright bar.
    Upright,
    /// A square with a number on it.
    Number(usize),
}

/// Markers on lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Marker {
    /// A filled circle.
    Circle,
    /// A square on its side.
    Square,
    /// A square on its point.
    Diamond,
    /// A triangle on its base.
    Triangle,
}

/// One entry.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Entry {
    pub(crate) mark: Mark,
    pub(crate) ink: Ink,
    pub(crate) words: String,
}

impl Entry {
    pub(crate) fn new(mark: Mark, ink: Ink, words: impl Into<String>) -> Entry {
        Entry { mark, ink, words: words.into() }
    }
}

/// A figure with a key at its head.
pub(crate) fn figure(slug: &str, title: &str, words: String, key: &[Entry]) -> Sketch {
    let mut sketch = Sketch::new(slug, title, 2.0 + LINE * lines(key));
    sketch.words = words;
    draw(&mut sketch, key, 2.0);
    sketch
}

/// Height of a line of the key.
const LINE: f64 = 19.0;

/// Width that words take, near enough to lay out a key without the font: DejaVu Sans is about 0.6
/// of its size per letter, and a key may end early.
fn width_of(words: &str) -> f64 {
    let letters = u32::try_from(words.chars().count()).unwrap_or(u32::MAX);
    f64::from(letters) * SMALL * 0.62
}

/// Lines that the entries need.
fn lines(entries: &[Entry]) -> f64 {
    places(entries).last().map_or(0.0, |(_, line)| line + 1.0)
}

fn draw(sketch: &mut Sketch, entries: &[Entry], top: f64) {
    for (entry, (x, line)) in entries.iter().zip(places(entries)) {
        let y = top + LINE * (line + 0.5);
        draw_mark(sketch, entry, x, y);
        sketch.text(at(x + MARK + 5.0, y), &entry.words, Words::small(Ink::Text, Anchor::Start));
    }
}

const MARK: f64 = 24.0;

fn places(entries: &[Entry]) -> Vec<(f64, f64)> {
    let (mut x, mut line) = (4.0, 0.0);
    entries
        .iter()
        .map(|entry| {
            let width = MARK + 5.0 + width_of(&entry.words);
            if x > 4.0 && x + width > WIDTH - 4.0 {
                (x, line) = (4.0, line + 1.0);
            }
            let place = (x, line);
            x += width + 12.0;
            place
        })
        .collect()
}

fn draw_mark(sketch: &mut Sketch, entry: &Entry, x: f64, y: f64) {
    let (ink, across) = (entry.ink, vec![at(x, y), at(x + MARK, y)]);
    let middle = at(x + MARK / 2.0, y);
    match entry.mark {
        Mark::Square => sketch.bar(at(x, y - 6.0), at(x + MARK, y + 6.0), ink),
        Mark::Line(dash, width) => sketch.line(across, ink, width, dash),
        Mark::Marked(dash, marker) => {
            sketch.line(across, ink, 2.0, dash);
            draw_marker(sketch, marker, middle, ink);
        }
        Mark::Dot => dot(sketch, middle, 4.0, ink, true),
        Mark::Ring => dot(sketch, middle, 4.0, ink, false),
        Mark::Upright => {
            sketch.line(vec![at(middle.x, y - 8.0), at(middle.x, y + 8.0)], ink, 2.4, Dash::Solid);
        }
        Mark::Number(number) => {
            sketch.bar(at(x, y - 7.5), at(x + MARK, y + 7.5), ink);
            sketch.text(
                middle,
                &number.to_string(),
                Words::small(Ink::Paper, Anchor::Middle).bold(),
            );
        }
    }
}

fn dot(sketch: &mut Sketch, centre: crate::sketch::Point, radius: f64, ink: Ink, filled: bool) {
    sketch.shapes.push(crate::sketch::Shape::Dot { centre, radius, ink, filled, opacity: 1.0 });
}

/// A marker centred at a place.
pub(crate) fn draw_marker(sketch: &mut Sketch, marker: Marker, p: crate::sketch::Point, ink: Ink) {
    let around =
        |offsets: &[(f64, f64)]| offsets.iter().map(|(x, y)| at(p.x + x, p.y + y)).collect();
    match marker {
        Marker::Circle => dot(sketch, p, 4.2, ink, true),
        Marker::Square => sketch.bar(at(p.x - 3.8, p.y - 3.8), at(p.x + 3.8, p.y + 3.8), ink),
        Marker::Diamond => {
            sketch.area(around(&[(0.0, -5.4), (5.4, 0.0), (0.0, 5.4), (-5.4, 0.0)]), ink, 1.0);
        }
        Marker::Triangle => sketch.area(around(&[(0.0, -5.2), (5.0, 4.0), (-5.0, 4.0)]), ink, 1.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_key_goes_on_in_the_next_line_and_stays_inside() {
        let entry = Entry { mark: Mark::Square, ink: Ink::Blue, words: "twelve chars".to_owned() };
        let entries = vec![entry; 10];
        assert!(lines(&entries) >= 3.0);
        for (x, _) in places(&entries) {
            assert!(x + MARK + 5.0 + width_of("twelve chars") <= WIDTH, "{x}");
        }
    }
}
