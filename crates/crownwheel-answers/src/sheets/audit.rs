//! `audit`: a log against its build.

use crate::audit::{AuditAnswer, Change, Finding};
use crate::sheet::{Look, Mark, Say, Section, Sheet, sentences};
use crate::{Band, Table, Unit};

/// Explanations below this probability are in the file only, %,
const LISTED_PCT: f64 = 2.0;
/// but for the first few.
const FEWEST_LISTED: usize = 3;
/// Probability from which what to look at is shown, %.
const SHOWN_PCT: f64 = 10.0;

impl AuditAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let lines = self.fact.lines().map(|line| vec![Say::Line(line.to_owned())]);
        let written = self.written.iter().map(|build| format!("They are written into {build}."));
        let section = Section::new("audit", "Audit")
            .drawn(&["audit"])
            .table(Look::Tight, self.table())
            .file(self.findings_table())
            .shown(Look::Rows, self.short_findings_table())
            .list("What to look at", Mark::Dash, self.worth_a_look())
            .table(Look::Rows, self.doings_table())
            .file(self.course_table())
            .file(super::trip::repairs_table("audit-repairs", &self.repairs))
            .shown(Look::Tight, super::trip::short_repairs_table(&self.repairs))
            .list("The fact, as lines of the build", Mark::None, lines.collect())
            .list("Where it stands", Mark::None, sentences(&written.collect::<Vec<_>>()));
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![section])
            .warning(&self.warnings, &self.cautions)
    }

    /// Use, measured and predicted, in two rows.
    fn table(&self) -> Table {
        let rows: [(&str, &Band); 2] = [
            ("measured", &self.measured_use_wh_per_km),
            ("predicted", &self.predicted_use_wh_per_km),
        ];
        Table::of("audit", "Use at the pack's terminals", self.units, rows)
            .words("what", "use", |(what, _)| *what)
            .col("use_wh_per_km", "nominal", Unit::WhPerKm, |(_, band)| band.nominal)
            .to(1)
            .col("p10.use_wh_per_km", "one in ten below", Unit::WhPerKm, |(_, band)| band.p10)
            .to(1)
            .col("p90.use_wh_per_km", "nine in ten below", Unit::WhPerKm, |(_, band)| band.p90)
            .to(1)
            .table()
    }

    /// The causes with the most probable first.
    fn findings_table(&self) -> Table {
        let half = |it: &Finding| {
            let one = |it: &Change| match it.build {
                Some(_) => format!("± {}", self.size_words(&it.half_width)),
                None => format!("± {}", self.measure_words(&it.half_width)),
            };
            words(it.changes.iter().map(one))
        };
        let change = |it: &Finding| {
            let one = |it: &Change| self.change_words(&it.change, it.build.as_ref());
            words(it.changes.iter().map(one))
        };
        let title = "What explains the log best, each cause alone and with another";
        Table::of("audit-findings", title, self.units, &self.findings)
            .words("findings.what", "cause", |it| it.what.as_str())
            .col("findings.probability_pct", "probability", Unit::Pct, |it| it.probability_pct)
            .to(0)
            .words("findings.change", "the log says", |it| change(it))
            .words("findings.half_width", "give or take", |it| half(it))
            .col("findings.use_wh_per_km", "use with it", Unit::WhPerKm, |it| it.use_wh_per_km)
            .words("findings.suggestion", "what to look at", |it| it.suggestion.as_str())
            .table()
    }

    /// Without suggestions, and without the many that hardly count.
    fn short_findings_table(&self) -> Table {
        let mut all = self.findings_table();
        let counts = self.findings.iter().filter(|it| it.probability_pct >= LISTED_PCT).count();
        all.rows.truncate(counts.max(FEWEST_LISTED));
        let keys = all.columns.iter().map(|column| column.key.clone());
        all.pick(&keys.filter(|key| !key.ends_with("suggestion")).collect::<Vec<_>>())
    }

    /// What to look at for the likely causes, but for what the first line says.
    fn worth_a_look(&self) -> Vec<Vec<Say>> {
        let worth = self
            .findings
            .iter()
            .filter(|it| it.probability_pct >= SHOWN_PCT && !self.plain.contains(&it.suggestion));
        sentences(&worth.map(|it| format!("{}: {}", it.what, it.suggestion)).collect::<Vec<_>>())
    }

    /// Where measured and predicted energy part.
    fn doings_table(&self) -> Table {
        Table::of("audit-doings", "Where they part", self.units, &self.doings)
            .words("doings.what", "while", |it| it.what.as_str())
            .col("doings.duration_s", "time", Unit::S, |it| it.duration_s)
            .words("doings.measured_wh", "measured, Wh", |it| it.measured_wh)
            .to(0)
            .words("doings.predicted_wh", "predicted, Wh", |it| it.predicted_wh)
            .to(0)
            .col("doings.difference_w", "more by", Unit::W, |it| it.difference_w)
            .table()
    }

    /// Energy along the way.
    fn course_table(&self) -> Table {
        Table::of("audit-course", "Energy from the pack along the way", self.units, &self.course)
            .col("distance_km", "way", Unit::Km, |it| it.distance_km)
            .to(3)
            .col("measured_kwh", "measured", Unit::Kwh, |it| it.measured_kwh)
            .to(3)
            .col("predicted_kwh", "predicted", Unit::Kwh, |it| it.predicted_kwh)
            .to(3)
            .col("predicted_p10_kwh", "one in ten below", Unit::Kwh, |it| it.predicted_p10_kwh)
            .to(3)
            .col("predicted_p90_kwh", "nine in ten below", Unit::Kwh, |it| it.predicted_p90_kwh)
            .to(3)
            .table()
    }
}

/// Words of each cause in one cell. `None`: there is no cause.
fn words(each: impl Iterator<Item = String>) -> Option<String> {
    let all: Vec<String> = each.collect();
    (!all.is_empty()).then(|| all.join("; "))
}
