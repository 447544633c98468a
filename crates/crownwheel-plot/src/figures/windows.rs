//! The worst rolling value of a quantity against the length of the window.

use crownwheel_answers::unit::digits;
use crownwheel_answers::windows::WINDOW_LENGTHS_S;
use crownwheel_answers::{Caution, RangeAnswer, Topic, Units, WindowQuantity};
use crownwheel_quantities::Name;

use super::legend::{self, Entry, Mark};
use super::looks::look;
use crate::chart::{Axis, Chart, Plan, span};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Sketch, Words, at, shortened};

/// Least distance between the names of two limits.
const APART: f64 = 15.0;

const LIMIT_DASHES: [Dash; 4] = [Dash::Solid, Dash::Long, Dash::Short, Dash::Dots];

/// The worst value of one window length, and where it comes from.
struct WorstValue<'a> {
    window_s: f64,
    value: f64,
    cycle: &'a str,
    day: &'a Name,
}

/// The worst over all cycles and days on a logarithmic time axis, and the limits that the build
/// states: a name and a value in the quantity's metric unit each.
pub(crate) fn windows(
    answer: &RangeAnswer,
    quantity: WindowQuantity,
    limits: &[(&str, f64)],
) -> Sketch {
    let worst = worst(answer, quantity);
    let mut limits: Vec<(&str, f64)> = limits.iter().copied().filter(|l| l.1.is_finite()).collect();
    limits.sort_by(|a, b| a.1.total_cmp(&b.1));
    let slug = format!("windows-{}", quantity.key().replace('_', "-"));
    let title = format!("Worst over time: {}", quantity.label());
    let said = words(&worst, quantity, &limits, answer.units);
    let mut sketch = legend::figure(&slug, &title, said, &key(&limits));
    let shown = |metric: f64| answer.units.value(metric, quantity.unit());
    let limits: Vec<(&str, f64)> = limits.iter().map(|(name, it)| (*name, shown(*it))).collect();
    let most = worst.iter().map(|w| shown(w.value)).chain(limits.iter().map(|l| l.1));
    let [first, .., last] = WINDOW_LENGTHS_S.map(libm::log10);
    let lengths = WINDOW_LENGTHS_S.map(|seconds| (libm::log10(seconds), length(seconds).0));
    let chart = Chart::below(
        &mut sketch,
        Plan {
            height: 250.0,
            right: 20.0,
            x: Axis::with_ticks(first, last, lengths.to_vec()),
            x_name: "",
            y: Axis::round(0.0, 1.05 * span(most).1.max(0.0), 6.0),
            y_name: &format!("{}, {}", quantity.label(), answer.units.symbol(quantity.unit())),
        },
    );
    draw_lengths(&mut sketch, &chart);
    draw_limits(&mut sketch, &chart, &limits);
    let points: Vec<(f64, f64)> =
        worst.iter().map(|w| (libm::log10(w.window_s), shown(w.value))).collect();
    look(0).draw(&chart, &mut sketch, &points, &points);
    sketch
}

fn worst(answer: &RangeAnswer, quantity: WindowQuantity) -> Vec<WorstValue<'_>> {
    let of_length = |window_s: f64| {
        let all = answer.results.iter().flat_map(|r| {
            let fits = r
                .windows
                .iter()
                .filter(move |w| w.quantity == quantity && (w.window_s - window_s).abs() < 1e-6);
            fits.filter_map(move |w| {
                let value = w.value.filter(|value| value.is_finite())?;
                Some(WorstValue { window_s, value, cycle: &r.cycle, day: &r.day })
            })
        });
        all.max_by(|a, b| a.value.total_cmp(&b.value))
    };
    WINDOW_LENGTHS_S.into_iter().filter_map(of_length).collect()
}

fn key(limits: &[(&str, f64)]) -> Vec<Entry> {
    let mut key = vec![look(0).entry("worst of all cycles and days".to_owned())];
    if !limits.is_empty() {
        let words = "limit that the build states";
        key.push(Entry::new(Mark::Line(Dash::Solid, 1.8), Ink::Alarm, words));
    }
    key
}

/// Numbers and units of the lengths, one below the other, because ten minutes stand close to five.
fn draw_lengths(sketch: &mut Sketch, chart: &Chart) {
    let bottom = chart.top + chart.height;
    for seconds in WINDOW_LENGTHS_S {
        let (number, unit) = length(seconds);
        for (words, below) in [(&*number, 13.0), (unit, 27.0)] {
            let place = at(chart.along(libm::log10(seconds)), bottom + below);
            sketch.text(place, words, Words::small(Ink::Soft, Anchor::Middle));
        }
    }
    let end = at(chart.left + chart.width, bottom + 46.0);
    let style = Words::small(Ink::Text, Anchor::End);
    sketch.text(end, "length of the window (logarithmic)", style);
    sketch.height = bottom + 57.0;
}

fn length(seconds: f64) -> (String, &'static str) {
    if seconds < 60.0 { (digits(seconds, 0), "s") } else { (digits(seconds / 60.0, 0), "min") }
}

fn length_text(seconds: f64) -> String {
    let (number, unit) = length(seconds);
    format!("{number} {unit}")
}

/// Lowest first: a name that would touch the one below it moves up.
fn draw_limits(sketch: &mut Sketch, chart: &Chart, limits: &[(&str, f64)]) {
    let mut lowest = f64::INFINITY;
    for ((name, value), dash) in limits.iter().zip(LIMIT_DASHES.into_iter().cycle()) {
        chart.across(sketch, *value, (Ink::Alarm, 1.8, dash));
        let end = chart.place(chart.x.max, *value);
        lowest = (end.y - 9.0).min(lowest - APART);
        let words = format!("{} {}", shortened(name, 30), digits(*value, 0));
        let style = Words::small(Ink::Alarm, Anchor::End).bold();
        sketch.text(at(end.x - 4.0, lowest), &words, style);
    }
}

fn words(
    worst: &[WorstValue<'_>],
    quantity: WindowQuantity,
    limits: &[(&str, f64)],
    units: Units,
) -> String {
    let text = |value: f64| units.text_to(value, quantity.unit(), 0);
    let (Some(first), Some(last)) = (worst.first(), worst.last()) else {
        return "No cycle was driven.".to_owned();
    };
    let mut words = format!(
        "{} is at most {} over {} ({}, {})",
        capital(quantity.label()),
        text(first.value),
        length_text(first.window_s),
        first.cycle,
        first.day
    );
    if last.window_s > first.window_s {
        words.push_str(&format!(
            " and {} over {} ({}, {})",
            text(last.value),
            length_text(last.window_s),
            last.cycle,
            last.day
        ));
    }
    words.push('.');
    for (name, limit) in limits {
        words.push_str(&limit_sentence(worst, name, *limit, &text));
    }
    if quantity == WindowQuantity::BatteryCurrentRms {
        words.push_str(&format!(" {}", Caution::about(Topic::Currents).text));
    }
    words
}

fn limit_sentence(
    worst: &[WorstValue<'_>],
    name: &str,
    limit: f64,
    text: &dyn Fn(f64) -> String,
) -> String {
    let above = worst
        .iter()
        .filter(|w| w.value > limit * (1.0 + 1e-6))
        .max_by(|a, b| a.window_s.total_cmp(&b.window_s));
    match above {
        Some(w) => {
            let longest = length_text(w.window_s);
            format!(" The limit {name} ({}) is passed over up to {longest}.", text(limit))
        }
        None => format!(" The limit {name} ({}) is not passed.", text(limit)),
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::file_svg;
    use crownwheel_answers::{CycleResult, Window};

    fn result(cycle: &str, day: &str, values: [Option<f64>; 8]) -> CycleResult {
        let windows = WINDOW_LENGTHS_S.into_iter().zip(values).flat_map(|(window_s, value)| {
            [WindowQuantity::BatteryCurrentRms, WindowQuantity::MotorTorqueRms]
                .map(|quantity| Window::new(quantity, window_s, value))
        });
        CycleResult {
            cycle: cycle.to_owned(),
            day: day.into(),
            windows: windows.collect(),
            ..CycleResult::default()
        }
    }

    fn answer(units: Units) -> RangeAnswer {
        let high = [300.0, 250.0, 200.0, 180.0, 150.0, 120.0].map(Some);
        let [a, b, c, d, e, f] = high;
        RangeAnswer {
            units,
            results: vec![
                result("town", "mild", [Some(330.0), b, c, d, e, f, None, None]),
                result("road", "winter", [a, b, c, d, e, f, Some(110.0), Some(95.0)]),
            ],
            ..RangeAnswer::default()
        }
    }

    #[test]
    fn the_figure_has_title_words_units_and_limits() {
        let limits = [("cells", 624.0), ("inverter", 320.0)];
        let draw = |quantity, units| {
            let svg = file_svg(&windows(&answer(units), quantity, &limits)).unwrap();
            assert_eq!(svg, file_svg(&windows(&answer(units), quantity, &limits)).unwrap());
            svg
        };
        let current = draw(WindowQuantity::BatteryCurrentRms, Units::Metric);
        for part in [
            "<title id=\"windows-battery-current-rms-title\">Worst over time: battery current, r.m.s.",
            "battery current, r.m.s., A",
            "length of the window (logarithmic)",
            ">min<",
            "cells 624",
            "inverter 320",
        ] {
            assert!(current.contains(part), "{part}");
        }
        assert!(draw(WindowQuantity::MotorTorqueRms, Units::Metric).contains("r.m.s., N m"));
        assert!(draw(WindowQuantity::MotorTorqueRms, Units::Us).contains("r.m.s., lbf ft"));
    }

    #[test]
    fn the_sentence_names_the_worst_cycle_and_each_limit() {
        let limits = [("inverter", 320.0), ("cells", 624.0)];
        let words =
            windows(&answer(Units::Metric), WindowQuantity::BatteryCurrentRms, &limits).words;
        for part in [
            "Battery current, r.m.s. is at most 330 A over 1 s (town, mild) and 95 A over 30 min (road, winter).",
            "The limit inverter (320 A) is passed over up to 1 s.",
            "The limit cells (624 A) is not passed.",
            "licensed person",
        ] {
            assert!(words.contains(part), "{part}: {words}");
        }
    }

    #[test]
    fn close_limits_keep_their_names_apart() {
        let limits = [("a", 400.0), ("b", 401.0), ("c", 402.0)];
        let sketch = windows(&answer(Units::Metric), WindowQuantity::BatteryCurrentRms, &limits);
        let places: Vec<f64> = sketch
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                crate::sketch::Shape::Text { place, style, .. } if style.ink == Ink::Alarm => {
                    Some(place.y)
                }
                _ => None,
            })
            .collect();
        assert_eq!(places.len(), 3);
        assert!(places.windows(2).all(|pair| pair[0] - pair[1] > APART - 1e-9), "{places:?}");
    }

    #[test]
    fn no_cycle_and_no_limit_draw_too() {
        let none = [("odd", f64::NAN)];
        let sketch = windows(&RangeAnswer::default(), WindowQuantity::MotorTorqueRms, &none);
        assert_eq!(sketch.words, "No cycle was driven.");
        assert!(!file_svg(&sketch).unwrap().contains("NaN"));
    }
}
