//! The pack, the 12 V side and the charger of a build.

use std::sync::Arc;

use crownwheel::cell;
use crownwheel::spec::{
    BoxSpec, ChargerSpec, ColdCapacityTable, DcDcSpec, LoadSide, LoadSpec, OpenCircuitTable,
    PackSpec,
};

use crate::assemble::Assembler;
use crate::quantity::Spread;
use crate::values::Value;
use crate::weights_part::place;
use crate::{cold_capacity_file, ocv_file};

pub(crate) fn pack(a: &mut Assembler<'_>) -> Option<PackSpec> {
    let open_circuit = open_circuit(a);
    let (cell_min_voltage_v, cell_max_voltage_v) = cell_window(a, open_circuit.as_ref());
    let boxes = boxes(a);
    let cold_capacity = cold_capacity(a);
    let resistance_b_k = resistance_b_k(a);
    let spec = PackSpec {
        // Only so that all that is missing is said at once: without a table there is no pack below.
        open_circuit: Arc::new(open_circuit.clone().unwrap_or_else(cell::nmc)),
        cells_in_series: a.whole("pack.cells_in_series"),
        cells_in_parallel: a.whole("pack.cells_in_parallel"),
        cell_capacity_c: a.number("pack.cell_capacity"),
        cell_resistance_ohm: cell_resistance_ohm(a),
        resistance_b_k,
        cold_capacity: cold_capacity.map(Arc::new),
        module_spread: a.number("pack.module_spread"),
        cell_min_voltage_v,
        cell_max_voltage_v,
        max_discharge_per_h: a.number("pack.max_discharge"),
        max_charge_per_h: a.number("pack.max_charge"),
        module_mass_kg: a.number("pack.module_mass"),
        specific_heat_jpkgk: a.number("pack.specific_heat"),
        conductance_wpk: a.number("pack.conductance"),
        modules_in_series: a.whole("pack.modules_in_series"),
        modules_in_parallel: a.whole("pack.modules_in_parallel"),
        boxes,
        usable_from_frac: a.number("pack.usable.from"),
        usable_to_frac: a.number("pack.usable.to"),
        harness_resistance_ohm: a.number("pack.harness_resistance"),
        state_of_health_frac: a.number("pack.state_of_health"),
        reserve_frac: a.number("pack.reserve"),
    };
    open_circuit.map(|_| spec)
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
        (DC_OVER_1_KHZ * given.half_width_95()).hypot(DC_OVER_1_KHZ_BAND * given.nominal);
    let source = "1.75 ± 0.25 times the figure at 1 kHz (engineering judgement)";
    a.worked_out(key, Spread::normal(ohm, band_ohm), "ohm", source)
}

/// How cold acts on resistance; a sheet of cold capacity holds that already.
fn resistance_b_k(a: &mut Assembler<'_>) -> f64 {
    let key = "pack.resistance_b";
    if !a.values.has("pack.cold_capacity") {
        return a.number_or(key, "2000 K ± 800 K", "engineering judgement");
    }
    if a.values.get(key).is_some() {
        let what = "`pack.resistance_b` cannot stand beside `pack.cold_capacity`: the sheet \
            already holds what cold does to the resistance";
        a.exclude(key, what, "keep one of the two");
    }
    0.0
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
    let chemistry = a.optional_text("pack.chemistry").unwrap_or_default();
    let ends =
        open_circuit.and_then(|table| Some((*table.voltage_v.first()?, *table.voltage_v.last()?)));
    let (low, high, source) = match (chemistry.as_str(), ends) {
        ("lead", _) => ("1.75 V".to_owned(), "2.4 V".to_owned(), "usual lead-acid sheets"),
        ("lfp", _) => ("2.5 V".to_owned(), "3.65 V".to_owned(), "usual lfp cell sheets"),
        ("", Some((first, last))) => {
            (format!("{first} V"), format!("{last} V"), "the ends of its open-circuit table")
        }
        _ => ("3.0 V".to_owned(), "4.2 V".to_owned(), "usual nmc cell sheets"),
    };
    (
        a.number_or("pack.cell_voltage.from", &low, source),
        a.number_or("pack.cell_voltage.to", &high, source),
    )
}

fn boxes(a: &mut Assembler<'_>) -> Vec<BoxSpec> {
    let names = a.values.names("pack.box");
    if names.is_empty() {
        let hint = "write [pack.box.rear] with room_for = 9 and behind_front_axle = \"2.50 m\"";
        a.missing_table("pack.box", "nothing says where the modules go", hint);
    }
    let mut boxes = Vec::new();
    for name in names {
        let path = format!("pack.box.{name}");
        let room_for = a.whole(&format!("{path}.room_for"));
        boxes.push(BoxSpec { name: Arc::from(name), room_for, place: place(a, &path) });
    }
    boxes
}

pub(crate) fn dcdc(a: &mut Assembler<'_>) -> DcDcSpec {
    DcDcSpec { efficiency_frac: a.number("dcdc.efficiency"), max_w: a.optional("dcdc.max") }
}

/// What stands for the loads of a build that names none, W.
const BASE_LOAD: &str = "180 W ± 80 W";

pub(crate) fn loads(a: &mut Assembler<'_>) -> Vec<LoadSpec> {
    let names = a.values.names("load");
    if names.is_empty() {
        let power_w = a.number_or(
            "load.base.power",
            BASE_LOAD,
            "lights, wipers, pumps, controller (engineering judgement)",
        );
        return vec![LoadSpec {
            name: "base".into(),
            power_w,
            side: LoadSide::TwelveVolt,
            duty_frac: 1.0,
        }];
    }
    let mut loads = Vec::new();
    for name in names {
        let path = format!("load.{name}");
        let power_w = a.number(&format!("{path}.power"));
        let traction = a.text(&format!("{path}.side")) == "traction";
        let side = if traction { LoadSide::Traction } else { LoadSide::TwelveVolt };
        let duty_frac = a.number(&format!("{path}.duty"));
        loads.push(LoadSpec { name: Arc::from(name), power_w, side, duty_frac });
    }
    loads
}

pub(crate) fn charger(a: &mut Assembler<'_>) -> ChargerSpec {
    ChargerSpec {
        power_w: a.number("charger.power"),
        efficiency_frac: a.number("charger.efficiency"),
    }
}
