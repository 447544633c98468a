//! Range against steady speed, a line for each day.

use crownwheel_answers::sheets::steady_at;
use crownwheel_answers::{Band, RangeAnswer, SteadyResult, Unit, Units};

use super::legend::{self, Entry, LINE, Mark, Marker, draw_marker};
use crate::frame::{Axis, Frame};
use crate::ink::Ink;
use crate::sketch::{Dash, Sketch, WIDTH, shortened};

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
    let held = answer.steady.iter().filter_map(SteadyResult::held_km);
    let ranges = held.map(|km| units.value(km.p90.unwrap_or(km.nominal), Unit::Km));
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
        let held = held_on(answer, day);
        let at =
            |kmh: f64, km: f64| frame.place(units.value(kmh, Unit::Kmh), units.value(km, Unit::Km));
        let middle = |(kmh, km): &(f64, Band)| at(*kmh, km.middle());
        sketch.line(held.iter().map(middle).collect(), ink, 2.0, dash);
        for (kmh, km) in &held {
            if let (Some(low), Some(high)) = (km.p10, km.p90) {
                sketch.line(vec![at(*kmh, low), at(*kmh, high)], ink, 1.2, Dash::Solid);
            }
            draw_marker(&mut sketch, marker, at(*kmh, km.middle()), ink);
        }
    }
    sketch
}

/// The speeds that the car holds on a day, km/h, the slowest first, and how far.
fn held_on(answer: &RangeAnswer, day: &str) -> Vec<(f64, Band)> {
    let on_day = answer.steady.iter().filter(|s| s.day == day);
    let mut held: Vec<(f64, Band)> =
        on_day.filter_map(|s| Some((s.speed_kmh, s.held_km()?))).collect();
    held.sort_by(|a, b| a.0.total_cmp(&b.0));
    held
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
    if let Some(s) =
        answer.steady.iter().filter(|s| !s.held).min_by(|a, b| a.speed_kmh.total_cmp(&b.speed_kmh))
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
    if s.held { s.keeps_up_km.distance(units) } else { "not held".to_owned() }
}
