//! From a sketch to PNG.

use std::fmt;
use std::sync::OnceLock;

use plotters::backend::{BitMapBackend, DrawingBackend};
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, DrawingAreaErrorKind, IntoDrawingArea as _};
use plotters::element::{Circle, DashedPathElement, PathElement, Polygon, Text};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color as _, FontFamily, FontStyle, ShapeStyle, TextStyle, register_font};

use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, FigureError, Point, Shape, Sketch, WIDTH, Words};

type Dots<'a> = DrawingArea<BitMapBackend<'a>, Shift>;
type DotsFault = DrawingAreaErrorKind<<BitMapBackend<'static> as DrawingBackend>::ErrorType>;

/// Dots for one unit of a sketch.
const DOTS: f64 = 2.5;
/// The backend takes the height of the font's line for its size, 1.164 times its nominal size.
const LINE_HEIGHT: f64 = 1.164;
/// How far the backend draws text above the middle that was asked for, in text sizes.
const RAISED: f64 = 0.17;

/// Name under which the embedded font is known to the drawing library.
const FONT: &str = "figure font";

/// The figure as a PNG file in light colours.
pub(crate) fn png(sketch: &Sketch) -> Result<Vec<u8>, FigureError> {
    let (width, height) = png_size(sketch);
    png_file(&dots(sketch)?, width, height).map_err(|e| failed(sketch, &e))
}

fn png_size(sketch: &Sketch) -> (u32, u32) {
    (dots_of(WIDTH), dots_of(sketch.height))
}

/// Red, green and blue of each dot, line by line.
fn dots(sketch: &Sketch) -> Result<Vec<u8>, FigureError> {
    let (width, height) = png_size(sketch);
    let mut dots = vec![0; width as usize * height as usize * 3];
    let area = BitMapBackend::with_buffer(&mut dots, (width, height)).into_drawing_area();
    area.fill(&Ink::Paper.light()).map_err(|e| failed(sketch, &e))?;
    draw(sketch, &area)?;
    drop(area);
    Ok(dots)
}

fn png_file(dots: &[u8], width: u32, height: u32) -> Result<Vec<u8>, png::EncodingError> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    // Flat colours pack best as they are.
    encoder.set_filter(png::FilterType::NoFilter);
    encoder.set_compression(png::Compression::Default);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(dots)?;
    writer.finish()?;
    Ok(file)
}

pub(crate) fn failed(sketch: &Sketch, reason: &dyn fmt::Display) -> FigureError {
    FigureError { figure: sketch.slug.clone(), reason: reason.to_string() }
}

/// A length in dots.
fn dots_of(length: f64) -> u32 {
    let dots = (length * DOTS).round().clamp(0.0, 1e6);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped just above"
    )]
    let dots = dots as u32;
    dots
}

fn place(point: Point) -> (i32, i32) {
    let whole = |value: f64| {
        let dots = (value * DOTS).round().clamp(-1e6, 1e6);
        #[expect(clippy::cast_possible_truncation, reason = "clamped just above")]
        let dots = dots as i32;
        dots
    };
    (whole(point.x), whole(point.y))
}

fn draw(sketch: &Sketch, area: &Dots<'_>) -> Result<(), FigureError> {
    sketch.sound()?;
    load_fonts(sketch)?;
    sketch
        .shapes
        .iter()
        .try_for_each(|shape| draw_shape(shape, area))
        .map_err(|e| failed(sketch, &e))?;
    area.present().map_err(|e| failed(sketch, &e))
}

fn draw_shape(shape: &Shape, area: &Dots<'_>) -> Result<(), DotsFault> {
    let places = |points: &[Point]| points.iter().map(|p| place(*p)).collect::<Vec<_>>();
    match shape {
        Shape::Line { points, ink, width, dash } => {
            let style = ink.light().stroke_width(dots_of(*width).max(1));
            draw_line(&places(points), *dash, style, area)
        }
        Shape::Area { points, ink, opacity } => {
            area.draw(&Polygon::new(places(points), ink.light().mix(*opacity).filled()))
        }
        Shape::Dot { centre, radius, ink, filled, opacity } => {
            let color = ink.light().mix(*opacity);
            let style = ShapeStyle { color, filled: *filled, stroke_width: dots_of(1.4) };
            area.draw(&Circle::new(place(*centre), dots_of(*radius), style))
        }
        Shape::Text { place: at, text, style } => {
            let lowered = Point { y: at.y + RAISED * style.size, ..*at };
            area.draw(&Text::new(text.clone(), place(lowered), text_style(style)))
        }
    }
}

/// The backend joins the parts of a line in points so long that they look like peaks of the data: it
/// gets each part as a line of its own.
fn draw_line(
    points: &[(i32, i32)],
    dash: Dash,
    style: ShapeStyle,
    area: &Dots<'_>,
) -> Result<(), DotsFault> {
    if let Some((on, off)) = dash.lengths() {
        return area.draw(&DashedPathElement::new(
            points.to_vec(),
            dots_of(on),
            dots_of(off),
            style,
        ));
    }
    points.windows(2).try_for_each(|part| area.draw(&PathElement::new(part.to_vec(), style)))
}

fn text_style(words: &Words) -> TextStyle<'static> {
    let hpos = match words.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let weight = if words.bold { FontStyle::Bold } else { FontStyle::Normal };
    TextStyle {
        font: (FontFamily::Name(FONT), words.size * DOTS * LINE_HEIGHT, weight).into(),
        color: words.ink.light().to_backend_color(),
        pos: Pos::new(hpos, VPos::Center),
    }
}

/// The font's bytes are in the program: text is measured and drawn alike on every system.
fn load_fonts(sketch: &Sketch) -> Result<(), FigureError> {
    static LOADED: OnceLock<bool> = OnceLock::new();
    let load = || {
        register_font(FONT, FontStyle::Normal, dejavu::sans::regular()).is_ok()
            && register_font(FONT, FontStyle::Bold, dejavu::sans::bold()).is_ok()
    };
    if *LOADED.get_or_init(load) {
        Ok(())
    } else {
        Err(failed(sketch, &"the embedded font is not readable"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sketch::at;
    use plotters::style::RGBColor;

    #[test]
    fn a_peak_in_a_picture_is_no_higher_than_its_value() {
        let mut sketch = Sketch::new("peak", "peak", 200.0);
        // A narrow dip is what the bitmap backend's joints turn into a peak above the line.
        let dip = [(150.0, 100.0), (199.6, 100.0), (200.0, 110.0), (200.4, 100.0), (250.0, 100.0)];
        sketch.line(dip.map(|(x, y)| at(x, y)).to_vec(), Ink::Text, 2.0, Dash::Solid);
        let dots = dots(&sketch).unwrap();
        let RGBColor(r, g, b) = Ink::Paper.light();
        let first_dark = dots.chunks_exact(3).position(|dot| dot != [r, g, b]).unwrap();
        let row = first_dark / dots_of(WIDTH) as usize;
        let top = dots_of(100.0) as usize;
        assert!((top - 4..=top).contains(&row), "the line at row {top} is drawn up to row {row}");
    }
}
