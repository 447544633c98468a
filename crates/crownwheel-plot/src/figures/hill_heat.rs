//! The motor's heat on the named hills.

use crownwheel_answers::pull::HillLine;
use crownwheel_answers::unit::digits;
use crownwheel_answers::{PullAnswer, Unit, Units};

use super::legend::{self, Entry, Mark};
use super::looks::{look, markers};
use crate::chart::{Axis, Chart, Plan, span};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Sketch, Words, at, shortened};

/// Where the motor cuts back, %.
const LIMIT_PCT: f64 = 100.0;

/// Used share of the motor's heat against time from the foot of each hill, and the limit.
pub(crate) fn hill_heat(answer: &PullAnswer) -> Sketch {
    let known: Vec<&HillLine> = answer.hills.iter().filter(|hill| !hill.heat.is_empty()).collect();
    let key = key(&known, answer.units);
    let title = "Heat of the motor on the hills";
    let mut sketch = legend::figure("hill-heat", title, words(answer), &key);
    let heat = || known.iter().flat_map(|hill| &hill.heat);
    let hottest = heat().map(|p| 100.0 * p.heat_used).chain([1.1 * LIMIT_PCT]);
    let chart = Chart::below(
        &mut sketch,
        Plan {
            height: 230.0,
            right: 20.0,
            x: Axis::exact(0.0, span(heat().map(|p| p.time_min)).1, 8.0),
            x_name: "time from the foot of the hill, minutes",
            y: Axis::from_zero(hottest, 6.0),
            y_name: "used share of the motor's heat, %",
        },
    );
    chart.across(&mut sketch, LIMIT_PCT, (Ink::Alarm, 2.6, Dash::Solid));
    let end = chart.place(chart.x.max, LIMIT_PCT);
    let style = Words::small(Ink::Alarm, Anchor::End).bold();
    sketch.text(at(end.x - 4.0, end.y - 10.0), "above this the motor cuts back", style);
    for (i, hill) in known.iter().enumerate() {
        let numbers = hill.heat.iter().map(|p| (p.time_min, 100.0 * p.heat_used));
        let points: Vec<(f64, f64)> =
            numbers.filter(|(minutes, pct)| minutes.is_finite() && pct.is_finite()).collect();
        let mut marked = markers(&points, 5, 0.5);
        marked.extend(points.last());
        look(i).draw(&chart, &mut sketch, &points, &marked);
    }
    sketch
}

fn key(hills: &[&HillLine], units: Units) -> Vec<Entry> {
    let entry = |(i, hill): (usize, &&HillLine)| {
        let words = format!(
            "{}: {} at {}",
            shortened(&hill.hill, 24),
            units.text(hill.grade_pct, Unit::Pct),
            units.text(hill.speed_kmh, Unit::Kmh)
        );
        look(i).entry(words)
    };
    let limit = Entry::new(Mark::Line(Dash::Solid, 2.6), Ink::Alarm, "limit");
    hills.iter().enumerate().map(entry).chain([limit]).collect()
}

fn words(answer: &PullAnswer) -> String {
    if answer.hills.is_empty() {
        return "The build names no hill.".to_owned();
    }
    let sentences = answer.hills.iter().map(|hill| sentence(hill, answer.units));
    sentences.collect::<Vec<_>>().join(" ")
}

fn sentence(hill: &HillLine, units: Units) -> String {
    let climb = format!(
        "On {} ({} of {} at {}, {} min)",
        hill.hill,
        units.text_to(hill.length_km, Unit::Km, 1),
        units.text(hill.grade_pct, Unit::Pct),
        units.text(hill.speed_kmh, Unit::Kmh),
        digits(hill.minutes, 1)
    );
    let most = hill.heat.iter().map(|p| 100.0 * p.heat_used).reduce(f64::max);
    let Some(most) = most else { return format!("{climb} the heat is not known.") };
    if hill.held.starts_with("not held") {
        return format!("{climb} the car does not keep its speed ({}).", hill.held);
    }
    let reached = format!("{climb} a cold motor reaches {} of the heat that it bears", pct(most));
    let cold = match hill.minutes_to_cut_back {
        Some(minutes) if minutes < hill.minutes => {
            format!("{reached}: it cuts back after {} min, before the top.", digits(minutes, 1))
        }
        Some(minutes) => {
            format!(
                "{reached}; on a longer hill it would cut back after {} min.",
                digits(minutes, 1)
            )
        }
        None => format!("{reached}; on a longer hill: {}.", hill.held),
    };
    match hill.minutes_to_cut_back_warm.filter(|minutes| *minutes < hill.minutes) {
        Some(minutes) => {
            let minutes = digits(minutes, 1);
            format!("{cold} Warm from 20 min on the flat it cuts back after {minutes} min.")
        }
        None => cold,
    }
}

fn pct(value: f64) -> String {
    Units::Metric.text_to(value, Unit::Pct, 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::file_svg;
    use crownwheel_answers::pull::HeatPoint;

    fn hill(name: &str, minutes_to_cut_back: Option<f64>, per_min: f64) -> HillLine {
        let point = |i: u32| {
            let time_min = 0.1 * f64::from(i);
            HeatPoint { time_min, heat_used: per_min * time_min }
        };
        HillLine {
            hill: name.into(),
            length_km: 5.2,
            grade_pct: 8.0,
            speed_kmh: 60.0,
            minutes: 5.2,
            minutes_to_cut_back,
            held: "held for good".to_owned(),
            heat: (0..=52).map(point).collect(),
            ..HillLine::default()
        }
    }

    fn answer(hills: Vec<HillLine>, units: Units) -> PullAnswer {
        PullAnswer { hills, units, ..PullAnswer::default() }
    }

    #[test]
    fn the_figure_has_title_words_units_and_the_limit() {
        let hills = || vec![hill("bank", Some(6.5), 0.15), hill("moor", None, 0.05)];
        for (units, speed) in [(Units::Metric, "bank: 8.0 % at 60 km/h"), (Units::Us, "at 37 mph")]
        {
            let svg = file_svg(&hill_heat(&answer(hills(), units))).unwrap();
            assert_eq!(svg, file_svg(&hill_heat(&answer(hills(), units))).unwrap());
            for part in [
                "<title id=\"hill-heat-title\">Heat of the motor on the hills",
                "time from the foot of the hill, minutes",
                "heat, %",
                "above this the motor cuts back",
                speed,
            ] {
                assert!(svg.contains(part), "{part}");
            }
        }
    }

    #[test]
    fn each_hill_has_its_sentence() {
        let mut unknown = hill("lane", None, 0.1);
        unknown.heat.clear();
        let hills = vec![
            hill("bank", Some(6.5), 0.15),
            hill("pass", Some(3.3), 0.3),
            hill("moor", None, 0.05),
            HillLine { minutes_to_cut_back_warm: Some(4.4), ..hill("dale", Some(6.0), 0.15) },
            HillLine { held: "not held: grip".to_owned(), ..hill("ramp", None, 0.1) },
            unknown,
        ];
        let words = words(&answer(hills, Units::Metric));
        for part in [
            "On bank (5.2 km of 8.0 % at 60 km/h, 5.2 min) a cold motor reaches 78 % of the heat that it bears; on a longer hill it would cut back after 6.5 min.",
            "it cuts back after 3.3 min, before the top.",
            "26 % of the heat that it bears; on a longer hill: held for good.",
            "after 6.0 min. Warm from 20 min on the flat it cuts back after 4.4 min.",
            "On ramp (5.2 km of 8.0 % at 60 km/h, 5.2 min) the car does not keep its speed (not held: grip).",
            "On lane (5.2 km of 8.0 % at 60 km/h, 5.2 min) the heat is not known.",
        ] {
            assert!(words.contains(part), "{part}: {words}");
        }
    }

    #[test]
    fn no_hill_and_broken_numbers_draw_too() {
        let empty = hill_heat(&PullAnswer::default());
        assert_eq!(empty.words, "The build names no hill.");
        let broken = hill_heat(&answer(vec![hill("odd", None, f64::NAN)], Units::Metric));
        for sketch in [empty, broken] {
            assert!(!file_svg(&sketch).unwrap().contains("NaN"));
        }
    }
}
