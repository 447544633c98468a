//! Range against steady speed, a line for each day.

use crownwheel_answers::sheets::steady_at;
use crownwheel_answers::{Band, RangeAnswer, SteadyResult, Unit, Units};
use crownwheel_quantities::Name;

use super::legend::{self, Entry, draw_marker};
use super::looks::look;
use crate::chart::{Axis, Chart, Plan, span};
use crate::sketch::{Dash, Sketch, shortened};

/// A line with its own dash and marker for each day.
pub(crate) fn steady(answer: &RangeAnswer) -> Sketch {
    let (days, units) = (answer.days(), answer.units);
    let entry = |(i, day): (usize, &&Name)| look(i).entry(shortened(*day, 24));
    let key: Vec<Entry> = days.iter().enumerate().map(entry).collect();
    let title = "Range at steady speed";
    let mut sketch = legend::figure("steady-range", title, words(answer), &key);
    let speeds = answer.steady.iter().map(|s| units.value(s.speed_kmh, Unit::Kmh));
    let (slowest, fastest) = span(speeds);
    let held = answer.steady.iter().filter_map(SteadyResult::held_km);
    let ranges = held.map(|km| units.value(km.p90.unwrap_or(km.nominal), Unit::Km));
    let axis = |name: &str, unit| format!("{name}, {}", units.symbol(unit));
    let chart = Chart::below(
        &mut sketch,
        Plan {
            height: 270.0,
            right: 20.0,
            x: Axis::round(slowest, fastest, 6.0),
            x_name: &axis("steady speed on the flat", Unit::Kmh),
            y: Axis::from_zero(ranges, 6.0),
            y_name: &axis("range from full to empty", Unit::Km),
        },
    );
    for (i, day) in days.iter().enumerate() {
        let (look, held) = (look(i), held_on(answer, day));
        let at = |kmh: f64, km: f64| (units.value(kmh, Unit::Kmh), units.value(km, Unit::Km));
        let middle = held.iter().map(|(kmh, km)| at(*kmh, km.middle()));
        chart.line(&mut sketch, middle, (look.ink, look.width, look.dash));
        for (kmh, km) in &held {
            if let (Some(low), Some(high)) = (km.p10, km.p90) {
                let ends = [at(*kmh, low), at(*kmh, high)];
                chart.line(&mut sketch, ends, (look.ink, 1.2, Dash::Solid));
            }
            let (x, y) = at(*kmh, km.middle());
            draw_marker(&mut sketch, look.marker, chart.place(x, y), look.ink);
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
