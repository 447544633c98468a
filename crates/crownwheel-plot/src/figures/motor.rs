//! Working points of the motor on its torque curve.

use std::collections::BTreeMap;

use crownwheel_answers::{CycleTrace, MotorCurve, Unit, Units};

use super::legend::{self, Entry, Mark};
use crate::chart::{Axis, Chart, Plan, span};
use crate::ink::Ink;
use crate::sketch::{Dash, Sketch, shortened};

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
    let spots = spots(traces);
    let title = "Motor working points on its torque curve";
    let mut sketch =
        legend::figure("motor-points", title, words(curves, traces, units), &key(curves));
    let torque = |nm: &f64| units.value(*nm, Unit::Nm);
    let speeds = curves.iter().flat_map(|curve| &curve.speed_rpm).copied();
    let torques = curves.iter().flat_map(|curve| &curve.peak_torque_nm).map(torque);
    let chart = Chart::below(
        &mut sketch,
        Plan {
            height: 300.0,
            right: 20.0,
            x: Axis::exact(0.0, span(speeds.chain(spots.iter().map(|s| s.speed_rpm))).1, 5.0),
            x_name: "motor speed, rpm",
            y: Axis::from_zero(torques.chain(spots.iter().map(|s| torque(&s.torque_nm))), 7.0),
            y_name: &format!("motor torque, {}", units.symbol(Unit::Nm)),
        },
    );
    // Area goes with time; the smallest spot must still be seen.
    let longest = spots.iter().map(|s| s.seconds).fold(1.0, f64::max);
    let radius = |spot: &Spot| (6.0 * (spot.seconds / longest).sqrt()).max(1.2);
    for (drives, ink, opacity) in [(true, Ink::Blue, 0.62), (false, Ink::Rust, 0.9)] {
        let some = spots.iter().filter(|spot| (spot.torque_nm >= 0.0) == drives);
        let dots = some.map(|spot| ((spot.speed_rpm, torque(&spot.torque_nm)), radius(spot)));
        chart.dots(&mut sketch, dots, (ink, drives, opacity));
    }
    for (i, curve) in curves.iter().enumerate() {
        let line = |torques: &[f64]| -> Vec<(f64, f64)> {
            curve.speed_rpm.iter().zip(torques).map(|(n, t)| (*n, torque(t))).collect()
        };
        let look = (Ink::Text, 2.2, PEAK_DASHES[i % PEAK_DASHES.len()]);
        chart.line(&mut sketch, line(&curve.peak_torque_nm), look);
        if i == 0 {
            let look = (Ink::Plum, 2.2, Dash::Dots);
            chart.line(&mut sketch, line(&curve.continuous_torque_nm), look);
        }
    }
    sketch
}

fn key(curves: &[MotorCurve]) -> Vec<Entry> {
    let peak = |(i, curve): (usize, &MotorCurve)| {
        let volts = Units::Metric.text_to(curve.voltage_v, Unit::V, 0);
        let words = format!("peak, {} ({volts})", shortened(&curve.name, 32));
        Entry::new(Mark::Line(PEAK_DASHES[i % PEAK_DASHES.len()], 2.2), Ink::Text, words)
    };
    let mut key: Vec<Entry> = curves.iter().enumerate().map(peak).collect();
    if !curves.is_empty() {
        key.push(Entry::new(Mark::Line(Dash::Dots, 2.2), Ink::Plum, "continuous"));
    }
    key.push(Entry::new(Mark::Dot, Ink::Blue, "driving"));
    key.push(Entry::new(Mark::Ring, Ink::Rust, "braking (bigger: longer)"));
    key
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
