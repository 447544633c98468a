//! Runs of a coast-down with their fitted curves, and what is left over.

use crownwheel_answers::coastdown::RunCurve;
use crownwheel_answers::unit::digits;
use crownwheel_answers::{CoastDownAnswer, Unit};

use super::legend::{self, Entry, Mark};
use crate::chart::{Axis, Chart, Plan, span};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Sketch, Words};

/// Readings that are drawn of each run at most: more than that only darkens the paper.
const MOST_DOTS: usize = 160;

/// Speed against time of every run with its curve above; what is left over against speed below.
pub(crate) fn coast_down(answer: &CoastDownAnswer) -> Sketch {
    let title = "Coast-down: readings and fitted curves";
    let mut sketch = legend::figure("coastdown", title, words(answer), &key(answer));
    speeds(&mut sketch, answer);
    left_over(&mut sketch, answer);
    sketch
}

fn key(answer: &CoastDownAnswer) -> Vec<Entry> {
    let mut key = vec![Entry::new(Mark::Dot, Ink::Blue, "read, first direction")];
    if answer.curves.iter().any(|curve| !curve.first_direction) {
        key.push(Entry::new(Mark::Ring, Ink::Rust, "read, other direction"));
    }
    key.push(Entry::new(Mark::Line(Dash::Solid, 1.4), Ink::Text, "fitted"));
    key
}

/// Time, read and fitted speed of a run, as far as they are numbers.
fn readings(curve: &RunCurve) -> impl Iterator<Item = [f64; 3]> {
    let speeds = curve.speed_kmh.iter().zip(&curve.fitted_kmh);
    let all = curve.time_s.iter().zip(speeds).map(|(time, (read, fitted))| [*time, *read, *fitted]);
    all.filter(|reading| reading.iter().all(|number| number.is_finite()))
}

fn all(answer: &CoastDownAnswer) -> impl Iterator<Item = [f64; 3]> {
    answer.curves.iter().flat_map(readings)
}

fn speeds(sketch: &mut Sketch, answer: &CoastDownAnswer) {
    let speed = |kmh: f64| answer.units.value(kmh, Unit::Kmh);
    let chart = Chart::below(
        sketch,
        Plan {
            height: 210.0,
            right: 14.0,
            x: Axis::exact(0.0, span(all(answer).map(|it| it[0])).1, 8.0),
            x_name: "time from the start of the run, s",
            y: Axis::from_zero(all(answer).map(|it| speed(it[1])), 6.0),
            y_name: &format!("speed, {}", answer.units.symbol(Unit::Kmh)),
        },
    );
    if answer.curves.is_empty() {
        let middle = chart.place(
            f64::midpoint(chart.x.min, chart.x.max),
            f64::midpoint(chart.y.min, chart.y.max),
        );
        sketch.text(middle, "no run was used", Words::plain(Ink::Soft, Anchor::Middle));
    }
    draw_dots(sketch, &chart, answer, |[time, read, _]| (time, speed(read)));
    for curve in &answer.curves {
        let line = readings(curve).map(|[time, _, fitted]| (time, speed(fitted)));
        chart.line(sketch, line, (Ink::Text, 1.4, Dash::Solid));
    }
}

fn left_over(sketch: &mut Sketch, answer: &CoastDownAnswer) {
    let speed = |kmh: f64| answer.units.value(kmh, Unit::Kmh);
    let left = |[_, read, fitted]: [f64; 3]| speed(read - fitted);
    let most = all(answer).map(|it| left(it).abs()).fold(0.0, f64::max);
    let unit = answer.units.symbol(Unit::Kmh);
    let chart = Chart::below(
        sketch,
        Plan {
            height: 120.0,
            right: 14.0,
            x: Axis::from_zero(all(answer).map(|it| speed(it[2])), 8.0),
            x_name: &format!("speed, {unit}"),
            y: Axis::round(-most, most, 4.0),
            y_name: &format!("read less fitted, {unit}"),
        },
    );
    draw_dots(sketch, &chart, answer, |reading| (speed(reading[2]), left(reading)));
}

/// A dot or a ring for each reading, or for evenly picked ones.
fn draw_dots(
    sketch: &mut Sketch,
    chart: &Chart,
    answer: &CoastDownAnswer,
    place: impl Fn([f64; 3]) -> (f64, f64),
) {
    for curve in &answer.curves {
        let every = curve.time_s.len().div_ceil(MOST_DOTS).max(1);
        let dots = readings(curve).step_by(every).map(|reading| (place(reading), 1.9));
        let ink = if curve.first_direction { Ink::Blue } else { Ink::Rust };
        chart.dots(sketch, dots, (ink, curve.first_direction, 0.75));
    }
}

fn words(answer: &CoastDownAnswer) -> String {
    let Some(sd) = answer.residual_sd_kmh else {
        return "No run could bear a fit.".to_owned();
    };
    let memory = answer
        .noise_memory_s
        .map_or_else(String::new, |s| format!(", with a memory of {} s", digits(s, 1)));
    format!(
        "{} Readings lie {} off the curves (standard deviation){memory}.",
        answer.plain,
        answer.units.text_to(sd, Unit::Kmh, 2)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::file_svg;
    use crownwheel_answers::Units;

    fn answer() -> CoastDownAnswer {
        let curve = |first_direction: bool| RunCurve {
            name: "1".to_owned(),
            first_direction,
            time_s: (0..300).map(f64::from).collect(),
            speed_kmh: (0..300).map(|i| 110.0 - 0.3 * f64::from(i) + f64::from(i % 3)).collect(),
            fitted_kmh: (0..300).map(|i| 111.0 - 0.3 * f64::from(i)).collect(),
        };
        CoastDownAnswer {
            plain: "Road load.".to_owned(),
            residual_sd_kmh: Some(0.82),
            noise_memory_s: Some(3.2),
            curves: vec![curve(true), curve(false)],
            ..CoastDownAnswer::default()
        }
    }

    #[test]
    fn both_panels_have_units_words_and_both_directions() {
        let svg = file_svg(&coast_down(&answer())).unwrap();
        for part in [
            "speed, km/h",
            "read less fitted, km/h",
            "time from the start of the run, s",
            "other direction",
            "Road load. Readings lie 0.82 km/h off the curves (standard deviation), with a memory of 3.2 s.",
        ] {
            assert!(svg.contains(part), "{part}");
        }
        let us = CoastDownAnswer { units: Units::Us, ..answer() };
        assert!(file_svg(&coast_down(&us)).unwrap().contains("speed, mph"));
    }

    #[test]
    fn nothing_and_broken_numbers_draw_too() {
        let mut broken = answer();
        broken.curves[0].speed_kmh[3] = f64::NAN;
        broken.curves[1].time_s[5] = f64::INFINITY;
        for answer in [CoastDownAnswer::default(), broken] {
            assert!(!file_svg(&coast_down(&answer)).unwrap().contains("NaN"));
        }
    }
}
