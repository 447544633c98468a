//! The pack, the 12 V side and the charger of a build.

use std::sync::Arc;

use crownwheel::cell;
use crownwheel::spec::{
    BoxSpec, CarSpec, ColdCapacityTable, LoadSide, LoadSpec, OpenCircuitTable, PackHeaterSpec,
};
use crownwheel::usual;

use crate::assemble::Assembler;
use crate::quantity::Spread;
use crate::values::Value;
use crate::{cold_capacity_file, ocv_file};

pub(crate) fn pack(a: &mut Assembler<'_>, car: &mut CarSpec) {
    let open_circuit = open_circuit(a);
    let pack = &mut car.pack;
    (pack.cell_min_voltage_v, pack.cell_max_voltage_v) = cell_window(a, open_circuit.as_ref());
    pack.open_circuit = Arc::new(open_circuit.unwrap_or_default());
    boxes(a, car);
    car.pack.cold_capacity = cold_capacity(a).map(Arc::new);
    car.pack.resistance_b_k = resistance_b_k(a);
    car.pack.cold_loss_frac = cold_loss_frac(a);
    if a.values.has_table("pack.heater") {
        car.pack.heater = Some(PackHeaterSpec { power_w: 0.0, only_below_k: 0.0 });
    }
    car.pack.cell_resistance_ohm = cell_resistance_ohm(a);
    a.fill(car, "pack");
}

fn open_circuit(a: &mut Assembler<'_>) -> Option<OpenCircuitTable> {
    match a.one_of(&["pack.chemistry", "pack.open_circuit"]) {
        Some("pack.open_circuit") => a.table("pack.open_circuit", ocv_file::parse),
        Some(key) => match a.text(key).as_str() {
            "lfp" => Some(cell::lfp()),
            "lead" => Some(lead(a)),
            _ => Some(cell::nmc()),
        },
        None => {
            let hint = "write chemistry = \"nmc\" in [pack], or open_circuit = \"cell-ocv.csv\"";
            a.missing_table("pack.chemistry", "nothing says which cells they are", hint);
            None
        }
    }
}

/// State of charge and volts at rest of a lead-acid cell, a sixth of a 12 V block: common practice,
/// no source. Blocks differ by 0.02 V a cell.
const LEAD: [(f64, f64); 5] = [(0.0, 1.94), (0.25, 1.99), (0.5, 2.035), (0.75, 2.08), (1.0, 2.12)];

fn lead(a: &mut Assembler<'_>) -> OpenCircuitTable {
    a.notes.push(
        "lead cells: open-circuit voltage by common practice, without a source; they give less at \
         high current, so cell_capacity should be that of about one hour, not of twenty"
            .to_owned(),
    );
    OpenCircuitTable {
        charge_frac: LEAD.iter().map(|row| row.0).collect(),
        voltage_v: LEAD.iter().map(|row| row.1).collect(),
    }
}

/// The figure of a resistance at 1 kHz to that of 10 s with direct current (engineering judgement):
/// the fast figure leaves out what the chemistry is slow to give.
const DC_OVER_1_KHZ: f64 = 1.75;
/// Half-width of the band about it.
const DC_OVER_1_KHZ_BAND: f64 = 0.25;

/// Resistance of a cell with direct current.
fn cell_resistance_ohm(a: &mut Assembler<'_>) -> f64 {
    let key = "pack.cell_resistance";
    let given = a.spread(key);
    if a.text("pack.resistance_kind") != "1 kHz" {
        return a.keep(key, given);
    }
    let ohm = DC_OVER_1_KHZ * given.nominal;
    let band_ohm =
        libm::hypot(DC_OVER_1_KHZ * given.half_width_95(), DC_OVER_1_KHZ_BAND * given.nominal);
    let source = "1.75 ± 0.25 times the figure at 1 kHz (engineering judgement)";
    a.worked_out(key, Spread::normal(ohm, band_ohm), "mohm", source)
}

/// How cold acts on resistance; a sheet of cold capacity holds that already.
fn resistance_b_k(a: &mut Assembler<'_>) -> f64 {
    let key = "pack.resistance_b";
    if !a.values.has("pack.cold_capacity") {
        return a.usual(key, usual::RESISTANCE_B);
    }
    if a.values.get(key).is_some() {
        let what = "`pack.resistance_b` cannot stand beside `pack.cold_capacity`: the sheet \
            already holds what cold does to the resistance";
        a.exclude(key, what, "keep one of the two");
    }
    0.0
}

/// Share of the capacity that cells do not give at 0 °C, however small the current; a sheet of cold capacity holds that
/// already.
fn cold_loss_frac(a: &mut Assembler<'_>) -> f64 {
    let key = "pack.cold_loss";
    if a.values.has("pack.cold_capacity") {
        if a.values.get(key).is_some() {
            a.conflict("pack.cold_capacity", key);
        }
        return 0.0;
    }
    let chemistry = a.optional_text("pack.chemistry");
    a.usual(key, usual::cold_loss(chemistry.as_deref()))
}

fn cold_capacity(a: &mut Assembler<'_>) -> Option<ColdCapacityTable> {
    let key = "pack.cold_capacity";
    match &a.values.get(key)?.value {
        Value::ColdRows(rows) => Some(ColdCapacityTable {
            temperature_k: rows.iter().map(|row| row.0).collect(),
            capacity_frac: rows.iter().map(|row| row.1).collect(),
        }),
        _ => a.table(key, cold_capacity_file::parse),
    }
}

/// Both ends of the cell's window; without them by the chemistry, or by the ends of its own table.
fn cell_window(a: &mut Assembler<'_>, open_circuit: Option<&OpenCircuitTable>) -> (f64, f64) {
    let chemistry = a.optional_text("pack.chemistry");
    let ends =
        open_circuit.and_then(|table| Some((*table.voltage_v.first()?, *table.voltage_v.last()?)));
    let (low, high, source) = match (&chemistry, ends) {
        (None, Some((first, last))) => {
            (format!("{first} V"), format!("{last} V"), "the ends of its open-circuit table")
        }
        _ => {
            let (low, high) = usual::cell_window(chemistry.as_deref());
            (low.text.to_owned(), high.text.to_owned(), low.source)
        }
    };
    let from_v = a.number_or("pack.cell_voltage.from", &low, source);
    if let Some((_, full_v)) = ends.filter(|(_, full_v)| from_v >= *full_v) {
        let what =
            "`pack.cell_voltage.from` is above the voltage of a full cell at rest".to_owned();
        let hint = "check pack.chemistry and both ends of cell_voltage";
        a.refuse_value("pack.cell_voltage.from", what, &format!("less than {full_v} V"), hint);
    }
    (from_v, a.number_or("pack.cell_voltage.to", &high, source))
}

fn boxes(a: &mut Assembler<'_>, car: &mut CarSpec) {
    let names = a.values.names("pack.box");
    if names.is_empty() {
        let hint = "write [pack.box.rear] with room_for = 9 and behind_front_axle = \"2.50 m\"";
        a.missing_table("pack.box", "nothing says where the modules go", hint);
    }
    let one = |name: String| BoxSpec { name: name.into(), ..BoxSpec::default() };
    car.pack.boxes = names.into_iter().map(one).collect();
    a.fill(car, "pack.box");
}

pub(crate) fn loads(a: &mut Assembler<'_>, car: &mut CarSpec) {
    let names = a.values.names("load");
    if names.is_empty() {
        let power_w = a.usual("load.base.power", usual::BASE_LOAD);
        let side = LoadSide::TwelveVolt;
        let base = LoadSpec { name: "base".into(), power_w, side, ..LoadSpec::default() };
        car.loads = vec![LoadSpec { duty_frac: 1.0, ..base }];
        return;
    }
    for name in names {
        let traction = a.text(&format!("load.{name}.side")) == "traction";
        let side = if traction { LoadSide::Traction } else { LoadSide::TwelveVolt };
        let days = a.names(&format!("load.{name}.days"), "day");
        let only_below_k = a.values.get(&format!("load.{name}.only_below")).map(|_| 0.0);
        let load = LoadSpec { name: name.into(), side, days, only_below_k, ..LoadSpec::default() };
        car.loads.push(load);
    }
    a.fill(car, "load");
}

#[cfg(test)]
mod tests {
    use crate::bench::{assumed, changed, close, refused};

    const PACK: &str = "chemistry = \"nmc\"";
    const ROWS: &str = "cold_capacity = [{ temperature = \"14 °F\", capacity = \"75 %\" }, \
        { temperature = \"25 °C\", capacity = 1 }]";

    #[test]
    fn used_modules_differ_unless_it_is_said() {
        let plain = changed(&[]);
        assert!(close(plain.car.pack.module_spread, 0.02));
        let (value, band, _) = assumed(&plain, "pack.module_spread").unwrap();
        assert_eq!((value.as_str(), band.as_str()), ("2 %", "± 1 %"));
        let equal = changed(&[(PACK, "chemistry = \"nmc\"\nmodule_spread = \"0 %\"")]);
        assert!(equal.car.pack.module_spread.abs() < 1e-15);
    }

    #[test]
    fn a_cold_sheet_stands_in_place_of_the_resistance() {
        let plain = changed(&[]);
        assert!(close(plain.car.pack.resistance_b_k, 3000.0));
        let build = changed(&[(PACK, &format!("{PACK}\n{ROWS}"))]);
        let table = build.car.pack.cold_capacity.as_ref().unwrap();
        assert!(close(table.temperature_k[0], 263.15) && close(table.capacity_frac[1], 1.0));
        assert!(build.car.pack.resistance_b_k.abs() < 1e-15);
        assert!(!build.spreads.contains_key("pack.resistance_b"));
        let both = refused(&[(PACK, &format!("{PACK}\n{ROWS}\nresistance_b = \"2000 K\""))]);
        assert!(both.contains("already holds") && both.contains("1 error"), "{both}");
    }

    #[test]
    fn cold_rows_that_cannot_be_are_refused() {
        for (from, to, word) in [
            ("75 %", "175 %", "at most 100 %"),
            ("75 %", "75 kg", "capacity: "),
            ("\"75 %\"", "[]", "no number with its unit"),
            ("14 °F", "60 °C", "does not rise"),
            ("14 °F", "-99 °F", "-60 °C to 80 °C"),
            ("temperature = \"14 °F\", ", "", "lacks its temperature"),
            (", capacity = 1", "", "lacks its capacity"),
            ("capacity = 1", "ampacity = 1", "`ampacity` is not known"),
            (", { temperature = \"25 °C\", capacity = 1 }", "", "2 to 100 rows are wanted"),
        ] {
            let rows = ROWS.replacen(from, to, 1);
            assert_ne!(rows, ROWS, "{from}");
            let report = refused(&[(PACK, &format!("{PACK}\n{rows}"))]);
            assert!(report.contains(word) && report.contains("1 error"), "{report}");
            assert!(report.contains("-20 °C"), "no way out: {report}");
        }
    }

    #[test]
    fn a_figure_at_1_khz_is_raised_with_a_band() {
        let build = changed(&[(PACK, &format!("{PACK}\nresistance_kind = \"1 kHz\""))]);
        assert!(close(build.car.pack.cell_resistance_ohm, 1.75 * 0.8e-3));
        let spread = build.spreads["pack.cell_resistance"];
        // The given 20 % and the factor's 1/7 together.
        let wanted_ohm = 1.75 * 0.8e-3 * libm::hypot(0.2_f64, 1.0 / 7.0);
        assert!(close(spread.half_width_95(), wanted_ohm));
        assert!(assumed(&build, "pack.cell_resistance").unwrap().2.contains("1 kHz"));
        assert!(assumed(&changed(&[]), "pack.cell_resistance").is_none());
    }

    #[test]
    fn a_lead_pack_of_96_volts_can_be_written() {
        let build = changed(&[
            (PACK, "chemistry = \"lead\""),
            ("cells_in_series = 4 ", "cells_in_series = 6 "),
            ("cell_voltage = { from = \"3.0 V\", to = \"4.2 V\" }\n", ""),
            ("modules_in_series = 9", "modules_in_series = 8"),
            ("from = \"90 V\"", "from = \"80 V\""),
        ]);
        let pack = &build.car.pack;
        assert!(close(pack.open_circuit_v(1.0), 48.0 * 2.12));
        assert!(close(pack.full_voltage_v(), 48.0 * 2.4));
        assert!(build.notes.iter().any(|note| note.contains("lead cells")));
        assert!(assumed(&build, "pack.cell_voltage.from").unwrap().2.contains("lead"));
    }

    #[test]
    fn more_modules_than_room_are_refused() {
        let report = refused(&[("modules_in_parallel = 1", "modules_in_parallel = 2")]);
        assert!(report.contains("than room in the boxes"), "{report}");
    }
}
