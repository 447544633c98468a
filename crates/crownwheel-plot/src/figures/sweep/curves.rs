//! Panels one above the other over the same axis: bands, lines, and the limits of demands.

use crownwheel_answers::{Band, Unit, Units};

use crate::chart::{Axis, Chart, Plan, span};
use crate::figures::legend::{Entry, Mark};
use crate::figures::looks::{Look, look};
use crate::ink::Ink;
use crate::sketch::{Dash, Point, Sketch, at, shortened};

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
pub(super) struct LimitLine {
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
    pub(super) limits: Vec<LimitLine>,
}

/// The axis that all panels share.
#[derive(Clone, Debug)]
pub(super) struct SharedAxis<'a> {
    pub(super) name: String,
    pub(super) numbers: &'a [f64],
    pub(super) labels: &'a [&'a str],
}

/// An entry of the key for each line of the first panel, and for each limit.
pub(super) fn key(panels: &[Panel]) -> Vec<Entry> {
    let curves = panels.first().map_or(&[][..], |panel| &panel.curves);
    let curves = curves.iter().map(|curve| look(curve.look).entry(shortened(&curve.words, 44)));
    let limits = panels.iter().flat_map(|panel| panel.limits.iter().zip(dashes()));
    let limits = limits.map(|(limit, dash)| {
        Entry::new(Mark::Line(dash, LIMIT), Ink::Alarm, shortened(&limit.words, 60))
    });
    curves.chain(limits).collect()
}

/// Dashes of the limits of a panel.
fn dashes() -> impl Iterator<Item = Dash> {
    [Dash::Long, Dash::Short, Dash::Dots].into_iter().cycle()
}

/// Draws the panels, one below the other.
pub(super) fn draw(sketch: &mut Sketch, panels: &[Panel], shared: &SharedAxis<'_>, units: Units) {
    let (first, last) = span(shared.numbers.iter().copied());
    let margin = 0.06 * (last - first);
    for (i, panel) in panels.iter().enumerate() {
        let named = i + 1 == panels.len();
        let symbol = units.symbol(panel.unit);
        let comma = if symbol.is_empty() { "" } else { ", " };
        let (low, high) = span(values(panel).map(|metric| units.value(metric, panel.unit)));
        let chart = Chart::below(
            sketch,
            Plan {
                height: 165.0,
                right: 16.0,
                x: Axis::with_ticks(first - margin, last + margin, ticks(shared)),
                x_name: if named { &shared.name } else { "" },
                y: Axis::round(low, high, 4.0),
                y_name: &format!("{}{comma}{symbol}", panel.name),
            },
        );
        draw_panel(sketch, &chart, panel, units);
    }
}

fn values(panel: &Panel) -> impl Iterator<Item = f64> {
    let points = panel.curves.iter().flat_map(|curve| &curve.points);
    let bands = points.flat_map(|(_, band)| [low(band), band.middle(), high(band)]);
    bands.chain(panel.limits.iter().map(|limit| limit.metric))
}

fn low(band: &Band) -> f64 {
    band.p10.unwrap_or(band.nominal)
}

fn high(band: &Band) -> f64 {
    band.p90.unwrap_or(band.nominal)
}

/// The values that were run, labelled where there is room.
fn ticks(shared: &SharedAxis<'_>) -> Vec<(f64, String)> {
    let (first, last) = span(shared.numbers.iter().copied());
    let room = LABEL * (last - first) / 360.0;
    let mut free_from = f64::NEG_INFINITY;
    let tick = |(number, label): (&f64, &&str)| {
        let bare = label.split(' ').next().unwrap_or(label);
        if *number < free_from {
            return (*number, String::new());
        }
        free_from = number + room;
        (*number, shortened(bare, 8))
    };
    shared.numbers.iter().zip(shared.labels).map(tick).collect()
}

fn draw_panel(sketch: &mut Sketch, chart: &Chart, panel: &Panel, units: Units) {
    let shown = |metric: f64| units.value(metric, panel.unit);
    if let Some(first) = panel.curves.first() {
        let finite = |band: &Band| low(band).is_finite() && high(band).is_finite();
        let some = || first.points.iter().filter(|(_, band)| finite(band));
        let over = some().map(|(x, band)| (*x, shown(high(band))));
        let under = some().rev().map(|(x, band)| (*x, shown(low(band))));
        chart.band(sketch, over.chain(under).collect(), look(first.look).ink, 0.16);
    }
    for (i, curve) in panel.curves.iter().enumerate().rev() {
        let look = Look { width: if i == 0 { 2.6 } else { 1.4 }, ..look(curve.look) };
        let points = curve.points.iter().map(|(x, band)| (*x, shown(band.middle())));
        let points: Vec<(f64, f64)> = points.filter(|(_, y)| y.is_finite()).collect();
        look.draw(chart, sketch, &points, &points);
        // The first has its band already.
        if i > 0 {
            draw_whiskers(sketch, curve, &|x, metric| chart.place(x, shown(metric)), shift(i));
        }
    }
    // Above all lines, so that it is seen which of them meet it.
    for (limit, dash) in panel.limits.iter().zip(dashes()) {
        chart.across(sketch, shown(limit.metric), (Ink::Alarm, LIMIT, dash));
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
