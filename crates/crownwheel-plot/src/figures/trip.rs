//! Speed and height along the way of a trip.

use crownwheel_answers::trip::TripPoint;
use crownwheel_answers::{TripAnswer, Unit};

use crate::chart::{Axis, Chart, Plan, span};
use crate::ink::Ink;
use crate::sketch::{Dash, Sketch};

type TripValue = fn(&TripPoint) -> Option<f64>;

/// One panel of speed, and one of height if the log has any, over the same way.
pub(crate) fn trip(answer: &TripAnswer) -> Sketch {
    let mut sketch = Sketch::new("trip", "The trip: speed and height along the way", 0.0);
    sketch.words = answer.plain.clone();
    let has_height = answer.points.iter().any(|point| point.elevation_m.is_some());
    let speed: TripValue = |point| Some(point.speed_kmh);
    draw(&mut sketch, answer, ("speed", Unit::Kmh, Ink::Blue, speed), !has_height);
    if has_height {
        let height: TripValue = |point| point.elevation_m;
        draw(&mut sketch, answer, ("height, smoothed", Unit::M, Ink::Slate, height), true);
    }
    sketch
}

fn draw(
    sketch: &mut Sketch,
    answer: &TripAnswer,
    (name, unit, ink, value): (&str, Unit, Ink, TripValue),
    last: bool,
) {
    let units = answer.units;
    let pair = |point: &TripPoint| {
        Some((units.value(point.distance_km, Unit::Km), units.value(value(point)?, unit)))
    };
    let pairs: Vec<(f64, f64)> = answer.points.iter().filter_map(pair).collect();
    let (low, high) = span(pairs.iter().map(|pair| pair.1));
    let way = format!("way, {}", units.symbol(Unit::Km));
    let chart = Chart::below(
        sketch,
        Plan {
            height: 130.0,
            right: 14.0,
            x: Axis::exact(0.0, span(pairs.iter().map(|pair| pair.0)).1, 8.0),
            x_name: if last { &way } else { "" },
            y: Axis::round(if unit == Unit::Kmh { low.min(0.0) } else { low }, high, 4.0),
            y_name: &format!("{name}, {}", units.symbol(unit)),
        },
    );
    chart.line(sketch, pairs, (ink, 1.6, Dash::Solid));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::file_svg;

    fn answer(height_m: Option<f64>) -> TripAnswer {
        let point = |i: u32| TripPoint {
            time_s: f64::from(i),
            distance_km: 0.01 * f64::from(i),
            speed_kmh: if i == 7 { f64::NAN } else { 36.0 },
            elevation_m: height_m.map(|height| height + f64::from(i)),
        };
        TripAnswer {
            plain: "1.0 km in 2 min.".to_owned(),
            points: (0..100).map(point).collect(),
            ..TripAnswer::default()
        }
    }

    #[test]
    fn speed_and_height_stand_over_the_way() {
        let svg = file_svg(&trip(&answer(Some(300.0)))).unwrap();
        for part in ["speed, km/h", "height, smoothed, m", "way, km", "1.0 km in 2 min."] {
            assert!(svg.contains(part), "{part}");
        }
        assert!(!svg.contains("NaN"));
    }

    #[test]
    fn a_flat_or_empty_trip_draws_too() {
        let flat = file_svg(&trip(&answer(None))).unwrap();
        assert!(flat.contains("speed, km/h") && !flat.contains("height, smoothed"));
        assert!(!file_svg(&trip(&TripAnswer::default())).unwrap().contains("NaN"));
    }
}
