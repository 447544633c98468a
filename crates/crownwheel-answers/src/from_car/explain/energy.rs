//! Energy of the pack, use, range, and time to charge.

use crownwheel::charger::{Charge, ChargePoint, Socket};
use crownwheel::constants::JOULE_PER_WH;
use crownwheel::cycle::Cycle;
use crownwheel::range::{RangeEnd, RangeRun, range};
use crownwheel_quantities::Supply;

use super::weights::{MASS_KEYS, PLACE_KEYS};
use super::{Subject, WorkedAnswer, sum, with};
use crate::from_car::wh_per_km;
use crate::{Topic, Unit};

/// Joules in a kilowatt-hour.
const JOULE_PER_KWH: f64 = 1000.0 * JOULE_PER_WH;

/// Coulombs in an ampere-hour.
const COULOMB_PER_AH: f64 = 3600.0;

/// Tables that driving depends on, but for the day.
const DRIVING_KEYS: [&str; 7] = ["car", "tyres", "driveline", "motor", "inverter", "regen", "dcdc"];

/// What the energy at rest depends on.
const CELL_KEYS: [&str; 11] = [
    "pack.chemistry",
    "pack.open_circuit",
    "pack.cell_capacity",
    "pack.cell_voltage",
    "pack.cells_in_series",
    "pack.cells_in_parallel",
    "pack.modules_in_series",
    "pack.modules_in_parallel",
    "pack.state_of_health",
    "pack.module_spread",
    "pack.usable",
];

/// Energy of the pack between its end voltages, at rest.
pub(super) fn pack_energy(subject: &Subject) -> WorkedAnswer {
    let pack = &subject.car.spec().pack;
    let mut worked = WorkedAnswer::new("energy of the pack", pack.energy_kwh(), Unit::Kwh, 2)
        .depending_on(&CELL_KEYS);
    capacity(subject, &mut worked);
    let empty = pack.open_circuit.charge_at(pack.cell_min_voltage_v);
    stored(subject, &mut worked, (empty, 1.0), "between its end voltages");
    worked.notes.push(format!(
        "Of this {} is in the usable part, {} to {} % of charge.",
        with(pack.stored_j(pack.floor_frac(), pack.usable_to_frac) / JOULE_PER_KWH, "kWh", 2),
        with(100.0 * pack.floor_frac(), "", 1),
        with(100.0 * pack.usable_to_frac, "", 1)
    ));
    worked.cautions.push(Topic::HighVoltage);
    worked
}

fn capacity(subject: &Subject, worked: &mut WorkedAnswer) {
    let pack = &subject.car.spec().pack;
    worked.step(
        "capacity",
        "Q = cell capacity x cells in parallel x state of health x weakest of the string",
        format!(
            "{} x {} x {} x {} = {}",
            with(pack.cell_capacity_c / COULOMB_PER_AH, "Ah", 1),
            with(pack.parallel_cells(), "", 0),
            with(pack.state_of_health_frac, "", 3),
            with(pack.weakest_frac(), "", 4),
            with(pack.capacity_c() / COULOMB_PER_AH, "Ah", 2)
        ),
        "crownwheel::spec::PackSpec::capacity_c",
    );
}

/// The step for the energy between two states of charge; gives it in kWh.
fn stored(
    subject: &Subject,
    worked: &mut WorkedAnswer,
    (from, to): (f64, f64),
    which: &str,
) -> f64 {
    let pack = &subject.car.spec().pack;
    let joules = pack.stored_j(from, to);
    let charge_ah = pack.capacity_c() * (to - from) / COULOMB_PER_AH;
    let mean_v = joules / (pack.capacity_c() * (to - from));
    worked.step(
        &format!("energy at rest, {which}"),
        "E = Q (z_full - z_empty) x mean open-circuit voltage",
        format!(
            "{} x ({} - {}) = {}; x {} (mean of {} cells in series) = {}",
            with(pack.capacity_c() / COULOMB_PER_AH, "Ah", 2),
            with(to, "", 3),
            with(from, "", 3),
            with(charge_ah, "Ah", 2),
            with(mean_v, "V", 2),
            with(pack.series_cells(), "", 0),
            with(joules / JOULE_PER_KWH, "kWh", 3)
        ),
        "crownwheel::spec::PackSpec::stored_j",
    );
    joules / JOULE_PER_KWH
}

fn depends_on_driving(subject: &Subject, worked: WorkedAnswer, day: usize) -> WorkedAnswer {
    let day_key = format!("day.{}", subject.days[day].name().key());
    worked
        .on(day)
        .depending_on(&MASS_KEYS)
        .depending_on(&PLACE_KEYS)
        .depending_on(&DRIVING_KEYS)
        .depending_on(&["pack", "load", &day_key])
}

/// Range of a cycle on a day.
pub(super) fn range_of(subject: &Subject, cycle: &Cycle, day: usize) -> WorkedAnswer {
    let car = &subject.car;
    let run = range(car, &subject.days[day], cycle);
    let label = format!("range on {}", cycle.name());
    let worked = WorkedAnswer::new(&label, run.distance_m / 1000.0, Unit::Km, 1);
    let mut worked = depends_on_driving(subject, worked, day);
    capacity(subject, &mut worked);
    let (floor, full) = (car.floor_frac(&subject.days[day]), car.spec().pack.usable_to_frac);
    stored(subject, &mut worked, (floor, full), "from full to where the run ends on that day");
    let from_pack_wh_per_km = where_it_goes(&mut worked, &run);
    let taken_kwh = run.balance.sum.from_pack_j / JOULE_PER_KWH;
    worked.step(
        "range",
        "s = energy taken / energy from the pack for a kilometre",
        format!(
            "{} / {} = {}",
            with(taken_kwh, "kWh", 3),
            with(from_pack_wh_per_km, "Wh/km", 2),
            with(run.distance_m / 1000.0, "km", 2)
        ),
        "crownwheel::range::range",
    );
    worked.notes.push(match run.end {
        RangeEnd::Empty => {
            "The cycle is driven again and again from full charge, step by step, until the pack is at its floor; the last part counts."
                .to_owned()
        }
        _ => format!(
            "The run ends before the pack is at its floor ({:?}), so not all of the energy is taken.",
            run.end
        ),
    });
    worked
}

/// Use on a cycle and a day.
pub(super) fn use_of(subject: &Subject, cycle: &Cycle, day: usize) -> WorkedAnswer {
    let run = range(&subject.car, &subject.days[day], cycle);
    let sums = &run.balance.sum;
    let per_km = |joules: f64| wh_per_km(joules, run.distance_m);
    let used = per_km(sums.terminals_j);
    let worked = WorkedAnswer::new(&format!("use on {}", cycle.name()), used, Unit::WhPerKm, 1);
    let mut worked = depends_on_driving(subject, worked, day);
    let from_pack = where_it_goes(&mut worked, &run);
    worked.step(
        "use, at the terminals of the pack",
        "use = from pack - lost in the resistance of pack and harness",
        format!(
            "{} - {} = {}",
            with(from_pack, "", 2),
            with(per_km(sums.pack_j), "", 2),
            with(used, "Wh/km", 2)
        ),
        "crownwheel::step::step",
    );
    worked.notes.push(
        "Each row is summed step by step over the whole range, with what came back by braking taken off."
            .to_owned(),
    );
    worked
}

/// The step that sums the balance; gives what a kilometre takes from the pack, Wh/km.
fn where_it_goes(worked: &mut WorkedAnswer, run: &RangeRun) -> f64 {
    let sums = &run.balance.sum;
    let rows = [
        ("air", sums.air_j),
        ("rolling", sums.rolling_j),
        ("linear term", sums.linear_j),
        ("climbing", sums.climbing_j),
        ("kinetic", sums.kinetic_j),
        ("brake drag", sums.brake_drag_j),
        ("driveline", sums.driveline_j),
        ("motor", sums.motor_j),
        ("inverter", sums.inverter_j),
        ("DC-DC", sums.dcdc_j),
        ("pack", sums.pack_j),
        ("standing loads", sums.ancillaries_j),
        ("friction brakes", sums.friction_j),
    ];
    let per_km = |joules: f64| wh_per_km(joules, run.distance_m);
    let shown: Vec<(&str, f64)> = rows
        .iter()
        .map(|(name, joules)| (*name, per_km(*joules)))
        .filter(|(_, value)| value.abs() >= 0.005)
        .collect();
    let names: Vec<&str> = shown.iter().map(|(name, _)| *name).collect();
    let values: Vec<f64> = shown.iter().map(|(_, value)| *value).collect();
    let from_pack = per_km(sums.from_pack_j);
    worked.step(
        "what a kilometre takes from the pack",
        &format!("from pack = {}", names.join(" + ")),
        format!("{} = {}", sum(&values, 2), with(from_pack, "Wh/km", 2)),
        "crownwheel::balance::Energies",
    );
    from_pack
}

const COMPUTED_CHARGE: &str = "crownwheel::charger::Socket::charge";

/// The step from energy to hours: at constant power, then at what cells and voltage allow.
fn time_step(worked: &mut WorkedAnswer, charge: &Charge, power_w: f64) {
    let hours = charge.duration_s / 3600.0;
    let Some(taper_frac) = charge.taper_from_frac else {
        let numbers = format!(
            "{} / {} = {}",
            with(charge.into_pack_j / JOULE_PER_KWH, "kWh", 3),
            with(power_w / 1000.0, "kW", 3),
            with(hours, "h", 2)
        );
        worked.step("time", "t = E_in / P", numbers, COMPUTED_CHARGE);
        return;
    };
    let reached = |point: &&ChargePoint| point.charge_frac >= taper_frac - 1e-9;
    let constant_s = charge.points.iter().find(reached).map_or(0.0, |point| point.time_s);
    worked.step(
        "time",
        "t = energy at constant power / P + time with less power, by the cells' current or highest voltage",
        format!(
            "{} / {} + {} (from {} % on) = {}",
            with(power_w * constant_s / JOULE_PER_KWH, "kWh", 3),
            with(power_w / 1000.0, "kW", 3),
            with((charge.duration_s - constant_s) / 3600.0, "h", 3),
            with(100.0 * taper_frac, "", 1),
            with(hours, "h", 2)
        ),
        COMPUTED_CHARGE,
    );
}

/// Voltage of the full pack.
pub(super) fn full_voltage(subject: &Subject) -> WorkedAnswer {
    let pack = &subject.car.spec().pack;
    let volts = pack.full_voltage_v();
    let mut worked =
        WorkedAnswer::new("voltage of the full pack", volts, Unit::V, 1).depending_on(&[
            "pack.chemistry",
            "pack.cell_voltage",
            "pack.cells_in_series",
            "pack.modules_in_series",
        ]);
    worked.step(
        "highest voltage of a cell, times cells in series",
        "U = u x cells in a module x modules in series",
        format!(
            "{} x {} x {} = {}",
            with(pack.cell_max_voltage_v, "V", 3),
            pack.cells_in_series,
            pack.modules_in_series,
            with(volts, "V", 1)
        ),
        "crownwheel::spec::PackSpec::full_voltage_v",
    );
    worked.cautions.push(Topic::HighVoltage);
    worked
}

/// Time to charge from the floor to the top of the usable part.
pub(super) fn charge_time(subject: &Subject, supply: &Supply, day: usize) -> WorkedAnswer {
    let spec = subject.car.spec();
    let (pack, charger) = (&spec.pack, &spec.charger);
    let socket = Socket::new(&subject.car, &subject.days[day], supply.limit_w);
    let (from, to) = (pack.floor_frac(), pack.usable_to_frac);
    let charge = socket.charge(from, to);
    let hours = if charge.duration_s > 0.0 { charge.duration_s / 3600.0 } else { f64::NAN };
    let label = format!(
        "time to charge from {} to {} % at {}",
        with(100.0 * from, "", 0),
        with(100.0 * charge.end_charge_frac, "", 0),
        supply.name
    );
    let (limit, day_key) = (
        format!("supply.{}", supply.name.key()),
        format!("day.{}", subject.days[day].name().key()),
    );
    let mut worked = WorkedAnswer::new(&label, hours, Unit::None, 2)
        .in_hours()
        .on(day)
        .depending_on(&["charger", "pack", &limit, &day_key]);
    let power_w = charger.power_w.min(supply.limit_w * charger.efficiency_frac);
    worked.step(
        "power into the pack, as long as it is constant",
        "P = least of (supply x efficiency) and (charger)",
        format!(
            "least of {} x {} = {} and {}: {}",
            with(supply.limit_w / 1000.0, "kW", 2),
            with(charger.efficiency_frac, "", 3),
            with(supply.limit_w * charger.efficiency_frac / 1000.0, "kW", 3),
            with(charger.power_w / 1000.0, "kW", 2),
            with(power_w / 1000.0, "kW", 3)
        ),
        "crownwheel::charger::Socket::new",
    );
    let put_back_kwh =
        stored(subject, &mut worked, (from, charge.end_charge_frac), "that is put back");
    let into_kwh = charge.into_pack_j / JOULE_PER_KWH;
    worked.step(
        "energy into the terminals",
        "E_in = energy at rest + what the resistance takes",
        format!(
            "{} = {}",
            sum(&[put_back_kwh, into_kwh - put_back_kwh], 3),
            with(into_kwh, "kWh", 3)
        ),
        COMPUTED_CHARGE,
    );
    worked.step(
        "energy from the wall",
        "E_wall = (E_in + warming) / efficiency",
        format!(
            "({} + {}) / {} = {}",
            with(into_kwh, "kWh", 3),
            with(charge.warming_j / JOULE_PER_KWH, "kWh", 3),
            with(charger.efficiency_frac, "", 3),
            with(charge.wall_j / JOULE_PER_KWH, "kWh", 3)
        ),
        COMPUTED_CHARGE,
    );
    if charge.duration_s > 0.0 {
        time_step(&mut worked, &charge, power_w);
    } else {
        worked.notes.push("The supply gives no power.".to_owned());
    }
    if charge.warming_j > 0.0 {
        worked.notes.push("The pack is cold: it is warmed to 5 °C first and held there; that takes time and energy, and both count.".to_owned());
    }
    worked.cautions.push(Topic::HighVoltage);
    worked
}
