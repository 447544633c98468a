//! Measured and predicted energy along the way.

use crownwheel_answers::audit::CoursePoint;
use crownwheel_answers::{AuditAnswer, Unit};

use super::legend::{self, Entry, Mark};
use super::thin::thinned;
use crate::frame::{Axis, Frame};
use crate::ink::Ink;
use crate::sketch::{Dash, Point, Sketch, WIDTH};

const TOP: f64 = 52.0;
const PANEL: f64 = 210.0;
const LEFT: f64 = 52.0;
const RIGHT: f64 = 14.0;

/// Name, colour, dash and value of a line.
type Line = (&'static str, Ink, Dash, fn(&CoursePoint) -> f64);

/// Two lines: what the log says, and what the build says of the same trip.
pub(crate) fn audit(answer: &AuditAnswer) -> Sketch {
    let mut sketch =
        Sketch::new("audit", "Energy from the pack: measured and predicted", TOP + PANEL + 44.0);
    sketch.words = answer.plain.clone();
    let lines: [Line; 2] = [
        ("measured", Ink::Rust, Dash::Solid, |point| point.measured_kwh),
        ("predicted by the build", Ink::Blue, Dash::Long, |point| point.predicted_kwh),
    ];
    let key = lines.map(|(words, ink, dash, _)| Entry {
        mark: Mark::Line(dash, 2.0),
        ink,
        words: words.to_owned(),
    });
    legend::draw(&mut sketch, &key, 2.0);
    let units = answer.units;
    let finite = |point: &&CoursePoint| {
        [point.distance_km, point.measured_kwh, point.predicted_kwh].iter().all(|v| v.is_finite())
    };
    let course: Vec<CoursePoint> = answer.course.iter().filter(finite).copied().collect();
    let all = || course.iter().flat_map(|point| [point.measured_kwh, point.predicted_kwh]);
    let way = |point: &CoursePoint| units.value(point.distance_km, Unit::Km);
    let frame = Frame {
        left: LEFT,
        top: TOP,
        width: WIDTH - LEFT - RIGHT,
        height: PANEL,
        x: Axis::exact(0.0, course.last().map_or(1.0, way), 8.0),
        y: Axis::round(all().fold(0.0, f64::min), all().fold(0.0, f64::max), 5.0),
    };
    frame.draw_x(&mut sketch, true);
    frame.draw_y(&mut sketch);
    frame.name_y(&mut sketch, &format!("energy from the pack, {}", units.symbol(Unit::Kwh)));
    frame.name_x(&mut sketch, &format!("way, {}", units.symbol(Unit::Km)));
    for (_, ink, dash, value) in lines {
        let points: Vec<Point> =
            course.iter().map(|point| frame.place(way(point), value(point))).collect();
        sketch.line(thinned(&points, frame.left, frame.width), ink, 2.0, dash);
    }
    sketch
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::file_svg;

    #[test]
    fn both_lines_have_names_and_broken_numbers_are_left_out() {
        let point = |i: u32| CoursePoint {
            distance_km: f64::from(i),
            measured_kwh: if i == 3 { f64::NAN } else { 0.15 * f64::from(i) },
            predicted_kwh: 0.13 * f64::from(i),
        };
        let answer = AuditAnswer {
            plain: "On 20 km the car used more.".to_owned(),
            course: (0..20).map(point).collect(),
            ..AuditAnswer::default()
        };
        let svg = file_svg(&audit(&answer)).unwrap();
        for part in ["measured", "predicted by the build", "energy from the pack, kWh", "way, km"] {
            assert!(svg.contains(part), "{part}");
        }
        assert!(!svg.contains("NaN"));
        assert!(!file_svg(&audit(&AuditAnswer::default())).unwrap().contains("NaN"));
    }
}
