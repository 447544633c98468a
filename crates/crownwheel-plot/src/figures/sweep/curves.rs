//! Panels one above the other over the same axis: bands, lines, and the limits of demands.

use crownwheel_answers::{Band, Unit, Units};

use crate::figures::legend::{Entry, Mark, draw_marker};
use crate::figures::looks::look;
use crate::frame::{Axis, Frame};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Point, Sketch, WIDTH, Words, at, shortened};

const LEFT: f64 = 58.0;
const RIGHT: f64 = 16.0;
const PLOT: f64 = 165.0;
/// Room above a panel for the name of its axis.
const HEAD: f64 = 34.0;
/// Room below the last panel.
const FOOT: f64 = 42.0;
/// Room that the label of a value needs.
const LABEL: f64 = 34.0;
/// Width of a limit's line.
const LIMIT: f64 = 1.8;

/// One line of a panel.
#[derive(Clone, Debug)]
pub(super) struct Curve {
    /// Words of the key.
    pub(super) words: String,
    /// Place in the list of looks.
    pub(super) look: usize,
    /// Place along the axis, and the value in the metric unit of the panel.
    pub(super) points: Vec<(f64, Band)>,
}

/// A limit drawn across a panel.
#[derive(Clone, Debug)]
pub(super) struct Across {
    pub(super) words: String,
    /// In the metric unit of the panel.
    pub(super) metric: f64,
}

/// One quantity.
#[derive(Clone, Debug)]
pub(super) struct Panel {
    /// Name of the upright axis, with its unit if `unit` has no symbol.
    pub(super) name: String,
    pub(super) unit: Unit,
    pub(super) curves: Vec<Curve>,
    pub(super) limits: Vec<Across>,
}

/// The axis that all panels share.
#[derive(Clone, Debug)]
pub(super) struct Shared<'a> {
    pub(super) name: String,
    pub(super) numbers: &'a [f64],
    pub(super) labels: &'a [&'a str],
}

/// Height that panels need.
pub(super) fn height(panels: &[Panel]) -> f64 {
    panels.iter().map(|_| HEAD + PLOT).sum::<f64>() + FOOT
}

/// An entry of the key for each line of the first panel, and for each limit.
pub(super) fn key(panels: &[Panel]) -> Vec<Entry> {
    let curves = panels.first().map_or(&[][..], |panel| &panel.curves);
    let curves = curves.iter().map(|curve| look(curve.look).entry(shortened(&curve.words, 44)));
    let limits = panels.iter().flat_map(|panel| panel.limits.iter().zip(dashes()));
    let limits = limits.map(|(limit, dash)| Entry {
        mark: Mark::Line(dash, LIMIT),
        ink: Ink::Alarm,
        words: shortened(&limit.words, 60),
    });
    curves.chain(limits).collect()
}

/// Dashes of the limits of a panel.
fn dashes() -> impl Iterator<Item = Dash> {
    [Dash::Long, Dash::Short, Dash::Dots].into_iter().cycle()
}

/// Draws the panels from `top` down.
pub(super) fn draw(
    sketch: &mut Sketch,
    panels: &[Panel],
    shared: &Shared<'_>,
    units: Units,
    top: f64,
) {
    let mut top = top;
    for (i, panel) in panels.iter().enumerate() {
        let frame = frame(panel, shared, units, top + HEAD);
        let last = i + 1 == panels.len();
        draw_values(sketch, &frame, shared, last);
        frame.draw_y(sketch);
        let name = match units.symbol(panel.unit) {
            "" => panel.name.clone(),
            symbol => format!("{}, {symbol}", panel.name),
        };
        frame.name_y(sketch, &name);
        draw_panel(sketch, &frame, panel, units);
        if last {
            frame.name_x(sketch, &shared.name);
        }
        top += HEAD + PLOT;
    }
}

fn frame(panel: &Panel, shared: &Shared<'_>, units: Units, top: f64) -> Frame {
    let points = panel.curves.iter().flat_map(|curve| &curve.points);
    let bands = points.flat_map(|(_, band)| [low(band), band.middle(), high(band)]);
    let all = bands.chain(panel.limits.iter().map(|limit| limit.metric));
    let shown = all.map(|metric| units.value(metric, panel.unit)).filter(|value| value.is_finite());
    let (min, max) =
        shown.fold((f64::INFINITY, f64::NEG_INFINITY), |(min, max), v| (min.min(v), max.max(v)));
    let (first, last) = (shared.numbers.first(), shared.numbers.last());
    let (first, last) = (first.copied().unwrap_or(0.0), last.copied().unwrap_or(1.0));
    let margin = 0.06 * (last - first);
    Frame {
        left: LEFT,
        top,
        width: WIDTH - LEFT - RIGHT,
        height: PLOT,
        x: Axis::exact(first - margin, last + margin, 6.0),
        y: Axis::round(min, max, 4.0),
    }
}

fn low(band: &Band) -> f64 {
    band.p10.unwrap_or(band.nominal)
}

fn high(band: &Band) -> f64 {
    band.p90.unwrap_or(band.nominal)
}

/// Uprights at the values that were run, and their labels where there is room.
fn draw_values(sketch: &mut Sketch, frame: &Frame, shared: &Shared<'_>, labels: bool) {
    let bottom = frame.top + frame.height;
    let mut free_from = f64::NEG_INFINITY;
    for (number, label) in shared.numbers.iter().zip(shared.labels) {
        let x = frame.across(*number);
        sketch.line(vec![at(x, frame.top), at(x, bottom)], Ink::Grid, 1.0, Dash::Solid);
        let bare = label.split(' ').next().unwrap_or(label);
        if labels && x >= free_from {
            let style = Words::small(Ink::Soft, Anchor::Middle);
            sketch.text(at(x, bottom + 13.0), &shortened(bare, 8), style);
            free_from = x + LABEL;
        }
    }
}

fn draw_panel(sketch: &mut Sketch, frame: &Frame, panel: &Panel, units: Units) {
    let place = |x: f64, metric: f64| frame.place(x, units.value(metric, panel.unit));
    if let Some(first) = panel.curves.first() {
        let finite = |band: &Band| low(band).is_finite() && high(band).is_finite();
        let kept = || first.points.iter().filter(|(_, band)| finite(band));
        let over = kept().map(|(x, band)| place(*x, high(band)));
        let under = kept().rev().map(|(x, band)| place(*x, low(band)));
        sketch.area(over.chain(under).collect(), look(first.look).ink, 0.16);
    }
    for (i, curve) in panel.curves.iter().enumerate().rev() {
        let look = look(curve.look);
        let points: Vec<Point> = curve
            .points
            .iter()
            .filter(|(_, band)| band.middle().is_finite())
            .map(|(x, band)| place(*x, band.middle()))
            .collect();
        sketch.line(points.clone(), look.ink, if i == 0 { 2.6 } else { 1.4 }, look.dash);
        for point in points {
            draw_marker(sketch, look.marker, point, look.ink);
        }
        // The first has its band already.
        if i > 0 {
            draw_whiskers(sketch, curve, &place, shift(i));
        }
    }
    // Above all lines, so that it is seen which of them meet it.
    for (limit, dash) in panel.limits.iter().zip(dashes()) {
        if limit.metric.is_finite() {
            let y = place(0.0, limit.metric).y;
            let ends = vec![at(frame.left, y), at(frame.left + frame.width, y)];
            sketch.line(ends, Ink::Alarm, LIMIT, dash);
        }
    }
}

/// Whiskers of lines beside each other do not lie on each other.
fn shift(place: usize) -> f64 {
    let side = if place.is_multiple_of(2) { 1.0 } else { -1.0 };
    side * 3.0 * f64::from(u32::try_from(place.div_ceil(2)).unwrap_or(0))
}

fn draw_whiskers(
    sketch: &mut Sketch,
    curve: &Curve,
    place: &impl Fn(f64, f64) -> Point,
    shift: f64,
) {
    for (x, band) in &curve.points {
        let (Some(p10), Some(p90)) = (band.p10, band.p90) else { continue };
        let (from, to) = (place(*x, p10), place(*x, p90));
        if p10.is_finite() && p90.is_finite() && from.y - to.y > 3.0 {
            let ends = vec![at(from.x + shift, from.y), at(to.x + shift, to.y)];
            sketch.line(ends, look(curve.look).ink, 1.2, Dash::Solid);
        }
    }
}
