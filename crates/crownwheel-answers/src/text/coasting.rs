//! `coastdown` for a terminal.

use super::answers::{Tail, first_line, heading, tail};
use super::layout::{grid_text, wrapped};
use crate::tables::assumed_table;
use crate::unit::digits;
use crate::words::count_word;
use crate::{CoastDownAnswer, Table, Unit, Units};
use crownwheel::constants::METRE_PER_MILE;

/// `coastdown` for a terminal.
#[must_use]
pub fn coast_down_text(answer: &CoastDownAnswer) -> String {
    let mut out = first_line(&answer.plain);
    if answer.f0_n.is_some() {
        out.push_str(&grid_text(&answer.coefficient_grid()));
        heading(&mut out, "Beside the coefficients");
        out.push_str(&grid_text(&answer.fit_grid()));
        let forces = answer.force_table();
        heading(&mut out, &forces.title);
        out.push_str(&grid_text(&forces.grid()));
    }
    for table in [answer.run_table(), answer.refused_table()] {
        if !table.rows.is_empty() {
            heading(&mut out, &table.title);
            out.push_str(&grid_text(&for_people(table).without_empty_columns().grid()));
        }
    }
    if !answer.cannot_tell_apart.is_empty() {
        heading(&mut out, "What these runs cannot tell apart");
        for text in &answer.cannot_tell_apart {
            out.push_str(&wrapped("  - ", text));
        }
    }
    if !answer.assumed.is_empty() {
        heading(&mut out, "Assumed, because nobody said");
        out.push_str(&grid_text(&assumed_table(&answer.assumed).grid()));
    }
    out.push_str(&tail(&Tail {
        notes: &answer.notes,
        assumed: &[],
        warnings: &answer.warnings,
        cautions: &answer.cautions,
        provenance: &answer.provenance,
    }));
    out
}

/// Without the words for programs, and without the file where there is only one.
fn for_people(table: Table) -> Table {
    let same_file = table.rows.iter().all(|row| row.first() == table.rows[0].first());
    let left_out = |key: &str| key == "refused.code" || same_file && key.ends_with(".file");
    let places: Vec<usize> =
        (0..table.columns.len()).filter(|i| !left_out(&table.columns[*i].key)).collect();
    Table {
        columns: places.iter().map(|i| table.columns[*i].clone()).collect(),
        rows: table
            .rows
            .iter()
            .map(|row| places.iter().map(|i| row[*i].clone()).collect())
            .collect(),
        ..table
    }
}

impl CoastDownAnswer {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coastdown::{ForceLine, RefusedRun, RunLine};

    fn answer() -> CoastDownAnswer {
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
            answer().plain_line(),
            "Road load 250 ± 3 N at 60 km/h; drag area 0.743 ± 0.016 m², rolling resistance 0.0141 ± 0.0004, from two runs."
        );
        let us = CoastDownAnswer { units: Units::Us, forces: Vec::new(), ..answer() };
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
        let text = coast_down_text(&two);
        assert!(text.contains("speed falls only") && !text.contains("short_speed_span"), "{text}");
    }

    #[test]
    fn one_file_is_not_named_on_every_line_and_two_are() {
        assert!(!coast_down_text(&answer()).contains("runs.csv"));
        let mut two = answer();
        two.runs[1].file = "more.csv".to_owned();
        assert!(coast_down_text(&two).contains("more.csv"));
    }
}
