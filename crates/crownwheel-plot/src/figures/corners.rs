//! Corner weights before and after against the plate.

use crownwheel_answers::{LoadCase, Unit, Units, WeighAnswer, WeighCase};

use super::legend::{self, Entry, Mark};
use crate::chart::{Axis, Chart, span};
use crate::ink::Ink;
use crate::sketch::{Anchor, Dash, Sketch, WIDTH, Words, at};

const BAR: f64 = 20.0;
const CASE: f64 = 82.0;
const LEFT: f64 = 44.0;
const RIGHT: f64 = 96.0;

/// Two bars a case: what the left and the right wheel of each axle carry, against the plate.
pub(crate) fn corners(answer: &WeighAnswer) -> Sketch {
    let title = "Corner weights against the plate";
    let mut sketch = legend::figure("corner-weights", title, words(answer), &key(answer));
    sketch.height += 10.0;
    let loads = answer.cases.iter().flat_map(|c| [c.front_axle_kg, c.rear_axle_kg]);
    let plates = [answer.limits.front_axle_kg, answer.limits.rear_axle_kg].into_iter().flatten();
    let most = answer.units.value(span(loads.chain(plates)).1.max(0.0), Unit::Kg);
    let name = format!("load on the axle, {}", answer.units.symbol(Unit::Kg));
    let (top, axis) = (sketch.height, Axis::exact(0.0, most * 1.02, 5.0));
    let height = CASE * f64::from(u32::try_from(answer.cases.len()).unwrap_or(0));
    let chart = Chart::for_bars(&mut sketch, (LEFT, RIGHT), height, (axis, &name));
    let mut y = top;
    for case in &answer.cases {
        draw_case(&mut sketch, &chart, answer, case, y);
        y += CASE;
    }
    sketch
}

fn key(answer: &WeighAnswer) -> Vec<Entry> {
    let mut key = vec![
        Entry::new(Mark::Square, Ink::Blue, "left wheel"),
        Entry::new(Mark::Square, Ink::Green, "right wheel"),
    ];
    if answer.limits.front_axle_kg.is_some() || answer.limits.rear_axle_kg.is_some() {
        key.push(Entry::new(Mark::Upright, Ink::Text, "plate"));
    }
    key
}

fn draw_case(sketch: &mut Sketch, frame: &Chart, answer: &WeighAnswer, case: &WeighCase, top: f64) {
    let label = format!("{}: {}", case.case.label(), answer.units.text(case.mass_kg, Unit::Kg));
    sketch.bar(at(0.0, top + 3.0), at(WIDTH, top + 22.0), Ink::Paper);
    sketch.text(at(4.0, top + 13.0), &label, Words::plain(Ink::Text, Anchor::Start).bold());
    let front = AxleBar {
        name: "front",
        left_kg: case.front_left_kg,
        right_kg: case.front_right_kg,
        plate_kg: answer.limits.front_axle_kg,
        top: top + 25.0,
    };
    let rear = AxleBar {
        name: "rear",
        left_kg: case.rear_left_kg,
        right_kg: case.rear_right_kg,
        plate_kg: answer.limits.rear_axle_kg,
        top: top + 25.0 + BAR + 5.0,
    };
    draw_axle(sketch, frame, &front, answer.units);
    draw_axle(sketch, frame, &rear, answer.units);
}

struct AxleBar {
    name: &'static str,
    left_kg: f64,
    right_kg: f64,
    plate_kg: Option<f64>,
    top: f64,
}

fn draw_axle(sketch: &mut Sketch, frame: &Chart, bar: &AxleBar, units: Units) {
    let across = |load_kg: f64| frame.along(units.value(load_kg, Unit::Kg));
    let middle = bar.top + BAR / 2.0;
    let load_kg = bar.left_kg + bar.right_kg;
    let (from, mid, to) = (across(0.0), across(bar.left_kg), across(load_kg));
    sketch.text(at(from - 6.0, middle), bar.name, Words::small(Ink::Soft, Anchor::End));
    // A gap of ground between the two wheels, so that they part without colour too.
    sketch.bar(at(from, bar.top), at(mid - 1.0, bar.top + BAR), Ink::Blue);
    sketch.bar(at(mid + 1.0, bar.top), at(to, bar.top + BAR), Ink::Green);
    let number = |sketch: &mut Sketch, x: f64, kg: f64| {
        let digits = units.digits(kg, Unit::Kg, 1);
        sketch.text(at(x, middle), &digits, Words::small(Ink::Paper, Anchor::Middle));
    };
    number(sketch, f64::midpoint(from, mid), bar.left_kg);
    number(sketch, f64::midpoint(mid, to), bar.right_kg);
    let over_kg = bar.plate_kg.map_or(0.0, |plate| load_kg - plate);
    if let Some(plate_kg) = bar.plate_kg {
        let x = across(plate_kg);
        let mark = vec![at(x, bar.top - 3.0), at(x, bar.top + BAR + 3.0)];
        sketch.line(mark.clone(), Ink::Paper, 4.6, Dash::Solid);
        sketch.line(mark, Ink::Text, 2.4, Dash::Solid);
    }
    let place = at(WIDTH - RIGHT + 8.0, middle);
    let load = |kg: f64| units.digits(kg, Unit::Kg, 0);
    let soft = Words::small(Ink::Soft, Anchor::Start);
    let (words, style) = match bar.plate_kg {
        Some(_) if over_kg > 0.01 => {
            let style = Words::small(Ink::Alarm, Anchor::Start).bold();
            (format!("{} over", units.text(over_kg, Unit::Kg)), style)
        }
        Some(plate) => (format!("{} of {}", load(load_kg), load(plate)), soft),
        None => (units.text(load_kg, Unit::Kg), soft),
    };
    sketch.text(place, &words, style);
}

fn words(answer: &WeighAnswer) -> String {
    let over = answer.overloads();
    let mut words: Vec<String> = over.iter().map(|o| answer.overload_sentence(o)).collect();
    if over.is_empty() {
        words.push(answer.margin_sentence());
    }
    if let (Some(before), Some(after)) =
        (answer.case(LoadCase::AsOnScales), answer.case(LoadCase::ConvertedEmpty))
    {
        let change = after.mass_kg - before.mass_kg;
        words.push(format!(
            "The conversion makes the empty car {} {} and moves the front share from {} to {}.",
            answer.units.text(change.abs(), Unit::Kg),
            if change < 0.0 { "lighter" } else { "heavier" },
            answer.units.text(before.front_pct, Unit::Pct),
            answer.units.text(after.front_pct, Unit::Pct)
        ));
    }
    words.join(" ")
}
