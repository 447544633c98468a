//! What heats the cabin, and on which days.

use crownwheel::constants::ZERO_CELSIUS_K;
use crownwheel::keys::Need;
use crownwheel::spec::{CabinSpec, CarSpec, DaySpec};

use crate::assemble::Assembler;
use crate::keys;
use crate::values::{Value, default_value};

/// Air below which nobody drives without heat, K.
const COLD_K: f64 = ZERO_CELSIUS_K + 10.0;

/// The cabin as it is written. Without a word of it, one is assumed for days below 10 °C on which no load stands for a
/// heater.
pub(crate) fn cabin(a: &mut Assembler<'_>, car: &mut CarSpec, days: &mut [DaySpec]) {
    if a.values.has_table("cabin") {
        if a.text("cabin.kind") != "none" {
            heated(a, car);
        }
        return;
    }
    for day in days.iter_mut() {
        let seasonal = car.loads.iter().any(|load| load.is_seasonal() && load.is_on(day));
        day.cabin_off = day.temperature_k >= COLD_K || day.extra_load_w > 0.0 || seasonal;
    }
    if days.iter().any(|day| !day.cabin_off) {
        let source = "a day below 10 °C and no heater: write [cabin], day.NAME.extra_load, or cabin.kind = \"none\"";
        a.assume("cabin.kind", "resistance", source);
        heated(a, car);
        // A line of [cabin] heats every day below its temperature: it is another cabin than the assumed one.
        a.without_line(|key| key.starts_with("cabin."));
    }
}

/// The cabin of a resistance heater that is assumed where a build says nothing of it: the middle values of the table of keys.
///
/// ```
/// assert_eq!(crownwheel_files::usual_cabin().conductance_wpk, 80.0);
/// ```
#[must_use]
pub fn usual_cabin() -> CabinSpec {
    let middle = |path: &str| match usual(path) {
        Some(Value::Number(spread)) => spread.nominal,
        _ => 0.0,
    };
    CabinSpec {
        set_k: middle("cabin.set_temperature"),
        conductance_wpk: middle("cabin.conductance"),
        heat_capacity_jpk: middle("cabin.heat_capacity"),
        max_w: middle("cabin.max"),
        performance: 1.0,
    }
}

/// What the table of keys assumes.
fn usual(path: &str) -> Option<Value> {
    let row = keys::find(path)?;
    match row.need {
        Need::Assumed { text, .. } => default_value(row.kind, text),
        _ => None,
    }
}

fn heated(a: &mut Assembler<'_>, car: &mut CarSpec) {
    let performance = performance(a);
    car.cabin = Some(CabinSpec {
        set_k: 0.0,
        conductance_wpk: 0.0,
        heat_capacity_jpk: 0.0,
        max_w: 0.0,
        performance,
    });
    a.fill(car, "cabin");
}

/// Heat over power: 1 of a resistance.
fn performance(a: &mut Assembler<'_>) -> f64 {
    let key = "cabin.cop";
    if a.optional_text("cabin.kind").as_deref() == Some("heat pump") {
        return a.number_or(key, "2.2 ± 0.5", "usual heat pumps at 0 °C (engineering judgement)");
    }
    if a.values.get(key).is_some() {
        let what = format!("`{key}` belongs to a heat pump");
        let hint = "write kind = \"heat pump\" in [cabin], or leave cop out";
        a.refuse_value(key, what, "only with kind = \"heat pump\"", hint);
    }
    1.0
}

#[cfg(test)]
mod tests {
    use crate::bench::{assumed, changed, close, refused};

    const COLD_DAY: &str =
        "[day.frost]\ntemperature = \"0 °C\"\n[day.fair]\ntemperature = \"15 °C\"\n";

    #[test]
    fn a_cold_day_without_a_heater_gets_an_assumed_one() {
        let build = changed(&[("[motor]\n", &format!("{COLD_DAY}[motor]\n"))]);
        assert!(close(build.car.cabin.unwrap().conductance_wpk, 80.0));
        assert!(assumed(&build, "cabin.kind").is_some() && assumed(&build, "cabin.max").is_some());
        let off: Vec<(&str, bool)> =
            build.days.iter().map(|day| (&*day.name, day.cabin_off)).collect();
        assert!(off.contains(&("frost", false)) && off.contains(&("fair", true)), "{off:?}");
    }

    #[test]
    fn a_word_of_it_is_enough() {
        let frost = |more: &str| changed(&[("[motor]\n", &format!("{more}\n{COLD_DAY}[motor]\n"))]);
        assert_eq!(frost("[cabin]\nkind = \"none\"").car.cabin, None);
        let pump = frost("[cabin]\nkind = \"heat pump\"\nmax = \"2 kW\"").car.cabin.unwrap();
        assert!(close(pump.performance, 2.2) && close(pump.max_w, 2_000.0));
        let seasonal =
            "[load.heater]\npower = \"1.5 kW\"\nside = \"traction\"\nonly_below = \"5 °C\"";
        let build = frost(seasonal);
        assert_eq!(build.car.cabin, None);
        let heater = build.car.loads.iter().find(|load| &*load.name == "heater").unwrap();
        assert!(close(heater.only_below_k.unwrap(), 278.15));
    }

    #[test]
    fn what_does_not_fit_is_refused() {
        let said =
            |more: &str| refused(&[("[motor]\n", &format!("{more}\n[motor]\n"))]).to_string();
        assert!(said("[cabin]\nkind = \"resistance\"\ncop = 2").contains("belongs to a heat pump"));
        let days = "[load.heater]\npower = \"1.5 kW\"\ndays = [\"winetr\"]";
        assert!(said(days).contains("there is no [day.winetr]"), "{}", said(days));
        let pause = said("[day.town]\ntemperature = \"5 °C\"\npause = \"1 h\"");
        assert!(pause.contains("day.town.trip_length"), "{pause}");
    }
}
