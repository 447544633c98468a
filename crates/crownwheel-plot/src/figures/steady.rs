//! Range against steady speed, a line for each day.

use crownwheel_answers::tables::{MATRIX_SPEEDS_KMH, steady_at};
use crownwheel_answers::unit::with_unit;
use crownwheel_answers::{RangeAnswer, SteadyResult, Unit};

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
    let speeds = || answer.steady.iter().map(|s| s.speed_kmh);
    let ranges = answer.steady.iter().filter_map(|s| s.range_km);
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
    frame.name_x(&mut sketch, "steady speed on the flat, km/h");
    frame.name_y(&mut sketch, "range from full to empty, km");
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
    held.into_iter().map(|(speed, km)| frame.place(speed, km)).collect()
}

fn words(answer: &RangeAnswer) -> String {
    let days = answer.days();
    let ranges = |speed: f64| -> Vec<String> {
        let found = days.iter().filter_map(|day| steady_at(&answer.steady, day, speed));
        found.map(|s| format!("{} ({})", range_words(s), s.day)).collect()
    };
    let sentence = |speed: &f64| -> Option<String> {
        let ranges = ranges(*speed);
        let speed = with_unit(*speed, Unit::Kmh);
        (!ranges.is_empty())
            .then(|| format!("At a steady {speed} the range is {}.", ranges.join(", ")))
    };
    let ends = [MATRIX_SPEEDS_KMH[0], MATRIX_SPEEDS_KMH[MATRIX_SPEEDS_KMH.len() - 1]];
    let mut words = ends.iter().filter_map(sentence).collect::<Vec<_>>().join(" ");
    if let Some(s) = answer
        .steady
        .iter()
        .filter(|s| s.range_km.is_none())
        .min_by(|a, b| a.speed_kmh.total_cmp(&b.speed_kmh))
    {
        words.push_str(&format!(
            " {} cannot be held on the {} day: {} binds.",
            with_unit(s.speed_kmh, Unit::Kmh),
            s.day,
            s.limit
        ));
    }
    if words.is_empty() {
        "No steady speed of the usual four was asked for.".clone_into(&mut words);
    }
    words
}

fn range_words(s: &SteadyResult) -> String {
    s.range_km.map_or_else(|| "not held".to_owned(), |km| with_unit(km, Unit::Km))
}
