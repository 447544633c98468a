//! Pull against road speed, with the road load on grades and what limits the pull where.

use crownwheel_answers::pull::PullLine;
use crownwheel_answers::{PullAnswer, Unit, Units};

use super::legend::{self, Entry, Mark, Marker};
use super::looks::{Look, markers};
use super::strip::Strip;
use crate::chart::{Axis, Chart, Plan, span};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Sketch, Words, at};
use crate::thin::Pair;

/// Least distance between the grades at the ends of their lines.
const APART: f64 = 14.0;

const FULL: Look = Look { ink: Ink::Blue, dash: Dash::Solid, marker: Marker::Circle, width: 2.6 };
const CONTINUOUS: Look =
    Look { ink: Ink::Plum, dash: Dash::Dots, marker: Marker::Diamond, width: 2.4 };
const NEARLY_EMPTY: Look =
    Look { ink: Ink::Rust, dash: Dash::Long, marker: Marker::Square, width: 1.4 };

type Force = fn(&PullLine) -> f64;

/// Look, words of the key, and speed with force as they are shown.
type PullCurve = (Look, String, Vec<Pair>);

/// Road load: grade in per cent, its force, and the dash of its line.
const ROADS: [(f64, Force, Dash); 4] = [
    (0.0, |line| line.road_load_n, Dash::Solid),
    (5.0, |line| line.road_load_5_pct_n, Dash::Short),
    (10.0, |line| line.road_load_10_pct_n, Dash::Long),
    (20.0, |line| line.road_load_20_pct_n, Dash::Dots),
];

/// Peak pull at full and at the least charge, continuous pull, road load on four grades, and the
/// limit of the peak pull along the speed axis.
pub(crate) fn tractive_effort(answer: &PullAnswer) -> Sketch {
    let units = answer.units;
    let limits = answer.table.iter().map(|l| (units.value(l.speed_kmh, Unit::Kmh), &*l.limit));
    let (strip, curves) = (Strip::new(limits), curves(answer));
    let key = key(&curves, &strip);
    let title = "Pull against road speed";
    let mut sketch = legend::figure("tractive-effort", title, words(answer), &key);
    let fastest = answer.table.last().map_or(0.0, |line| line.speed_kmh);
    let forces = answer.table.iter().flat_map(|line| {
        let all = ROADS.iter().map(|(_, force, _)| force(line)).chain([line.pull_n]);
        all.map(|n| units.value(n, Unit::N))
    });
    let chart = Chart::below(
        &mut sketch,
        Plan {
            height: 290.0,
            // Room for the grades at the ends of their lines.
            right: 42.0,
            x: Axis::exact(0.0, units.value(fastest, Unit::Kmh), 7.0),
            x_name: "",
            y: Axis::round(0.0, span(forces).1.max(0.0), 6.0),
            y_name: &format!("force at the driven wheels, {}", units.symbol(Unit::N)),
        },
    );
    draw_roads(&mut sketch, &chart, answer);
    for ((look, _, points), shift) in curves.iter().zip([0.3, 0.5, 0.7]) {
        look.draw(&chart, &mut sketch, points, &markers(points, 6, shift));
    }
    // Last, so that no line crosses its numbers.
    strip.draw(&mut sketch, &chart, &format!("road speed, {}", units.symbol(Unit::Kmh)));
    sketch
}

fn curves(answer: &PullAnswer) -> Vec<PullCurve> {
    let peak = |look, charge_pct, table: &[PullLine]| -> PullCurve {
        (look, format!("peak at {}", pct(charge_pct)), series(table, |l| l.pull_n, answer.units))
    };
    let continuous = series(&answer.table, |l| l.continuous_pull_n, answer.units);
    let full = peak(FULL, answer.charge_pct, &answer.table);
    let less = answer.at_less_charge.last();
    let less = less.map(|at| peak(NEARLY_EMPTY, at.charge_pct, &at.table));
    let all = [Some(full), Some((CONTINUOUS, "continuous".to_owned(), continuous)), less];
    all.into_iter().flatten().filter(|(_, _, points)| !points.is_empty()).collect()
}

fn pct(charge_pct: f64) -> String {
    format!("{} of charge", Units::Metric.text_to(charge_pct, Unit::Pct, 0))
}

/// Speed and force as they are shown, as far as they are numbers.
fn series(table: &[PullLine], force: Force, units: Units) -> Vec<Pair> {
    let pair = |line: &PullLine| {
        (units.value(line.speed_kmh, Unit::Kmh), units.value(force(line), Unit::N))
    };
    table.iter().map(pair).filter(|(x, y)| x.is_finite() && y.is_finite()).collect()
}

fn key(curves: &[PullCurve], strip: &Strip) -> Vec<Entry> {
    let mut key: Vec<Entry> =
        curves.iter().map(|(look, words, _)| look.entry(words.clone())).collect();
    if !curves.is_empty() {
        let words = "road load, grade at the end";
        key.push(Entry::new(Mark::Line(Dash::Short, 1.6), Ink::Slate, words));
    }
    key.extend(strip.key());
    key
}

/// Lowest first: a grade that would touch the one below it moves up.
fn draw_roads(sketch: &mut Sketch, chart: &Chart, answer: &PullAnswer) {
    let mut lowest = f64::INFINITY;
    for (grade_pct, force, dash) in ROADS {
        let points = series(&answer.table, force, answer.units);
        if let Some((x, y)) = points.last() {
            let words = answer.units.text_to(grade_pct, Unit::Pct, 0);
            let style = Words::small(Ink::Slate, Anchor::Start).bold();
            let end = chart.place(*x, *y);
            lowest = end.y.min(lowest - APART);
            sketch.text(at(end.x + 5.0, lowest), &words, style);
        }
        chart.line(sketch, points, (Ink::Slate, 1.6, dash));
    }
}

fn words(answer: &PullAnswer) -> String {
    let units = answer.units;
    let Some(first) = answer.table.first() else {
        return "No pull is known.".to_owned();
    };
    let mut words = format!(
        "From standstill the car pulls {} (limit: {}), for long {}.",
        units.text(first.pull_n, Unit::N),
        first.limit,
        units.text(first.continuous_pull_n, Unit::N)
    );
    for (grade_pct, road, _) in [ROADS[2], ROADS[3]] {
        let grade = units.text_to(grade_pct, Unit::Pct, 0);
        let peak = up_to(&answer.table, |l| l.pull_n, road);
        let long = up_to(&answer.table, |l| l.continuous_pull_n, road);
        let speed = |kmh: f64| units.text(kmh, Unit::Kmh);
        words.push_str(&match (peak, long) {
            (None, _) => format!(" It does not start on {grade}."),
            (Some(peak), None) => {
                format!(" On {grade} it gets to {}, but not for long.", speed(peak))
            }
            (Some(peak), Some(long)) => {
                format!(" On {grade} it gets to {}, for long to {}.", speed(peak), speed(long))
            }
        });
    }
    if answer.top_speed.kmh > 0.0 {
        words.push_str(&format!(
            " On the flat its top speed is {} (limit: {}).",
            units.text(answer.top_speed.kmh, Unit::Kmh),
            answer.top_speed.limit
        ));
    }
    words
}

/// Highest speed up to which the pull is at least the road load, km/h.
fn up_to(table: &[PullLine], pull: Force, road: Force) -> Option<f64> {
    let spare = |line: &PullLine| pull(line) - road(line);
    let held = table.iter().take_while(|line| spare(line) >= 0.0).count();
    let last = table.get(held.checked_sub(1)?)?;
    let Some(next) = table.get(held) else { return Some(last.speed_kmh) };
    // Between two rows both forces are as good as straight.
    let share = spare(last) / (spare(last) - spare(next));
    Some(last.speed_kmh + share * (next.speed_kmh - last.speed_kmh))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::file_svg;
    use crownwheel_answers::pull::{PullAtCharge, TopSpeed};

    fn line(speed_kmh: f64) -> PullLine {
        let on = |grade_n: f64| 150.0 + 0.05 * speed_kmh * speed_kmh + grade_n;
        PullLine {
            speed_kmh,
            motor_speed_rpm: 60.0 * speed_kmh,
            gear: 1,
            effective_mass_kg: 1080.0,
            pull_n: 3600.0 - 30.0 * speed_kmh,
            continuous_pull_n: 1600.0 - 10.0 * speed_kmh,
            road_load_n: on(0.0),
            road_load_5_pct_n: on(500.0),
            road_load_10_pct_n: on(1000.0),
            road_load_20_pct_n: on(2000.0),
            limit: if speed_kmh < 45.0 { "motor torque" } else { "supply voltage" }.to_owned(),
        }
    }

    fn answer(units: Units) -> PullAnswer {
        let table: Vec<PullLine> = (0..=110).map(|v| line(f64::from(v))).collect();
        PullAnswer {
            units,
            charge_pct: 96.0,
            table: table.clone(),
            at_less_charge: vec![PullAtCharge { charge_pct: 12.4, table }],
            top_speed: TopSpeed { kmh: 101.0, limit: "motor speed".to_owned() },
            ..PullAnswer::default()
        }
    }

    #[test]
    fn the_figure_has_title_words_units_limits_and_grades() {
        for (units, force, speed) in [(Units::Metric, "N", "km/h"), (Units::Us, "lbf", "mph")] {
            let svg = file_svg(&tractive_effort(&answer(units))).unwrap();
            assert_eq!(svg, file_svg(&tractive_effort(&answer(units))).unwrap());
            for part in [
                "<title id=\"tractive-effort-title\">Pull against road speed",
                &format!("force at the driven wheels, {force}"),
                &format!("road speed, {speed}"),
                "limit: supply voltage",
                "1 motor torque",
                "peak at 96 % of charge",
                "peak at 12 % of charge",
                "20 %",
            ] {
                assert!(svg.contains(part), "{part}");
            }
        }
    }

    #[test]
    fn the_sentence_names_where_pull_meets_the_road() {
        // 3600 - 30 v = 1150 + 0.05 v² at 75.5 km/h, 1600 - 10 v at 38.0, 2150 + 0.05 v² at 45.0.
        assert_eq!(
            words(&answer(Units::Metric)),
            "From standstill the car pulls 3600 N (limit: motor torque), for long 1600 N. On 10 % it \
             gets to 73 km/h, for long to 38 km/h. On 20 % it gets to 45 km/h, but not for long. On \
             the flat its top speed is 101 km/h (limit: motor speed)."
        );
    }

    #[test]
    fn no_pull_and_broken_numbers_draw_too() {
        let empty = tractive_effort(&PullAnswer::default());
        assert_eq!(empty.words, "No pull is known.");
        let mut broken = answer(Units::Metric);
        broken.table.truncate(2);
        broken.table[0].pull_n = f64::NAN;
        broken.table[1].speed_kmh = f64::INFINITY;
        for sketch in [empty, tractive_effort(&broken)] {
            assert!(!file_svg(&sketch).unwrap().contains("NaN"));
        }
    }
}
