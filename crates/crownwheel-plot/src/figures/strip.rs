//! A strip along the lower axis that says which limit binds where: by number, by name where there is
//! room, and by shade.

use super::legend::{Entry, Mark};
use crate::chart::{Axis, Chart};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Point, SMALL, Sketch, Words, at, shortened};

/// Height of the strip with the gap above it.
const STRIP: f64 = 24.0;

const GAP: f64 = 5.0;
const INKS: [Ink; 5] = [Ink::Slate, Ink::Umber, Ink::Green, Ink::Plum, Ink::Blue];

/// Room that a letter and a number take, near enough.
const LETTER: f64 = SMALL * 0.64;

/// Which limit binds along an axis.
pub(super) struct Strip {
    /// The limits in the order in which they come.
    names: Vec<String>,
    /// From, to, place in `names`.
    stretches: Vec<(f64, f64, usize)>,
}

impl Strip {
    /// From places along the axis, rising, and the limit that binds up to each.
    pub(super) fn new<'a>(limits: impl Iterator<Item = (f64, &'a str)>) -> Self {
        let mut strip = Strip { names: Vec::new(), stretches: Vec::new() };
        let mut from = None;
        for (x, name) in limits.filter(|(x, _)| x.is_finite()) {
            let place = strip.place(name);
            let start = from.unwrap_or(x);
            match strip.stretches.last_mut() {
                Some(last) if last.2 == place => last.1 = x,
                _ => strip.stretches.push((start, x, place)),
            }
            from = Some(x);
        }
        strip
    }

    fn place(&mut self, name: &str) -> usize {
        self.names.iter().position(|known| known == name).unwrap_or_else(|| {
            self.names.push(name.to_owned());
            self.names.len() - 1
        })
    }

    /// An entry of the key for each limit; `none` is worded as in a sentence.
    pub(super) fn key(&self) -> Vec<Entry> {
        let entry = |(i, name): (usize, &String)| {
            let words = format!("limit: {}", shortened(worded(name), 30));
            Entry::new(Mark::Number(i + 1), ink(i), words)
        };
        self.names.iter().enumerate().map(entry).collect()
    }

    /// The strip below a chart, with the labels and the name of its axis and thin uprights where limits
    /// change.
    pub(super) fn draw(&self, sketch: &mut Sketch, frame: &Chart, x_name: &str) {
        let own = Chart {
            top: frame.top + frame.height + GAP,
            height: STRIP - GAP,
            y: Axis::with_ticks(0.0, 1.0, Vec::new()),
            ..frame.clone()
        };
        own.draw_mesh(sketch, true);
        let middle = own.top + own.height / 2.0;
        sketch.text(at(own.left - 7.0, middle), "limit", Words::small(Ink::Soft, Anchor::End));
        let mut above = f64::NEG_INFINITY;
        for (i, (from, to, place)) in self.stretches.iter().enumerate() {
            let edge = |x: f64| own.along(x.clamp(own.x.min, own.x.max));
            let (left, right) = (edge(*from), edge(*to));
            if i > 0 && right > left {
                let upright = vec![at(left, frame.top), at(left, frame.top + frame.height)];
                sketch.line(upright, Ink::Soft, 0.9, Dash::Dots);
            }
            // A line of ground between neighbours parts them without colour too.
            let end = (right - 1.0).max(left + 0.4);
            sketch.bar(at(left, own.top), at(end, own.top + own.height), ink(*place));
            let (centre, words) = (f64::midpoint(left, right), self.words(*place, right - left));
            if !words.is_empty() {
                let style = Words::small(Ink::Paper, Anchor::Middle).bold();
                sketch.text(at(centre, middle), &words, style);
            } else if centre - above > 2.0 * LETTER {
                above = centre;
                let foot = frame.top + frame.height;
                number_above(sketch, at(centre, foot - 11.0), *place);
            }
        }
        own.name_x(sketch, x_name);
    }

    /// Number and name, or the number, or nothing, as there is room.
    fn words(&self, place: usize, room: f64) -> String {
        let number = (place + 1).to_string();
        let named = format!("{number} {}", self.names[place]);
        let fits = |words: &String| {
            let letters = u32::try_from(words.chars().count()).unwrap_or(u32::MAX);
            f64::from(letters) * LETTER + 6.0 < room
        };
        [named, number].into_iter().find(fits).unwrap_or_default()
    }
}

/// The number of a stretch that has no room for it, on ground of its own.
fn number_above(sketch: &mut Sketch, place: Point, number: usize) {
    sketch.bar(at(place.x - 5.0, place.y - 7.0), at(place.x + 5.0, place.y + 7.0), Ink::Paper);
    let style = Words::small(ink(number), Anchor::Middle).bold();
    sketch.text(place, &(number + 1).to_string(), style);
}

fn ink(place: usize) -> Ink {
    INKS[place % INKS.len()]
}

fn worded(name: &str) -> &str {
    if name == "none" { "none binds" } else { name }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sketch::Shape;

    #[test]
    fn neighbours_with_one_limit_are_one_stretch_and_a_limit_keeps_its_number() {
        let rows = [(0.0, "grip"), (10.0, "grip"), (20.0, "motor torque"), (30.0, "grip")];
        let strip = Strip::new(rows.into_iter());
        assert_eq!(strip.stretches, [(0.0, 10.0, 0), (10.0, 20.0, 1), (20.0, 30.0, 0)]);
        let words: Vec<String> = strip.key().into_iter().map(|entry| entry.words).collect();
        assert_eq!(words, ["limit: grip", "limit: motor torque"]);
    }

    #[test]
    fn a_stretch_too_narrow_for_its_number_has_it_above() {
        let rows = [(0.0, "grip"), (50.0, "grip"), (51.0, "heat"), (100.0, "motor torque")];
        let axis = |max| Axis::exact(0.0, max, 5.0);
        let frame =
            Chart { left: 0.0, top: 0.0, width: 200.0, height: 90.0, x: axis(100.0), y: axis(1.0) };
        let mut sketch = Sketch::new("strip", "strip", 140.0);
        Strip::new(rows.into_iter()).draw(&mut sketch, &frame, "speed");
        let heights = |words: &str| -> Vec<f64> {
            let shapes = sketch.shapes.iter().filter_map(|shape| match shape {
                Shape::Text { place, text, .. } if text == words => Some(place.y),
                _ => None,
            });
            shapes.collect()
        };
        assert_eq!(heights("2"), [79.0]);
        assert!(heights("1 grip").iter().all(|y| *y > 90.0) && heights("1 grip").len() == 1);
    }

    #[test]
    fn names_stand_only_where_they_fit() {
        let strip = Strip::new([(0.0, "battery current")].into_iter());
        assert_eq!(strip.words(0, 200.0), "1 battery current");
        assert_eq!(strip.words(0, 30.0), "1");
        assert_eq!(strip.words(0, 5.0), "");
    }
}
