//! Energy of a range.

use crownwheel::constants::JOULE_PER_WH;
use crownwheel::cycle::Cycle;
use crownwheel::range::{RangeEnd, RangeRun, range};

use super::weights::{MASS_KEYS, PLACE_KEYS};
use super::{Subject, WorkedAnswer, sum, with};
use crate::Unit;
use crate::from_car::wh_per_km;

/// Joules in a kilowatt-hour.
const JOULE_PER_KWH: f64 = 1000.0 * JOULE_PER_WH;

/// Coulombs in an ampere-hour.
const COULOMB_PER_AH: f64 = 3600.0;

/// Tables that driving depends on, but for the day.
const DRIVING_KEYS: [&str; 7] = ["car", "tyres", "driveline", "motor", "inverter", "regen", "dcdc"];

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
