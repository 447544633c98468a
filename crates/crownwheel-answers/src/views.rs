//! Short views for people: parts of the tables, arranged to be read. Terminal and page share them.

use crownwheel::name::Name;
use std::collections::{BTreeMap, BTreeSet};

use crate::tables::steady_at;
use crate::unit::{MISSING, digits};
use crate::windows::WINDOW_LENGTHS_S;
use crate::{
    Band, CheckAnswer, CycleResult, GearSpeed, Grid, RangeAnswer, SteadyResult, Unit, Units,
    WeighAnswer, WindowQuantity,
};

impl CheckAnswer {
    /// What was understood, a line for each fact.
    #[must_use]
    pub fn fact_grid(&self) -> Grid {
        let grid = self.table().without_empty_columns().grid();
        let values = grid.rows.first().cloned().unwrap_or_default();
        Grid {
            head: vec!["what".to_owned(), "value".to_owned()],
            rows: grid
                .head
                .iter()
                .zip(values)
                .map(|(name, value)| vec![name.clone(), value])
                .collect(),
            right: vec![false, false],
        }
    }

    /// Further tables with their titles, those that have rows: days, gears, stages.
    #[must_use]
    pub fn more_grids(&self) -> Vec<(String, Grid)> {
        let (days, stages) = (self.days_table(), self.stages_table());
        let day_keys = [
            "day",
            "temperature_degc",
            "pack_temperature_degc",
            "altitude_m",
            "floor_pct",
            "usable_kwh",
            "continuous_heat_pct",
        ];
        let stage_grid = stages.without_empty_columns().grid();
        [
            (days.title.clone(), days.pick(&day_keys).grid()),
            ("Motor speed in each gear".to_owned(), self.gear_grid()),
            (stages.title, stage_grid),
        ]
        .into_iter()
        .filter(|(_, grid)| !grid.rows.is_empty())
        .collect()
    }

    /// Motor speed in each gear (rows) at each road speed (columns); `too fast` where the
    /// motor must not turn so fast. Empty without a gearbox.
    #[must_use]
    pub fn gear_grid(&self) -> Grid {
        let mut speeds: Vec<f64> = Vec::new();
        let mut gears: Vec<&GearSpeed> = Vec::new();
        for entry in &self.gears {
            if !speeds.iter().any(|speed| (speed - entry.speed_kmh).abs() < 1e-6) {
                speeds.push(entry.speed_kmh);
            }
            if !gears.iter().any(|known| known.gear == entry.gear) {
                gears.push(entry);
            }
        }
        let mut head = vec!["gear".to_owned(), "overall ratio".to_owned()];
        head.extend(speeds.iter().map(|s| format!("rpm at {}", self.units.text(*s, Unit::Kmh))));
        let row = |gear: &&GearSpeed| {
            let mut row = vec![gear.gear.to_string(), digits(gear.overall_ratio, 2)];
            let of_gear = self.gears.iter().filter(|entry| entry.gear == gear.gear);
            row.extend(of_gear.map(|entry| {
                if entry.over_motor_speed {
                    "too fast".to_owned()
                } else {
                    digits(entry.motor_speed_rpm, 0)
                }
            }));
            row
        };
        Grid {
            right: (0..head.len()).map(|i| i > 0).collect(),
            rows: gears.iter().map(row).collect(),
            head,
        }
    }
}

impl WeighAnswer {
    /// A column for each case, a row for each quantity that is known.
    #[must_use]
    pub fn case_grid(&self) -> Grid {
        let mut grid = self.table().without_empty_columns().grid();
        for (row, case) in grid.rows.iter_mut().zip(&self.cases) {
            row[0] = case.case.label().to_owned();
        }
        grid.turned()
    }
}

impl RangeAnswer {
    /// A row for each cycle and day, the trips that are demanded first: use and range with their bands, and
    /// what held the car back most.
    #[must_use]
    pub fn short_grid(&self) -> Grid {
        let (units, falls_behind) =
            (self.units, self.results.iter().any(CycleResult::falls_behind));
        let us = units == Units::Us;
        let with = |name: &str, unit: Unit| format!("{name}, {}", units.symbol(unit));
        let mut head = vec!["cycle".to_owned(), "day".to_owned()];
        head.extend([with("use", Unit::WhPerKm), with("wall", Unit::WhPerKm)]);
        head.extend(us.then(|| "MPGe".to_owned()));
        head.push(with("range", Unit::Km));
        head.extend(falls_behind.then(|| with("keeps up", Unit::Km)));
        head.push(with("with reserve", Unit::Km));
        head.push("main limit".to_owned());
        let row = |r: &CycleResult| {
            let per_km = |band: Band| band.number(units, Unit::WhPerKm, 0);
            let mut row =
                vec![r.cycle.clone(), r.day.to_string(), per_km(r.used()), per_km(r.wall())];
            row.extend(us.then(|| match r.equivalent_mpg {
                Some(mpg) => digits(mpg, 0),
                None => MISSING.to_owned(),
            }));
            row.push(r.range_km.distance_number(units));
            row.extend(falls_behind.then(|| r.keeps_up_km.distance_number(units)));
            row.push(r.with_reserve().distance_number(units));
            row.push(main_limit(r));
            row
        };
        let last = head.len() - 1;
        Grid {
            right: (0..head.len()).map(|i| i > 1 && i < last).collect(),
            rows: self.in_order().into_iter().map(row).collect(),
            head,
        }
    }

    /// How far a speed is held by day (rows) and steady speed (columns), in km or miles.
    #[must_use]
    pub fn steady_grid(&self) -> Grid {
        let mut head = vec!["day".to_owned()];
        let (units, speeds) = (self.units, self.units.steady_speeds_kmh());
        head.extend(speeds.iter().map(|speed| units.text(*speed, Unit::Kmh)));
        let cell = |day: &str, speed: f64| {
            steady_at(&self.steady, day, speed)
                .map_or_else(|| MISSING.to_owned(), |result| result.shown_range(units))
        };
        let row = |day: &Name| {
            let mut row = vec![day.to_string()];
            row.extend(speeds.iter().map(|speed| cell(day, *speed)));
            row
        };
        let days = self.days();
        Grid {
            right: (0..head.len()).map(|i| i > 0).collect(),
            rows: days.into_iter().map(row).collect(),
            head,
        }
    }

    /// A row for each cycle and day, a column for each part of the balance, in Wh/km
    /// or Wh/mile.
    #[must_use]
    pub fn balance_grid(&self) -> Grid {
        let table = self.balance_table();
        // The column of rounding is for programs. A car that never moved has none per km.
        let rounding = table.columns.iter().position(|column| column.key.ends_with(".imbalance"));
        let mut grid = table.grid();
        if let Some(rounding) = rounding {
            grid.head.remove(rounding);
        }
        grid.head.remove(1);
        grid.right = (0..grid.head.len()).map(|i| i > 0).collect();
        let unit = format!(", {}", self.units.symbol(Unit::WhPerKm));
        for name in &mut grid.head {
            *name = name.trim_end_matches(&unit).to_owned();
        }
        for row in &mut grid.rows {
            if let Some(rounding) = rounding {
                row.remove(rounding);
            }
            let day = row.remove(1);
            row[0] = format!("{} ({day})", row[0]);
        }
        grid
    }

    /// A row for each cycle and day: braking energy on offer, taken back, share returned.
    #[must_use]
    pub fn braking_grid(&self) -> Grid {
        let keys = [
            "cycle",
            "day",
            "braking.on_offer_wh_per_km",
            "braking.taken_back_wh_per_km",
            "braking.share_returned_pct",
        ];
        self.table().pick(&keys).grid()
    }

    /// A row for each cycle and day, seconds in each gear; empty where there is no choice.
    #[must_use]
    pub fn gear_use_grid(&self) -> Grid {
        let gears: BTreeSet<u32> =
            self.results.iter().flat_map(|r| r.gear_s.keys().copied()).collect();
        let mut head = vec!["cycle".to_owned()];
        head.extend(gears.iter().map(|gear| format!("gear {gear}, s")));
        let used = self.results.iter().filter(|r| !r.gear_s.is_empty());
        let row = |r: &CycleResult| {
            let mut row = vec![format!("{} ({})", r.cycle, r.day)];
            let seconds = |gear: &u32| r.gear_s.get(gear).copied().unwrap_or(0.0);
            row.extend(gears.iter().map(|gear| digits(seconds(gear), 0)));
            row
        };
        Grid {
            right: (0..head.len()).map(|i| i > 0).collect(),
            rows: used.map(row).collect(),
            head,
        }
    }

    /// Worst rolling values of all cycles and days, a row for each quantity.
    #[must_use]
    pub fn worst_windows_grid(&self) -> Grid {
        let mut worst: BTreeMap<(WindowQuantity, usize), f64> = BTreeMap::new();
        for window in self.results.iter().flat_map(|r| &r.windows) {
            let length = WINDOW_LENGTHS_S.iter().position(|s| (s - window.window_s).abs() < 1e-6);
            if let (Some(length), Some(value)) = (length, window.value) {
                let entry = worst.entry((window.quantity, length)).or_insert(value);
                *entry = entry.max(value);
            }
        }
        let mut head = vec!["over".to_owned()];
        head.extend(WINDOW_LENGTHS_S.iter().map(|s| window_name(*s)));
        let row = |quantity: WindowQuantity| {
            let (units, unit) = (self.units, quantity.unit());
            let mut row = vec![format!("{}, {}", quantity.label(), units.symbol(unit))];
            row.extend((0..WINDOW_LENGTHS_S.len()).map(|length| {
                worst
                    .get(&(quantity, length))
                    .map_or_else(|| MISSING.to_owned(), |value| units.digits(*value, unit, 0))
            }));
            row
        };
        Grid {
            right: (0..head.len()).map(|i| i > 0).collect(),
            rows: WindowQuantity::ALL.into_iter().map(row).collect(),
            head,
        }
    }
}

impl SteadyResult {
    /// How far the car holds the speed, in km or miles without the unit; a dash where it does not.
    #[must_use]
    pub fn shown_range(&self, units: Units) -> String {
        if self.held { self.keeps_up_km.distance_number(units) } else { MISSING.to_owned() }
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
