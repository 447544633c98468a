//! `range`: use, range, and where the energy goes.

use std::collections::{BTreeMap, BTreeSet};

use crownwheel::name::Name;
use crownwheel_quantities::rows;

use super::measure_table;
use crate::sheet::{Look, Section, Sheet};
use crate::table::Rows;
use crate::unit::{MISSING, digits};
use crate::windows::WINDOW_LENGTHS_S;
use crate::{
    Balance, Band, Cell, CycleResult, Question, RangeAnswer, RoadShares, Rule, SteadyResult, Table,
    Unit, Units, WindowQuantity,
};

/// The steady result of a day at a speed.
#[must_use]
pub fn steady_at<'a>(
    steady: &'a [SteadyResult],
    day: &str,
    speed_kmh: f64,
) -> Option<&'a SteadyResult> {
    steady.iter().find(|s| s.day == day && (s.speed_kmh - speed_kmh).abs() < 1e-6)
}

impl RangeAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let range = Section::new("range", "Range")
            .drawn(&["steady-range"])
            .by(&[Rule::Range, Rule::SteadyRange, Rule::Bands, Rule::MeasureNext])
            .shown(Look::Rows, self.short_table())
            .file(self.table())
            .shown(Look::Rows, self.short_routes_table())
            .file(self.routes_table())
            .shown(Look::Tight, self.held_table())
            .file(self.steady_table())
            .table(Look::Rows, measure_table(&self.measure_next, self.units));
        let energy = Section::new("energy", "Energy")
            .drawn(&["energy-balance"])
            .by(&[Rule::Balance])
            .shown(Look::Wide, self.short_balance_table())
            .file(self.balance_table())
            .shown(Look::Tight, self.braking_table());
        let drives = Section::new("drives", "Over a cycle")
            .drawn(&["cycle"])
            .by(&[Rule::Cycle])
            .shown(Look::Tight, self.gear_use_table())
            .file(self.gears_table())
            .file(self.binding_table());
        let motor = Section::new("motor", "Motor, currents and heat")
            .drawn(&["motor-points", "windows"])
            .by(&[Rule::Motor, Rule::Windows])
            .shown(Look::Tight, self.worst_windows_table())
            .file(self.windows_table());
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![range, energy, drives, motor])
            .assuming(&self.assumed)
            .warning(&self.warnings, &self.cautions)
    }

    /// A row for each cycle and day, with these first columns.
    fn per_cycle(&self, name: &'static str, title: &str) -> Rows<&CycleResult> {
        Table::of(name, title, self.units, &self.results)
            .words("cycle", "cycle", |r| r.cycle.as_str())
            .words("day", "day", |r| &r.day)
    }

    /// A row for each cycle and day, the trips that are demanded first: use and range with their bands, and
    /// what held the car back most.
    #[must_use]
    pub fn short_table(&self) -> Table {
        let units = self.units;
        let falls_behind = self.results.iter().any(CycleResult::falls_behind);
        let per_km = |band: Band| band.number(units, Unit::WhPerKm, 0);
        let range = |r: &&CycleResult| {
            let question = Question::of(&rows::RANGE).on_cycle(r.cycle.as_str());
            Cell::from(r.range_km.distance_number(units)).of(&question.on_day(&r.day))
        };
        Table::of("", "Use and range per cycle and day", units, self.in_order())
            .words("cycle", "cycle", |r| r.cycle.as_str())
            .words("day", "day", |r| &r.day)
            .col("use", "use", Unit::WhPerKm, |r| per_km(r.used()))
            .right()
            .col("wall", "wall", Unit::WhPerKm, |r| per_km(r.wall()))
            .right()
            .words("mpg", "MPGe", |r| r.equivalent_mpg)
            .to(0)
            .only_if(units == Units::Us)
            .col("range", "range", Unit::Km, range)
            .right()
            .col("keeps_up", "keeps up", Unit::Km, |r| r.keeps_up_km.distance_number(units))
            .right()
            .only_if(falls_behind)
            .col("reserve", "with reserve", Unit::Km, |r| r.with_reserve().distance_number(units))
            .right()
            .words("limit", "main limit", |r| main_limit(r))
            .table()
    }

    /// One row for each cycle and day: use, range, following, motor, braking.
    #[must_use]
    pub fn table(&self) -> Table {
        self.per_cycle("range", "Use and range per cycle and day")
            .col("distance_km", "one cycle", Unit::Km, |r| r.distance_km)
            .to(2)
            .col("duration_s", "one cycle", Unit::S, |r| r.duration_s)
            .band(["use_wh_per_km", "use_band_wh_per_km", "use"], Unit::WhPerKm, |r| r.used())
            .band(["wall_wh_per_km", "wall_band_wh_per_km", "wall"], Unit::WhPerKm, |r| r.wall())
            .words("equivalent_mpg", "equivalent mpg (MPGe)", |r| r.equivalent_mpg)
            .to(0)
            .only_if(self.units == Units::Us)
            .band(["range_km.nominal", "range_km", "range"], Unit::Km, |r| r.range_km)
            .band(["keeps_up_km.nominal", "keeps_up_km", "keeps up"], Unit::Km, |r| r.keeps_up_km)
            .col("missed_pct.when_full", "missed on the first repeat", Unit::Pct, |r| {
                r.missed_pct.when_full
            })
            .to(2)
            .col("missed_pct.whole", "missed in all", Unit::Pct, |r| r.missed_pct.whole)
            .to(2)
            .words("end", "ends", |r| r.end.as_str())
            .band(
                ["range_with_reserve_km", "range_with_reserve_band_km", "with reserve"],
                Unit::Km,
                |r| r.with_reserve(),
            )
            .col("shortfall_s", "too slow", Unit::S, |r| r.shortfall_s)
            .to(1)
            .col("shortfall_m", "distance lost", Unit::M, |r| r.shortfall_m)
            .to(0)
            .words("cannot_follow_when_full", "cannot follow when full", |r| {
                r.cannot_follow_when_full
            })
            .col("motor.rms_torque_nm", "motor torque, r.m.s.", Unit::Nm, |r| r.motor.rms_torque_nm)
            .col("motor.max_speed_rpm", "motor speed, highest", Unit::Rpm, |r| {
                r.motor.max_speed_rpm
            })
            .words("motor.heat_used_max", "motor heat used, highest", |r| r.motor.heat_used_max)
            .col("oil_max_degc.gearbox", "gearbox oil, hottest", Unit::Degc, |r| {
                r.oil_max_degc.gearbox
            })
            .col("oil_max_degc.axle", "axle oil, hottest", Unit::Degc, |r| r.oil_max_degc.axle)
            .col("braking.on_offer_wh_per_km", "on offer", Unit::WhPerKm, |r| {
                r.flow().1.on_offer_wh_per_km
            })
            .to(1)
            .col("braking.taken_back_wh_per_km", "taken back", Unit::WhPerKm, |r| {
                r.flow().1.taken_back_wh_per_km
            })
            .to(1)
            .col("braking.share_returned_pct", "share returned", Unit::Pct, |r| {
                r.flow().1.share_returned_pct
            })
            .to(0)
            .table()
    }

    /// A row for each cycle and day: braking energy on offer, taken back, share returned.
    fn braking_table(&self) -> Table {
        let keys = ["on_offer_wh_per_km", "taken_back_wh_per_km", "share_returned_pct"];
        let keys = keys.map(|key| format!("braking.{key}"));
        let all = ["cycle".to_owned(), "day".to_owned()].into_iter().chain(keys);
        Table {
            title: "Braking energy, beside the balance".to_owned(),
            ..self.table().pick(&all.collect::<Vec<_>>())
        }
    }

    /// One row for each cycle and day: where the energy went, in the middle world where worlds were drawn.
    #[must_use]
    pub fn balance_table(&self) -> Table {
        let start = self.per_cycle("range-balance", "Energy balance");
        let all = BALANCE.iter().fold(start, |rows, (key, label, read)| {
            let key = format!("balance_wh_per_km.{key}");
            rows.col(key, *label, Unit::WhPerKm, |r| read(r.flow().0)).to(1)
        });
        all.table().without_empty_columns()
    }

    /// The same for people, without what rounding left, which is for programs: a car that never moved has none.
    fn short_balance_table(&self) -> Table {
        let (units, unit) = (self.units, Unit::WhPerKm);
        let title = format!("Energy balance from full to empty, {}", units.symbol(unit));
        let start = Table::of("", title, units, &self.results)
            .words("cycle", "cycle", |r| format!("{} ({})", r.cycle, r.day));
        let shown = BALANCE.iter().filter(|(key, ..)| *key != "imbalance");
        let all = shown.fold(start, |rows, (key, label, read)| {
            let value = |r: &&CycleResult| read(r.flow().0).map(|value| units.value(value, unit));
            rows.words(*key, *label, value).to(1)
        });
        all.table()
    }

    /// Seconds under each binding limit, a row for each.
    #[must_use]
    pub fn binding_table(&self) -> Table {
        let all = self.results.iter().flat_map(|r| r.binding.iter().map(move |it| (r, it)));
        let title = "What held the car back, seconds of one cycle";
        Table::of("range-binding", title, self.units, all)
            .words("cycle", "cycle", |(r, _)| r.cycle.as_str())
            .words("day", "day", |(r, _)| &r.day)
            .words("binding", "limit", |(_, (limit, _))| limit.as_str())
            .col("seconds", "time", Unit::S, |(_, (_, seconds))| **seconds)
            .to(1)
            .table()
    }

    /// Seconds in each gear, a row for each; empty where there is no choice.
    #[must_use]
    pub fn gears_table(&self) -> Table {
        let all = self.results.iter().flat_map(|r| r.gear_s.iter().map(move |it| (r, it)));
        Table::of("range-gears", "Time in each gear, seconds of one cycle", self.units, all)
            .words("cycle", "cycle", |(r, _)| r.cycle.as_str())
            .words("day", "day", |(r, _)| &r.day)
            .words("gear", "gear", |(_, (gear, _))| **gear)
            .to(0)
            .col("seconds", "time", Unit::S, |(_, (_, seconds))| **seconds)
            .to(1)
            .table()
    }

    /// The same, a column for each gear.
    fn gear_use_table(&self) -> Table {
        let used = || self.results.iter().filter(|r| !r.gear_s.is_empty());
        let gears: BTreeSet<u32> = used().flat_map(|r| r.gear_s.keys().copied()).collect();
        let start = Table::of("", "Time in each gear, one cycle from full", self.units, used())
            .words("cycle", "cycle", |r| format!("{} ({})", r.cycle, r.day));
        let all = gears.iter().fold(start, |rows, gear| {
            let seconds = |r: &&CycleResult| r.gear_s.get(gear).copied().unwrap_or(0.0);
            rows.col("", format!("gear {gear}"), Unit::S, seconds).to(0)
        });
        all.table()
    }

    /// Worst rolling values, a row for each quantity and length.
    #[must_use]
    pub fn windows_table(&self) -> Table {
        let units = self.units;
        let all = self.results.iter().flat_map(|r| r.windows.iter().map(move |w| (r, w)));
        Table::of("range-windows", "Worst rolling currents, torques and heats", units, all)
            .words("cycle", "cycle", |(r, _)| r.cycle.as_str())
            .words("day", "day", |(r, _)| &r.day)
            .words("quantity", "quantity", |(_, w)| w.quantity.key())
            .words("unit", "unit", |(_, w)| units.symbol(w.quantity.unit()))
            .col("window_s", "over", Unit::S, |(_, w)| w.window_s)
            .words("value", "worst value", |(_, w)| {
                w.value.map(|value| units.value(value, w.quantity.unit()))
            })
            .to(0)
            .table()
    }

    /// Worst rolling values of all cycles and days, a row for each quantity.
    fn worst_windows_table(&self) -> Table {
        let units = self.units;
        let mut worst: BTreeMap<(WindowQuantity, usize), f64> = BTreeMap::new();
        for window in self.results.iter().flat_map(|r| &r.windows) {
            let length = WINDOW_LENGTHS_S.iter().position(|s| (s - window.window_s).abs() < 1e-6);
            if let (Some(length), Some(value)) = (length, window.value) {
                let entry = worst.entry((window.quantity, length)).or_insert(value);
                *entry = entry.max(value);
            }
        }
        let known: BTreeSet<WindowQuantity> = worst.keys().map(|(quantity, _)| *quantity).collect();
        let start = Table::of("", "Worst rolling values of all cycles and days", units, known)
            .words("over", "over", |quantity| {
                format!("{}, {}", quantity.label(), units.symbol(quantity.unit()))
            });
        let all = WINDOW_LENGTHS_S.iter().enumerate().fold(start, |rows, (length, seconds)| {
            let value = |quantity: &WindowQuantity| {
                Some(units.value(*worst.get(&(*quantity, length))?, quantity.unit()))
            };
            rows.words("", window_name(*seconds), value).to(0)
        });
        all.table()
    }

    /// One row for each day and steady speed.
    #[must_use]
    pub fn steady_table(&self) -> Table {
        Table::of("range-steady", "At steady speed on the flat", self.units, &self.steady)
            .col("speed_kmh", "speed", Unit::Kmh, |s| s.speed_kmh)
            .words("day", "day", |s| &s.day)
            .words("held", "speed held when full", |s| s.held)
            .band(["range_km.nominal", "range_km", "range"], Unit::Km, |s| s.range_km)
            .band(["keeps_up_km.nominal", "keeps_up_km", "keeps up"], Unit::Km, |s| s.keeps_up_km)
            .col("use_wh_per_km", "use", Unit::WhPerKm, |s| s.use_wh_per_km)
            .col("motor_inverter_efficiency_pct", "motor and inverter", Unit::Pct, |s| {
                s.motor_inverter_efficiency_pct
            })
            .to(0)
            .col("driveline_efficiency_pct", "driveline", Unit::Pct, |s| s.driveline_efficiency_pct)
            .to(0)
            .words("limit", "limit", |s| s.limit.as_str())
            .col("motor_speed_rpm", "motor speed", Unit::Rpm, |s| s.motor_speed_rpm)
            .col("oil_max_degc.gearbox", "gearbox oil, hottest", Unit::Degc, |s| {
                s.oil_max_degc.gearbox
            })
            .col("oil_max_degc.axle", "axle oil, hottest", Unit::Degc, |s| s.oil_max_degc.axle)
            .table()
    }

    /// How far a speed is held by day (rows) and steady speed (columns), in km or miles.
    #[must_use]
    pub fn held_table(&self) -> Table {
        let units = self.units;
        let km = units.symbol(Unit::Km);
        let title = format!("How far a steady speed is held from full on the flat, {km}");
        let days = self.days().into_iter().filter(|_| !self.steady.is_empty());
        let start = Table::of("", title, units, days).words("day", "day", |day| *day);
        let all = units.steady_speeds_kmh().iter().fold(start, |rows, speed| {
            let cell = |day: &&Name| {
                let found = steady_at(&self.steady, day, *speed)?;
                Some(if found.held { found.shown_range(units) } else { found.not_held() })
            };
            rows.words("", units.text(*speed, Unit::Kmh), cell).right()
        });
        all.table()
    }

    /// One row for each route that is driven once and each day.
    #[must_use]
    pub fn routes_table(&self) -> Table {
        Table::of("range-routes", "Routes driven once", self.units, &self.routes)
            .words("cycle", "route", |r| r.cycle.as_str())
            .words("day", "day", |r| &r.day)
            .col("from_pct", "at the start", Unit::Pct, |r| r.from_pct)
            .to(0)
            .band(["charge_left_pct.nominal", "charge_left_pct", "left"], Unit::Pct, |r| {
                r.charge_left_pct
            })
            .to(1)
            .words("end", "ends", |r| r.end.as_str())
            .col("distance_km", "driven", Unit::Km, |r| r.distance_km)
            .to(2)
            .col("duration_s", "driven", Unit::S, |r| r.duration_s)
            .to(0)
            .col("missed_pct", "missed", Unit::Pct, |r| r.missed_pct)
            .to(2)
            .col("use_wh_per_km", "use", Unit::WhPerKm, |r| r.use_wh_per_km)
            .table()
    }

    /// Routes for people: what is left, with its band.
    fn short_routes_table(&self) -> Table {
        Table::of("", "Routes driven once", self.units, &self.routes)
            .words("cycle", "route", |r| r.cycle.as_str())
            .words("day", "day", |r| &r.day)
            .col("from_pct", "at the start", Unit::Pct, |r| r.from_pct)
            .to(0)
            .col("left", "left", Unit::Pct, |r| r.charge_left_pct.number(self.units, Unit::Pct, 0))
            .right()
            .col("distance_km", "driven", Unit::Km, |r| r.distance_km)
            .to(2)
            .words("end", "ends", |r| r.end.as_str())
            .table()
    }

    /// Names of the days in the order in which they first appear.
    #[must_use]
    pub fn days(&self) -> Vec<&Name> {
        let mut days: Vec<&Name> = Vec::new();
        let of_steady = self.steady.iter().map(|s| &s.day);
        for day in of_steady.chain(self.results.iter().map(|r| &r.day)) {
            if !days.contains(&day) {
                days.push(day);
            }
        }
        days
    }
}

impl SteadyResult {
    /// How far the car holds the speed, in km or miles without the unit; a dash where it does not.
    #[must_use]
    pub fn shown_range(&self, units: Units) -> String {
        if self.held { self.keeps_up_km.distance_number(units) } else { MISSING.to_owned() }
    }

    /// What keeps the car from holding the speed.
    #[must_use]
    pub fn not_held(&self) -> String {
        format!("not held: {}", self.limit)
    }
}

/// A part of the balance: its key, its name, and how it is read.
type Share = (&'static str, &'static str, fn(&Balance) -> Option<f64>);

/// The parts of the balance.
const BALANCE: [Share; 17] = [
    ("air", "air", |b| terms(b).map(|it| it[0])),
    ("rolling", "tyres rolling", |b| terms(b).map(|it| it[1])),
    ("road_load_constant", "road load, constant", |b| coefficients(b).map(|it| it[0])),
    ("road_load_linear", "road load, with speed", |b| coefficients(b).map(|it| it[1])),
    ("road_load_square", "road load, with speed squared", |b| coefficients(b).map(|it| it[2])),
    ("climbing", "climbing", |b| Some(b.climbing)),
    ("kinetic", "change of speed", |b| Some(b.kinetic)),
    ("brake_drag", "brake drag", |b| Some(b.brake_drag)),
    ("driveline", "driveline", |b| Some(b.driveline)),
    ("motor", "motor", |b| Some(b.motor)),
    ("inverter", "inverter", |b| Some(b.inverter)),
    ("dcdc", "DC-DC", |b| Some(b.dcdc)),
    ("pack", "pack and harness", |b| Some(b.pack)),
    ("ancillaries", "ancillaries", |b| Some(b.ancillaries)),
    ("friction_brakes", "friction brakes", |b| Some(b.friction_brakes)),
    ("from_pack", "from the pack", |b| Some(b.from_pack)),
    ("imbalance", "rounding left", |b| Some(b.imbalance)),
];

fn terms(balance: &Balance) -> Option<[f64; 2]> {
    if let RoadShares::Terms { air, rolling } = balance.road { Some([air, rolling]) } else { None }
}

fn coefficients(balance: &Balance) -> Option<[f64; 3]> {
    match balance.road {
        RoadShares::Coefficients { road_load_constant, road_load_linear, road_load_square } => {
            Some([road_load_constant, road_load_linear, road_load_square])
        }
        RoadShares::Terms { .. } => None,
    }
}

/// The limit that bound longest, with its seconds; `nothing` when none did.
fn main_limit(result: &CycleResult) -> String {
    let limits = result.binding.iter().filter(|(name, seconds)| *name != "none" && **seconds > 0.0);
    match limits.max_by(|a, b| a.1.total_cmp(b.1)) {
        Some((name, seconds)) => format!("{name}, {} s", digits(*seconds, 0)),
        None => "nothing".to_owned(),
    }
}

fn window_name(seconds: f64) -> String {
    if seconds < 60.0 {
        format!("{}\u{a0}s", digits(seconds, 0))
    } else {
        format!("{}\u{a0}min", digits(seconds / 60.0, 0))
    }
}
