//! The motor's heat on the named hills.

use crownwheel_answers::pull::HillLine;
use crownwheel_answers::unit::digits;
use crownwheel_answers::{PullAnswer, Unit, Units};

use super::legend::{self, Entry, LINE, Mark};
use super::looks::{look, markers};
use crate::frame::{Axis, Frame};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Point, Sketch, WIDTH, Words, at, shortened};

const LEFT: f64 = 52.0;
const RIGHT: f64 = 20.0;
const PLOT: f64 = 230.0;

/// Where the motor cuts back, %.
const LIMIT_PCT: f64 = 100.0;

/// Used share of the motor's heat against time from the foot of each hill, and the limit.
pub(crate) fn hill_heat(answer: &PullAnswer) -> Sketch {
    let known: Vec<&HillLine> = answer.hills.iter().filter(|hill| !hill.heat.is_empty()).collect();
    let key = key(&known, answer.units);
    let top = LINE * legend::lines(&key) + 28.0;
    let mut sketch = Sketch::new("hill-heat", "Heat of the motor on the hills", top + PLOT + 42.0);
    sketch.words = words(answer);
    legend::draw(&mut sketch, &key, 2.0);
    let heat = || known.iter().flat_map(|hill| &hill.heat);
    let longest = heat().map(|p| p.time_min).filter(|t| t.is_finite()).fold(0.0, f64::max);
    let hottest = heat().map(|p| 100.0 * p.heat_used).filter(|h| h.is_finite());
    let frame = Frame {
        left: LEFT,
        top,
        width: WIDTH - LEFT - RIGHT,
        height: PLOT,
        x: Axis::exact(0.0, longest, 8.0),
        y: Axis::round(0.0, hottest.fold(1.1 * LIMIT_PCT, f64::max), 6.0),
    };
    frame.draw_x(&mut sketch, true);
    frame.draw_y(&mut sketch);
    frame.name_x(&mut sketch, "time from the foot of the hill, minutes");
    frame.name_y(&mut sketch, "used share of the motor's heat, %");
    draw_limit(&mut sketch, &frame);
    for (i, hill) in known.iter().enumerate() {
        let numbers = hill.heat.iter().map(|p| (p.time_min, 100.0 * p.heat_used));
        let points: Vec<Point> = numbers
            .filter(|(minutes, pct)| minutes.is_finite() && pct.is_finite())
            .map(|(minutes, pct)| frame.place(minutes, pct))
            .collect();
        let mut marked = markers(&points, 5, 0.5);
        marked.extend(points.last());
        look(i).draw(&mut sketch, &points, &marked);
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
    let limit =
        Entry { mark: Mark::Line(Dash::Solid, 2.6), ink: Ink::Alarm, words: "limit".to_owned() };
    hills.iter().enumerate().map(entry).chain([limit]).collect()
}

fn draw_limit(sketch: &mut Sketch, frame: &Frame) {
    let (from, to) = (frame.place(frame.x.min, LIMIT_PCT), frame.place(frame.x.max, LIMIT_PCT));
    sketch.line(vec![from, to], Ink::Alarm, 2.6, Dash::Solid);
    sketch.text(
        at(to.x - 4.0, to.y - 10.0),
        "above this the motor cuts back",
        Words::small(Ink::Alarm, Anchor::End).bold(),
    );
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
    use crate::render::file_svg;
    use crownwheel_answers::pull::HeatPoint;

    fn hill(name: &str, minutes_to_cut_back: Option<f64>, per_min: f64) -> HillLine {
        let point = |i: u32| {
            let time_min = 0.1 * f64::from(i);
            HeatPoint { time_min, heat_used: per_min * time_min }
        };
        HillLine {
            hill: name.to_owned(),
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
