//! Tables of demands.

use crate::demands::DemandsAnswer;
use crate::sweep::{DemandLimit, percent};
use crate::{Cell, Column, Question, Table, Units};

impl DemandsAnswer {
    /// A row for each limit of each demand.
    #[must_use]
    pub fn table(&self) -> Table {
        Table {
            name: "demands",
            title: "What is demanded".to_owned(),
            units: Units::Metric,
            columns: vec![
                Column::words("name", "demand"),
                Column::words("answer", "what"),
                Column::words("limit", "limit"),
                Column::words("found", "found"),
                Column::words("probability", "met in worlds"),
                Column::words("asked", "asked"),
                Column::words("met", "met"),
            ],
            rows: self.demand_limits.iter().map(|limit| self.row(limit)).collect(),
        }
    }

    fn row(&self, limit: &DemandLimit) -> Vec<Cell> {
        let name = self.name_of(limit);
        let shown = |value| {
            name.as_ref().map(|name| self.units.text_to(value, name.unit(), name.decimals()))
        };
        let side = if limit.at_least { "at least" } else { "at most" };
        let limit_text = shown(limit.limit.value).map(|text| format!("{side} {text}"));
        let found = name
            .as_ref()
            .and_then(|name| self.answers.get(name).map(|band| name.shown(band, self.units)));
        let met = self.demands.iter().find(|met| met.name == limit.name);
        let label = name.as_ref().map(Question::title);
        vec![
            (&limit.name).into(),
            label.as_deref().into(),
            limit_text.as_deref().into(),
            found.as_deref().into(),
            met.map(|met| percent(met.probability)).as_deref().into(),
            met.map(|met| met.sure.map_or_else(|| "nominal".to_owned(), percent)).as_deref().into(),
            met.map(|met| if met.met { "yes" } else { "no" }).into(),
        ]
    }
}
