//! Tables of `pull`.

use crate::pull::{
    HillLine, HoldLine, OverRevLine, OverrunLine, PullAnswer, PullAtCharge, PullLine, ShaftLine,
};
use crate::{Cell, Column, Table, Unit, Units};

impl PullAnswer {
    /// A row every km/h, at full charge.
    #[must_use]
    pub fn table(&self) -> Table {
        pull_table("pull", self.charge_pct, &self.table).shown_in(self.units)
    }

    /// The same at the other states of charge, a table each.
    #[must_use]
    pub fn less_charge_tables(&self) -> Vec<Table> {
        let names = ["pull-half-charge", "pull-nearly-empty"];
        let tables = names.iter().zip(&self.at_less_charge);
        let shown = |name, at: &PullAtCharge| {
            pull_table(name, at.charge_pct, &at.table).shown_in(self.units)
        };
        tables.map(|(name, at)| shown(name, at)).collect()
    }

    /// Steepest grades at steady speeds.
    #[must_use]
    pub fn hold_table(&self) -> Table {
        let row = |line: &HoldLine| {
            vec![
                line.speed_kmh.into(),
                line.grade_pct.into(),
                line.continuous_grade_pct.into(),
                line.minutes_to_cut_back.into(),
                line.minutes_to_cut_back_warm.into(),
                line.held.as_str().into(),
                line.limit.as_str().into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "pull-hold",
            title: "Steepest grades held, and how long".to_owned(),
            columns: vec![
                Column::new("speed_kmh", "speed", Unit::Kmh),
                Column::new("grade_pct", "grade", Unit::Pct),
                Column::new("continuous_grade_pct", "grade, hot", Unit::Pct),
                Column::words("minutes_to_cut_back", "min to cut-back").to(1),
                Column::words("minutes_to_cut_back_warm", "after 20 min cruise").to(1),
                Column::words("held", "on that grade"),
                Column::words("limit", "limit of the pull"),
            ],
            rows: self.hold.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// The named hills.
    #[must_use]
    pub fn hill_table(&self) -> Table {
        let row = |line: &HillLine| {
            vec![
                (&line.hill).into(),
                line.length_km.into(),
                line.grade_pct.into(),
                line.speed_kmh.into(),
                line.minutes.into(),
                line.minutes_to_cut_back.into(),
                line.held.as_str().into(),
                line.minutes_to_cut_back_warm.into(),
                line.held_warm.as_str().into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "pull-hills",
            title: "The hills of the build, and half an hour on the flat".to_owned(),
            columns: vec![
                Column::words("hill", "hill"),
                Column::new("length_km", "length", Unit::Km).to(1),
                Column::new("grade_pct", "grade", Unit::Pct),
                Column::new("speed_kmh", "speed", Unit::Kmh),
                Column::words("minutes", "min for the hill").to(1),
                Column::words("minutes_to_cut_back", "min to cut-back").to(1),
                Column::words("held", "from cold"),
                Column::words("minutes_to_cut_back_warm", "min, after 20 min cruise").to(1),
                Column::words("held_warm", "after 20 min cruise"),
            ],
            rows: self.hills.iter().chain(&self.cruise).map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// Worst rolling currents, torque and heats on each hill.
    #[must_use]
    pub fn hill_windows_table(&self) -> Table {
        let rows = self.hills.iter().flat_map(|hill| {
            hill.windows.iter().map(|window| -> Vec<Cell> {
                vec![
                    (&hill.hill).into(),
                    window.quantity.key().into(),
                    window.quantity.unit().look(Units::Metric).symbol.into(),
                    window.window_s.into(),
                    window.value.into(),
                ]
            })
        });
        Table {
            units: Units::Metric,
            name: "pull-hill-windows",
            title: "Worst rolling values on each hill".to_owned(),
            columns: vec![
                Column::words("hill", "hill"),
                Column::words("windows.quantity", "quantity"),
                Column::words("windows.unit", "unit"),
                Column::new("windows.window_s", "over", Unit::S),
                Column::words("windows.value", "worst").to(1),
            ],
            rows: rows.collect(),
        }
    }

    /// Axle loads at 0.5 g before and after, and when the motor alone locks the driven axle.
    #[must_use]
    pub fn braking_table(&self) -> Table {
        let b = &self.braking;
        let kg = |key, label| Column::new(key, label, Unit::Kg);
        Table {
            units: Units::Metric,
            name: "pull-braking",
            title: "Braking: axle loads at 0.5 g, and locking by the motor alone in the wet"
                .to_owned(),
            columns: vec![
                kg("braking.front_at_half_g_before_kg", "front before"),
                kg("braking.rear_at_half_g_before_kg", "rear before"),
                kg("braking.front_at_half_g_after_kg", "front after"),
                kg("braking.rear_at_half_g_after_kg", "rear after"),
                Column::new("braking.lock_in_the_wet_mps2", "driven axle locks at", Unit::Mps2),
            ],
            rows: vec![vec![
                b.front_at_half_g_before_kg.into(),
                b.rear_at_half_g_before_kg.into(),
                b.front_at_half_g_after_kg.into(),
                b.rear_at_half_g_after_kg.into(),
                b.lock_in_the_wet_mps2.into(),
            ]],
        }
        .shown_in(self.units)
    }

    /// Road speed at the motor's highest speed in each gear.
    #[must_use]
    pub fn over_rev_table(&self) -> Table {
        let row = |line: &OverRevLine| vec![count(line.gear).into(), line.speed_kmh.into()];
        Table {
            units: Units::Metric,
            name: "pull-over-rev",
            title: "Road speed that the motor's highest speed allows, downhill too".to_owned(),
            columns: vec![
                Column::words("over_rev.gear", "gear").to(0),
                Column::new("over_rev.speed_kmh", "speed", Unit::Kmh),
            ],
            rows: self.over_rev.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// Braking by the motor alone.
    #[must_use]
    pub fn overrun_table(&self) -> Table {
        let row = |line: &OverrunLine| {
            vec![
                line.speed_kmh.into(),
                line.charge_pct.into(),
                line.braking_n.into(),
                line.deceleration_mps2.into(),
                line.limit.as_str().into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "pull-overrun",
            title: "Hardest braking by the motor alone".to_owned(),
            columns: vec![
                Column::new("speed_kmh", "speed", Unit::Kmh),
                Column::new("charge_pct", "charge", Unit::Pct).to(0),
                Column::new("braking_n", "braking force", Unit::N),
                Column::new("deceleration_mps2", "deceleration", Unit::Mps2),
                Column::words("limit", "limit"),
            ],
            rows: self.overrun.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// Shaft speeds.
    #[must_use]
    pub fn shaft_table(&self) -> Table {
        let row = |line: &ShaftLine| {
            vec![
                line.speed_kmh.into(),
                count(line.gear).into(),
                line.motor_speed_rpm.into(),
                line.propeller_shaft_rpm.into(),
                line.over_speed.into(),
            ]
        };
        Table {
            units: Units::Metric,
            name: "pull-shafts",
            title: "Shaft speeds".to_owned(),
            columns: vec![
                Column::new("speed_kmh", "speed", Unit::Kmh).to(1),
                Column::words("gear", "gear").to(0),
                Column::new("motor_speed_rpm", "motor", Unit::Rpm),
                Column::new("propeller_shaft_rpm", "propeller shaft", Unit::Rpm),
                Column::words("over_speed", "too fast for the motor"),
            ],
            rows: self.shafts.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }
}

fn pull_table(name: &'static str, charge_pct: f64, lines: &[PullLine]) -> Table {
    let n = |key, label| Column::new(key, label, Unit::N);
    let row = |line: &PullLine| {
        vec![
            line.speed_kmh.into(),
            line.motor_speed_rpm.into(),
            count(line.gear).into(),
            line.effective_mass_kg.into(),
            line.pull_n.into(),
            line.continuous_pull_n.into(),
            line.road_load_n.into(),
            line.road_load_5_pct_n.into(),
            line.road_load_10_pct_n.into(),
            line.road_load_20_pct_n.into(),
            line.limit.as_str().into(),
        ]
    };
    Table {
        units: Units::Metric,
        name,
        title: format!("Tractive effort against speed at {charge_pct:.0} % charge"),
        columns: vec![
            Column::new("speed_kmh", "speed", Unit::Kmh),
            Column::new("motor_speed_rpm", "motor", Unit::Rpm),
            Column::words("gear", "gear").to(0),
            Column::new("effective_mass_kg", "effective mass", Unit::Kg),
            n("pull_n", "pull"),
            n("continuous_pull_n", "pull, hot"),
            n("road_load_n", "road load, flat"),
            n("road_load_5_pct_n", "on 5 %"),
            n("road_load_10_pct_n", "on 10 %"),
            n("road_load_20_pct_n", "on 20 %"),
            Column::words("limit", "limit"),
        ],
        rows: lines.iter().map(row).collect(),
    }
}

/// Gears are few.
fn count(gear: usize) -> f64 {
    u32::try_from(gear).map_or(f64::NAN, f64::from)
}
