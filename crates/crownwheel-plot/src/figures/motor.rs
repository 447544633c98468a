//! Working points of the motor on its torque curve.

use std::collections::BTreeMap;

use crownwheel_answers::{CycleTrace, MotorCurve, Unit, Units};

use super::legend::{self, Entry, LINE, Mark};
use crate::frame::{Axis, Frame};
use crate::ink::Ink;
use crate::sketch::{Dash, Point, Shape, Sketch, WIDTH, shortened};

const LEFT: f64 = 52.0;
const RIGHT: f64 = 20.0;
const PLOT: f64 = 300.0;

/// Dashes of the peak curves in turn; continuous torque has dots.
const PEAK_DASHES: [Dash; 3] = [Dash::Solid, Dash::Long, Dash::Short];

/// A place on the torque and speed plane with the time spent there.
struct Spot {
    speed_rpm: f64,
    torque_nm: f64,
    seconds: f64,
}

/// Curves at the pack's voltages with the points of all traces; bigger spots, longer time.
pub(crate) fn motor(curves: &[MotorCurve], traces: &[CycleTrace], units: Units) -> Sketch {
    let (key, spots) = (key(curves), spots(traces));
    let top = LINE * legend::lines(&key) + 28.0;
    let mut sketch =
        Sketch::new("motor-points", "Motor working points on its torque curve", top + PLOT + 42.0);
    sketch.words = words(curves, traces, units);
    legend::draw(&mut sketch, &key, 2.0);
    let frame = frame(curves, &spots, (top, units));
    frame.draw_x(&mut sketch, true);
    frame.draw_y(&mut sketch);
    frame.name_x(&mut sketch, "motor speed, rpm");
    frame.name_y(&mut sketch, &format!("motor torque, {}", units.symbol(Unit::Nm)));
    draw_spots(&mut sketch, &frame, &spots, units);
    for (i, curve) in curves.iter().enumerate() {
        let line = |torque: &[f64]| -> Vec<Point> {
            let pairs = curve.speed_rpm.iter().zip(torque);
            pairs
                .filter(|(n, t)| n.is_finite() && t.is_finite())
                .map(|(n, t)| frame.place(*n, units.value(*t, Unit::Nm)))
                .collect()
        };
        sketch.line(
            line(&curve.peak_torque_nm),
            Ink::Text,
            2.2,
            PEAK_DASHES[i % PEAK_DASHES.len()],
        );
        if i == 0 {
            sketch.line(line(&curve.continuous_torque_nm), Ink::Plum, 2.2, Dash::Dots);
        }
    }
    sketch
}

fn key(curves: &[MotorCurve]) -> Vec<Entry> {
    let mut key: Vec<Entry> = curves
        .iter()
        .enumerate()
        .map(|(i, curve)| Entry {
            mark: Mark::Line(PEAK_DASHES[i % PEAK_DASHES.len()], 2.2),
            ink: Ink::Text,
            words: format!(
                "peak, {} ({})",
                shortened(&curve.name, 32),
                Units::Metric.text_to(curve.voltage_v, Unit::V, 0)
            ),
        })
        .collect();
    let entry = |mark, ink, words: &str| Entry { mark, ink, words: words.to_owned() };
    if !curves.is_empty() {
        key.push(entry(Mark::Line(Dash::Dots, 2.2), Ink::Plum, "continuous"));
    }
    key.push(entry(Mark::Dot, Ink::Blue, "driving"));
    key.push(entry(Mark::Ring, Ink::Rust, "braking (bigger: longer)"));
    key
}

fn frame(curves: &[MotorCurve], spots: &[Spot], (top, units): (f64, Units)) -> Frame {
    let speeds = curves
        .iter()
        .flat_map(|c| c.speed_rpm.iter().copied())
        .chain(spots.iter().map(|s| s.speed_rpm));
    let torques = curves
        .iter()
        .flat_map(|c| c.peak_torque_nm.iter().copied())
        .chain(spots.iter().map(|s| s.torque_nm));
    let (low, high) = torques
        .filter(|t| t.is_finite())
        .map(|t| units.value(t, Unit::Nm))
        .fold((0.0, 0.0), |(low, high), t| (f64::min(low, t), f64::max(high, t)));
    Frame {
        left: LEFT,
        top,
        width: WIDTH - LEFT - RIGHT,
        height: PLOT,
        x: Axis::exact(0.0, speeds.filter(|n| n.is_finite()).fold(0.0, f64::max), 5.0),
        y: Axis::round(low, high, 7.0),
    }
}

/// Time gathered on a grid of cells, each spot at the mean of its cell; standing still without
/// torque is left out.
fn spots(traces: &[CycleTrace]) -> Vec<Spot> {
    const CELL_RPM: f64 = 200.0;
    const CELL_NM: f64 = 6.0;
    let mut cells: BTreeMap<(i64, i64), Spot> = BTreeMap::new();
    for trace in traces {
        let steps = trace.time_s.windows(2).map(|w| w[1] - w[0]);
        let points = trace.motor_speed_rpm.iter().zip(&trace.motor_torque_nm).skip(1);
        for ((speed, torque), seconds) in points.zip(steps) {
            // Driving and braking never share a cell: they look different.
            if let (Some(n), Some(t)) = (cell(*speed / CELL_RPM), cell(*torque / CELL_NM))
                && (speed.abs() > 1.0 || torque.abs() > 0.1)
                && seconds > 0.0
            {
                let nothing = Spot { speed_rpm: 0.0, torque_nm: 0.0, seconds: 0.0 };
                let spot = cells.entry((n, t)).or_insert(nothing);
                spot.seconds += seconds;
                spot.speed_rpm += (speed - spot.speed_rpm) * seconds / spot.seconds;
                spot.torque_nm += (torque - spot.torque_nm) * seconds / spot.seconds;
            }
        }
    }
    cells.into_values().collect()
}

/// The cell below, if it is of a reasonable size.
fn cell(value: f64) -> Option<i64> {
    #[expect(clippy::cast_possible_truncation, reason = "the guard keeps it far inside")]
    (value.abs() < 1e4).then(|| value.floor() as i64)
}

fn draw_spots(sketch: &mut Sketch, frame: &Frame, spots: &[Spot], units: Units) {
    let longest = spots.iter().map(|s| s.seconds).fold(1.0, f64::max);
    for spot in spots {
        let filled = spot.torque_nm >= 0.0;
        sketch.shapes.push(Shape::Dot {
            centre: frame.place(spot.speed_rpm, units.value(spot.torque_nm, Unit::Nm)),
            // Area goes with time; the smallest spot must still be seen.
            radius: (6.0 * (spot.seconds / longest).sqrt()).max(1.2),
            ink: if filled { Ink::Blue } else { Ink::Rust },
            filled,
            opacity: if filled { 0.62 } else { 0.9 },
        });
    }
}

fn words(curves: &[MotorCurve], traces: &[CycleTrace], units: Units) -> String {
    let points = || {
        traces
            .iter()
            .flat_map(|t| t.motor_speed_rpm.iter().zip(&t.motor_torque_nm))
            .filter(|(n, t)| n.is_finite() && t.is_finite())
    };
    let names: Vec<String> = traces.iter().map(|t| format!("{} ({})", t.cycle, t.day)).collect();
    let mut words = match points().max_by(|a, b| a.1.total_cmp(b.1)) {
        Some((speed, torque)) => format!(
            "Over {} the motor gives at most {} (at {}) and turns at most {}.",
            names.join(" and "),
            units.text_to(*torque, Unit::Nm, 0),
            units.text(*speed, Unit::Rpm),
            units.text(points().map(|p| *p.0).fold(0.0, f64::max), Unit::Rpm),
        ),
        None => "No cycle was driven.".to_owned(),
    };
    if let (Some(first), Some(last)) = (curves.first(), curves.last())
        && last.voltage_v < first.voltage_v
    {
        words.push_str(&format!(
            " At {} ({}) the falling part of the peak stands at lower speed than at {} ({}).",
            units.text_to(last.voltage_v, Unit::V, 0),
            last.name,
            units.text_to(first.voltage_v, Unit::V, 0),
            first.name
        ));
    }
    words
}
