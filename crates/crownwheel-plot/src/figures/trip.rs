//! Speed and height along the way of a trip.

use crownwheel_answers::trip::TripPoint;
use crownwheel_answers::{TripAnswer, Unit};

use super::thin::thinned;
use crate::frame::{Axis, Frame};
use crate::ink::Ink;
use crate::sketch::{Dash, Point, Sketch, WIDTH};

const PANEL: f64 = 130.0;
const GAP: f64 = 34.0;
const TOP: f64 = 30.0;
const LEFT: f64 = 52.0;
const RIGHT: f64 = 14.0;

/// One panel of speed, and one of height if the log has any, over the same way.
pub(crate) fn trip(answer: &TripAnswer) -> Sketch {
    let has_height = answer.points.iter().any(|point| point.elevation_m.is_some());
    let panels = if has_height { 2.0 } else { 1.0 };
    let mut sketch = Sketch::new(
        "trip",
        "The trip: speed and height along the way",
        TOP + panels * (PANEL + GAP) + 10.0,
    );
    sketch.words = answer.plain.clone();
    let speed =
        Panel { name: "speed", unit: Unit::Kmh, ink: Ink::Blue, top: TOP, last: !has_height };
    draw(&mut sketch, answer, &speed, |point| Some(point.speed_kmh));
    if has_height {
        let height = Panel {
            name: "height, smoothed",
            unit: Unit::M,
            ink: Ink::Slate,
            top: TOP + PANEL + GAP,
            last: true,
        };
        draw(&mut sketch, answer, &height, |point| point.elevation_m);
    }
    sketch
}

struct Panel {
    name: &'static str,
    unit: Unit,
    ink: Ink,
    top: f64,
    last: bool,
}

fn draw(
    sketch: &mut Sketch,
    answer: &TripAnswer,
    panel: &Panel,
    value: fn(&TripPoint) -> Option<f64>,
) {
    let units = answer.units;
    let pairs: Vec<(f64, f64)> = answer
        .points
        .iter()
        .filter_map(|point| {
            let y = units.value(value(point)?, panel.unit);
            let x = units.value(point.distance_km, Unit::Km);
            (x.is_finite() && y.is_finite()).then_some((x, y))
        })
        .collect();
    let low = pairs.iter().map(|(_, y)| *y).fold(f64::INFINITY, f64::min);
    let high = pairs.iter().map(|(_, y)| *y).fold(f64::NEG_INFINITY, f64::max);
    let from_zero = panel.unit == Unit::Kmh;
    let frame = Frame {
        left: LEFT,
        top: panel.top,
        width: WIDTH - LEFT - RIGHT,
        height: PANEL,
        x: Axis::exact(0.0, pairs.last().map_or(1.0, |(x, _)| *x), 8.0),
        y: Axis::round(if from_zero { low.min(0.0) } else { low }, high, 4.0),
    };
    frame.draw_x(sketch, panel.last);
    frame.draw_y(sketch);
    frame.name_y(sketch, &format!("{}, {}", panel.name, units.symbol(panel.unit)));
    if panel.last {
        frame.name_x(sketch, &format!("way, {}", units.symbol(Unit::Km)));
    }
    let points: Vec<Point> = pairs.iter().map(|(x, y)| frame.place(*x, *y)).collect();
    sketch.line(thinned(&points, frame.left, frame.width), panel.ink, 1.6, Dash::Solid);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::file_svg;

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
