//! What is demanded, and how surely it is met.

use crate::demands::DemandsAnswer;
use crate::sheet::{Look, Section, Sheet};
use crate::sweep::{DemandLimit, DemandMet, percent};
use crate::{Cell, Provenance, Question, Rule, Table, Units};

impl DemandsAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let section =
            Section::new("demands", "Demands").by(&[Rule::Demands]).table(Look::Rows, self.table());
        let mut notes = vec![
            "A demand is met if all of its limits hold at once in as many worlds as asked."
                .to_owned(),
        ];
        if self.demands.len() > 1 {
            notes.push(format!(
                "All demands at once: {} of {} worlds.",
                percent(self.all_demands_probability),
                self.worlds
            ));
        }
        Sheet::new(&self.plain, &notes, &Provenance::default(), vec![section])
    }

    /// A row for each limit of each demand.
    #[must_use]
    pub fn table(&self) -> Table {
        let met = |limit: &&DemandLimit| self.demands.iter().find(|met| met.name == limit.name);
        let asked = |met: &DemandMet| met.sure.map_or_else(|| "nominal".to_owned(), percent);
        Table::of("demands", "What is demanded", Units::Metric, &self.demand_limits)
            .words("name", "demand", |limit| &limit.name)
            .words("answer", "what", |limit| self.name_of(limit).as_ref().map(Question::title))
            .words("limit", "limit", |limit| self.limit_text(limit))
            .words("found", "found", |limit| self.found(limit))
            .words("probability", "met in worlds", |limit| {
                met(limit).map(|met| percent(met.probability))
            })
            .words("asked", "asked", |limit| met(limit).map(asked))
            .words("met", "met", |limit| met(limit).map(|met| if met.met { "yes" } else { "no" }))
            .table()
    }

    fn limit_text(&self, limit: &DemandLimit) -> Option<String> {
        let name = self.name_of(limit)?;
        let side = if limit.at_least { "at least" } else { "at most" };
        let value = self.units.text_to(limit.limit.value, name.unit(), name.decimals());
        Some(format!("{side} {value}"))
    }

    fn found(&self, limit: &DemandLimit) -> Option<Cell> {
        let name = self.name_of(limit)?;
        let band = self.answers.get(&name)?;
        Some(Cell::from(name.shown(band, self.units)).of(&name))
    }
}
