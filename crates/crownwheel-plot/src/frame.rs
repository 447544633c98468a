//! Axes: a range of values, its round tick values, and the box that they frame.

use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Point, Sketch, Words, at};

/// A range of values with ticks at round numbers.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Axis {
    pub(crate) min: f64,
    pub(crate) max: f64,
    pub(crate) step: f64,
}

impl Axis {
    /// The range from `min` to `max` widened to round ticks, at most about `count` of them.
    pub(crate) fn round(min: f64, max: f64, count: f64) -> Self {
        let (min, max) = usable(min, max);
        let step = round_step((max - min) / count);
        Axis { min: (min / step).floor() * step, max: (max / step).ceil() * step, step }
    }

    /// The range from `min` to `max` as it is, with round ticks inside.
    pub(crate) fn exact(min: f64, max: f64, count: f64) -> Self {
        let (min, max) = usable(min, max);
        Axis { min, max, step: round_step((max - min) / count) }
    }

    fn ticks(&self) -> Vec<f64> {
        let first = (self.min / self.step - 1e-9).ceil();
        let last = (self.max / self.step + 1e-9).floor();
        // At most a few dozen by construction of the step.
        let mut ticks = Vec::new();
        let mut tick = first;
        while tick <= last && ticks.len() < 100 {
            ticks.push(tick * self.step);
            tick += 1.0;
        }
        ticks
    }

    fn label(&self, value: f64) -> String {
        let decimals = if self.step >= 1.0 {
            0
        } else if self.step >= 0.1 {
            1
        } else {
            2
        };
        let text = crownwheel_answers::unit::digits(value, decimals);
        text.replace('-', "\u{2212}")
    }
}

/// A finite range that is not empty.
fn usable(min: f64, max: f64) -> (f64, f64) {
    let (min, max) =
        (if min.is_finite() { min } else { 0.0 }, if max.is_finite() { max } else { 1.0 });
    if max - min > 1e-6 * max.abs().max(min.abs()).max(1e-6) {
        (min, max)
    } else {
        (min, min + 1.0 + min.abs() * 0.1)
    }
}

/// 1, 2 or 5 times a power of ten, at least `rough`.
fn round_step(rough: f64) -> f64 {
    let power = libm::pow(10.0_f64, libm::log10(rough).floor());
    let share = rough / power;
    let round = [1.0, 2.0, 5.0].into_iter().find(|r| share <= *r + 1e-9).unwrap_or(10.0);
    round * power
}

/// A box with axes.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Frame {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) x: Axis,
    pub(crate) y: Axis,
}

impl Frame {
    /// Where a pair of values stands.
    pub(crate) fn place(&self, x: f64, y: f64) -> Point {
        at(self.across(x), self.down(y))
    }

    /// Where a value of the axis to the right stands.
    pub(crate) fn across(&self, x: f64) -> f64 {
        self.left + (x - self.x.min) / (self.x.max - self.x.min) * self.width
    }

    fn down(&self, y: f64) -> f64 {
        self.top + self.height - (y - self.y.min) / (self.y.max - self.y.min) * self.height
    }

    /// Horizontal grid lines with labels on the left.
    pub(crate) fn draw_y(&self, sketch: &mut Sketch) {
        for tick in self.y.ticks() {
            let y = self.down(tick);
            let zero = tick.abs() < self.y.step * 1e-6;
            let (ink, width) = if zero { (Ink::Soft, 1.2) } else { (Ink::Grid, 1.0) };
            sketch.line(
                vec![at(self.left, y), at(self.left + self.width, y)],
                ink,
                width,
                Dash::Solid,
            );
            sketch.text(
                at(self.left - 7.0, y),
                &self.y.label(tick),
                Words::small(Ink::Soft, Anchor::End),
            );
        }
    }

    /// Vertical grid lines; labels below when wanted.
    pub(crate) fn draw_x(&self, sketch: &mut Sketch, labels: bool) {
        let bottom = self.top + self.height;
        for tick in self.x.ticks() {
            let x = self.across(tick);
            sketch.line(vec![at(x, self.top), at(x, bottom)], Ink::Grid, 1.0, Dash::Solid);
            if labels {
                sketch.text(
                    at(x, bottom + 13.0),
                    &self.x.label(tick),
                    Words::small(Ink::Soft, Anchor::Middle),
                );
            }
        }
    }

    /// Name of the axis to the right with its unit, below its labels.
    pub(crate) fn name_x(&self, sketch: &mut Sketch, name: &str) {
        let place = at(self.left + self.width, self.top + self.height + 31.0);
        sketch.text(place, name, Words::small(Ink::Text, Anchor::End));
    }

    /// Name of the upright axis with its unit, above it and not turned, so that it reads.
    pub(crate) fn name_y(&self, sketch: &mut Sketch, name: &str) {
        sketch.text(at(4.0, self.top - 15.0), name, Words::small(Ink::Text, Anchor::Start).bold());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_cover_the_values() {
        let axis = Axis::round(0.0, 676.1, 5.0);
        assert_eq!(axis.ticks(), [0.0, 200.0, 400.0, 600.0, 800.0]);
        let axis = Axis::round(-13.0, 41.0, 4.0);
        assert_eq!(axis.ticks(), [-20.0, 0.0, 20.0, 40.0, 60.0]);
        assert_eq!(Axis::exact(0.0, 30.0, 6.0).ticks().len(), 7);
    }

    #[test]
    fn an_empty_or_broken_range_still_has_width() {
        for (min, max) in [
            (5.0, 5.0),
            (0.0, 0.0),
            (f64::NAN, 3.0),
            (7.0, -7.0),
            (0.0, f64::INFINITY),
            (1e12, 1e12),
        ] {
            let axis = Axis::round(min, max, 5.0);
            assert!(axis.max > axis.min && axis.step > 0.0, "{min} {max}: {axis:?}");
            assert!(!axis.ticks().is_empty() && axis.ticks().len() < 50, "{axis:?}");
        }
    }
}
