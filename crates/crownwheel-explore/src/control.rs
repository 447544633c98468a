//! The sliders and choices: each is a key of the build, or a question to the answers.

use crownwheel::constants::KMH_PER_MPS;
use crownwheel::name::Name;
use crownwheel::spec::{DaySpec, FirstStage, RoadLoadSpec};
use crownwheel_answers::unit::digits;
use crownwheel_answers::{Unit, Units};
use crownwheel_files::outside::DemandKind;
use crownwheel_files::quantity::{Spread, SpreadKind};
use crownwheel_files::{Build, as_written};

use crate::engine::Reading;

/// Question: the steady speed.
pub(crate) const SPEED: &str = "speed";

/// Question: the day of pull, hills and limits.
pub(crate) const DAY: &str = "day";

/// A slider or choice.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Control {
    /// Path of the key, or name of the question.
    pub(crate) key: String,
    pub(crate) label: String,
    /// The value as the build has it.
    pub(crate) own: String,
    pub(crate) kind: Kind,
    /// Values to pick from, as the command line offers them.
    pub(crate) offered: Vec<String>,
}

/// How a control is moved.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Kind {
    /// A number, with what stands behind it: its unit and its band.
    Slider { from: f64, to: f64, step: f64, number: f64, decimals: usize, rest: String },
    /// A text.
    Text,
    /// One of these values, each with its words.
    Choice(Vec<(String, String)>),
    /// The build has no such key: why.
    Missing(String),
}

impl Control {
    /// Whether the build has it.
    pub(crate) fn is_there(&self) -> bool {
        !matches!(self.kind, Kind::Missing(_))
    }
}

/// All controls of a build. `offered` are values for keys, as the command line has them.
pub(crate) fn controls(reading: &Reading, offered: &[(String, Vec<String>)]) -> Vec<Control> {
    let build = &reading.build;
    let mut all = vec![ratio(build)];
    all.extend(gear(build));
    all.extend([
        modules(build, "pack.modules_in_series", "Modules in series"),
        modules(build, "pack.modules_in_parallel", "Strings in parallel"),
        text(build, "tyres.size", "Tyres"),
        speed(reading),
    ]);
    all.extend(build.days.iter().map(|day| temperature(build, &day.name)));
    all.push(drag(build));
    if build.days.len() > 1 {
        all.push(day(build));
    }
    for control in &mut all {
        let of_key = offered.iter().filter(|(key, _)| *key == control.key);
        control.offered = of_key.flat_map(|(_, values)| values.clone()).collect();
    }
    all
}

fn ratio(build: &Build) -> Control {
    slider(build, "driveline.axle.ratio", "Final drive ratio", |own, _| Track {
        from: tenth(0.7 * own),
        to: tenth(1.4 * own),
        step: 0.01,
    })
}

/// Gears of a gearbox that stays in the car.
fn gear(build: &Build) -> Option<Control> {
    let FirstStage::Gearbox(gearbox) = &build.car.driveline.first else { return None };
    let key = "driveline.gearbox.gear";
    let numbered = gearbox.gears.iter().enumerate().map(|(i, gear)| {
        let number = (i + 1).to_string();
        let words = format!("gear {number}, {}", digits(gear.ratio, 2));
        (number, words)
    });
    let best = ("best".to_owned(), "best".to_owned());
    Some(Control {
        key: key.to_owned(),
        label: "Gear it stays in".to_owned(),
        own: own_text(build, key)?,
        kind: Kind::Choice(numbered.chain([best]).collect()),
        offered: Vec::new(),
    })
}

fn modules(build: &Build, key: &str, label: &str) -> Control {
    slider(build, key, label, |own, _| {
        let about = (0.5 * own).round().max(3.0);
        Track { from: (own - about).max(1.0), to: own + about, step: 1.0 }
    })
}

fn temperature(build: &Build, day: &Name) -> Control {
    let key = format!("day.{}.temperature", day.key());
    slider(build, &key, &format!("Temperature, {day}"), |_, rest| {
        let (from, to) = match rest.trim_start() {
            rest if rest.starts_with("°F") => (-5.0, 105.0),
            rest if rest.starts_with('K') => (253.0, 313.0),
            _ => (-20.0, 40.0),
        };
        Track { from, to, step: 1.0 }
    })
}

/// The drag area, or the coefficient that stands for it.
fn drag(build: &Build) -> Control {
    let label = "Drag area";
    if matches!(build.car.road_load, RoadLoadSpec::Coefficients { .. }) {
        let why = "The build gives its road load as coefficients (car.road_load), which hold air and tyres together: there is no drag area to move.";
        return missing("car.drag_area", label, why.to_owned());
    }
    let about = |own: f64, _: &str| Track {
        from: hundredth(0.6 * own),
        to: hundredth(1.4 * own),
        step: 0.01,
    };
    if build.written.contains_key("car.drag_coefficient") {
        return slider(build, "car.drag_coefficient", "Drag coefficient", about);
    }
    slider(build, "car.drag_area", label, about)
}

/// The speed that is demanded, or a usual one that the motor allows.
fn speed(reading: &Reading) -> Control {
    let (units, car) = (reading.subject.units, &reading.subject.car);
    let cruise = reading.build.demands.iter().find_map(|demand| match demand.what {
        DemandKind::Cruise { speed_mps, .. } => Some(KMH_PER_MPS * speed_mps),
        _ => None,
    });
    let [slow, usual, fast, _] = units.steady_speeds_kmh();
    let reached = |kmh: &f64| *kmh <= KMH_PER_MPS * car.speed_cap_mps();
    let own_kmh = cruise.or([fast, usual].into_iter().find(reached)).unwrap_or(slow);
    let own = units.value(own_kmh, Unit::Kmh).round();
    let rest = format!(" {}", units.symbol(Unit::Kmh));
    let track = match units {
        Units::Metric => Track { from: 30.0, to: 150.0, step: 1.0 },
        Units::Us => Track { from: 20.0, to: 95.0, step: 1.0 },
    };
    Control {
        key: SPEED.to_owned(),
        label: "Steady speed".to_owned(),
        own: format!("{}{rest}", digits(own, 0)),
        kind: track.kind(own, 0, rest),
        offered: Vec::new(),
    }
}

fn day(build: &Build) -> Control {
    let value = |day: &DaySpec| (day.name.key().to_owned(), day.name.to_string());
    let days: Vec<(String, String)> = build.days.iter().map(value).collect();
    Control {
        key: DAY.to_owned(),
        label: "Day of pull and hills".to_owned(),
        own: days[0].0.clone(),
        kind: Kind::Choice(days),
        offered: Vec::new(),
    }
}

fn text(build: &Build, key: &str, label: &str) -> Control {
    match own_text(build, key) {
        Some(own) => Control {
            key: key.to_owned(),
            label: label.to_owned(),
            own,
            kind: Kind::Text,
            offered: Vec::new(),
        },
        None => missing(key, label, not_written(key)),
    }
}

fn missing(key: &str, label: &str, why: String) -> Control {
    Control {
        key: key.to_owned(),
        label: label.to_owned(),
        own: String::new(),
        kind: Kind::Missing(why),
        offered: Vec::new(),
    }
}

fn not_written(key: &str) -> String {
    format!("The build does not write {key}.")
}

/// Ends and steps of a slider.
struct Track {
    from: f64,
    to: f64,
    step: f64,
}

impl Track {
    /// The slider, wide enough for the build's own value.
    fn kind(self, number: f64, decimals: usize, rest: String) -> Kind {
        let Track { from, to, step } = self;
        Kind::Slider { from: from.min(number), to: to.max(number), step, number, decimals, rest }
    }
}

fn slider(build: &Build, key: &str, label: &str, track: impl Fn(f64, &str) -> Track) -> Control {
    let found = own_text(build, key).and_then(|own| {
        let (number, decimals, rest) = parted(key, &own, build.spreads.get(key))?;
        Some((own, number, decimals, rest))
    });
    let Some((own, number, decimals, rest)) = found else {
        return missing(key, label, not_written(key));
    };
    let track = track(number, &rest);
    Control {
        key: key.to_owned(),
        label: label.to_owned(),
        kind: track.kind(number, decimals, rest),
        own,
        offered: Vec::new(),
    }
}

/// A value as the build writes it, or as it is assumed.
fn own_text(build: &Build, key: &str) -> Option<String> {
    let assumed = || {
        let found = build.assumed.iter().find(|assumed| assumed.key == key)?;
        Some(format!("{} {}", found.value, found.band).trim_end().to_owned())
    };
    build.written.get(key).cloned().or_else(assumed)
}

/// The number at the start of a value with its decimals, and what stands behind it: unit and band, which
/// stay when the number moves. Of a range, `0.38 .. 0.46`, the middle, with a band that spreads alike.
fn parted(key: &str, text: &str, spread: Option<&Spread>) -> Option<(f64, usize, String)> {
    if let Some(Spread { nominal, kind: SpreadKind::Uniform { low, high } }) = spread {
        let shown = [*low, *high, *nominal].map(|si| as_written(key, si));
        let [low, high, middle] = [0, 1, 2].map(|i| leading(&shown[i]));
        let ((low, _, _), (high, _, _), (middle, decimals, unit)) = (low?, high?, middle?);
        let half = Spread { nominal: 0.0, kind: SpreadKind::Uniform { low, high } }.half_width_95();
        return Some((
            middle,
            decimals,
            format!("{unit} ± {}{unit}", digits(half, decimals.max(3))),
        ));
    }
    leading(text)
}

fn leading(text: &str) -> Option<(f64, usize, String)> {
    let end = text
        .find(|c: char| !matches!(c, '0'..='9' | '.' | '-' | '+' | '\u{2212}'))
        .unwrap_or(text.len());
    let number = text[..end].replace('\u{2212}', "-");
    let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
    Some((
        number.parse().ok().filter(|value: &f64| value.is_finite())?,
        decimals,
        text[end..].to_owned(),
    ))
}

fn tenth(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}

fn hundredth(value: f64) -> f64 {
    (100.0 * value).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{Demo, demo};
    use crate::engine::Engine;

    fn of(reading: &Reading, key: &str) -> Control {
        controls(reading, &[]).into_iter().find(|control| control.key == key).unwrap()
    }

    #[test]
    fn a_value_is_parted_into_its_number_and_what_stays() {
        for (text, number, decimals, rest) in [
            ("4.22", 4.22, 2, ""),
            ("9", 9.0, 0, ""),
            ("0.43 ± 0.03", 0.43, 2, " ± 0.03"),
            ("0.43 ± 8 %", 0.43, 2, " ± 8 %"),
            ("2.30 ± 0.01 m", 2.3, 2, " ± 0.01 m"),
            ("-2 °C", -2.0, 0, " °C"),
            ("\u{2212}2°C", -2.0, 0, "°C"),
        ] {
            let found = leading(text).unwrap();
            assert!((found.0 - number).abs() < 1e-12, "{text}: {found:?}");
            assert_eq!((found.1, found.2.as_str()), (decimals, rest), "{text}");
        }
        for text in ["", "about 3", "..", "°C"] {
            assert_eq!(leading(text), None, "{text}");
        }
    }

    /// A band between two ends spreads like a normal one of the same standard deviation: the width over
    /// the root of twelve.
    #[test]
    fn a_range_keeps_its_width_when_its_middle_moves() {
        let sets = ["car.drag_coefficient=0.38 .. 0.46".to_owned()];
        let control = of(&Demo("dunlin").read(&sets).unwrap(), "car.drag_coefficient");
        assert_eq!(control.own, "0.38 .. 0.46");
        let Kind::Slider { number, rest, .. } = control.kind else { panic!("no slider") };
        let half = 1.96 * 0.08 / 12_f64.sqrt();
        assert_eq!((format!("{number:.2}"), rest), ("0.42".to_owned(), format!(" ± {half:.3}")));
    }

    #[test]
    fn every_demo_has_the_controls_that_its_build_has() {
        let keys = |name: &'static str| -> Vec<String> {
            let there = controls(&demo(name), &[]).into_iter().filter(Control::is_there);
            there.map(|control| control.key).collect()
        };
        assert_eq!(
            keys("dunlin"),
            [
                "driveline.axle.ratio",
                "pack.modules_in_series",
                "pack.modules_in_parallel",
                "tyres.size",
                "speed",
                "day.mild.temperature",
                "day.winter.temperature",
                "day.summer.temperature",
                "car.drag_coefficient",
                "day",
            ]
        );
        // A kept gearbox has gears to choose from, a road load by coefficients has no drag area.
        let godwit = keys("godwit");
        assert!(godwit.contains(&"driveline.gearbox.gear".to_owned()), "{godwit:?}");
        let Kind::Missing(why) = of(&demo("godwit"), "car.drag_area").kind else { panic!() };
        assert!(why.contains("car.road_load"));
        // A drag area that is worked out from a top speed can be moved all the same.
        assert!(keys("wren").contains(&"car.drag_area".to_owned()));
    }

    /// What a slider writes must be read: both ends and the build's own value of each, but for what the
    /// car itself refuses.
    #[test]
    fn what_a_slider_writes_is_read() {
        for name in ["dunlin", "godwit", "wren"] {
            for control in controls(&demo(name), &[]) {
                let Kind::Slider { from, to, number, decimals, rest, .. } = &control.kind else {
                    continue;
                };
                assert!(from < to && (*from..=*to).contains(number), "{control:?}");
                if control.key == SPEED {
                    continue;
                }
                for value in [from, to, number] {
                    let set = format!("{}={}{rest}", control.key, digits(*value, *decimals));
                    if let Err(refused) = Demo(name).read(std::slice::from_ref(&set)) {
                        let text = &refused.messages[0].text;
                        assert!(text.contains("does not fit"), "{name} {set}: {text}");
                    }
                }
                let own = format!("{}={}", control.key, control.own);
                let read = Demo(name).read(std::slice::from_ref(&own)).unwrap();
                assert_eq!(of(&read, &control.key).kind, control.kind, "{own}");
            }
        }
    }

    #[test]
    fn the_steady_speed_is_that_of_the_demand() {
        assert_eq!(of(&demo("dunlin"), SPEED).own, "112 km/h");
    }
}
