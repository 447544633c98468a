//! Tables of `coastdown`.

use crate::coastdown::{CoastDownAnswer, ForceLine, RefusedRun, RunLine};
use crate::unit::{MISSING, digits};
use crate::{Cell, Column, Grid, Table, Unit, Units};

impl CoastDownAnswer {
    /// Road load against speed with its band.
    #[must_use]
    pub fn force_table(&self) -> Table {
        let row = |line: &ForceLine| -> Vec<Cell> {
            vec![
                line.speed_kmh.into(),
                line.force_n.into(),
                line.low_n.into(),
                line.high_n.into(),
                line.tied_n.into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "coastdown-forces",
            title: "Road load against speed, with its 95 % band".to_owned(),
            columns: vec![
                Column::new("forces.speed_kmh", "speed", Unit::Kmh),
                Column::new("forces.force_n", "road load", Unit::N).to(1),
                Column::new("forces.low_n", "from", Unit::N).to(1),
                Column::new("forces.high_n", "to", Unit::N).to(1),
                Column::new("forces.tied_n", "with f1 tied to 0", Unit::N).to(1),
            ],
            rows: self.forces.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// The runs that were used.
    #[must_use]
    pub fn run_table(&self) -> Table {
        let row = |line: &RunLine| -> Vec<Cell> {
            vec![
                line.file.as_str().into(),
                line.run.as_str().into(),
                line.direction.as_deref().into(),
                Cell::Number(f64::from(line.line)),
                line.seconds.into(),
                line.from_kmh.into(),
                line.to_kmh.into(),
                Cell::Number(f64::from(u32::try_from(line.readings).unwrap_or(u32::MAX))),
                line.residual_sd_kmh.into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "coastdown-runs",
            title: "Runs that were used".to_owned(),
            columns: vec![
                Column::words("runs.file", "file"),
                Column::words("runs.run", "run"),
                Column::words("runs.direction", "direction"),
                Column::new("runs.line", "line", Unit::None).to(0),
                Column::new("runs.seconds", "seconds", Unit::None).to(0),
                Column::new("runs.from_kmh", "from", Unit::Kmh).to(1),
                Column::new("runs.to_kmh", "to", Unit::Kmh).to(1),
                Column::new("runs.readings", "readings", Unit::None).to(0),
                Column::new("runs.residual_sd_kmh", "left over", Unit::Kmh).to(2),
            ],
            rows: self.runs.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// The runs that were refused.
    #[must_use]
    pub fn refused_table(&self) -> Table {
        let row = |run: &RefusedRun| -> Vec<Cell> {
            vec![
                run.file.as_str().into(),
                run.run.as_str().into(),
                Cell::Number(f64::from(run.line)),
                run.code.into(),
                run.reason.as_str().into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "coastdown-refused",
            title: "Runs that were refused".to_owned(),
            columns: vec![
                Column::words("refused.file", "file"),
                Column::words("refused.run", "run"),
                Column::new("refused.line", "line", Unit::None).to(0),
                Column::words("refused.code", "code"),
                Column::words("refused.reason", "reason"),
            ],
            rows: self.refused.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// Every reading that was used, with the fitted curve.
    #[must_use]
    pub fn curve_table(&self) -> Table {
        let rows = self.curves.iter().flat_map(|curve| {
            let pairs = curve.speed_kmh.iter().zip(&curve.fitted_kmh);
            curve.time_s.iter().zip(pairs).map(|(time_s, (speed, fitted))| {
                vec![
                    Cell::from(curve.name.as_str()),
                    (*time_s).into(),
                    (*speed).into(),
                    (*fitted).into(),
                ]
            })
        });
        Table {
            units: Units::Metric,
            name: "coastdown-curves",
            title: "Readings and fitted curves".to_owned(),
            columns: vec![
                Column::words("run", "run"),
                Column::new("time_s", "time", Unit::S).to(1),
                Column::new("speed_kmh", "read", Unit::Kmh).to(2),
                Column::new("fitted_kmh", "fitted", Unit::Kmh).to(2),
            ],
            rows: rows.collect(),
        }
        .shown_in(self.units)
    }

    /// The coefficients with their standard errors and 95 % bands, for people.
    #[must_use]
    pub fn coefficient_grid(&self) -> Grid {
        let mut rows = Vec::new();
        let mut add = |what: &str,
                       unit: Unit,
                       value: Option<f64>,
                       se: Option<f64>,
                       t: Option<f64>| {
            let (Some(value), Some(se), Some(t)) = (value, se, t) else { return };
            let (value, se) = (self.units.value(value, unit), self.units.value(se, unit));
            let places = places(se);
            let symbol = self.units.symbol(unit);
            let name =
                if symbol.is_empty() { what.to_owned() } else { format!("{what}, {symbol}") };
            rows.push(vec![
                name,
                digits(value, places),
                digits(se, places),
                format!("{} .. {}", digits(value - t * se, places), digits(value + t * se, places)),
            ]);
        };
        let free = self.band_over_se;
        let tied = self.tied.as_ref().map(|tied| tied.band_over_se);
        add("f0", Unit::N, self.f0_n, self.f0_n_se, free);
        add("f1", Unit::NPerMps, self.f1_n_per_mps, self.f1_n_per_mps_se, free);
        add("f2", Unit::NPerMps2, self.f2_n_per_mps2, self.f2_n_per_mps2_se, free);
        if let Some(fit) = &self.tied {
            add("f0 with f1 tied to 0", Unit::N, Some(fit.f0_n), Some(fit.f0_n_se), tied);
            let (f2, se) = (Some(fit.f2_n_per_mps2), Some(fit.f2_n_per_mps2_se));
            add("f2 with f1 tied to 0", Unit::NPerMps2, f2, se, tied);
        }
        add("drag area, f1 tied", Unit::M2, self.drag_area_m2, self.drag_area_m2_se, tied);
        let (rolling, se) = (self.rolling_resistance, self.rolling_resistance_se);
        add("rolling resistance, f1 tied", Unit::None, rolling, se, tied);
        Grid {
            head: ["what", "value", "standard error", "95 % band"].map(str::to_owned).to_vec(),
            rows,
            right: vec![false, true, true, true],
        }
    }

    /// What else the fit says, a line each.
    #[must_use]
    pub fn fit_grid(&self) -> Grid {
        let with_se =
            |value: Option<f64>, se: Option<f64>, unit: Unit, places: usize| match (value, se) {
                (Some(value), Some(se)) if se > 0.0 => format!(
                    "{} ± {}",
                    self.units.digits(value, unit, places),
                    self.units.text_to(self.band_over_se.unwrap_or(0.0) * se, unit, places)
                ),
                (Some(value), _) => {
                    format!("{}, as given", self.units.text_to(value, unit, places))
                }
                _ => MISSING.to_owned(),
            };
        let plain = |value: Option<f64>, unit: Unit, places: usize, none: &str| {
            value.map_or_else(|| none.to_owned(), |value| self.units.text_to(value, unit, places))
        };
        let correlation = self.correlation.unwrap_or_default();
        let rows = [
            (
                "gradient in the first direction",
                with_se(self.gradient_pct, self.gradient_pct_se, Unit::Pct, 3),
            ),
            (
                "headwind in the first direction",
                with_se(self.headwind_kmh, self.headwind_kmh_se, Unit::Kmh, 1),
            ),
            ("left over, standard deviation", plain(self.residual_sd_kmh, Unit::Kmh, 2, MISSING)),
            ("memory of the noise", plain(self.noise_memory_s, Unit::S, 1, "none")),
            ("runs differ beyond the noise by", plain(self.run_scatter_n, Unit::N, 1, "nothing")),
            (
                "correlation of f0 f1, f0 f2, f1 f2",
                [correlation.f0_f1, correlation.f0_f2, correlation.f1_f2]
                    .map(|value| digits(value, 3))
                    .join(", "),
            ),
        ];
        Grid {
            head: vec!["what".to_owned(), "value".to_owned()],
            rows: rows.map(|(what, value)| vec![what.to_owned(), value]).to_vec(),
            right: vec![false, false],
        }
    }
}

/// Decimals that show two digits of a standard error.
fn places(se: f64) -> usize {
    let mut places = 0;
    let mut size = se.abs();
    while size < 10.0 && places < 6 {
        size *= 10.0;
        places += 1;
    }
    if se > 0.0 { places } else { 3 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coastdown::{RunCurve, TiedFit};

    fn answer() -> CoastDownAnswer {
        CoastDownAnswer {
            f0_n: Some(118.04),
            f0_n_se: Some(1.234),
            f1_n_per_mps: Some(0.9),
            f1_n_per_mps_se: Some(0.14),
            f2_n_per_mps2: Some(0.4312),
            f2_n_per_mps2_se: Some(0.0037),
            rolling_resistance: Some(0.013_31),
            rolling_resistance_se: Some(0.000_062),
            band_over_se: Some(2.0),
            tied: Some(TiedFit { band_over_se: 2.0, ..TiedFit::default() }),
            gradient_pct: Some(0.31),
            gradient_pct_se: Some(0.002),
            headwind_kmh: Some(0.0),
            headwind_kmh_se: Some(0.0),
            curves: vec![RunCurve {
                name: "1".to_owned(),
                time_s: vec![0.0, 1.0],
                speed_kmh: vec![100.0, 99.0],
                fitted_kmh: vec![100.1, 98.9],
                ..RunCurve::default()
            }],
            ..CoastDownAnswer::default()
        }
    }

    #[test]
    fn coefficients_are_shown_to_two_digits_of_their_error() {
        let grid = answer().coefficient_grid();
        assert_eq!(grid.rows[0], ["f0, N", "118.0", "1.2", "115.6 .. 120.5"]);
        assert_eq!(grid.rows[2], ["f2, N/(m/s)²", "0.4312", "0.0037", "0.4238 .. 0.4386"]);
        let rolling = grid.rows.last().unwrap();
        assert_eq!(rolling[1..], ["0.013310", "0.000062", "0.013186 .. 0.013434"]);
    }

    #[test]
    fn what_was_given_has_no_band_and_what_was_found_has_one() {
        let rows = answer().fit_grid().rows;
        assert_eq!(rows[0][1], "0.310 ± 0.004 %");
        assert_eq!(rows[1][1], "0.0 km/h, as given");
        assert_eq!(rows[3][1], "none");
    }

    #[test]
    fn us_units_reach_every_table() {
        let answer = CoastDownAnswer { units: Units::Us, ..answer() };
        let table = answer.curve_table();
        assert_eq!(table.columns[2].key, "speed_mph");
        assert_eq!(table.rows.len(), 2);
        let grid = answer.coefficient_grid();
        assert_eq!(grid.rows[0][0], "f0, lbf");
        assert_eq!(grid.rows[1][0], "f1, lbf/mph");
        assert_eq!(grid.rows[2][0], "f2, lbf/mph²");
    }
}
