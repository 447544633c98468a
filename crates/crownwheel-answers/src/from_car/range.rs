//! Use and range, from runs of the model.

use crownwheel::name::Name;
use std::collections::BTreeMap;

use crownwheel::balance::Balance as Sums;
use crownwheel::constants::{KMH_PER_MPS, ZERO_CELSIUS_K};
use crownwheel::cycle::Cycle;
use crownwheel::energy_label::miles_per_gallon_equivalent;
use crownwheel::limit::{LIMITS, Limit};
use crownwheel::range::{Loads, RangeEnd, RangeRun, range as run};
use crownwheel::spec::RoadLoadSpec;
use crownwheel::windows::{Series, WINDOWS_S};
use crownwheel::{Car, Day};

use super::driveline::number;
use super::routes::{AskedRoute, route_result};
use super::weigh::worst_overloads;
use super::{Subject, concerns, rpm, warning, wh_per_km};
use crate::{
    Balance, Band, BrakingMemo, Caution, CycleResult, MiddleWorld, MissedPct, MotorUse, OilMax,
    RangeAnswer, RoadShares, RouteResult, SteadyResult, Topic, Trip, Units, Warning, Window,
    WindowQuantity,
};

/// What to run.
#[derive(Clone, Debug, Default)]
pub struct RangeRequest {
    /// Cycles.
    pub cycles: Vec<Cycle>,
    /// What is said of each cycle: whose trip it is, and what the build demands of it on which days.
    pub trips: Vec<AskedTrip>,
    /// Routes that are driven once.
    pub routes: Vec<AskedRoute>,
    /// Days, as places in the subject's list.
    pub days: Vec<usize>,
    /// Steady speeds, km/h.
    pub steady_kmh: Vec<f64>,
}

/// What is known of a cycle beside its speeds.
#[derive(Clone, Debug, Default)]
pub struct AskedTrip {
    /// Whose trip it is.
    pub trip: Trip,
    /// Days on which a distance is demanded of it, and the distance, km.
    pub demanded_km: Vec<(Name, f64)>,
}

/// Runs every cycle and steady speed on every day.
#[must_use]
pub fn range(subject: &Subject, asked: &RangeRequest) -> RangeAnswer {
    with_windows(subject, asked, windows)
}

/// The same without the worst rolling values, in half of the time.
#[must_use]
pub fn range_alone(subject: &Subject, asked: &RangeRequest) -> RangeAnswer {
    with_windows(subject, asked, |_| Vec::new())
}

fn with_windows(
    subject: &Subject,
    asked: &RangeRequest,
    windows: fn(&Loads) -> Vec<Window>,
) -> RangeAnswer {
    let car = &subject.car;
    let days: Vec<&Day> = asked.days.iter().map(|i| &subject.days[*i]).collect();
    let mut results = Vec::new();
    let mut ends = Vec::new();
    for (at, cycle) in asked.cycles.iter().enumerate() {
        let asked = asked.trips.get(at).cloned().unwrap_or_default();
        for day in &days {
            let done = run(car, day, cycle);
            ends.push((cycle.name().to_owned(), day.name().clone(), done.end));
            let demanded = asked.demanded_km.iter().find(|(on, _)| on == day.name());
            let demanded_km = demanded.map(|(_, km)| *km);
            results.push(CycleResult {
                windows: windows(&done.loads),
                trip: if demanded_km.is_some() { Trip::Demanded } else { asked.trip },
                demanded_km,
                ..cycle_result(subject, day, cycle, &done)
            });
        }
    }
    let routes: Vec<RouteResult> = asked
        .routes
        .iter()
        .flat_map(|asked| days.iter().map(|day| route_result(car, day, asked)))
        .collect();
    let steady = days
        .iter()
        .flat_map(|day| asked.steady_kmh.iter().map(|kmh| steady_result(car, day, *kmh)))
        .collect();
    let pack = &car.spec().pack;
    let mut answer = RangeAnswer {
        provenance: subject.provenance.clone(),
        units: subject.units,
        car: car.spec().name.clone(),
        reserve_pct: 100.0 * pack.reserve_frac,
        state_of_health_pct: 100.0 * pack.state_of_health_frac,
        notes: notes(car, &days, !results.is_empty(), !routes.is_empty()),
        results,
        routes,
        steady,
        assumed: subject.assumed.clone(),
        warnings: warnings(subject, &ends),
        cautions: vec![Caution::about(Topic::Currents), Caution::about(Topic::HighVoltage)],
        ..RangeAnswer::default()
    };
    answer.plain = answer.plain_line();
    answer
}

fn notes(car: &Car, days: &[&Day], ranges: bool, routes: bool) -> Vec<String> {
    let pack = &car.spec().pack;
    let floors = days.iter().map(|day| car.floor_frac(day));
    let (low, high) = floors.fold((1.0_f64, 0.0_f64), |(low, high), f| (low.min(f), high.max(f)));
    let floor = if high - low < 5e-3 {
        format!("{:.0} %", 100.0 * low)
    } else {
        let each: Vec<String> = days
            .iter()
            .map(|day| format!("{:.0} % ({})", 100.0 * car.floor_frac(day), day.name()))
            .collect();
        each.join(", ")
    };
    let begins = format!(
        "Each run begins full ({:.0} %), with everything at the temperature of the day, and ends at {floor}; falling behind does not end it; the last part of a cycle counts.",
        100.0 * pack.usable_to_frac,
    );
    let once = format!(
        "A route is driven once, from the charge at its start, with everything at the temperature of the day; it is empty at {floor}."
    );
    let health = format!(
        "Ranges hold for {:.0} % state of health, and without a band for every input at its nominal value.",
        100.0 * pack.state_of_health_frac
    );
    let said = [(ranges || !routes, begins), (routes, once), (true, health)];
    said.into_iter().filter_map(|(holds, text)| holds.then_some(text)).collect()
}

/// What stands out about the car, and how runs end.
fn warnings(subject: &Subject, ends: &[(String, Name, RangeEnd)]) -> Vec<Warning> {
    [worst_overloads(subject), concerns(subject), end_warnings(ends)].concat()
}

/// One warning for each way in which runs end other than empty, with all cycles and days.
fn end_warnings(ends: &[(String, Name, RangeEnd)]) -> Vec<Warning> {
    let kinds = [
        (
            RangeEnd::Stands,
            "stands",
            "The car is asked to move and stands, and the run ends there with charge left,",
        ),
        (
            RangeEnd::GivesBack,
            "gives_back",
            "The route gives back as much as it takes, so the pack does not empty,",
        ),
        (RangeEnd::Far, "far", "The pack lasts for more than 3,000 km,"),
        (
            RangeEnd::TooShort,
            "too_short",
            "A cycle of less than 100 m was driven once and has no range:",
        ),
    ];
    let of_kind = |(kind, code, words): (RangeEnd, &str, &str)| {
        let places = places(ends.iter().filter(|(_, _, end)| *end == kind));
        (!places.is_empty()).then(|| warning(code, format!("{words} on {}.", places.join(", "))))
    };
    kinds.into_iter().filter_map(of_kind).collect()
}

/// `udds (mild, winter)`, in the order of the runs.
fn places<'a>(ends: impl Iterator<Item = &'a (String, Name, RangeEnd)>) -> Vec<String> {
    let mut by_cycle: Vec<(&str, Vec<&str>)> = Vec::new();
    for (cycle, day, _) in ends {
        match by_cycle.iter_mut().find(|(known, _)| known == cycle) {
            Some((_, days)) => days.push(day),
            None => by_cycle.push((cycle, vec![day])),
        }
    }
    by_cycle.iter().map(|(cycle, days)| format!("{cycle} ({})", days.join(", "))).collect()
}

fn cycle_result(subject: &Subject, day: &Day, cycle: &Cycle, done: &RangeRun) -> CycleResult {
    let per_km = |joules: f64| wh_per_km(joules, done.distance_m);
    let first = &done.first;
    CycleResult {
        cycle: cycle.name().to_owned(),
        day: day.name().clone(),
        distance_km: first.distance_m / 1000.0,
        duration_s: first.duration_s,
        use_wh_per_km: per_km(done.balance.sum.terminals_j),
        use_band_wh_per_km: None,
        wall_wh_per_km: per_km(done.wall_j),
        wall_band_wh_per_km: None,
        equivalent_mpg: equivalent_mpg(subject.units, per_km(done.wall_j)),
        range_km: Band::only(done.range_m() / 1000.0),
        keeps_up_km: Band::only(done.keeps_up_m() / 1000.0),
        missed_pct: MissedPct {
            when_full: 100.0 * done.missed.when_full_frac,
            whole: 100.0 * done.missed.whole_frac,
        },
        end: done.end.name().to_owned(),
        end_charge_pct: 100.0 * done.end_charge_frac,
        range_with_reserve_km: done.range_with_reserve_m() / 1000.0,
        range_with_reserve_band_km: None,
        shortfall_s: first.shortfall_s,
        shortfall_m: first.shortfall_m,
        cannot_follow_when_full: first.fell_behind,
        binding: binding(&first.binding_s),
        gear_s: gear_use(&first.gear_s),
        motor: MotorUse {
            rms_torque_nm: done.motor.rms_torque_nm,
            max_speed_rpm: rpm(done.motor.max_speed_radps),
            heat_used_max: done.motor.heat_used_max,
        },
        oil_max_degc: oil_max(&subject.car, done),
        windows: Vec::new(),
        balance_wh_per_km: balance(&subject.car, &done.balance, done.distance_m),
        braking: braking(&done.balance, done.distance_m),
        trip: Trip::Standard,
        demanded_km: None,
        middle: None,
    }
}

/// The energy flow of a car on a day over a cycle, in a world with this number.
#[must_use]
pub fn middle_world(car: &Car, day: &Day, cycle: &Cycle, world: usize) -> MiddleWorld {
    let done = run(car, day, cycle);
    MiddleWorld {
        world,
        use_wh_per_km: wh_per_km(done.balance.sum.terminals_j, done.distance_m),
        balance_wh_per_km: balance(car, &done.balance, done.distance_m),
        braking: braking(&done.balance, done.distance_m),
    }
}

fn oil_max(car: &Car, done: &RangeRun) -> OilMax {
    let first = car.spec().driveline.first.stage(car.usual_gear());
    OilMax {
        gearbox: first.map(|_| done.oil.gearbox_k - ZERO_CELSIUS_K),
        axle: done.oil.axle_k - ZERO_CELSIUS_K,
    }
}

fn braking(balance: &Sums<f64>, distance_m: f64) -> BrakingMemo {
    let per_km = |joules: f64| wh_per_km(joules, distance_m);
    BrakingMemo {
        on_offer_wh_per_km: per_km(balance.sum.braking_offer_j),
        taken_back_wh_per_km: per_km(balance.sum.taken_back_j),
        share_returned_pct: balance.share_returned().map(|share| 100.0 * share),
    }
}

/// Wall use as miles per gallon of petrol of equal energy, where people think in gallons.
fn equivalent_mpg(units: Units, wall_wh_per_km: f64) -> Option<f64> {
    (units == Units::Us && wall_wh_per_km > 0.0)
        .then(|| miles_per_gallon_equivalent(wall_wh_per_km))
}

/// Seconds by gear, counted from 1; empty where only one gear is driven in.
fn gear_use(seconds: &[f64]) -> BTreeMap<u32, f64> {
    if seconds.len() < 2 {
        return BTreeMap::new();
    }
    seconds.iter().enumerate().map(|(gear, seconds)| (number(gear), *seconds)).collect()
}

/// Seconds by limit, those that occurred.
fn binding(seconds: &[f64; LIMITS.len()]) -> BTreeMap<String, f64> {
    LIMITS
        .iter()
        .zip(seconds)
        .filter(|(_, seconds)| **seconds > 0.0)
        .map(|(limit, seconds)| (limit.name().to_owned(), *seconds))
        .collect()
}

/// Worst rolling values of a run.
pub(crate) fn windows(loads: &Loads) -> Vec<Window> {
    let series: [(WindowQuantity, &Series, bool); 5] = [
        (WindowQuantity::BatteryCurrentRms, &loads.current_squared, true),
        (WindowQuantity::MotorTorqueRms, &loads.torque_squared, true),
        (WindowQuantity::MotorHeatMean, &loads.motor_heat_w, false),
        (WindowQuantity::InverterHeatMean, &loads.inverter_heat_w, false),
        (WindowQuantity::PackHeatMean, &loads.pack_heat_w, false),
    ];
    let worst = |series: &Series, rms: bool, window_s: f64| {
        if rms { series.worst_rms(window_s) } else { series.worst_mean(window_s) }
    };
    series
        .iter()
        .flat_map(|(quantity, series, rms)| {
            WINDOWS_S.iter().map(|w| Window::new(*quantity, *w, worst(series, *rms, *w)))
        })
        .collect()
}

fn balance(car: &Car, balance: &Sums<f64>, distance_m: f64) -> Balance {
    let per_km = |joules: f64| wh_per_km(joules, distance_m);
    let sum = &balance.sum;
    let road = match car.spec().road_load {
        RoadLoadSpec::Terms { .. } => {
            RoadShares::Terms { air: per_km(sum.air_j), rolling: per_km(sum.rolling_j) }
        }
        RoadLoadSpec::Coefficients { .. } => RoadShares::Coefficients {
            road_load_constant: per_km(sum.rolling_j),
            road_load_linear: per_km(sum.linear_j),
            road_load_square: per_km(sum.air_j),
        },
    };
    Balance {
        road,
        climbing: per_km(sum.climbing_j),
        kinetic: per_km(sum.kinetic_j),
        brake_drag: per_km(sum.brake_drag_j),
        driveline: per_km(sum.driveline_j),
        motor: per_km(sum.motor_j),
        inverter: per_km(sum.inverter_j),
        dcdc: per_km(sum.dcdc_j),
        pack: per_km(sum.pack_j),
        ancillaries: per_km(sum.ancillaries_j),
        friction_brakes: per_km(sum.friction_j),
        from_pack: per_km(sum.from_pack_j),
        imbalance: per_km(balance.imbalance_j()),
    }
}

/// What comes out of what goes in, %. `None`: nothing does.
fn efficiency_pct(out_j: f64, into_j: f64) -> Option<f64> {
    (out_j > 0.0 && into_j > 0.0).then(|| 100.0 * out_j / into_j)
}

fn steady_result(car: &Car, day: &Day, speed_kmh: f64) -> SteadyResult {
    let speed_mps = speed_kmh / KMH_PER_MPS;
    let done = run(car, day, &Cycle::steady(speed_mps));
    let bound =
        LIMITS.iter().zip(&done.first.binding_s).filter(|(limit, _)| **limit != Limit::None);
    let most = bound.max_by(|a, b| a.1.total_cmp(b.1));
    let limit =
        most.filter(|(_, seconds)| **seconds > 0.0).map_or(Limit::None, |(limit, _)| *limit);
    // Of several gears the one that is in most of the time.
    let in_gear = done.first.gear_s.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
    let gear = in_gear.map_or_else(|| car.usual_gear(), |(gear, _)| gear);
    let sum = &done.balance.sum;
    let into_j = sum.terminals_j - sum.ancillaries_j - sum.dcdc_j - sum.not_modelled_j;
    let shaft_j = into_j - sum.inverter_j - sum.motor_j;
    SteadyResult {
        speed_kmh,
        day: day.name().clone(),
        held: !done.first.fell_behind,
        range_km: Band::only(done.range_m() / 1000.0),
        keeps_up_km: Band::only(done.keeps_up_m() / 1000.0),
        use_wh_per_km: wh_per_km(done.balance.sum.terminals_j, done.distance_m),
        use_band_wh_per_km: None,
        motor_inverter_efficiency_pct: efficiency_pct(shaft_j, into_j),
        driveline_efficiency_pct: efficiency_pct(shaft_j - sum.driveline_j, shaft_j),
        limit: limit.name().to_owned(),
        motor_speed_rpm: rpm(speed_mps * car.overall_ratio_in(gear) / car.rolling_radius_m()),
        oil_max_degc: oil_max(car, &done),
    }
}
