//! Runs of a coast-down with their fitted curves, and what is left over.

use crownwheel_answers::coastdown::RunCurve;
use crownwheel_answers::unit::digits;
use crownwheel_answers::{CoastDownAnswer, Unit};

use super::legend::{self, Entry, LINE, Mark};
use super::thin::thinned;
use crate::frame::{Axis, Frame};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Point, Shape, Sketch, WIDTH, Words, at};

const LEFT: f64 = 52.0;
const RIGHT: f64 = 14.0;
const SPEEDS: f64 = 210.0;
const LEFT_OVER: f64 = 120.0;
const GAP: f64 = 52.0;

/// Readings that are drawn of each run at most: more than that only darkens the paper.
const MOST_DOTS: usize = 160;

/// Speed against time of every run with its curve above; what is left over against speed below.
pub(crate) fn coast_down(answer: &CoastDownAnswer) -> Sketch {
    let key = key(answer);
    let top = LINE * legend::lines(&key) + 26.0;
    let height = top + SPEEDS + GAP + LEFT_OVER + 42.0;
    let title = "Coast-down: readings and fitted curves";
    let mut sketch = Sketch::new("coastdown", title, height);
    sketch.words = words(answer);
    legend::draw(&mut sketch, &key, 2.0);
    speeds(&mut sketch, answer, top);
    left_over(&mut sketch, answer, top + SPEEDS + GAP);
    sketch
}

fn key(answer: &CoastDownAnswer) -> Vec<Entry> {
    let entry = |mark: Mark, ink: Ink, words: &str| Entry { mark, ink, words: words.to_owned() };
    let mut key = vec![entry(Mark::Dot, Ink::Blue, "read, first direction")];
    if answer.curves.iter().any(|curve| !curve.first_direction) {
        key.push(entry(Mark::Ring, Ink::Rust, "read, other direction"));
    }
    key.push(entry(Mark::Line(Dash::Solid, 1.4), Ink::Text, "fitted"));
    key
}

/// Finite pairs of a run.
fn pairs(curve: &RunCurve) -> impl Iterator<Item = (f64, f64, f64)> {
    let speeds = curve.speed_kmh.iter().zip(&curve.fitted_kmh);
    let all = curve.time_s.iter().zip(speeds).map(|(time, (read, fitted))| (*time, *read, *fitted));
    all.filter(|(time, read, fitted)| time.is_finite() && read.is_finite() && fitted.is_finite())
}

fn speeds(sketch: &mut Sketch, answer: &CoastDownAnswer, top: f64) {
    let units = answer.units;
    let all = || answer.curves.iter().flat_map(pairs);
    let longest = all().map(|p| p.0).fold(0.0, f64::max);
    let fastest = all().map(|p| units.value(p.1, Unit::Kmh)).fold(0.0, f64::max);
    let frame = Frame {
        left: LEFT,
        top,
        width: WIDTH - LEFT - RIGHT,
        height: SPEEDS,
        x: Axis::exact(0.0, longest, 8.0),
        y: Axis::round(0.0, fastest, 6.0),
    };
    frame.draw_x(sketch, true);
    frame.draw_y(sketch);
    frame.name_y(sketch, &format!("speed, {}", units.symbol(Unit::Kmh)));
    frame.name_x(sketch, "time from the start of the run, s");
    if answer.curves.is_empty() {
        let place = at(frame.left + frame.width / 2.0, frame.top + SPEEDS / 2.0);
        sketch.text(place, "no run was used", Words::plain(Ink::Soft, Anchor::Middle));
    }
    for curve in &answer.curves {
        for (time, read, _) in drawn(curve) {
            dot(sketch, frame.place(time, units.value(read, Unit::Kmh)), curve.first_direction);
        }
    }
    for curve in &answer.curves {
        let line: Vec<Point> = pairs(curve)
            .map(|(time, _, fitted)| frame.place(time, units.value(fitted, Unit::Kmh)))
            .collect();
        sketch.line(thinned(&line, frame.left, frame.width), Ink::Text, 1.4, Dash::Solid);
    }
}

fn left_over(sketch: &mut Sketch, answer: &CoastDownAnswer, top: f64) {
    let units = answer.units;
    let all = || answer.curves.iter().flat_map(pairs);
    let speed = |p: (f64, f64, f64)| units.value(p.2, Unit::Kmh);
    let left = |p: (f64, f64, f64)| units.value(p.1 - p.2, Unit::Kmh);
    let most = all().map(|p| left(p).abs()).fold(0.0, f64::max);
    let frame = Frame {
        left: LEFT,
        top,
        width: WIDTH - LEFT - RIGHT,
        height: LEFT_OVER,
        x: Axis::round(0.0, all().map(speed).fold(0.0, f64::max), 8.0),
        y: Axis::round(-most, most, 4.0),
    };
    frame.draw_x(sketch, true);
    frame.draw_y(sketch);
    frame.name_y(sketch, &format!("read less fitted, {}", units.symbol(Unit::Kmh)));
    frame.name_x(sketch, &format!("speed, {}", units.symbol(Unit::Kmh)));
    for curve in &answer.curves {
        for point in drawn(curve) {
            dot(sketch, frame.place(speed(point), left(point)), curve.first_direction);
        }
    }
}

/// Readings that are drawn: all, or evenly picked ones.
fn drawn(curve: &RunCurve) -> impl Iterator<Item = (f64, f64, f64)> {
    let every = curve.time_s.len().div_ceil(MOST_DOTS).max(1);
    pairs(curve).step_by(every)
}

fn dot(sketch: &mut Sketch, centre: Point, first_direction: bool) {
    let ink = if first_direction { Ink::Blue } else { Ink::Rust };
    let shape = Shape::Dot { centre, radius: 1.9, ink, filled: first_direction, opacity: 0.75 };
    sketch.shapes.push(shape);
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
    use crate::render::file_svg;
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
