//! Tables of `audit`.

use crate::audit::{AuditAnswer, CoursePoint, DoingLine, Finding};
use crate::{Cell, Column, Table, Unit, Units};

impl AuditAnswer {
    /// Use, measured and predicted, in two rows.
    #[must_use]
    pub fn table(&self) -> Table {
        let row = |what: &str, band: &crate::Band| -> Vec<Cell> {
            vec![what.into(), band.nominal.into(), band.p10.into(), band.p90.into()]
        };
        Table {
            units: Units::Metric,
            name: "audit",
            title: "Use at the pack's terminals".to_owned(),
            columns: vec![
                Column::words("what", "use"),
                Column::new("use_wh_per_km", "nominal", Unit::WhPerKm).to(1),
                Column::new("p10.use_wh_per_km", "one in ten below", Unit::WhPerKm).to(1),
                Column::new("p90.use_wh_per_km", "nine in ten below", Unit::WhPerKm).to(1),
            ],
            rows: vec![
                row("measured", &self.measured_use_wh_per_km),
                row("predicted", &self.predicted_use_wh_per_km),
            ],
        }
        .shown_in(self.units)
    }

    /// The causes with the most probable first.
    #[must_use]
    pub fn findings_table(&self) -> Table {
        let row = |finding: &Finding| -> Vec<Cell> {
            let build = finding.build.as_ref();
            let change = finding.change.map(|change| self.change_words(&change, build));
            let band = finding.half_width.map(|half| match build {
                Some(_) => format!("± {}", self.size_words(&half)),
                None => format!("± {}", self.measure_words(&half)),
            });
            vec![
                finding.what.as_str().into(),
                finding.probability_pct.into(),
                change.as_deref().into(),
                band.as_deref().into(),
                finding.use_wh_per_km.into(),
                finding.suggestion.as_str().into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "audit-findings",
            title: "What explains the log best, each cause on its own".to_owned(),
            columns: vec![
                Column::words("findings.what", "cause"),
                Column::new("findings.probability_pct", "probability", Unit::Pct).to(0),
                Column::words("findings.change", "the log says"),
                Column::words("findings.half_width", "give or take"),
                Column::new("findings.use_wh_per_km", "use with it", Unit::WhPerKm),
                Column::words("findings.suggestion", "what to look at"),
            ],
            rows: self.findings.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// Where measured and predicted energy part.
    #[must_use]
    pub fn doings_table(&self) -> Table {
        let row = |line: &DoingLine| -> Vec<Cell> {
            vec![
                line.what.as_str().into(),
                line.duration_s.into(),
                line.measured_wh.into(),
                line.predicted_wh.into(),
                line.difference_w.into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "audit-doings",
            title: "Where they part".to_owned(),
            columns: vec![
                Column::words("doings.what", "while"),
                Column::new("doings.duration_s", "time", Unit::S),
                Column::words("doings.measured_wh", "measured, Wh").to(0),
                Column::words("doings.predicted_wh", "predicted, Wh").to(0),
                Column::new("doings.difference_w", "more by", Unit::W),
            ],
            rows: self.doings.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// Energy along the way.
    #[must_use]
    pub fn course_table(&self) -> Table {
        let row = |point: &CoursePoint| -> Vec<Cell> {
            vec![point.distance_km.into(), point.measured_kwh.into(), point.predicted_kwh.into()]
        };
        Table {
            units: Units::Metric,
            name: "audit-course",
            title: "Energy from the pack along the way".to_owned(),
            columns: vec![
                Column::new("distance_km", "way", Unit::Km).to(3),
                Column::new("measured_kwh", "measured", Unit::Kwh).to(3),
                Column::new("predicted_kwh", "predicted", Unit::Kwh).to(3),
            ],
            rows: self.course.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }
}
