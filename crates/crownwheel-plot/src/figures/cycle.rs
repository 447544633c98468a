//! Speed, power and charge over a cycle.

use crownwheel_answers::unit::digits;
use crownwheel_answers::{CycleResult, CycleTrace, Unit, Units};

use super::legend::{self, Entry, Mark};
use super::thin::thinned;
use crate::frame::{Axis, Frame};
use crate::ink::Ink;
use crate::sketch::{Dash, Point, Sketch, WIDTH, shortened};

const PANEL: f64 = 112.0;
const GAP: f64 = 30.0;
/// Room for the key and the name of the first panel.
const LEGEND: f64 = 46.0;
const LEFT: f64 = 52.0;
const RIGHT: f64 = 14.0;

/// One panel below the other over the same time: speed, power, charge, and height if there is any.
pub(crate) fn cycle(
    trace: &CycleTrace,
    result: Option<&CycleResult>,
    slug: &str,
    units: Units,
) -> Sketch {
    let panels = if trace.elevation_m.is_some() { 4.0 } else { 3.0 };
    let name = shortened(&trace.cycle, 40);
    let title = format!("Speed, power and charge: {name} on the {} day", shortened(&trace.day, 30));
    let mut sketch = Sketch::new(slug, &title, LEGEND + panels * (PANEL + GAP) + 18.0);
    sketch.words = words(trace, result, units);
    let key = [
        Entry {
            mark: Mark::Line(Dash::Solid, 5.0),
            ink: Ink::Sand,
            words: "speed asked for (broad)".to_owned(),
        },
        Entry {
            mark: Mark::Line(Dash::Solid, 1.6),
            ink: Ink::Blue,
            words: "speed driven (thin)".to_owned(),
        },
    ];
    legend::draw(&mut sketch, &key, 2.0);
    let mut top = LEGEND;

    let minutes: Vec<f64> = trace.time_s.iter().map(|s| s / 60.0).collect();
    let mut panel = |name: &str, unit: Unit, series: &[Series<'_>], last: bool| {
        let minutes = &minutes;
        draw_panel(&mut sketch, &Panel { name, unit, units, top, minutes, series, last });
        top += PANEL + GAP;
    };
    let asked = Series { values: &trace.target_kmh, ink: Ink::Sand, width: 5.0, from_zero: true };
    let driven = Series::thin(&trace.speed_kmh, Ink::Blue, true);
    panel("speed", Unit::Kmh, &[asked, driven], false);
    let power = Series::thin(&trace.battery_power_kw, Ink::Rust, true);
    panel("power from the pack", Unit::Kw, &[power], false);
    let charge = Series { width: 2.2, ..Series::thin(&trace.charge_pct, Ink::Green, false) };
    panel("state of charge", Unit::Pct, &[charge], trace.elevation_m.is_none());
    if let Some(elevation_m) = &trace.elevation_m {
        let height = Series { width: 2.2, ..Series::thin(elevation_m, Ink::Slate, false) };
        panel("height", Unit::M, &[height], true);
    }
    sketch
}

struct Series<'a> {
    values: &'a [f64],
    ink: Ink,
    width: f64,
    from_zero: bool,
}

impl<'a> Series<'a> {
    fn thin(values: &'a [f64], ink: Ink, from_zero: bool) -> Self {
        Series { values, ink, width: 1.6, from_zero }
    }
}

struct Panel<'a> {
    name: &'a str,
    unit: Unit,
    units: Units,
    top: f64,
    minutes: &'a [f64],
    series: &'a [Series<'a>],
    last: bool,
}

fn draw_panel(sketch: &mut Sketch, panel: &Panel<'_>) {
    let shown = |metric: f64| panel.units.value(metric, panel.unit);
    let values = || {
        let all = panel.series.iter().flat_map(|s| s.values.iter().copied());
        all.map(shown).filter(|v| v.is_finite())
    };
    let (low, high) =
        (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max));
    let y = if panel.series.iter().any(|s| s.from_zero) {
        Axis::round(low.min(0.0), high.max(0.0), 4.0)
    } else {
        // A little room below and above, but no empty half.
        Axis::exact(low - 0.06 * (high - low), high + 0.06 * (high - low), 4.0)
    };
    let frame = Frame {
        left: LEFT,
        top: panel.top,
        width: WIDTH - LEFT - RIGHT,
        height: PANEL,
        x: Axis::exact(0.0, panel.minutes.last().copied().unwrap_or(1.0), 8.0),
        y,
    };
    frame.draw_x(sketch, panel.last);
    frame.draw_y(sketch);
    frame.name_y(sketch, &format!("{}, {}", panel.name, panel.units.symbol(panel.unit)));
    if panel.last {
        frame.name_x(sketch, "time, minutes");
    }
    for series in panel.series {
        let points: Vec<Point> = panel
            .minutes
            .iter()
            .zip(series.values)
            .filter(|(x, y)| x.is_finite() && y.is_finite())
            .map(|(x, y)| frame.place(*x, shown(*y)))
            .collect();
        sketch.line(
            thinned(&points, frame.left, frame.width),
            series.ink,
            series.width,
            Dash::Solid,
        );
    }
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
