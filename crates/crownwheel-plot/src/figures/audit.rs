//! Measured and predicted energy along the way.

use crownwheel_answers::audit::CoursePoint;
use crownwheel_answers::{AuditAnswer, Unit};

use super::legend::{self, Entry, Mark};
use crate::chart::{Axis, Chart, Plan, span};
use crate::ink::Ink;
use crate::sketch::{Dash, Sketch};

/// Name, colour, dash and value of a line.
type Line = (&'static str, Ink, Dash, fn(&CoursePoint) -> f64);

/// What the log says, and what the build says of the same trip with its band.
pub(crate) fn audit(answer: &AuditAnswer) -> Sketch {
    let lines: [Line; 2] = [
        ("measured", Ink::Rust, Dash::Solid, |point| point.measured_kwh),
        ("predicted by the build, 8 in 10 in the shade", Ink::Blue, Dash::Long, |point| {
            point.predicted_kwh
        }),
    ];
    let key = lines.map(|(words, ink, dash, _)| Entry::new(Mark::Line(dash, 2.0), ink, words));
    let title = "Energy from the pack: measured and predicted";
    let mut sketch = legend::figure("audit", title, answer.plain.clone(), &key);
    let (units, course) = (answer.units, &answer.course);
    let way = |point: &CoursePoint| units.value(point.distance_km, Unit::Km);
    let all = course.iter().flat_map(|point| [point.measured_kwh, point.predicted_p90_kwh]);
    let chart = Chart::below(
        &mut sketch,
        Plan {
            height: 210.0,
            right: 14.0,
            x: Axis::exact(0.0, span(course.iter().map(way)).1, 8.0),
            x_name: &format!("way, {}", units.symbol(Unit::Km)),
            y: Axis::from_zero(all, 5.0),
            y_name: &format!("energy from the pack, {}", units.symbol(Unit::Kwh)),
        },
    );
    let side = |value: fn(&CoursePoint) -> f64| course.iter().map(move |point| (point, value));
    let edge = side(|point| point.predicted_p10_kwh)
        .chain(side(|point| point.predicted_p90_kwh).rev())
        .map(|(point, value)| (way(point), value(point)));
    chart.band(&mut sketch, edge.collect(), Ink::Blue, 0.14);
    for (_, ink, dash, value) in lines {
        let line = course.iter().map(|point| (way(point), value(point)));
        chart.line(&mut sketch, line, (ink, 2.0, dash));
    }
    sketch
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::file_svg;

    #[test]
    fn both_lines_have_names_and_broken_numbers_are_left_out() {
        let point = |i: u32| CoursePoint {
            distance_km: f64::from(i),
            measured_kwh: if i == 3 { f64::NAN } else { 0.15 * f64::from(i) },
            predicted_kwh: 0.13 * f64::from(i),
            predicted_p10_kwh: 0.12 * f64::from(i),
            predicted_p90_kwh: 0.14 * f64::from(i),
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
