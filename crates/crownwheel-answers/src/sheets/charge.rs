//! `charge`: time and energy at each supply.

use crownwheel_quantities::rows;

use super::bands_table;
use crate::charge::{ChargeAnswer, SupplyLine};
use crate::sheet::{Look, Section, Sheet};
use crate::{Band, Question, Rule, Table, Unit};

impl ChargeAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let section = Section::new("charging", "Charging")
            .drawn(&["charging"])
            .by(&[Rule::Charging])
            .file(self.table())
            .shown(Look::Rows, self.with_bands())
            .file(self.points_table())
            .file(bands_table("charge-bands", &self.bands, self.units));
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![section])
            .assuming(&self.assumed)
            .warning(&self.warnings, &self.cautions)
    }

    /// A row for each supply.
    #[must_use]
    pub fn table(&self) -> Table {
        Table::of("charge", "Charging at each supply", self.units, &self.supplies)
            .words("name", "supply", |it| &it.name)
            .col("supply_kw", "supply", Unit::Kw, |it| it.supply_kw)
            .words("hours", "hours", |it| it.hours)
            .to(1)
            .col("wall_kwh", "from the wall", Unit::Kwh, |it| it.wall_kwh)
            .col("into_pack_kwh", "into the pack", Unit::Kwh, |it| it.into_pack_kwh)
            .col("warming_kwh", "warming the pack", Unit::Kwh, |it| {
                it.warming_kwh.filter(|kwh| *kwh > 0.0)
            })
            .words("before_charging_hours", "hours before charging", |it| {
                it.before_charging_hours.filter(|hours| *hours > 0.0)
            })
            .to(2)
            .col("end_pct", "ends at", Unit::Pct, |it| it.end_pct)
            .col("taper_from_pct", "power falls from", Unit::Pct, |it| it.taper_from_pct)
            .words("km_per_hour", "km of range an hour", |it| it.km_per_hour)
            .to(0)
            .table()
    }

    /// The same for people, with the band of the hours.
    fn with_bands(&self) -> Table {
        let hours = |it: &SupplyLine| Some(self.hours_text(&it.name, it.hours?, ""));
        self.table().with("hours", self.supplies.iter().map(hours))
    }

    /// The points of every charge.
    #[must_use]
    pub fn points_table(&self) -> Table {
        let all = self.supplies.iter().flat_map(|it| it.points.iter().map(move |at| (it, at)));
        Table::of("charge-points", "Charge, power and voltage against time", self.units, all)
            .words("name", "supply", |(it, _)| &it.name)
            .words("points.time_min", "time, min", |(_, at)| at.time_min)
            .to(1)
            .col("points.charge_pct", "charge", Unit::Pct, |(_, at)| at.charge_pct)
            .col("points.power_kw", "power", Unit::Kw, |(_, at)| at.power_kw)
            .col("points.current_a", "current", Unit::A, |(_, at)| at.current_a)
            .col("points.voltage_v", "voltage", Unit::V, |(_, at)| at.voltage_v)
            .col("points.pack_degc", "pack", Unit::Degc, |(_, at)| at.pack_degc)
            .table()
    }

    /// Hours at a supply with their band, if there is one: `3.7 h (3.6 to 3.9)`, or without the unit.
    fn hours_text(&self, supply: &str, hours: f64, symbol: &str) -> String {
        let of = |name: &Question| {
            name.is(&rows::CHARGE_HOURS) && name.supply().is_some_and(|it| **it == *supply)
        };
        let banded = self.bands.iter().find(|(name, _)| of(name));
        let (name, band) =
            banded.map_or((None, Band::only(hours)), |(name, band)| (Some(name), *band));
        match name.filter(|_| !band.middle().is_finite()) {
            Some(name) => name.shown(&band, self.units),
            None => band.with_symbol(self.units, Unit::None, 1, symbol),
        }
    }

    /// How long each supply takes, in a sentence.
    #[must_use]
    pub fn plain_line(&self) -> String {
        if self.supplies.is_empty() {
            return "The build names no supply to charge from: add [supply.NAME] with limit = \"7.4 kW\".".to_owned();
        }
        let each = self.supplies.iter().map(|line| match (line.hours, line.wall_kwh) {
            (Some(hours), Some(kwh)) => format!(
                "{} and {} from the wall at {}",
                self.hours_text(&line.name, hours, "h"),
                self.units.text(kwh, Unit::Kwh),
                line.name
            ),
            _ => format!("no charge at {}", line.name),
        });
        format!(
            "From {} to {}: {}.",
            self.units.text_to(self.from_pct, Unit::Pct, 0),
            self.units.text_to(self.to_pct, Unit::Pct, 0),
            each.collect::<Vec<_>>().join("; ")
        )
    }
}
