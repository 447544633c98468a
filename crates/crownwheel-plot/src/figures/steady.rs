//! Range against steady speed, a line for each day.

use crownwheel_answers::tables::steady_at;
use crownwheel_answers::{RangeAnswer, SteadyResult, Unit, Units};

use super::legend::{self, Entry, LINE, Mark, Marker, draw_marker};
use crate::frame::{Axis, Frame};
use crate::ink::Ink;
use crate::sketch::{Dash, Point, Sketch, WIDTH, shortened};

const LEFT: f64 = 52.0;
const RIGHT: f64 = 20.0;
const PLOT: f64 = 270.0;

const LOOKS: [(Ink, Dash, Marker); 4] = [
    (Ink::Blue, Dash::Solid, Marker::Circle),
    (Ink::Rust, Dash::Long, Marker::Square),
    (Ink::Green, Dash::Short, Marker::Triangle),
    (Ink::Plum, Dash::Dots, Marker::Diamond),
];

/// A line with its own dash and marker for each day.
pub(crate) fn steady(answer: &RangeAnswer) -> Sketch {
    let days = answer.days();
    let key: Vec<Entry> = days
        .iter()
        .enumerate()
        .map(|(i, day)| {
            let (ink, dash, marker) = LOOKS[i % LOOKS.len()];
            Entry { mark: Mark::Marked(dash, marker), ink, words: shortened(day, 24) }
        })
        .collect();
    let top = LINE * legend::lines(&key) + 28.0;
    let mut sketch = Sketch::new("steady-range", "Range at steady speed", top + PLOT + 42.0);
    sketch.words = words(answer);
    legend::draw(&mut sketch, &key, 2.0);
    let units = answer.units;
    let speeds = || answer.steady.iter().map(|s| units.value(s.speed_kmh, Unit::Kmh));
    let ranges = answer.steady.iter().filter_map(|s| s.range_km);
    let ranges = ranges.map(|km| units.value(km, Unit::Km));
    let frame = Frame {
        left: LEFT,
        top,
        width: WIDTH - LEFT - RIGHT,
        height: PLOT,
        x: Axis::round(speeds().fold(f64::INFINITY, f64::min), speeds().fold(0.0, f64::max), 6.0),
        y: Axis::round(0.0, ranges.fold(0.0, f64::max), 6.0),
    };
    frame.draw_x(&mut sketch, true);
    frame.draw_y(&mut sketch);
    let axis = |name: &str, unit| format!("{name}, {}", units.symbol(unit));
    frame.name_x(&mut sketch, &axis("steady speed on the flat", Unit::Kmh));
    frame.name_y(&mut sketch, &axis("range from full to empty", Unit::Km));
    for (i, day) in days.iter().enumerate() {
        let (ink, dash, marker) = LOOKS[i % LOOKS.len()];
        let points = points(answer, day, &frame);
        sketch.line(points.clone(), ink, 2.0, dash);
        for point in points {
            draw_marker(&mut sketch, marker, point, ink);
        }
    }
    sketch
}

fn points(answer: &RangeAnswer, day: &str, frame: &Frame) -> Vec<Point> {
    let mut held: Vec<(f64, f64)> = answer
        .steady
        .iter()
        .filter(|s| s.day == day)
        .filter_map(|s| s.range_km.filter(|km| km.is_finite()).map(|km| (s.speed_kmh, km)))
        .collect();
    held.sort_by(|a, b| a.0.total_cmp(&b.0));
    let units = answer.units;
    held.into_iter()
        .map(|(kmh, km)| frame.place(units.value(kmh, Unit::Kmh), units.value(km, Unit::Km)))
        .collect()
}

fn words(answer: &RangeAnswer) -> String {
    let (days, units) = (answer.days(), answer.units);
    let ranges = |speed: f64| -> Vec<String> {
        let found = days.iter().filter_map(|day| steady_at(&answer.steady, day, speed));
        found.map(|s| format!("{} ({})", range_words(s, units), s.day)).collect()
    };
    let sentence = |speed: &f64| -> Option<String> {
        let ranges = ranges(*speed);
        let speed = units.text(*speed, Unit::Kmh);
        (!ranges.is_empty())
            .then(|| format!("At a steady {speed} the range is {}.", ranges.join(", ")))
    };
    let [first, .., last] = units.steady_speeds_kmh();
    let ends = [first, last];
    let mut words = ends.iter().filter_map(sentence).collect::<Vec<_>>().join(" ");
    if let Some(s) = answer
        .steady
        .iter()
        .filter(|s| s.range_km.is_none())
        .min_by(|a, b| a.speed_kmh.total_cmp(&b.speed_kmh))
    {
        words.push_str(&format!(
            " {} cannot be held on the {} day: {} binds.",
            units.text(s.speed_kmh, Unit::Kmh),
            s.day,
            s.limit
        ));
    }
    if words.is_empty() {
        "No steady speed of the usual four was asked for.".clone_into(&mut words);
    }
    words
}

fn range_words(s: &SteadyResult, units: Units) -> String {
    let slower = if s.ends_too_slow { " until the car gets slower" } else { "" };
    s.range_km
        .map_or_else(|| "not held".to_owned(), |km| format!("{}{slower}", units.text(km, Unit::Km)))
}
