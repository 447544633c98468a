//! Where the energy went, per cycle and day.

use crownwheel_answers::balance::BalanceRow;
use crownwheel_answers::{CycleResult, RangeAnswer, RoadShares, Unit, Units};

use super::legend::{self, Entry, Mark};
use crate::chart::{Axis, Chart};
use crate::ink::Ink;
use crate::sketch::{Anchor, Sketch, WIDTH, Words, at, shortened};

const BAR: f64 = 22.0;
const RUN: f64 = 27.0;
const NAME: f64 = 24.0;
const LEFT: f64 = 82.0;
const RIGHT: f64 = 40.0;

/// A bar for each cycle and day, its parts in the order of the balance, numbered as in the key.
pub(crate) fn balance(answer: &RangeAnswer) -> Sketch {
    let groups = by_cycle(answer);
    let title = "Where the energy goes";
    let mut sketch = legend::figure("energy-balance", title, words(answer), &key(answer));
    sketch.height += 12.0;
    let tall =
        |group: &Vec<&CycleResult>| NAME + RUN * f64::from(u32::try_from(group.len()).unwrap_or(0));
    let (mut y, height) = (sketch.height, groups.iter().map(tall).sum());
    let name = format!("energy from the pack by part, {}", answer.units.symbol(Unit::WhPerKm));
    let frame = Chart::for_bars(&mut sketch, (LEFT, RIGHT), height, (axis(answer), &name));
    for group in &groups {
        let name = shortened(&group[0].cycle, 48);
        sketch.bar(at(0.0, y + 4.0), at(WIDTH, y + 20.0), Ink::Paper);
        sketch.text(at(4.0, y + 13.0), &name, Words::plain(Ink::Text, Anchor::Start).bold());
        y += NAME;
        for result in group {
            draw_run(&mut sketch, &frame, result, (y, answer.units));
            y += RUN;
        }
    }
    sketch
}

/// Results of a cycle stand together, so that its days compare.
fn by_cycle(answer: &RangeAnswer) -> Vec<Vec<&CycleResult>> {
    let mut groups: Vec<Vec<&CycleResult>> = Vec::new();
    for result in &answer.results {
        match groups.iter_mut().find(|group| group[0].cycle == result.cycle) {
            Some(group) => group.push(result),
            None => groups.push(vec![result]),
        }
    }
    groups
}

fn axis(answer: &RangeAnswer) -> Axis {
    let most = |sign: f64| {
        let side = |r: &CycleResult| {
            let rows = r.balance_wh_per_km.rows();
            rows.iter().map(|row| (row.wh_per_km * sign).max(0.0)).sum::<f64>()
        };
        answer.units.value(answer.results.iter().map(side).fold(0.0, f64::max), Unit::WhPerKm)
    };
    Axis::exact(-most(-1.0), most(1.0), 6.0)
}

/// Parts below this would not be seen in any bar.
const VISIBLE_WH_PER_KM: f64 = 0.05;

fn draw_run(sketch: &mut Sketch, frame: &Chart, result: &CycleResult, (top, units): (f64, Units)) {
    let across = |wh_per_km: f64| frame.along(units.value(wh_per_km, Unit::WhPerKm));
    let middle = top + BAR / 2.0;
    let (day, rows) = (shortened(&result.day, 11), result.balance_wh_per_km.rows());
    sketch.text(at(LEFT - 6.0, middle), &day, Words::small(Ink::Soft, Anchor::End));
    let (mut above, mut below) = (0.0, 0.0);
    for (i, row) in rows.iter().enumerate() {
        let value = row.wh_per_km;
        if !value.is_finite() || value.abs() < VISIBLE_WH_PER_KM {
            continue;
        }
        let side = if value > 0.0 { &mut above } else { &mut below };
        let (from, to) = (across(*side), across(*side + value));
        *side += value;
        let (left, right) = (from.min(to), from.max(to));
        // A line of ground between the parts, so that neighbours part without colour too.
        sketch.bar(at(left, top), at((right - 1.0).max(left + 0.4), top + BAR), ink_of(row.key));
        let number = (i + 1).to_string();
        if right - left > if number.len() > 1 { 19.0 } else { 12.0 } {
            let place = at(f64::midpoint(left, right) - 0.5, middle);
            sketch.text(place, &number, Words::small(Ink::Paper, Anchor::Middle).bold());
        }
    }
    let total = units.digits(result.balance_wh_per_km.from_pack, Unit::WhPerKm, 0);
    sketch.text(at(across(above) + 5.0, middle), &total, Words::small(Ink::Text, Anchor::Start));
}

fn ink_of(key: &str) -> Ink {
    match key {
        "air" | "road_load_square" => Ink::Blue,
        "rolling" | "road_load_constant" => Ink::Sky,
        "road_load_linear" | "brake_drag" | "dcdc" => Ink::Slate,
        "climbing" | "kinetic" => Ink::Green,
        "driveline" | "inverter" => Ink::Umber,
        "motor" | "pack" => Ink::Ochre,
        "ancillaries" => Ink::Plum,
        _ => Ink::Rust,
    }
}

fn key(answer: &RangeAnswer) -> Vec<Entry> {
    let Some(first) = answer.results.first() else {
        return Vec::new();
    };
    let seen = |i: usize| {
        answer.results.iter().any(|r| {
            r.balance_wh_per_km
                .rows()
                .get(i)
                .is_some_and(|row| row.wh_per_km.abs() >= VISIBLE_WH_PER_KM)
        })
    };
    let rows = first.balance_wh_per_km.rows();
    let entry = |(i, row): (usize, &BalanceRow)| {
        Entry::new(Mark::Number(i + 1), ink_of(row.key), row.label)
    };
    rows.iter().enumerate().filter(|(i, _)| seen(*i)).map(entry).collect()
}

fn words(answer: &RangeAnswer) -> String {
    let by_use = |a: &&CycleResult, b: &&CycleResult| {
        a.balance_wh_per_km.from_pack.total_cmp(&b.balance_wh_per_km.from_pack)
    };
    let Some(result) = answer.results.iter().max_by(by_use) else {
        return "No cycle was driven.".to_owned();
    };
    let from_pack = result.balance_wh_per_km.from_pack;
    let mut rows = result.balance_wh_per_km.rows();
    rows.sort_by(|a, b| b.wh_per_km.total_cmp(&a.wh_per_km));
    let largest: Vec<String> = rows
        .iter()
        .take(3)
        .map(|row| {
            format!(
                "{} {}",
                row.label,
                answer.units.text_to(100.0 * row.wh_per_km / from_pack, Unit::Pct, 0)
            )
        })
        .collect();
    let braking = match result.braking.share_returned_pct {
        Some(share) => format!(
            " Of the braking energy on offer {} comes back.",
            answer.units.text_to(share, Unit::Pct, 0)
        ),
        None => String::new(),
    };
    let road = match result.balance_wh_per_km.road {
        RoadShares::Terms { .. } => "",
        RoadShares::Coefficients { .. } => {
            " Air and tyres stand together as the coast-down measured them."
        }
    };
    format!(
        "Most is used on {} ({}): {} from the pack, most of it for {}.{braking}{road}",
        result.cycle,
        result.day,
        answer.units.text(from_pack, Unit::WhPerKm),
        largest.join(", "),
    )
}
