//! `coastdown` for a terminal.

use super::answers::{Tail, first_line, heading, tail};
use super::layout::{grid_text, wrapped};
use crate::unit::digits;
use crate::words::count_word;
use crate::{CoastDownAnswer, Unit, Units};
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
            let shown = ["refused.file", "refused.run", "refused.line", "refused.reason"];
            let table = if table.name == "coastdown-refused" { table.pick(&shown) } else { table };
            out.push_str(&grid_text(&table.without_empty_columns().grid()));
        }
    }
    if !answer.cannot_tell_apart.is_empty() {
        heading(&mut out, "What these runs cannot tell apart");
        for text in &answer.cannot_tell_apart {
            out.push_str(&wrapped("  - ", text));
        }
    }
    out.push_str(&tail(&Tail {
        notes: &answer.notes,
        assumed: &answer.assumed,
        warnings: &answer.warnings,
        cautions: &answer.cautions,
        provenance: &answer.provenance,
    }));
    out
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
        format!(
            "{road}drag area {} ± {}, rolling resistance {} ± {}, from {} run{}.",
            self.units.digits(area, Unit::M2, 3),
            self.units.text_to(t * area_se, Unit::M2, 3),
            digits(rolling, 4),
            digits(rolling_half, 4),
            count_word(u32::try_from(self.runs_used).unwrap_or(u32::MAX)),
            if self.runs_used == 1 { "" } else { "s" }
        )
    }
}
