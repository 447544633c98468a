//! Charts: axes, grids, labels and series of the drawing library, drawn onto a sketch.
//!
//! A sketch is to the library one of its backends, so that what a chart draws and what stands beside it are the
//! same shapes, and go to SVG and PNG alike.

use std::convert::Infallible;
use std::ops::Range;

use crownwheel_answers::unit::digits;
use plotters::chart::{ChartBuilder, ChartContext, LabelAreaPosition};
use plotters::coord::cartesian::Cartesian2d;
use plotters::coord::ranged1d::{
    KeyPointHint, KeyPointWeight, NoDefaultFormatting, Ranged, ValueFormatter,
};
use plotters::drawing::{DrawingAreaErrorKind, IntoDrawingArea as _};
use plotters::element::{Circle, Polygon};
use plotters::series::LineSeries;
use plotters::style::text_anchor::{HPos, VPos};
use plotters::style::{Color, FontStyle, IntoFont as _, ShapeStyle, TRANSPARENT};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind,
};

use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Point, SMALL, Shape, Sketch, WIDTH, Words, at};
use crate::thin::thinned;

/// Room to the left of a chart for the labels of its upright axis.
pub(crate) const LEFT: f64 = 52.0;
/// Room above a chart for the name of that axis.
const HEAD: f64 = 33.0;
/// Room below a chart for the labels and the name of the other.
const FOOT: f64 = 42.0;
/// The library counts whole units: a unit of a sketch has ten.
const TENTHS: f64 = 10.0;

/// A range of values with labelled ticks.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Axis {
    pub(crate) min: f64,
    pub(crate) max: f64,
    ticks: Vec<(f64, String)>,
}

impl Axis {
    /// The range of values, and zero, widened to round ticks, at most about `count` of them.
    pub(crate) fn from_zero(values: impl IntoIterator<Item = f64>, count: f64) -> Self {
        let (low, high) = span(values);
        Axis::round(low.min(0.0), high.max(0.0), count)
    }

    /// The range from `min` to `max` widened to round ticks, at most about `count` of them.
    pub(crate) fn round(min: f64, max: f64, count: f64) -> Self {
        let (min, max) = usable(min, max);
        let step = round_step((max - min) / count);
        Axis::stepped((min / step).floor() * step, (max / step).ceil() * step, step)
    }

    /// The range from `min` to `max` as it is, with round ticks inside.
    pub(crate) fn exact(min: f64, max: f64, count: f64) -> Self {
        let (min, max) = usable(min, max);
        Axis::stepped(min, max, round_step((max - min) / count))
    }

    /// The range from `min` to `max` with ticks of its own.
    pub(crate) fn with_ticks(min: f64, max: f64, ticks: Vec<(f64, String)>) -> Self {
        let (min, max) = usable(min, max);
        Axis { min, max, ticks }
    }

    fn stepped(min: f64, max: f64, step: f64) -> Self {
        let decimals = [1.0, 0.1].iter().take_while(|least| step < **least).count();
        let label = |value| digits(value, decimals).replace('-', "\u{2212}");
        let (mut ticks, mut tick) = (Vec::new(), (min / step - 1e-9).ceil());
        // At most a few dozen by construction of the step.
        while tick <= max / step + 1e-9 && ticks.len() < 100 {
            ticks.push((tick * step, label(tick * step)));
            tick += 1.0;
        }
        Axis { min, max, ticks }
    }

    fn label(&self, value: f64) -> String {
        let tick =
            self.ticks.iter().find(|tick| (tick.0 - value).abs() < 1e-9 * (self.max - self.min));
        tick.map_or_else(String::new, |tick| tick.1.clone())
    }
}

impl Ranged for Axis {
    type ValueType = f64;
    type FormatOption = NoDefaultFormatting;

    fn map(&self, value: &f64, (from, to): (i32, i32)) -> i32 {
        let share = (value - self.min) / (self.max - self.min);
        let place = f64::from(from) + share * f64::from(to - from);
        tenths(place / TENTHS)
    }

    fn key_points<Hint: KeyPointHint>(&self, hint: Hint) -> Vec<f64> {
        match hint.weight() {
            KeyPointWeight::Bold => self.ticks.iter().map(|tick| tick.0).collect(),
            KeyPointWeight::Any => Vec::new(),
        }
    }

    fn range(&self) -> Range<f64> {
        self.min..self.max
    }
}

impl ValueFormatter<f64> for Axis {
    fn format(value: &f64) -> String {
        value.to_string()
    }

    fn format_ext(&self, value: &f64) -> String {
        self.label(*value)
    }
}

/// Least and greatest of the values that are numbers.
pub(crate) fn span(values: impl IntoIterator<Item = f64>) -> (f64, f64) {
    let numbers = values.into_iter().filter(|value| value.is_finite());
    numbers.fold((f64::INFINITY, f64::NEG_INFINITY), |(min, max), v| (min.min(v), max.max(v)))
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

/// What a chart is to be.
pub(crate) struct Plan<'a> {
    pub(crate) height: f64,
    /// Room to its right.
    pub(crate) right: f64,
    pub(crate) x: Axis,
    /// Name of the axis to the right with its unit. Empty: another chart or a strip below has its labels.
    pub(crate) x_name: &'a str,
    pub(crate) y: Axis,
    /// Name of the upright axis with its unit, written above it and not turned, so that it reads.
    pub(crate) y_name: &'a str,
}

/// A chart in a figure.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Chart {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) x: Axis,
    pub(crate) y: Axis,
}

type Plane = Cartesian2d<Axis, Axis>;
type Context<'a> = ChartContext<'a, Canvas<'a>, Plane>;
type Fault = DrawingAreaErrorKind<Infallible>;

impl Chart {
    /// A chart below everything that the figure has.
    pub(crate) fn below(sketch: &mut Sketch, plan: Plan<'_>) -> Chart {
        sketch.height += HEAD;
        let style = Words::small(Ink::Text, Anchor::Start).bold();
        sketch.text(at(4.0, sketch.height - 15.0), plan.y_name, style);
        Chart::add(sketch, LEFT, plan)
    }

    /// An axis to the right alone, for bars that lie along it.
    pub(crate) fn for_bars(
        sketch: &mut Sketch,
        (left, right): (f64, f64),
        height: f64,
        (x, x_name): (Axis, &str),
    ) -> Chart {
        let y = Axis::with_ticks(0.0, 1.0, Vec::new());
        Chart::add(sketch, left, Plan { height, right, x, x_name, y, y_name: "" })
    }

    fn add(sketch: &mut Sketch, left: f64, plan: Plan<'_>) -> Chart {
        let (top, width) = (sketch.height, WIDTH - left - plan.right);
        let chart = Chart { left, top, width, height: plan.height, x: plan.x, y: plan.y };
        sketch.height += plan.height;
        chart.draw_mesh(sketch, !plan.x_name.is_empty());
        if !plan.x_name.is_empty() {
            chart.name_x(sketch, plan.x_name);
        }
        chart
    }

    /// Name of the axis to the right with its unit, at the foot of the figure.
    pub(crate) fn name_x(&self, sketch: &mut Sketch, name: &str) {
        let place = at(self.left + self.width, self.top + self.height + 31.0);
        sketch.text(place, name, Words::small(Ink::Text, Anchor::End));
        sketch.height = self.top + self.height + FOOT;
    }

    /// Grid and labels of both axes.
    pub(crate) fn draw_mesh(&self, sketch: &mut Sketch, x_labels: bool) {
        self.draw(sketch, |chart| {
            let text = ("sans-serif", SMALL * TENTHS).into_font().color(&Ink::Soft.light());
            let mut mesh = chart.configure_mesh();
            let no_line = ShapeStyle { color: TRANSPARENT, filled: false, stroke_width: 0 };
            mesh.axis_style(no_line).bold_line_style(stroke(Ink::Grid, 1.0));
            mesh.set_all_tick_mark_size(30).label_style(text);
            let none = |_: &f64| String::new();
            if !x_labels {
                mesh.x_label_formatter(&none);
            }
            mesh.draw()
        });
        if !self.y.label(0.0).is_empty() {
            self.across(sketch, 0.0, (Ink::Soft, 1.2, Dash::Solid));
        }
    }

    /// A line through what of the points is numbers.
    pub(crate) fn line(
        &self,
        sketch: &mut Sketch,
        points: impl IntoIterator<Item = (f64, f64)>,
        (ink, width, dash): (Ink, f64, Dash),
    ) {
        let points = points.into_iter().filter(|(x, y)| x.is_finite() && y.is_finite());
        let points = thinned(&points.collect::<Vec<_>>(), self.x.min, self.x.max - self.x.min);
        sketch.dash = dash;
        let style = stroke(ink, width);
        self.draw(sketch, |chart| chart.draw_series(LineSeries::new(points, style)).map(|_| ()));
        sketch.dash = Dash::Solid;
    }

    /// A line right across at a value.
    pub(crate) fn across(&self, sketch: &mut Sketch, y: f64, look: (Ink, f64, Dash)) {
        self.line(sketch, [(self.x.min, y), (self.x.max, y)], look);
    }

    /// A shaded band between two lines.
    pub(crate) fn band(&self, sketch: &mut Sketch, edge: Vec<(f64, f64)>, ink: Ink, opacity: f64) {
        let band = Polygon::new(edge, ink.light().mix(opacity));
        self.draw(sketch, |chart| chart.draw_series([band]).map(|_| ()));
    }

    /// Filled dots or rings: where, with which radius.
    pub(crate) fn dots(
        &self,
        sketch: &mut Sketch,
        dots: impl IntoIterator<Item = ((f64, f64), f64)>,
        (ink, filled, opacity): (Ink, bool, f64),
    ) {
        let color = ink.light().mix(opacity);
        let style = ShapeStyle { color, filled, stroke_width: 14 };
        let finite = |dot: &((f64, f64), f64)| dot.0.0.is_finite() && dot.0.1.is_finite();
        let dots = dots.into_iter().filter(finite);
        let dots = dots.map(|(place, radius)| Circle::new(place, tenths(radius), style));
        self.draw(sketch, |chart| chart.draw_series(dots).map(|_| ()));
    }

    /// Where a pair of values stands.
    pub(crate) fn place(&self, x: f64, y: f64) -> Point {
        let share = (y - self.y.min) / (self.y.max - self.y.min);
        at(self.along(x), self.top + self.height - share * self.height)
    }

    /// Where a value of the axis to the right stands.
    pub(crate) fn along(&self, x: f64) -> f64 {
        self.left + (x - self.x.min) / (self.x.max - self.x.min) * self.width
    }

    fn draw(
        &self,
        sketch: &mut Sketch,
        series: impl for<'s> FnOnce(&mut Context<'s>) -> Result<(), Fault>,
    ) {
        let drawn = self.context(Canvas(sketch)).and_then(|mut chart| series(&mut chart));
        if let Err(fault) = drawn {
            sketch.fault = Some(fault.to_string());
        }
    }

    fn context<'s>(&self, canvas: Canvas<'s>) -> Result<Context<'s>, Fault> {
        let foot = tenths(FOOT);
        let size = (tenths(self.left + self.width), tenths(self.height) + foot);
        let area = canvas.into_drawing_area().shrink((0, tenths(self.top)), size);
        ChartBuilder::on(&area)
            .set_label_area_size(LabelAreaPosition::Left, tenths(self.left))
            .set_label_area_size(LabelAreaPosition::Bottom, foot)
            .build_cartesian_2d(self.x.clone(), self.y.clone())
    }
}

fn stroke(ink: Ink, width: f64) -> ShapeStyle {
    Color::stroke_width(&ink.light(), tenths(width).unsigned_abs())
}

fn tenths(length: f64) -> i32 {
    let tenths = (length * TENTHS).round().clamp(-1e6, 1e6);
    #[expect(clippy::cast_possible_truncation, reason = "clamped just above")]
    let tenths = tenths as i32;
    tenths
}

/// A sketch as what the drawing library draws on.
struct Canvas<'s>(&'s mut Sketch);

type Done = Result<(), DrawingErrorKind<Infallible>>;

fn point((x, y): BackendCoord) -> Point {
    at(f64::from(x) / TENTHS, f64::from(y) / TENTHS)
}

fn ink(colour: BackendColor) -> Ink {
    Ink::of(colour.rgb)
}

impl DrawingBackend for Canvas<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        // Below, a sketch grows as it needs.
        (tenths(WIDTH).unsigned_abs(), 1_000_000)
    }

    fn ensure_prepared(&mut self) -> Done {
        Ok(())
    }

    fn present(&mut self) -> Done {
        Ok(())
    }

    fn draw_pixel(&mut self, _: BackendCoord, _: BackendColor) -> Done {
        Ok(())
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Done {
        self.draw_path([from, to], style)
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Done {
        let width = f64::from(style.stroke_width()) / TENTHS;
        if style.color().alpha <= 0.0 {
            return Ok(());
        }
        let dash = self.0.dash;
        self.0.line(path.into_iter().map(point).collect(), ink(style.color()), width, dash);
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        centre: BackendCoord,
        radius: u32,
        style: &S,
        filled: bool,
    ) -> Done {
        let (ink, opacity) = (ink(style.color()), style.color().alpha);
        let (centre, radius) = (point(centre), f64::from(radius) / TENTHS);
        self.0.shapes.push(Shape::Dot { centre, radius, ink, filled, opacity });
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        edge: I,
        style: &S,
    ) -> Done {
        let edge = edge.into_iter().map(point).collect();
        self.0.area(edge, ink(style.color()), style.color().alpha);
        Ok(())
    }

    fn draw_text<S: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &S,
        place: BackendCoord,
    ) -> Done {
        let size = style.size() / TENTHS;
        let anchor = match style.anchor().h_pos {
            HPos::Left => Anchor::Start,
            HPos::Center => Anchor::Middle,
            HPos::Right => Anchor::End,
        };
        let lower = match style.anchor().v_pos {
            VPos::Top => 0.5 * size,
            VPos::Center => 0.0,
            VPos::Bottom => -0.5 * size,
        };
        let Point { x, y } = point(place);
        let bold = matches!(style.style(), FontStyle::Bold);
        let style = Words { size, ink: ink(style.color()), bold, anchor };
        self.0.text(at(x, y + lower), text, style);
        Ok(())
    }

    /// Near enough to lay out labels without the font.
    fn estimate_text_size<S: BackendTextStyle>(
        &self,
        text: &str,
        style: &S,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let letters = u32::try_from(text.chars().count()).unwrap_or(u32::MAX);
        let side = |share: f64| tenths(share * style.size() / TENTHS).unsigned_abs();
        Ok((side(0.62).saturating_mul(letters), side(1.0)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(axis: &Axis) -> Vec<f64> {
        axis.ticks.iter().map(|tick| tick.0).collect()
    }

    #[test]
    fn ticks_are_round_and_cover_the_values() {
        let axis = Axis::round(0.0, 676.1, 5.0);
        assert_eq!(values(&axis), [0.0, 200.0, 400.0, 600.0, 800.0]);
        let axis = Axis::round(-13.0, 41.0, 4.0);
        assert_eq!(values(&axis), [-20.0, 0.0, 20.0, 40.0, 60.0]);
        assert_eq!(axis.label(-20.0), "\u{2212}20");
        assert_eq!(Axis::exact(0.0, 30.0, 6.0).ticks.len(), 7);
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
            assert!(axis.max > axis.min, "{min} {max}: {axis:?}");
            assert!(!axis.ticks.is_empty() && axis.ticks.len() < 50, "{axis:?}");
        }
    }

    #[test]
    fn a_line_stands_where_its_values_stand_and_the_grid_has_labels() {
        let mut sketch = Sketch::new("chart", "chart", 20.0);
        let (x, y) = (Axis::exact(0.0, 10.0, 5.0), Axis::exact(0.0, 4.0, 4.0));
        let plan = Plan { height: 100.0, right: 20.0, x, x_name: "time, s", y, y_name: "way, m" };
        let chart = Chart::below(&mut sketch, plan);
        chart.line(
            &mut sketch,
            [(0.0, 1.0), (5.0, f64::NAN), (10.0, 3.0)],
            (Ink::Blue, 2.0, Dash::Long),
        );
        let Some(Shape::Line { points, ink, width, dash }) = sketch.shapes.last() else {
            panic!("no line: {sketch:?}")
        };
        assert_eq!((*ink, *dash), (Ink::Blue, Dash::Long));
        assert!((width - 2.0).abs() < 0.01);
        for (drawn, value) in points.iter().zip([(0.0, 1.0), (10.0, 3.0)]) {
            let meant = chart.place(value.0, value.1);
            assert!(
                (drawn.x - meant.x).abs() < 0.2 && (drawn.y - meant.y).abs() < 0.2,
                "{drawn:?} {meant:?}"
            );
        }
        let said = |words: &str| {
            sketch.shapes.iter().any(|it| matches!(it, Shape::Text { text, .. } if text == words))
        };
        assert!(["0", "2", "10", "4", "time, s", "way, m"].into_iter().all(said), "{sketch:?}");
    }
}
