//! `coastdown`: road load from coasting runs.

use crate::coastdown::{CoastDownAnswer, RunCurve};
use crate::sheet::{Look, Mark, Section, Sheet, sentences};
use crate::unit::{MISSING, digits};
use crate::words::count_word;
use crate::{Table, Unit, Units};
use crownwheel::constants::METRE_PER_MILE;

impl CoastDownAnswer {
    /// The answer as people read it. Files are named where there are several.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let mut section = Section::new("coastdown", "Coast-down").drawn(&["coastdown"]);
        if self.f0_n.is_some() {
            section = section
                .shown(Look::Tight, self.coefficient_table())
                .shown(Look::Tight, self.fit_table());
        }
        let files =
            || self.runs.iter().map(|it| &it.file).chain(self.refused.iter().map(|it| &it.file));
        let one_file = files().all(|file| Some(file) == files().next());
        let without = |table: Table| {
            let left_out = |key: &str| key == "refused.code" || one_file && key.ends_with(".file");
            let keys = table.columns.iter().map(|column| column.key.clone());
            table.pick(&keys.filter(|key| !left_out(key)).collect::<Vec<_>>())
        };
        section = section
            .table(Look::Rows, self.force_table())
            .file(self.run_table())
            .shown(Look::Rows, without(self.run_table()))
            .file(self.refused_table())
            .shown(Look::Rows, without(self.refused_table()))
            .file(self.curve_table())
            .list(
                "What these runs cannot tell apart",
                Mark::Dash,
                sentences(&self.cannot_tell_apart),
            );
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![section])
            .assuming(&self.assumed)
            .warning(&self.warnings, &self.cautions)
    }

    /// Road load against speed with its band.
    fn force_table(&self) -> Table {
        let title = "Road load against speed, with its 95 % band";
        Table::of("coastdown-forces", title, self.units, &self.forces)
            .col("forces.speed_kmh", "speed", Unit::Kmh, |it| it.speed_kmh)
            .col("forces.force_n", "road load", Unit::N, |it| it.force_n)
            .to(1)
            .col("forces.low_n", "from", Unit::N, |it| it.low_n)
            .to(1)
            .col("forces.high_n", "to", Unit::N, |it| it.high_n)
            .to(1)
            .col("forces.tied_n", "with f1 tied to 0", Unit::N, |it| it.tied_n)
            .to(1)
            .table()
    }

    /// The runs that were used.
    fn run_table(&self) -> Table {
        Table::of("coastdown-runs", "Runs that were used", self.units, &self.runs)
            .words("runs.file", "file", |it| it.file.as_str())
            .words("runs.run", "run", |it| it.run.as_str())
            .words("runs.direction", "direction", |it| it.direction.as_deref())
            .words("runs.line", "line", |it| it.line)
            .to(0)
            .words("runs.seconds", "seconds", |it| it.seconds)
            .to(0)
            .col("runs.from_kmh", "from", Unit::Kmh, |it| it.from_kmh)
            .to(1)
            .col("runs.to_kmh", "to", Unit::Kmh, |it| it.to_kmh)
            .to(1)
            .words("runs.readings", "readings", |it| it.readings)
            .to(0)
            .col("runs.residual_sd_kmh", "left over", Unit::Kmh, |it| it.residual_sd_kmh)
            .to(2)
            .table()
    }

    /// The runs that were refused.
    fn refused_table(&self) -> Table {
        Table::of("coastdown-refused", "Runs that were refused", self.units, &self.refused)
            .words("refused.file", "file", |it| it.file.as_str())
            .words("refused.run", "run", |it| it.run.as_str())
            .words("refused.line", "line", |it| it.line)
            .to(0)
            .words("refused.code", "code", |it| it.code)
            .words("refused.reason", "reason", |it| it.reason.as_str())
            .table()
    }

    /// Every reading that was used, with the fitted curve.
    fn curve_table(&self) -> Table {
        let points =
            |it: &RunCurve| it.time_s.len().min(it.speed_kmh.len()).min(it.fitted_kmh.len());
        let all = self.curves.iter().flat_map(|it| (0..points(it)).map(move |i| (it, i)));
        Table::of("coastdown-curves", "Readings and fitted curves", self.units, all)
            .words("run", "run", |(it, _)| it.name.as_str())
            .col("time_s", "time", Unit::S, |(it, i)| it.time_s[*i])
            .to(1)
            .col("speed_kmh", "read", Unit::Kmh, |(it, i)| it.speed_kmh[*i])
            .to(2)
            .col("fitted_kmh", "fitted", Unit::Kmh, |(it, i)| it.fitted_kmh[*i])
            .to(2)
            .table()
    }

    /// The coefficients with their standard errors and 95 % bands, for people.
    fn coefficient_table(&self) -> Table {
        let mut rows: Vec<[String; 4]> = Vec::new();
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
            rows.push([
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
        Table::of("", "Coefficients", self.units, rows)
            .words("what", "what", |row| row[0].clone())
            .words("value", "value", |row| row[1].clone())
            .right()
            .words("standard_error", "standard error", |row| row[2].clone())
            .right()
            .words("band", "95 % band", |row| row[3].clone())
            .right()
            .table()
    }

    /// What else the fit says, a line each.
    fn fit_table(&self) -> Table {
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
        let rows: [(&str, String); 6] = [
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
        Table::facts("Beside the coefficients", rows.map(|(what, value)| (what.to_owned(), value)))
    }

    /// Road load, drag area and rolling resistance in a sentence.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let numbers = (self.drag_area_m2, self.drag_area_m2_se, self.rolling_resistance);
        let (Some(area), Some(area_se), Some(rolling)) = numbers else {
            return match self.refused.len() {
                0 => "No road load: there is no coasting run in what was read.".to_owned(),
                1 => "No road load: the only run cannot bear a fit.".to_owned(),
                n => format!("No road load: none of the {n} runs can bear a fit."),
            };
        };
        let t = self.tied.as_ref().map_or(2.0, |tied| tied.band_over_se);
        let rolling_half = t * self.rolling_resistance_se.unwrap_or(0.0);
        let at = |kmh: f64| {
            let line = self.forces.iter().find(|line| (line.speed_kmh - kmh).abs() < 1e-6);
            line.map(|line| {
                format!(
                    "{} ± {} at {}",
                    self.units.digits(line.force_n, Unit::N, 0),
                    self.units.text_to(0.5 * (line.high_n - line.low_n), Unit::N, 0),
                    self.units.text(kmh, Unit::Kmh)
                )
            })
        };
        let told = match self.units {
            Units::Metric => [60.0, 100.0],
            Units::Us => [40.0, 60.0].map(|mph| mph * METRE_PER_MILE / 1000.0),
        };
        let forces: Vec<String> = told.into_iter().filter_map(at).collect();
        let road = if forces.is_empty() {
            String::new()
        } else {
            format!("Road load {}; ", forces.join(", "))
        };
        let drag = if road.is_empty() { "Drag" } else { "drag" };
        format!(
            "{road}{drag} area {} ± {}, rolling resistance {} ± {}, from {} run{}.",
            self.units.digits(area, Unit::M2, 3),
            self.units.text_to(t * area_se, Unit::M2, 3),
            digits(rolling, 4),
            digits(rolling_half, 4),
            count_word(u32::try_from(self.runs_used).unwrap_or(u32::MAX)),
            if self.runs_used == 1 { "" } else { "s" }
        )
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
    use crate::coastdown::{ForceLine, RefusedRun, RunCurve, RunLine, TiedFit};

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
        let grid = answer().coefficient_table().grid();
        assert_eq!(grid.rows[0], ["f0, N", "118.0", "1.2", "115.6 .. 120.5"]);
        assert_eq!(grid.rows[2], ["f2, N/(m/s)²", "0.4312", "0.0037", "0.4238 .. 0.4386"]);
        let rolling = grid.rows.last().unwrap();
        assert_eq!(rolling[1..], ["0.013310", "0.000062", "0.013186 .. 0.013434"]);
    }

    #[test]
    fn what_was_given_has_no_band_and_what_was_found_has_one() {
        let rows = answer().fit_table().grid().rows;
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
        let grid = answer.coefficient_table().grid();
        assert_eq!(grid.rows[0][0], "f0, lbf");
        assert_eq!(grid.rows[1][0], "f1, lbf/mph");
        assert_eq!(grid.rows[2][0], "f2, lbf/mph²");
    }

    fn fitted() -> CoastDownAnswer {
        let force = |speed_kmh: f64| ForceLine {
            speed_kmh,
            force_n: 250.0,
            low_n: 247.0,
            high_n: 253.0,
            tied_n: 251.0,
        };
        let run = |name: &str| RunLine {
            file: "runs.csv".to_owned(),
            run: name.to_owned(),
            direction: Some("out".to_owned()),
            line: 2,
            seconds: 88.0,
            from_kmh: 104.0,
            to_kmh: 22.0,
            readings: 89,
            residual_sd_kmh: 0.4,
        };
        CoastDownAnswer {
            f0_n: Some(118.0),
            f0_n_se: Some(2.0),
            drag_area_m2: Some(0.743),
            drag_area_m2_se: Some(0.008),
            rolling_resistance: Some(0.0141),
            rolling_resistance_se: Some(0.0002),
            runs_used: 2,
            forces: vec![force(60.0), force(80.0)],
            runs: vec![run("1"), run("2")],
            ..CoastDownAnswer::default()
        }
    }

    #[test]
    fn the_sentence_tells_forces_area_and_rolling_with_bands() {
        assert_eq!(
            fitted().plain_line(),
            "Road load 250 ± 3 N at 60 km/h; drag area 0.743 ± 0.016 m², rolling resistance 0.0141 ± 0.0004, from two runs."
        );
        let us = CoastDownAnswer { units: Units::Us, forces: Vec::new(), ..fitted() };
        assert!(
            us.plain_line().starts_with("Drag area 7.998 ± 0.172 sq ft"),
            "{}",
            us.plain_line()
        );
    }

    #[test]
    fn without_a_run_the_sentence_says_so() {
        let refused = RefusedRun {
            file: "runs.csv".to_owned(),
            run: "3".to_owned(),
            line: 90,
            code: "short_speed_span",
            reason: "speed falls only from 60 km/h to 50 km/h".to_owned(),
        };
        let none = CoastDownAnswer::default();
        assert!(none.plain_line().contains("no coasting run"));
        let one = CoastDownAnswer { refused: vec![refused.clone()], ..none.clone() };
        assert!(one.plain_line().contains("the only run cannot"));
        let two = CoastDownAnswer { refused: vec![refused.clone(), refused], ..none };
        assert!(two.plain_line().contains("none of the 2 runs"));
        let text = two.sheet().text();
        assert!(text.contains("speed falls only") && !text.contains("short_speed_span"), "{text}");
    }

    #[test]
    fn one_file_is_not_named_on_every_line_and_two_are() {
        assert!(!fitted().sheet().text().contains("runs.csv"));
        let mut two = fitted();
        two.runs[1].file = "more.csv".to_owned();
        assert!(two.sheet().text().contains("more.csv"));
    }
}
