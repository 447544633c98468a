//! From a sketch to SVG and PNG.

use std::fmt;
use std::sync::OnceLock;

use plotters::backend::{BitMapBackend, DrawingBackend, SVGBackend};
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, DrawingAreaErrorKind, IntoDrawingArea as _};
use plotters::element::{Circle, DashedPathElement, PathElement, Polygon, Text};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color as _, FontFamily, FontStyle, ShapeStyle, TextStyle, register_font};

use crownwheel_answers::text::clean;

use crate::ink::{Ink, with_variables};
use crate::sketch::{Anchor, Dash, Point, Shape, Sketch, WIDTH, Words};

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

/// How a backend takes lengths and text.
#[derive(Clone, Copy)]
struct Scale {
    /// Canvas units for one unit of a sketch. The SVG backend rounds to whole units, so it gets ten;
    /// a PNG has that many dots.
    units: f64,
    /// Size asked for over size drawn. The SVG backend divides sizes by 1.24; the bitmap backend
    /// takes the height of the font's line, 1.164 times its nominal size.
    text: f64,
    /// How far the bitmap backend draws text above the middle that was asked for, in text sizes.
    raised: f64,
    /// The bitmap backend joins the parts of a line in points so long that they look like peaks of
    /// the data: it gets each part as a line of its own.
    parts: bool,
}

const SVG_SCALE: Scale = Scale { units: 10.0, text: 1.24, raised: 0.0, parts: false };
const PNG_SCALE: Scale = Scale { units: 2.5, text: 1.164, raised: 0.17, parts: true };

/// Name under which the embedded font is known to the drawing library.
const FONT: &str = "figure font";

/// What readers' systems have, nearest to the embedded font that measured the text.
const FONT_LIST: &str = "'DejaVu Sans', Verdana, sans-serif";

/// The figure as part of a page: colours are the page's variables.
pub(crate) fn inline_svg(sketch: &Sketch) -> Result<String, FigureError> {
    let body = with_variables(&svg_body(sketch)?);
    Ok(format!("{}{body}</svg>", svg_head(sketch, "")))
}

/// The figure as a file of its own, in light colours, for any viewer.
pub(crate) fn file_svg(sketch: &Sketch) -> Result<String, FigureError> {
    let body = svg_body(sketch)?;
    let head = svg_head(sketch, " xmlns=\"http://www.w3.org/2000/svg\"");
    let ground = Ink::Paper.light();
    let ground = format!(
        "<rect width=\"100%\" height=\"100%\" fill=\"#{:02X}{:02X}{:02X}\"/>\n",
        ground.0, ground.1, ground.2
    );
    Ok(format!("{head}{ground}{body}</svg>\n"))
}

/// The figure as a PNG file in light colours.
pub(crate) fn png(sketch: &Sketch) -> Result<Vec<u8>, FigureError> {
    let (width, height) = png_size(sketch);
    png_file(&dots(sketch)?, width, height).map_err(|e| failed(sketch, &e))
}

fn png_size(sketch: &Sketch) -> (u32, u32) {
    (PNG_SCALE.length(WIDTH), PNG_SCALE.length(sketch.height))
}

/// Red, green and blue of each dot, line by line.
fn dots(sketch: &Sketch) -> Result<Vec<u8>, FigureError> {
    let (width, height) = png_size(sketch);
    let mut dots = vec![0; width as usize * height as usize * 3];
    let area = BitMapBackend::with_buffer(&mut dots, (width, height)).into_drawing_area();
    area.fill(&Ink::Paper.light()).map_err(|e| failed(sketch, &e))?;
    draw(sketch, &area, PNG_SCALE)?;
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

fn failed(sketch: &Sketch, reason: &dyn fmt::Display) -> FigureError {
    FigureError { figure: sketch.slug.clone(), reason: reason.to_string() }
}

fn svg_head(sketch: &Sketch, namespace: &str) -> String {
    let (slug, title, words) = (&sketch.slug, escaped(&sketch.title), escaped(&sketch.words));
    format!(
        "<svg{namespace} viewBox=\"0 0 {} {}\" width=\"100%\" role=\"img\" \
         aria-labelledby=\"{slug}-title {slug}-desc\" font-family=\"{FONT_LIST}\" stroke-linejoin=\"round\">\n\
         <title id=\"{slug}-title\">{title}</title>\n<desc id=\"{slug}-desc\">{words}</desc>\n",
        SVG_SCALE.length(WIDTH),
        SVG_SCALE.length(sketch.height),
    )
}

fn escaped(text: &str) -> String {
    maud::html! { (clean(text)) }.into_string()
}

/// Everything between the tags of the drawing library's own document.
fn svg_body(sketch: &Sketch) -> Result<String, FigureError> {
    let size = (SVG_SCALE.length(WIDTH), SVG_SCALE.length(sketch.height));
    let mut svg = String::new();
    {
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        draw(sketch, &area, SVG_SCALE)?;
    }
    let inside = svg.split_once(">\n").map_or("", |(_, rest)| rest);
    let inside = inside.trim_end().trim_end_matches("</svg>");
    // The font list stands once at the head, and full opacity is what SVG takes anyway.
    Ok(inside.replace(&format!(" font-family=\"{FONT}\""), "").replace(" opacity=\"1\"", ""))
}

impl Scale {
    fn length(self, value: f64) -> u32 {
        let scaled = (value * self.units).round().clamp(0.0, 1e6);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped just above"
        )]
        let length = scaled as u32;
        length
    }

    fn place(self, point: Point) -> (i32, i32) {
        let whole = |value: f64| {
            let scaled = (value * self.units).round().clamp(-1e6, 1e6);
            #[expect(clippy::cast_possible_truncation, reason = "clamped just above")]
            let place = scaled as i32;
            place
        };
        (whole(point.x), whole(point.y))
    }

    fn places(self, points: &[Point]) -> Vec<(i32, i32)> {
        points.iter().map(|p| self.place(*p)).collect()
    }
}

fn draw<DB: DrawingBackend>(
    sketch: &Sketch,
    area: &DrawingArea<DB, Shift>,
    scale: Scale,
) -> Result<(), FigureError> {
    load_fonts(sketch)?;
    for shape in &sketch.shapes {
        draw_shape(shape, area, scale)
            .map_err(|reason| FigureError { figure: sketch.slug.clone(), reason })?;
    }
    area.present().map_err(|e| failed(sketch, &e))
}

fn draw_shape<DB: DrawingBackend>(
    shape: &Shape,
    area: &DrawingArea<DB, Shift>,
    scale: Scale,
) -> Result<(), String> {
    let drawn = match shape {
        Shape::Line { points, ink, width, dash } => {
            let style = ink.light().stroke_width(scale.length(*width).max(1));
            draw_line(&scale.places(points), *dash, style, area, scale)
        }
        Shape::Area { points, ink, opacity } => {
            area.draw(&Polygon::new(scale.places(points), ink.light().mix(*opacity).filled()))
        }
        Shape::Dot { centre, radius, ink, filled, opacity } => {
            let colour = ink.light().mix(*opacity);
            let width = scale.length(1.4).max(1);
            let style = ShapeStyle { color: colour, filled: *filled, stroke_width: width };
            area.draw(&Circle::new(scale.place(*centre), scale.length(*radius), style))
        }
        Shape::Text { place, text, style } => {
            let lowered = Point { y: place.y + scale.raised * style.size, ..*place };
            area.draw(&Text::new(text.clone(), scale.place(lowered), text_style(style, scale)))
        }
    };
    drawn.map_err(|e| e.to_string())
}

fn draw_line<DB: DrawingBackend>(
    points: &[(i32, i32)],
    dash: Dash,
    style: ShapeStyle,
    area: &DrawingArea<DB, Shift>,
    scale: Scale,
) -> Result<(), DrawingAreaErrorKind<DB::ErrorType>> {
    if let Some((on, off)) = dash_lengths(dash) {
        let (on, off) = (scale.length(on), scale.length(off));
        return area.draw(&DashedPathElement::new(points.to_vec(), on, off, style));
    }
    if scale.parts {
        points.windows(2).try_for_each(|part| area.draw(&PathElement::new(part.to_vec(), style)))
    } else {
        area.draw(&PathElement::new(points.to_vec(), style))
    }
}

fn dash_lengths(dash: Dash) -> Option<(f64, f64)> {
    match dash {
        Dash::Solid => None,
        Dash::Long => Some((10.0, 5.0)),
        Dash::Short => Some((5.0, 4.0)),
        Dash::Dots => Some((1.8, 3.6)),
    }
}

fn text_style(words: &Words, scale: Scale) -> TextStyle<'static> {
    let hpos = match words.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let weight = if words.bold { FontStyle::Bold } else { FontStyle::Normal };
    TextStyle {
        font: (FontFamily::Name(FONT), words.size * scale.units * scale.text, weight).into(),
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
        let row = first_dark / PNG_SCALE.length(WIDTH) as usize;
        let top = PNG_SCALE.length(100.0) as usize;
        assert!((top - 4..=top).contains(&row), "the line at row {top} is drawn up to row {row}");
    }

    #[test]
    fn only_whole_attributes_become_variables() {
        let mut sketch = Sketch::new("words", "words", 40.0);
        let hex = "\"#1D252A\"";
        sketch.text(at(10.0, 20.0), hex, Words::plain(Ink::Text, Anchor::Start));
        let svg = inline_svg(&sketch).unwrap();
        assert!(svg.contains("fill=\"var(--text)\""), "{svg}");
        assert!(svg.contains("&quot;#1D252A&quot;"), "{svg}");
    }
}
