//! Speed, power and charge over a cycle.

use crownwheel_answers::unit::digits;
use crownwheel_answers::{CycleResult, CycleTrace, Unit, Units};

use super::legend::{self, Entry, Mark};
use crate::chart::{Axis, Chart, Plan, span};
use crate::ink::Ink;
use crate::sketch::{Dash, Sketch, shortened};

/// One panel below the other over the same time: speed, power, charge, and height if there is any.
pub(crate) fn cycle(
    trace: &CycleTrace,
    result: Option<&CycleResult>,
    slug: &str,
    units: Units,
) -> Sketch {
    let name = shortened(&trace.cycle, 40);
    let title = format!("Speed, power and charge: {name} on the {} day", shortened(&trace.day, 30));
    let key = [
        Entry::new(Mark::Line(Dash::Solid, 5.0), Ink::Sand, "speed asked for (broad)"),
        Entry::new(Mark::Line(Dash::Solid, 1.6), Ink::Blue, "speed driven (thin)"),
    ];
    let mut sketch = legend::figure(slug, &title, words(trace, result, units), &key);
    let minutes: Vec<f64> = trace.time_s.iter().map(|s| s / 60.0).collect();
    let asked = (&trace.target_kmh[..], Ink::Sand, 5.0);
    let driven = (&trace.speed_kmh[..], Ink::Blue, 1.6);
    let power = (&trace.battery_power_kw[..], Ink::Rust, 1.6);
    let charge = (&trace.charge_pct[..], Ink::Green, 2.2);
    let mut panels = vec![
        ("speed", Unit::Kmh, vec![asked, driven]),
        ("power from the pack", Unit::Kw, vec![power]),
        ("state of charge", Unit::Pct, vec![charge]),
    ];
    let height = trace.elevation_m.as_ref().map(|height_m| (&height_m[..], Ink::Slate, 2.2));
    panels.extend(height.map(|height| ("height", Unit::M, vec![height])));
    for (i, (name, unit, series)) in panels.iter().enumerate() {
        let shown = |metric: f64| units.value(metric, *unit);
        let values = series.iter().flat_map(|it| it.0).map(|value| shown(*value));
        let chart = Chart::below(
            &mut sketch,
            Plan {
                height: 112.0,
                right: 14.0,
                x: Axis::exact(0.0, minutes.last().copied().unwrap_or(1.0), 8.0),
                x_name: if i + 1 == panels.len() { "time, minutes" } else { "" },
                y: upright(*unit, values),
                y_name: &format!("{name}, {}", units.symbol(*unit)),
            },
        );
        for (values, ink, width) in series {
            let line = minutes.iter().zip(*values).map(|(x, y)| (*x, shown(*y)));
            chart.line(&mut sketch, line, (*ink, *width, Dash::Solid));
        }
    }
    sketch
}

/// From zero for what has a zero that means something; else a little room below and above, but no empty
/// half.
fn upright(unit: Unit, values: impl Iterator<Item = f64>) -> Axis {
    if matches!(unit, Unit::Kmh | Unit::Kw) {
        return Axis::from_zero(values, 4.0);
    }
    let (low, high) = span(values);
    let room = 0.06 * (high - low);
    Axis::exact(low - room, high + room, 4.0)
}

fn words(trace: &CycleTrace, result: Option<&CycleResult>, units: Units) -> String {
    let finite = || trace.battery_power_kw.iter().copied().filter(|kw| kw.is_finite());
    let (most, least) = (finite().fold(0.0, f64::max), finite().fold(0.0, f64::min));
    let charge = |value: Option<&f64>| value.map_or_else(|| "–".to_owned(), |v| digits(*v, 1));
    let back = if least < -0.05 {
        format!("up to {}", units.text(-least, Unit::Kw))
    } else {
        "nothing".to_owned()
    };
    let mut words = format!(
        "Driven once on the {} day, {} takes up to {} from the pack and gives back {}; the charge goes from {} to {} %.",
        trace.day,
        trace.cycle,
        units.text(most, Unit::Kw),
        back,
        charge(trace.charge_pct.first()),
        charge(trace.charge_pct.last()),
    );
    match result {
        Some(r) if r.shortfall_s > 0.0 => words.push_str(&format!(
            " For {} the car is more than {} slower than asked and loses {}.",
            units.text(r.shortfall_s, Unit::S),
            units.text_to(2.0, Unit::Kmh, usize::from(units == Units::Us)),
            units.text_to(r.shortfall_m, Unit::M, 0)
        )),
        Some(_) => words.push_str(" The car keeps up all the way."),
        None => {}
    }
    words
}
