//! Power and state of charge over time at each supply.

use crownwheel_answers::charge::{ChargePoint, SupplyLine};
use crownwheel_answers::unit::digits;
use crownwheel_answers::{ChargeAnswer, Unit, Units};

use super::legend::{self, Entry, LINE};
use super::looks::{look, markers};
use crate::frame::{Axis, Frame};
use crate::ink::Ink;
use crate::sketch::{Anchor, Point, Sketch, WIDTH, Words, at, shortened};

const LEFT: f64 = 52.0;
const RIGHT: f64 = 20.0;
const PANEL: f64 = 150.0;
const GAP: f64 = 34.0;

/// Two panels over the same hours, a line for each supply: power into the pack, state of charge.
pub(crate) fn charging(answer: &ChargeAnswer) -> Sketch {
    let key = key(answer);
    let top = LINE * legend::lines(&key) + 28.0;
    let height = top + 2.0 * PANEL + GAP + 42.0;
    let mut sketch = Sketch::new("charging", "Charging: power and state of charge", height);
    sketch.words = words(answer);
    legend::draw(&mut sketch, &key, 2.0);
    let power: Value = |point| point.power_kw;
    let most = points(answer).map(power).filter(|kw| kw.is_finite()).fold(0.0, f64::max);
    let upper = Panel {
        name: format!("power into the pack, {}", Units::Metric.symbol(Unit::Kw)),
        top,
        y: Axis::round(0.0, 1.05 * most, 4.0),
        value: power,
        last: false,
    };
    let lower = Panel {
        name: format!("state of charge, {}", Units::Metric.symbol(Unit::Pct)),
        top: top + PANEL + GAP,
        y: Axis::exact(0.0, 100.0, 5.0),
        value: |point| point.charge_pct,
        last: true,
    };
    draw_panel(&mut sketch, answer, upper);
    draw_panel(&mut sketch, answer, lower);
    sketch
}

type Value = fn(&ChargePoint) -> f64;

struct Panel {
    name: String,
    top: f64,
    y: Axis,
    value: Value,
    last: bool,
}

fn points(answer: &ChargeAnswer) -> impl Iterator<Item = &ChargePoint> {
    answer.supplies.iter().filter(|s| charges(s)).flat_map(|s| &s.points)
}

/// A supply that never charges has no line.
fn charges(supply: &SupplyLine) -> bool {
    supply.hours.is_some()
}

fn draw_panel(sketch: &mut Sketch, answer: &ChargeAnswer, panel: Panel) {
    let hours = points(answer).map(|p| p.time_min / 60.0).filter(|h| h.is_finite());
    let frame = Frame {
        left: LEFT,
        top: panel.top,
        width: WIDTH - LEFT - RIGHT,
        height: PANEL,
        x: Axis::exact(0.0, hours.fold(0.0, f64::max), 8.0),
        y: panel.y,
    };
    frame.draw_x(sketch, panel.last);
    frame.draw_y(sketch);
    frame.name_y(sketch, &panel.name);
    if panel.last {
        frame.name_x(sketch, "time from plugging in, hours");
    }
    if points(answer).next().is_none() {
        let place = at(frame.left + frame.width / 2.0, frame.top + PANEL / 2.0);
        sketch.text(place, "no supply charges", Words::plain(Ink::Soft, Anchor::Middle));
    }
    let shift = 1.0 / f64::from(u32::try_from(answer.supplies.len().max(1)).unwrap_or(1));
    let mut shifted = 0.5 * shift;
    for (i, supply) in answer.supplies.iter().enumerate().filter(|(_, s)| charges(s)) {
        let numbers = supply.points.iter().map(|p| (p.time_min / 60.0, (panel.value)(p)));
        let line: Vec<Point> = numbers
            .filter(|(hours, value)| hours.is_finite() && value.is_finite())
            .map(|(hours, value)| frame.place(hours, value))
            .collect();
        look(i).draw(sketch, &line, &markers(&line, 5, shifted));
        shifted += shift;
    }
}

fn key(answer: &ChargeAnswer) -> Vec<Entry> {
    let entry = |(i, supply): (usize, &SupplyLine)| {
        let power = Units::Metric.text(supply.supply_kw, Unit::Kw);
        look(i).entry(format!("{}, {power}", shortened(&supply.name, 28)))
    };
    answer.supplies.iter().enumerate().filter(|(_, s)| charges(s)).map(entry).collect()
}

fn words(answer: &ChargeAnswer) -> String {
    if answer.supplies.is_empty() {
        return "The build names no supply to charge from.".to_owned();
    }
    let pct = |value: f64| Units::Metric.text_to(value, Unit::Pct, 0);
    let sentence = |supply: &SupplyLine| {
        let Some(hours) = supply.hours else {
            return format!("{} gives no charge.", supply.name);
        };
        let most = supply.points.iter().map(|p| p.power_kw).fold(0.0, f64::max);
        let taper = supply
            .taper_from_pct
            .map_or_else(String::new, |from| format!(", falling from {} of charge", pct(from)));
        format!(
            "{} takes {} h to {} with up to {} into the pack{taper}.",
            supply.name,
            digits(hours, 1),
            pct(supply.end_pct),
            Units::Metric.text(most, Unit::Kw)
        )
    };
    let each: Vec<String> = answer.supplies.iter().map(sentence).collect();
    format!("From {} of charge: {}", pct(answer.from_pct), each.join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::file_svg;

    fn supply(name: &str, hours: f64) -> SupplyLine {
        let point = |i: u32| {
            let share = f64::from(i) / 100.0;
            ChargePoint {
                time_min: 60.0 * hours * share,
                charge_pct: 20.0 + 76.0 * share,
                power_kw: 8.0 / hours * (1.0 - 0.2 * share * share),
                current_a: 20.0,
                voltage_v: 130.0,
                ..ChargePoint::default()
            }
        };
        SupplyLine {
            name: name.into(),
            supply_kw: 10.0 / hours,
            hours: Some(hours),
            wall_kwh: Some(9.0),
            into_pack_kwh: Some(8.0),
            end_pct: 96.0,
            taper_from_pct: Some(90.0),
            km_per_hour: None,
            points: (0..=100).map(point).collect(),
            ..SupplyLine::default()
        }
    }

    fn answer(supplies: Vec<SupplyLine>) -> ChargeAnswer {
        ChargeAnswer { from_pct: 20.0, to_pct: 96.0, supplies, ..ChargeAnswer::default() }
    }

    fn dead() -> SupplyLine {
        SupplyLine { hours: None, taper_from_pct: None, points: Vec::new(), ..supply("dead", 1.0) }
    }

    #[test]
    fn the_figure_has_title_words_units_and_every_supply() {
        let draw =
            || charging(&answer(vec![supply("garage", 5.0), dead(), supply("wall box", 2.0)]));
        let svg = file_svg(&draw()).unwrap();
        assert_eq!(svg, file_svg(&draw()).unwrap());
        for part in [
            "<title id=\"charging-title\">Charging: power and state of charge",
            "power into the pack, kW",
            "state of charge, %",
            "time from plugging in, hours",
            "garage, 2.0 kW",
            "wall box, 5.0 kW",
        ] {
            assert!(svg.contains(part), "{part}");
        }
        assert!(!svg.contains("dead, "));
        assert_eq!(
            draw().words,
            "From 20 % of charge: garage takes 5.0 h to 96 % with up to 1.6 kW into the pack, falling \
             from 90 % of charge. dead gives no charge. wall box takes 2.0 h to 96 % with up to \
             4.0 kW into the pack, falling from 90 % of charge."
        );
    }

    #[test]
    fn no_supply_and_broken_numbers_draw_too() {
        let mut broken = supply("odd", 3.0);
        broken.points[3].power_kw = f64::NAN;
        broken.points[5].time_min = f64::INFINITY;
        let empty = charging(&ChargeAnswer::default());
        assert_eq!(empty.words, "The build names no supply to charge from.");
        for sketch in [empty, charging(&answer(vec![dead()])), charging(&answer(vec![broken]))] {
            assert!(!file_svg(&sketch).unwrap().contains("NaN"));
        }
    }
}
