//! Short views for people: parts of the tables, arranged to be read. Terminal and page share them.

use std::collections::BTreeMap;

use crate::tables::{MATRIX_SPEEDS_KMH, steady_at};
use crate::unit::{MISSING, digits};
use crate::windows::WINDOW_LENGTHS_S;
use crate::{CheckAnswer, CycleResult, Grid, RangeAnswer, WeighAnswer, WindowQuantity};

impl CheckAnswer {
    /// What was understood, a line for each fact.
    #[must_use]
    pub fn fact_grid(&self) -> Grid {
        let grid = self.table().grid();
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
    /// A row for each cycle and day: use, range, and what held the car back most.
    #[must_use]
    pub fn short_grid(&self) -> Grid {
        let table = self.table();
        let mut grid = table
            .pick(&[
                "cycle",
                "day",
                "use_wh_per_km",
                "wall_wh_per_km",
                "range_km.nominal",
                "range_km.p10",
                "range_km.p90",
                "range_with_reserve_km",
                "shortfall_s",
            ])
            .without_empty_columns()
            .grid();
        grid.head.push("held back most by".to_owned());
        grid.right.push(false);
        for (row, result) in grid.rows.iter_mut().zip(&self.results) {
            row.push(main_limit(result));
        }
        grid
    }

    /// Range to empty by day (rows) and steady speed (columns), km.
    #[must_use]
    pub fn steady_grid(&self) -> Grid {
        let mut head = vec!["day".to_owned()];
        head.extend(MATRIX_SPEEDS_KMH.iter().map(|speed| format!("{} km/h", digits(*speed, 0))));
        let cell = |day: &str, speed: f64| {
            let range = steady_at(&self.steady, day, speed).and_then(|s| s.range_km);
            range.map_or_else(|| MISSING.to_owned(), |km| digits(km, 0))
        };
        let row = |day: &str| {
            let mut row = vec![day.to_owned()];
            row.extend(MATRIX_SPEEDS_KMH.iter().map(|speed| cell(day, *speed)));
            row
        };
        let days = self.days();
        Grid {
            right: (0..head.len()).map(|i| i > 0).collect(),
            rows: days.into_iter().map(row).collect(),
            head,
        }
    }

    /// A row for each cycle and day, a column for each part of the balance, Wh/km.
    #[must_use]
    pub fn balance_grid(&self) -> Grid {
        let mut grid = self.balance_table().grid();
        // The column of rounding is for programs.
        grid.head.pop();
        grid.head.remove(1);
        grid.right = (0..grid.head.len()).map(|i| i > 0).collect();
        for name in &mut grid.head {
            *name = name.trim_end_matches(", Wh/km").to_owned();
        }
        for row in &mut grid.rows {
            row.pop();
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
            let mut row = vec![format!("{}, {}", quantity.label(), quantity.unit())];
            row.extend((0..WINDOW_LENGTHS_S.len()).map(|length| {
                worst
                    .get(&(quantity, length))
                    .map_or_else(|| MISSING.to_owned(), |value| digits(*value, 0))
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
