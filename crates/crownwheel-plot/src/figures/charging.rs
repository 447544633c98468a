//! Power and state of charge over time at each supply.

use crownwheel_answers::charge::{ChargePoint, SupplyLine};
use crownwheel_answers::unit::digits;
use crownwheel_answers::{ChargeAnswer, Unit, Units};

use super::legend::{self, Entry};
use super::looks::{look, markers};
use crate::chart::{Axis, Chart, Plan, span};
use crate::ink::Ink;
use crate::sketch::{Anchor, Sketch, Words, shortened};

type PointValue = fn(&ChargePoint) -> f64;

/// Two panels over the same hours, a line for each supply: power into the pack, state of charge.
pub(crate) fn charging(answer: &ChargeAnswer) -> Sketch {
    let title = "Charging: power and state of charge";
    let mut sketch = legend::figure("charging", title, words(answer), &key(answer));
    let power: PointValue = |point| point.power_kw;
    let most = span(points(answer).map(power)).1.max(0.0);
    draw(
        &mut sketch,
        answer,
        "",
        (Axis::round(0.0, 1.05 * most, 4.0), "power into the pack, kW"),
        power,
    );
    let hours = "time from plugging in, hours";
    let share = (Axis::exact(0.0, 100.0, 5.0), "state of charge, %");
    draw(&mut sketch, answer, hours, share, |point| point.charge_pct);
    sketch
}

fn points(answer: &ChargeAnswer) -> impl Iterator<Item = &ChargePoint> {
    answer.supplies.iter().filter(|s| charges(s)).flat_map(|s| &s.points)
}

/// A supply that never charges has no line.
fn charges(supply: &SupplyLine) -> bool {
    supply.hours.is_some()
}

fn draw(
    sketch: &mut Sketch,
    answer: &ChargeAnswer,
    x_name: &str,
    (y, y_name): (Axis, &str),
    value: PointValue,
) {
    let hours = |point: &ChargePoint| point.time_min / 60.0;
    let x = Axis::exact(0.0, span(points(answer).map(hours)).1, 8.0);
    let chart = Chart::below(sketch, Plan { height: 150.0, right: 20.0, x, x_name, y, y_name });
    if points(answer).next().is_none() {
        let middle = chart.place(chart.x.max / 2.0, chart.y.max / 2.0);
        sketch.text(middle, "no supply charges", Words::plain(Ink::Soft, Anchor::Middle));
    }
    let shift = 1.0 / f64::from(u32::try_from(answer.supplies.len().max(1)).unwrap_or(1));
    let mut shifted = 0.5 * shift;
    for (i, supply) in answer.supplies.iter().enumerate().filter(|(_, s)| charges(s)) {
        let line: Vec<(f64, f64)> =
            supply.points.iter().map(|point| (hours(point), value(point))).collect();
        look(i).draw(&chart, sketch, &line, &markers(&line, 5, shifted));
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
    use crate::svg::file_svg;

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
