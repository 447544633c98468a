//! `gauges`: what the old gauges read.

use crate::gauges::GaugesAnswer;
use crate::sheet::{Look, Section, Sheet};
use crate::unit::digits;
use crate::{Rule, Table, Unit};

impl GaugesAnswer {
    /// The answer as people read it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let section = Section::new("gauges", "Gauges")
            .by(&[Rule::ShaftSpeeds])
            .table(Look::Rows, self.speed_table())
            .table(Look::Rows, self.charge_table());
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![section])
            .assuming(&self.assumed)
            .warning(&self.warnings, &self.cautions)
    }

    /// Shaft speeds against road speed.
    fn speed_table(&self) -> Table {
        let title = "Shafts against road speed, in the usual gear";
        Table::of("gauges-speeds", title, self.units, &self.speeds)
            .col("speeds.speed_kmh", "speed", Unit::Kmh, |it| it.speed_kmh)
            .col("speeds.motor_speed_rpm", "motor", Unit::Rpm, |it| it.motor_speed_rpm)
            .col("speeds.propeller_shaft_rpm", "propeller shaft", Unit::Rpm, |it| {
                it.propeller_shaft_rpm
            })
            .table()
    }

    /// Charge against voltage at rest.
    fn charge_table(&self) -> Table {
        Table::of("gauges-charge", "Charge against voltage at rest", self.units, &self.charge)
            .col("charge.charge_pct", "charge", Unit::Pct, |it| it.charge_pct)
            .to(0)
            .col("charge.rest_voltage_v", "pack at rest", Unit::V, |it| it.rest_voltage_v)
            .col("charge.cell_voltage_v", "cell at rest", Unit::V, |it| it.cell_voltage_v)
            .to(3)
            .table()
    }

    /// What the speedometer reads, and the motor's speed at a cruise.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let speedometer = match &self.speedometer {
            Some(speedometer) => format!(
                "At a true 100 km/h the speedometer reads {} km/h",
                digits(speedometer.reads_at_100_kmh_kmh, 1)
            ),
            None => "What the speedometer belonged to is not known: give [speedometer] final_drive and tyre_size".to_owned(),
        };
        let cruise = self.speeds.iter().find(|line| (line.speed_kmh - 100.0).abs() < 1e-9);
        match cruise {
            Some(line) => format!(
                "{speedometer}; the motor then turns at {}.",
                self.units.text(line.motor_speed_rpm, Unit::Rpm)
            ),
            None => format!("{speedometer}."),
        }
    }
}
