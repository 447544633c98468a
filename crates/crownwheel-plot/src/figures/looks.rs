//! How lines of one figure are told apart: each has a colour, a dash and a marker of its own.

use super::legend::{Entry, Mark, Marker, draw_marker};
use crate::chart::Chart;
use crate::ink::Ink;
use crate::sketch::{Dash, Sketch};
use crate::thin::Pair;

/// Colour, dash, marker and width of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Look {
    pub(super) ink: Ink,
    pub(super) dash: Dash,
    pub(super) marker: Marker,
    pub(super) width: f64,
}

const INKS: [Ink; 4] = [Ink::Blue, Ink::Rust, Ink::Green, Ink::Plum];
const DASHES: [Dash; 4] = [Dash::Solid, Dash::Long, Dash::Short, Dash::Dots];
const MARKERS: [Marker; 4] = [Marker::Circle, Marker::Square, Marker::Triangle, Marker::Diamond];

/// The look of the line at a place in a list: sixteen differ in dash or marker.
pub(super) fn look(place: usize) -> Look {
    let round = place / DASHES.len();
    Look {
        ink: INKS[place % INKS.len()],
        dash: DASHES[place % DASHES.len()],
        marker: MARKERS[(place + round) % MARKERS.len()],
        width: 2.0,
    }
}

impl Look {
    /// The entry of the key.
    pub(super) fn entry(self, words: String) -> Entry {
        Entry::new(Mark::Marked(self.dash, self.marker), self.ink, words)
    }

    /// The line, with a marker on every place of `marked`.
    pub(super) fn draw(self, chart: &Chart, sketch: &mut Sketch, points: &[Pair], marked: &[Pair]) {
        chart.line(sketch, points.iter().copied(), (self.ink, self.width, self.dash));
        for (x, y) in marked {
            draw_marker(sketch, self.marker, chart.place(*x, *y), self.ink);
        }
    }
}

/// Where `count` markers stand on a line: even steps across, the first at `shift` of a step, so that
/// lines that lie on each other show the markers of both. Nothing between the points is made up.
pub(super) fn markers(points: &[Pair], count: u32, shift: f64) -> Vec<Pair> {
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return Vec::new() };
    let step = (last.0 - first.0) / f64::from(count.max(1));
    let near = |i: u32| {
        let x = first.0 + (f64::from(i) + shift) * step;
        let by = |a: &&Pair, b: &&Pair| (a.0 - x).abs().total_cmp(&(b.0 - x).abs());
        points.iter().min_by(by).copied()
    };
    (0..count).filter_map(near).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sixteen_lines_differ_without_colour() {
        for i in 0..16 {
            for j in 0..i {
                let (a, b) = (look(i), look(j));
                assert!(a.dash != b.dash || a.marker != b.marker, "{i} {j}");
            }
        }
    }

    #[test]
    fn markers_stand_on_the_line_and_shifted_ones_elsewhere() {
        let line: Vec<Pair> = (0..101).map(|i| (f64::from(i), 7.0)).collect();
        let across = |shift| markers(&line, 4, shift).iter().map(|p| p.0).collect::<Vec<_>>();
        assert_eq!(across(0.0), [0.0, 25.0, 50.0, 75.0]);
        assert_eq!(across(0.4), [10.0, 35.0, 60.0, 85.0]);
        assert!(markers(&[], 4, 0.0).is_empty());
    }
}
