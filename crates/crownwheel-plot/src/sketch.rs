//! A figure as a list of shapes, before any backend draws it. Units are CSS pixels at full width.

use std::fmt;

use crownwheel_answers::text::clean;

use crate::ink::Ink;

/// A figure could not be drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct FigureError {
    /// Name of the figure.
    pub figure: String,
    /// What the drawing library says.
    pub reason: String,
}

impl fmt::Display for FigureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "figure `{}` could not be drawn: {}", self.figure, self.reason)
    }
}

impl std::error::Error for FigureError {}

/// Width of every figure. Narrow on purpose: scaled to a phone its text stays readable.
pub(crate) const WIDTH: f64 = 480.0;

/// Size of most text.
pub(crate) const TEXT: f64 = 13.0;

/// Size of tick labels and numbers in bars.
pub(crate) const SMALL: f64 = 12.0;

/// A place in a figure: to the right, down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Point {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

impl Point {
    /// What has no place is not drawn.
    fn is_finite(&self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

/// Short for a [`Point`].
pub(crate) fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// Which end of a text stands at its place; vertically it is centred there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    /// Text starts there.
    Start,
    /// Text is centred there.
    Middle,
    /// Text ends there.
    End,
}

/// How a line is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Dash {
    /// Unbroken.
    Solid,
    /// Long dashes.
    Long,
    /// Short dashes.
    Short,
    /// Dots.
    Dots,
}

impl Dash {
    /// How long it is drawn, and how long not. `None`: always.
    pub(crate) fn lengths(self) -> Option<(f64, f64)> {
        match self {
            Dash::Solid => None,
            Dash::Long => Some((10.0, 5.0)),
            Dash::Short => Some((5.0, 4.0)),
            Dash::Dots => Some((1.8, 3.6)),
        }
    }
}

/// One thing to draw.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Shape {
    /// A line through points.
    Line { points: Vec<Point>, ink: Ink, width: f64, dash: Dash },
    /// A filled shape.
    Area { points: Vec<Point>, ink: Ink, opacity: f64 },
    /// A filled circle, or a ring.
    Dot { centre: Point, radius: f64, ink: Ink, filled: bool, opacity: f64 },
    /// Words.
    Text { place: Point, text: String, style: Words },
}

/// How words look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Words {
    pub(crate) size: f64,
    pub(crate) ink: Ink,
    pub(crate) bold: bool,
    pub(crate) anchor: Anchor,
}

impl Words {
    /// Words of usual size.
    pub(crate) fn plain(ink: Ink, anchor: Anchor) -> Self {
        Words { size: TEXT, ink, bold: false, anchor }
    }

    /// Smaller words.
    pub(crate) fn small(ink: Ink, anchor: Anchor) -> Self {
        Words { size: SMALL, ..Words::plain(ink, anchor) }
    }

    /// The same in bold.
    pub(crate) fn bold(self) -> Self {
        Words { bold: true, ..self }
    }
}

/// A figure.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Sketch {
    /// Name for files and anchors: letters, digits and `-`.
    pub(crate) slug: String,
    /// What it shows, in a few words.
    pub(crate) title: String,
    /// What it shows to somebody who does not see it; stands under the figure too.
    pub(crate) words: String,
    /// Height; the width is [`WIDTH`].
    pub(crate) height: f64,
    /// In drawing order.
    pub(crate) shapes: Vec<Shape>,
    /// How lines are broken that the drawing library draws next.
    pub(crate) dash: Dash,
    /// What the drawing library could not draw.
    pub(crate) fault: Option<String>,
}

impl Sketch {
    /// An empty figure.
    pub(crate) fn new(slug: &str, title: &str, height: f64) -> Self {
        Sketch {
            slug: slug.to_owned(),
            title: title.to_owned(),
            words: String::new(),
            height,
            shapes: Vec::new(),
            dash: Dash::Solid,
            fault: None,
        }
    }

    /// An error if a part of it could not be drawn.
    pub(crate) fn sound(&self) -> Result<(), FigureError> {
        match &self.fault {
            None => Ok(()),
            Some(reason) => Err(FigureError { figure: self.slug.clone(), reason: reason.clone() }),
        }
    }

    /// A line through points.
    pub(crate) fn line(&mut self, points: Vec<Point>, ink: Ink, width: f64, dash: Dash) {
        if points.len() > 1 && points.iter().all(Point::is_finite) {
            self.shapes.push(Shape::Line { points, ink, width, dash });
        }
    }

    /// A filled rectangle between two corners.
    pub(crate) fn bar(&mut self, from: Point, to: Point, ink: Ink) {
        self.area(vec![from, at(to.x, from.y), to, at(from.x, to.y)], ink, 1.0);
    }

    /// A filled shape.
    pub(crate) fn area(&mut self, points: Vec<Point>, ink: Ink, opacity: f64) {
        if points.len() > 2 && points.iter().all(Point::is_finite) {
            self.shapes.push(Shape::Area { points, ink, opacity });
        }
    }

    /// Words.
    pub(crate) fn text(&mut self, place: Point, text: &str, style: Words) {
        if place.is_finite() && !text.is_empty() {
            self.shapes.push(Shape::Text { place, text: clean(text), style });
        }
    }
}

/// Words cut to a count of characters, with an ellipsis.
pub(crate) fn shortened(text: &(impl fmt::Display + ?Sized), most: usize) -> String {
    let text = text.to_string();
    if text.chars().count() <= most {
        return text;
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{kept}…")
}
