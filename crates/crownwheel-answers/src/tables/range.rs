//! Tables of `range`.

use crate::{Cell, Column, CycleResult, RangeAnswer, RoadShares, SteadyResult, Table, Unit, Units};
use crownwheel::name::Name;

/// The steady result of a day at a speed.
#[must_use]
pub fn steady_at<'a>(
    steady: &'a [SteadyResult],
    day: &str,
    speed_kmh: f64,
) -> Option<&'a SteadyResult> {
    steady.iter().find(|s| s.day == day && (s.speed_kmh - speed_kmh).abs() < 1e-6)
}

impl RangeAnswer {
    /// One row for each cycle and day: use, range, following, motor, braking.
    #[must_use]
    pub fn table(&self) -> Table {
        Table {
            name: "range",
            title: "Use and range per cycle and day".to_owned(),
            units: Units::Metric,
            columns: range_columns(),
            rows: self.results.iter().map(range_row).collect(),
        }
        .without_column_unless("equivalent_mpg", self.units == Units::Us)
        .shown_in(self.units)
    }

    /// One row for each cycle and day: where the energy went, in the middle world where worlds were drawn.
    #[must_use]
    pub fn balance_table(&self) -> Table {
        Table {
            name: "balance",
            title: "Energy balance".to_owned(),
            units: Units::Metric,
            columns: balance_columns(),
            rows: self.results.iter().map(balance_row).collect(),
        }
        .without_empty_columns()
        .shown_in(self.units)
    }

    /// Seconds under each binding limit, a row for each.
    #[must_use]
    pub fn binding_table(&self) -> Table {
        let rows = self.results.iter().flat_map(|r| {
            r.binding.iter().map(|(limit, seconds)| {
                vec![
                    r.cycle.as_str().into(),
                    (&r.day).into(),
                    limit.as_str().into(),
                    Cell::from(*seconds),
                ]
            })
        });
        Table {
            name: "binding",
            title: "What held the car back, seconds of one cycle".to_owned(),
            units: self.units,
            columns: vec![
                Column::words("cycle", "cycle"),
                Column::words("day", "day"),
                Column::words("binding", "limit"),
                Column::new("seconds", "time", Unit::S).to(1),
            ],
            rows: rows.collect(),
        }
    }

    /// Seconds in each gear, a row for each; empty where there is no choice.
    #[must_use]
    pub fn gears_table(&self) -> Table {
        let rows = self.results.iter().flat_map(|r| {
            r.gear_s.iter().map(|(gear, seconds)| {
                vec![
                    r.cycle.as_str().into(),
                    (&r.day).into(),
                    f64::from(*gear).into(),
                    Cell::from(*seconds),
                ]
            })
        });
        Table {
            name: "gear-use",
            title: "Time in each gear, seconds of one cycle".to_owned(),
            units: self.units,
            columns: vec![
                Column::words("cycle", "cycle"),
                Column::words("day", "day"),
                Column::words("gear", "gear").to(0),
                Column::new("seconds", "time", Unit::S).to(1),
            ],
            rows: rows.collect(),
        }
    }

    /// Worst rolling values, a row for each quantity and length.
    #[must_use]
    pub fn windows_table(&self) -> Table {
        let units = self.units;
        let rows = self.results.iter().flat_map(|r| {
            r.windows.iter().map(move |w| {
                let unit = w.quantity.unit();
                vec![
                    r.cycle.as_str().into(),
                    (&r.day).into(),
                    w.quantity.key().into(),
                    units.symbol(unit).into(),
                    w.window_s.into(),
                    w.value.map(|value| units.value(value, unit)).into(),
                ]
            })
        });
        Table {
            name: "windows",
            title: "Worst rolling currents, torques and heats".to_owned(),
            units: self.units,
            columns: vec![
                Column::words("cycle", "cycle"),
                Column::words("day", "day"),
                Column::words("quantity", "quantity"),
                Column::words("unit", "unit"),
                Column::new("window_s", "over", Unit::S),
                Column::words("value", "worst value").to(0),
            ],
            rows: rows.collect(),
        }
    }

    /// One row for each day and steady speed.
    #[must_use]
    pub fn steady_table(&self) -> Table {
        let row = |s: &SteadyResult| {
            let mut row: Vec<Cell> = vec![s.speed_kmh.into(), (&s.day).into(), s.held.into()];
            row.extend(Cell::of_band(&s.range_km));
            row.extend(Cell::of_band(&s.keeps_up_km));
            row.extend([
                s.use_wh_per_km.into(),
                s.limit.as_str().into(),
                s.motor_speed_rpm.into(),
                s.oil_max_degc.gearbox.into(),
                s.oil_max_degc.axle.into(),
            ]);
            row
        };
        Table {
            name: "steady",
            title: "At steady speed on the flat".to_owned(),
            units: Units::Metric,
            columns: vec![
                Column::new("speed_kmh", "speed", Unit::Kmh),
                Column::words("day", "day"),
                Column::words("held", "speed held when full"),
                Column::new("range_km.nominal", "range", Unit::Km),
                Column::new("range_km.p10", "range, one in ten below", Unit::Km),
                Column::new("range_km.p50", "range, middle", Unit::Km),
                Column::new("range_km.p90", "range, nine in ten below", Unit::Km),
                Column::new("keeps_up_km.nominal", "keeps up", Unit::Km),
                Column::new("keeps_up_km.p10", "keeps up, one in ten below", Unit::Km),
                Column::new("keeps_up_km.p50", "keeps up, middle", Unit::Km),
                Column::new("keeps_up_km.p90", "keeps up, nine in ten below", Unit::Km),
                Column::new("use_wh_per_km", "use", Unit::WhPerKm),
                Column::words("limit", "limit"),
                Column::new("motor_speed_rpm", "motor speed", Unit::Rpm),
                Column::new("oil_max_degc.gearbox", "gearbox oil, hottest", Unit::Degc),
                Column::new("oil_max_degc.axle", "axle oil, hottest", Unit::Degc),
            ],
            rows: self.steady.iter().map(row).collect(),
        }
        .shown_in(self.units)
    }

    /// Names of the days in the order in which they first appear.
    #[must_use]
    pub fn days(&self) -> Vec<&Name> {
        let mut days: Vec<&Name> = Vec::new();
        let of_steady = self.steady.iter().map(|s| &s.day);
        for day in of_steady.chain(self.results.iter().map(|r| &r.day)) {
            if !days.contains(&day) {
                days.push(day);
            }
        }
        days
    }
}

fn range_columns() -> Vec<Column> {
    vec![
        Column::words("cycle", "cycle"),
        Column::words("day", "day"),
        Column::new("distance_km", "one cycle", Unit::Km).to(2),
        Column::new("duration_s", "one cycle", Unit::S),
        Column::new("use_wh_per_km", "use", Unit::WhPerKm),
        Column::new("use_band_wh_per_km.p10", "use, one in ten below", Unit::WhPerKm),
        Column::new("use_band_wh_per_km.p50", "use, middle", Unit::WhPerKm),
        Column::new("use_band_wh_per_km.p90", "use, nine in ten below", Unit::WhPerKm),
        Column::new("wall_wh_per_km", "wall", Unit::WhPerKm),
        Column::new("wall_band_wh_per_km.p10", "wall, one in ten below", Unit::WhPerKm),
        Column::new("wall_band_wh_per_km.p50", "wall, middle", Unit::WhPerKm),
        Column::new("wall_band_wh_per_km.p90", "wall, nine in ten below", Unit::WhPerKm),
        Column::words("equivalent_mpg", "equivalent mpg (MPGe)").to(0),
        Column::new("range_km.nominal", "range", Unit::Km),
        Column::new("range_km.p10", "range, one in ten below", Unit::Km),
        Column::new("range_km.p50", "range, middle", Unit::Km),
        Column::new("range_km.p90", "range, nine in ten below", Unit::Km),
        Column::new("keeps_up_km.nominal", "keeps up", Unit::Km),
        Column::new("keeps_up_km.p10", "keeps up, one in ten below", Unit::Km),
        Column::new("keeps_up_km.p50", "keeps up, middle", Unit::Km),
        Column::new("keeps_up_km.p90", "keeps up, nine in ten below", Unit::Km),
        Column::new("missed_pct.when_full", "missed on the first repeat", Unit::Pct).to(2),
        Column::new("missed_pct.whole", "missed in all", Unit::Pct).to(2),
        Column::words("end", "ends"),
        Column::new("range_with_reserve_km", "with reserve", Unit::Km),
        Column::new("range_with_reserve_band_km.p10", "reserve, one in ten below", Unit::Km),
        Column::new("range_with_reserve_band_km.p50", "reserve, middle", Unit::Km),
        Column::new("range_with_reserve_band_km.p90", "reserve, nine in ten below", Unit::Km),
        Column::new("shortfall_s", "too slow", Unit::S).to(1),
        Column::new("shortfall_m", "distance lost", Unit::M).to(0),
        Column::words("cannot_follow_when_full", "cannot follow when full"),
        Column::new("motor.rms_torque_nm", "motor torque, r.m.s.", Unit::Nm),
        Column::new("motor.max_speed_rpm", "motor speed, highest", Unit::Rpm),
        Column::words("motor.heat_used_max", "motor heat used, highest"),
        Column::new("oil_max_degc.gearbox", "gearbox oil, hottest", Unit::Degc),
        Column::new("oil_max_degc.axle", "axle oil, hottest", Unit::Degc),
        Column::new("braking.on_offer_wh_per_km", "on offer", Unit::WhPerKm).to(1),
        Column::new("braking.taken_back_wh_per_km", "taken back", Unit::WhPerKm).to(1),
        Column::new("braking.share_returned_pct", "share returned", Unit::Pct).to(0),
    ]
}

fn range_row(r: &CycleResult) -> Vec<Cell> {
    let mut row: Vec<Cell> =
        vec![r.cycle.as_str().into(), (&r.day).into(), r.distance_km.into(), r.duration_s.into()];
    row.extend(Cell::of_band(&r.used()));
    row.extend(Cell::of_band(&r.wall()));
    row.push(r.equivalent_mpg.into());
    row.extend(Cell::of_band(&r.range_km));
    row.extend(Cell::of_band(&r.keeps_up_km));
    row.extend([r.missed_pct.when_full.into(), r.missed_pct.whole.into(), r.end.as_str().into()]);
    row.extend(Cell::of_band(&r.with_reserve()));
    row.extend([
        r.shortfall_s.into(),
        r.shortfall_m.into(),
        r.cannot_follow_when_full.into(),
        r.motor.rms_torque_nm.into(),
        r.motor.max_speed_rpm.into(),
        r.motor.heat_used_max.into(),
        r.oil_max_degc.gearbox.into(),
        r.oil_max_degc.axle.into(),
        r.flow().1.on_offer_wh_per_km.into(),
        r.flow().1.taken_back_wh_per_km.into(),
        r.flow().1.share_returned_pct.into(),
    ]);
    row
}

fn balance_columns() -> Vec<Column> {
    let row = |key, label| Column::new(key, label, Unit::WhPerKm).to(1);
    vec![
        Column::words("cycle", "cycle"),
        Column::words("day", "day"),
        row("balance_wh_per_km.air", "air"),
        row("balance_wh_per_km.rolling", "tyres rolling"),
        row("balance_wh_per_km.road_load_constant", "road load, constant"),
        row("balance_wh_per_km.road_load_linear", "road load, with speed"),
        row("balance_wh_per_km.road_load_square", "road load, with speed squared"),
        row("balance_wh_per_km.climbing", "climbing"),
        row("balance_wh_per_km.kinetic", "change of speed"),
        row("balance_wh_per_km.brake_drag", "brake drag"),
        row("balance_wh_per_km.driveline", "driveline"),
        row("balance_wh_per_km.motor", "motor"),
        row("balance_wh_per_km.inverter", "inverter"),
        row("balance_wh_per_km.dcdc", "DC-DC"),
        row("balance_wh_per_km.pack", "pack and harness"),
        row("balance_wh_per_km.ancillaries", "ancillaries"),
        row("balance_wh_per_km.friction_brakes", "friction brakes"),
        row("balance_wh_per_km.from_pack", "from the pack"),
        row("balance_wh_per_km.imbalance", "rounding left"),
    ]
}

fn balance_row(r: &CycleResult) -> Vec<Cell> {
    let (b, _) = r.flow();
    let mut cells: Vec<Cell> = vec![r.cycle.as_str().into(), (&r.day).into()];
    match b.road {
        RoadShares::Terms { air, rolling } => {
            cells.extend([air.into(), rolling.into(), Cell::Missing, Cell::Missing, Cell::Missing]);
        }
        RoadShares::Coefficients { road_load_constant, road_load_linear, road_load_square } => {
            cells.extend([
                Cell::Missing,
                Cell::Missing,
                road_load_constant.into(),
                road_load_linear.into(),
                road_load_square.into(),
            ])
        }
    }
    let rest = [
        b.climbing,
        b.kinetic,
        b.brake_drag,
        b.driveline,
        b.motor,
        b.inverter,
        b.dcdc,
        b.pack,
        b.ancillaries,
        b.friction_brakes,
        b.from_pack,
        b.imbalance,
    ];
    cells.extend(rest.map(Cell::from));
    cells
}
