//! `sweep --world`: one world of an option.

use crate::sheet::{Look, Section, Sheet};
use crate::world::{WorldAnswer, WorldResult};
use crate::{Band, Cell, Table, json};

impl WorldAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let section = Section::new("world", "One world")
            .file(self.results_table())
            .shown(Look::Rows, self.short_results_table())
            .table(Look::Rows, self.drawn_table());
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![section])
    }

    /// What was drawn, a row for each input.
    fn drawn_table(&self) -> Table {
        Table::of("world-drawn", "What was drawn", self.units, &self.drawn)
            .words("key", "input", |it| it.key.as_str())
            .words("nominal", "nominal", |it| it.nominal.as_str())
            .words("drawn", "in this world", |it| it.drawn.as_str())
            .words("place", "worlds with less", |it| it.place)
            .to(3)
            .table()
    }

    /// The answers, a row for each.
    fn results_table(&self) -> Table {
        let cell =
            |it: &WorldResult, value: f64| Cell::from(value).shown_in(self.units, it.name.unit());
        Table::of("world-results", "Answers in this world", self.units, &self.results)
            .words("answer", "answer", |it| json::answer_name(&it.answer, self.units))
            .words("unit", "unit", |it| self.units.symbol(it.name.unit()))
            .words("nominal.value", "nominal", |it| cell(it, it.nominal.value))
            .words("in_world.value", "in this world", |it| cell(it, it.in_world.value))
            .table()
    }

    /// The answers for people.
    fn short_results_table(&self) -> Table {
        let shown = |it: &WorldResult, value: f64| it.name.shown(&Band::only(value), self.units);
        Table::of("", "Answers in this world", self.units, &self.results)
            .words("answer", "answer", |it| it.label.as_str())
            .words("nominal", "nominal", |it| shown(it, it.nominal.value))
            .right()
            .words("in_world", "in this world", |it| shown(it, it.in_world.value))
            .right()
            .table()
    }
}
