//! Speed at full throttle from rest over time, with shifts and the marks that people ask for.

use crownwheel_answers::pull::RunPoint;
use crownwheel_answers::unit::digits;
use crownwheel_answers::{PullAnswer, Unit, Units};

use super::legend::{self, Entry, Mark, Marker, draw_marker};
use super::strip::Strip;
use crate::chart::{Axis, Chart, Plan};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Sketch, Words, at};

/// The run is shown up to this speed, km/h, if the quarter mile is over by then.
const SHOWN_KMH: f64 = 120.0;

/// Speed is no longer gained within this share of the highest.
const GAINED: f64 = 0.999;

/// A place on the curve that people ask for.
struct Moment {
    time_s: f64,
    speed_kmh: f64,
    marker: Marker,
    words: String,
}

/// Speed against time, shifts as uprights, marked speeds and the quarter mile, and the limit along
/// the time axis.
pub(crate) fn full_throttle(answer: &PullAnswer) -> Sketch {
    let units = answer.units;
    let run = shown(answer);
    let strip = strip(run);
    let (moments, shifts) = (moments(answer), shifts(run));
    let key = key(&moments, &shifts, &strip);
    let said = words(answer, &shifts);
    let mut sketch = legend::figure("full-throttle", "Full throttle from rest", said, &key);
    let speed = |kmh: f64| units.value(kmh, Unit::Kmh);
    let chart = Chart::below(
        &mut sketch,
        Plan {
            height: 260.0,
            right: 20.0,
            x: Axis::exact(0.0, run.last().map_or(0.0, |point| point.time_s), 8.0),
            x_name: "",
            y: Axis::from_zero(run.iter().map(|point| speed(point.speed_kmh)), 6.0),
            y_name: &format!("speed, {}", units.symbol(Unit::Kmh)),
        },
    );
    let line = run.iter().map(|point| (point.time_s, speed(point.speed_kmh)));
    chart.line(&mut sketch, line, (Ink::Blue, 2.4, Dash::Solid));
    // After the lines, so that none crosses its numbers.
    strip.draw(&mut sketch, &chart, &format!("time from rest, {}", units.symbol(Unit::S)));
    for shift in &shifts {
        draw_shift(&mut sketch, &chart, shift);
    }
    for moment in &moments {
        let place = chart.place(moment.time_s, speed(moment.speed_kmh));
        draw_marker(&mut sketch, moment.marker, place, Ink::Text);
    }
    sketch
}

/// The run until the shown speed and the quarter mile are behind, or nothing more is gained.
fn shown(answer: &PullAnswer) -> &[RunPoint] {
    let run = &answer.run;
    let highest = run.iter().map(|p| p.speed_kmh).fold(0.0, f64::max);
    let wanted = SHOWN_KMH.min(GAINED * highest);
    let quarter_s = answer.times_s.quarter_mile.unwrap_or(0.0);
    let over = |p: &RunPoint| p.speed_kmh >= wanted && p.time_s >= quarter_s;
    let end = run.iter().position(over).map_or(run.len(), |last| last + 1);
    &run[..end]
}

/// A point names what bound on the way to it, so the first stretch starts at rest.
fn strip(run: &[RunPoint]) -> Strip {
    let start = run.get(1).map(|point| (0.0, &*point.limit));
    let rest = run.iter().skip(1).map(|point| (point.time_s, &*point.limit));
    Strip::new(start.into_iter().chain(rest))
}

/// Points at which another gear is in than before.
fn shifts(run: &[RunPoint]) -> Vec<&RunPoint> {
    let pairs = run.windows(2).filter(|pair| pair[0].gear != pair[1].gear && pair[0].time_s > 0.0);
    pairs.map(|pair| &pair[1]).collect()
}

fn moments(answer: &PullAnswer) -> Vec<Moment> {
    let (times, units) = (&answer.times_s, answer.units);
    let speed = |time_s: Option<f64>, speed_kmh: f64, marker| {
        time_s.map(|time_s| Moment {
            time_s,
            speed_kmh,
            marker,
            words: format!("{} after {}", units.text(speed_kmh, Unit::Kmh), seconds(time_s)),
        })
    };
    // The third of the usual speeds is 100 km/h or 60 mph.
    let [_, _, round_kmh, _] = units.steady_speeds_kmh();
    let [slow, fast] = match units {
        Units::Metric => [
            speed(times.kmh_0_50, 50.0, Marker::Circle),
            speed(times.kmh_0_100, round_kmh, Marker::Square),
        ],
        Units::Us => [None, speed(times.mph_0_60, round_kmh, Marker::Square)],
    };
    let quarter = times.quarter_mile.zip(answer.quarter_mile_speed_kmh);
    let quarter = quarter.map(|(time_s, speed_kmh)| Moment {
        time_s,
        speed_kmh,
        marker: Marker::Diamond,
        words: format!(
            "quarter mile after {} at {}",
            seconds(time_s),
            units.text(speed_kmh, Unit::Kmh)
        ),
    });
    let known = |m: &Moment| m.time_s.is_finite() && m.speed_kmh.is_finite();
    [slow, fast, quarter].into_iter().flatten().filter(known).collect()
}

fn seconds(time_s: f64) -> String {
    format!("{} s", digits(time_s, 1))
}

fn key(moments: &[Moment], shifts: &[&RunPoint], strip: &Strip) -> Vec<Entry> {
    let entry = |moment: &Moment| {
        Entry::new(Mark::Marked(Dash::Solid, moment.marker), Ink::Text, &*moment.words)
    };
    let mut key: Vec<Entry> = moments.iter().map(entry).collect();
    if !shifts.is_empty() {
        key.push(Entry::new(Mark::Upright, Ink::Ochre, "shift to the gear named"));
    }
    key.extend(strip.key());
    key
}

fn draw_shift(sketch: &mut Sketch, frame: &Chart, shift: &RunPoint) {
    let x = frame.along(shift.time_s);
    // Short of the foot, where a narrow stretch of the strip may have its number.
    let upright = vec![at(x, frame.top + 16.0), at(x, frame.top + frame.height - 20.0)];
    sketch.line(upright, Ink::Ochre, 2.0, Dash::Solid);
    sketch.bar(at(x - 7.0, frame.top + 1.0), at(x + 7.0, frame.top + 16.0), Ink::Paper);
    let style = Words::small(Ink::Text, Anchor::Middle).bold();
    sketch.text(at(x, frame.top + 8.0), &shift.gear.to_string(), style);
}

fn words(answer: &PullAnswer, shifts: &[&RunPoint]) -> String {
    if answer.run.len() < 2 {
        return "No run at full throttle is known.".to_owned();
    }
    let moments: Vec<String> = moments(answer).into_iter().map(|moment| moment.words).collect();
    let mut words = if moments.is_empty() {
        "From rest at full throttle the car reaches none of the usual marks.".to_owned()
    } else {
        format!("From rest at full throttle: {}.", moments.join(", "))
    };
    if let Some(limit) = longest_limit(shown(answer)) {
        words.push_str(&format!(" What binds longest is {limit}."));
    }
    if let (Some(first), Some(shift_s)) = (shifts.first(), answer.shift_s) {
        let near = answer.units.text(first.speed_kmh, Unit::Kmh);
        let times = match shifts.len() {
            1 => format!("once, near {near}"),
            count => format!("{count} times, first near {near}"),
        };
        words.push_str(&format!(
            " It shifts {times}, each time with {} without drive.",
            seconds(shift_s)
        ));
    }
    words
}

/// The limit that binds for the longest time of the run.
fn longest_limit(run: &[RunPoint]) -> Option<&str> {
    let mut times: Vec<(&str, f64)> = Vec::new();
    for pair in run.windows(2).filter(|pair| pair[1].limit != "none") {
        let lasted_s = pair[1].time_s - pair[0].time_s;
        match times.iter_mut().find(|(name, _)| *name == pair[1].limit) {
            Some((_, time_s)) => *time_s += lasted_s,
            None => times.push((&pair[1].limit, lasted_s)),
        }
    }
    times.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(name, _)| name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::file_svg;
    use crownwheel_answers::pull::Times;

    fn answer(units: Units) -> PullAnswer {
        let point = |i: u32| {
            let time_s = 0.1 * f64::from(i);
            RunPoint {
                time_s,
                distance_m: 20.0 * time_s,
                speed_kmh: 140.0 * (1.0 - libm::exp(-time_s / 14.0)),
                gear: if time_s < 7.95 { 2 } else { 3 },
                limit: if time_s < 3.0 { "grip" } else { "battery current" }.to_owned(),
            }
        };
        PullAnswer {
            units,
            run: (0..=900).map(point).collect(),
            times_s: Times {
                kmh_0_50: Some(6.2),
                kmh_0_100: Some(17.5),
                mph_0_60: Some(16.4),
                quarter_mile: Some(20.3),
                ..Times::default()
            },
            quarter_mile_speed_kmh: Some(107.2),
            shift_s: Some(0.6),
            ..PullAnswer::default()
        }
    }

    #[test]
    fn the_figure_has_title_words_units_shifts_and_marks() {
        for (units, speed, mark) in [
            (Units::Metric, "speed, km/h", "100 km/h after 17.5 s"),
            (Units::Us, "speed, mph", "60 mph after 16.4 s"),
        ] {
            let svg = file_svg(&full_throttle(&answer(units))).unwrap();
            assert_eq!(svg, file_svg(&full_throttle(&answer(units))).unwrap());
            for part in [
                "<title id=\"full-throttle-title\">Full throttle from rest",
                "time from rest, s",
                "shift to the gear named",
                "limit: battery current",
                "quarter mile after 20.3 s at",
                speed,
                mark,
            ] {
                assert!(svg.contains(part), "{part}");
            }
        }
        assert_eq!(
            full_throttle(&answer(Units::Metric)).words,
            "From rest at full throttle: 50 km/h after 6.2 s, 100 km/h after 17.5 s, quarter mile \
             after 20.3 s at 107 km/h. What binds longest is battery current. It shifts once, \
             near 61 km/h, each time with 0.6 s without drive."
        );
    }

    #[test]
    fn the_run_ends_at_the_shown_speed_or_where_nothing_is_gained_but_holds_the_quarter_mile() {
        let mut answer = answer(Units::Metric);
        let end = |answer: &PullAnswer| shown(answer).last().unwrap().clone();
        // 140 (1 - exp(-t / 14)) is 120 km/h at 27.24 s.
        assert!((end(&answer).time_s - 27.3).abs() < 1e-9);
        answer.times_s.quarter_mile = Some(40.05);
        assert!((end(&answer).time_s - 40.1).abs() < 1e-9);
        for point in &mut answer.run {
            point.speed_kmh = point.speed_kmh.min(90.0);
        }
        answer.times_s.quarter_mile = None;
        assert!(end(&answer).time_s < 15.0);
    }

    #[test]
    fn no_run_draws_too() {
        let sketch = full_throttle(&PullAnswer::default());
        assert_eq!(sketch.words, "No run at full throttle is known.");
        assert!(!file_svg(&sketch).unwrap().contains("NaN"));
    }
}
