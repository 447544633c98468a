//! From a sketch to SVG.

use crownwheel_answers::text::clean;
use maud::{Markup, html};

use crate::ink::Ink;
use crate::sketch::FigureError;
use crate::sketch::{Anchor, Shape, Sketch, WIDTH, Words};

/// What readers' systems have, nearest to the embedded font of the pictures.
const FONTS: &str = "'DejaVu Sans', Verdana, sans-serif";

/// The figure as part of a page: colours are the page's variables.
pub(crate) fn inline_svg(sketch: &Sketch) -> Result<String, FigureError> {
    document(sketch, false, &|ink| format!("var(--{})", ink.name()))
}

/// The figure as a file of its own, in light colours, for any viewer.
pub(crate) fn file_svg(sketch: &Sketch) -> Result<String, FigureError> {
    document(sketch, true, &Ink::light_hex)
}

fn document(
    sketch: &Sketch,
    file: bool,
    colour: &dyn Fn(Ink) -> String,
) -> Result<String, FigureError> {
    sketch.sound()?;
    let [title, words] = ["title", "desc"].map(|part| format!("{}-{part}", sketch.slug));
    let svg = html! {
        svg xmlns=[file.then_some("http://www.w3.org/2000/svg")]
            viewBox={ "0 0 " (number(WIDTH)) " " (number(sketch.height)) } width="100%" role="img"
            aria-labelledby={ (title) " " (words) } font-family=(FONTS) stroke-linejoin="round" {
            title id=(title) { (clean(&sketch.title)) }
            desc id=(words) { (clean(&sketch.words)) }
            @if file { rect width="100%" height="100%" fill=(colour(Ink::Paper)) {} }
            @for shape in &sketch.shapes { (element(shape, colour)) "\n" }
        }
    };
    Ok(svg.into_string())
}

fn element(shape: &Shape, colour: &dyn Fn(Ink) -> String) -> Markup {
    let pair = |x: f64, y: f64| format!("{},{}", number(x), number(y));
    let pairs = |points: &[crate::sketch::Point]| {
        points.iter().map(|p| pair(p.x, p.y)).collect::<Vec<_>>().join(" ")
    };
    let partly = |opacity: f64| (opacity < 1.0).then(|| format!("{opacity:.2}"));
    match shape {
        Shape::Line { points, ink, width, dash } => html! {
            polyline points=(pairs(points)) fill="none" stroke=(colour(*ink))
                stroke-width=(number(*width)) stroke-dasharray=[dash.lengths().map(|(on, off)| pair(on, off))] {}
        },
        Shape::Area { points, ink, opacity } => html! {
            polygon points=(pairs(points)) fill=(colour(*ink)) fill-opacity=[partly(*opacity)] {}
        },
        Shape::Dot { centre, radius, ink, filled: true, opacity } => html! {
            circle cx=(number(centre.x)) cy=(number(centre.y)) r=(number(*radius))
                fill=(colour(*ink)) fill-opacity=[partly(*opacity)] {}
        },
        Shape::Dot { centre, radius, ink, filled: false, opacity } => html! {
            circle cx=(number(centre.x)) cy=(number(centre.y)) r=(number(*radius)) fill="none"
                stroke=(colour(*ink)) stroke-width="1.4" stroke-opacity=[partly(*opacity)] {}
        },
        Shape::Text { place, text, style } => {
            words(number(place.x), number(place.y), text, style, colour)
        }
    }
}

fn words(
    x: String,
    y: String,
    text: &str,
    style: &Words,
    colour: &dyn Fn(Ink) -> String,
) -> Markup {
    let anchor = match style.anchor {
        Anchor::Start => None,
        Anchor::Middle => Some("middle"),
        Anchor::End => Some("end"),
    };
    html! {
        text x=(x) y=(y) dy="0.36em" text-anchor=[anchor] font-size=(number(style.size))
            font-weight=[style.bold.then_some("bold")] fill=(colour(style.ink)) { (text) }
    }
}

/// A length to a tenth, which is finer than any screen.
fn number(length: f64) -> String {
    let text = format!("{length:.1}");
    text.strip_suffix(".0").unwrap_or(&text).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_in_a_page_are_variables_and_words_are_only_words() {
        let mut sketch = Sketch::new("words", "words", 40.0);
        let words = "\"#1D252A\" <b>";
        sketch.text(crate::sketch::at(10.0, 20.0), words, Words::plain(Ink::Text, Anchor::Start));
        let svg = inline_svg(&sketch).unwrap();
        assert!(svg.contains("fill=\"var(--text)\""), "{svg}");
        assert!(svg.contains("&quot;#1D252A&quot; &lt;b&gt;"), "{svg}");
        assert!(file_svg(&sketch).unwrap().contains("fill=\"#1D252A\""));
    }
}
