//! `check`: what was understood, and every assumed value with the way to replace it.

use crownwheel::name::Name;
use crownwheel_quantities::rows;

use super::assumed_table;
use crate::sheet::{Look, Mark, Say, Section, Sheet};
use crate::{
    Assumption, Cell, CheckAnswer, GearSpeed, LineToAdd, LoadCase, Question, Rule, Table, Unit,
    Units,
};

/// What to do with the lines below.
const OWN_NUMBER: &str = "A line that is offered holds the assumed value: put your own in its place, with how unsure it is.";

impl CheckAnswer {
    /// The answer as people read it. What is assumed stands among its sections, with what to do about it.
    #[must_use]
    pub fn sheet(&self) -> Sheet {
        let build = Section::new("build", "The build")
            .by(&[Rule::Facts, Rule::ShaftSpeeds])
            .file(self.table())
            .shown(Look::Tight, self.fact_table())
            .file(self.days_table())
            .shown(Look::Tight, self.short_days_table())
            .file(self.gears_table())
            .shown(Look::Tight, self.gear_speeds_table())
            .table(Look::Tight, self.stages_table())
            .list("Lines that would narrow the answers most", Mark::None, self.lines());
        let assumed = Section::new("assumed", "Assumed, and how to find it out")
            .file(self.assumed_table())
            .list(&assumed_table(&[]).title, Mark::None, self.entries());
        Sheet::new(&self.plain, &self.notes, &self.provenance, vec![build, assumed])
            .warning(&self.warnings, &self.cautions)
    }

    /// What was understood, one row.
    #[must_use]
    pub fn table(&self) -> Table {
        let of = |quantity, value: f64| Cell::from(value).of(&Question::of(quantity));
        let driver = |quantity, kg: f64| {
            Cell::from(kg).of(&Question::of(quantity).loaded(LoadCase::DriverOnly))
        };
        Table::of("check", "What was understood", self.units, [self])
            .words("car", "car", |it| &it.car)
            .words("day", "day", |it| &it.day)
            .col("mass_kg", "mass with the driver", Unit::Kg, |it| driver(&rows::MASS, it.mass_kg))
            .col("front_axle_kg", "front axle", Unit::Kg, |it| {
                driver(&rows::FRONT_AXLE, it.front_axle_kg)
            })
            .col("rear_axle_kg", "rear axle", Unit::Kg, |it| {
                driver(&rows::REAR_AXLE, it.rear_axle_kg)
            })
            .col("effective_mass_kg", "effective mass", Unit::Kg, |it| it.effective_mass_kg)
            .col("rolling_radius_m", "rolling radius", Unit::M, |it| {
                of(&rows::ROLLING_RADIUS, it.rolling_radius_m)
            })
            .to(4)
            .col("overall_ratio", "overall ratio", Unit::None, |it| {
                of(&rows::OVERALL_RATIO, it.overall_ratio)
            })
            .to(3)
            .col("drag_area_m2", "drag area", Unit::M2, |it| {
                it.drag_area_m2.map(|area| of(&rows::DRAG_AREA, area))
            })
            .words("rolling_resistance", "rolling resistance", |it| {
                it.rolling_resistance.map(|value| of(&rows::ROLLING_RESISTANCE, value))
            })
            .to(4)
            .col("air_density_kgpm3", "air density", Unit::Kgpm3, |it| {
                density(it.air_density_kgpm3, &it.day)
            })
            .col("pack_energy_kwh", "pack energy", Unit::Kwh, |it| it.pack_energy_kwh)
            .col("pack_usable_kwh", "usable part", Unit::Kwh, |it| it.pack_usable_kwh)
            .col("pack_full_voltage_v", "pack voltage, full", Unit::V, |it| it.pack_full_voltage_v)
            .col("pack_empty_voltage_v", "pack voltage, empty", Unit::V, |it| {
                it.pack_empty_voltage_v
            })
            .col("short_circuit_a", "short-circuit current, full pack", Unit::A, |it| {
                it.short_circuit_a
            })
            .col("weakest_module_pct", "weakest module over the mean", Unit::Pct, |it| {
                it.weakest_module_pct
            })
            .col("back_emf_limit_rpm", "back-EMF over the inverter from", Unit::Rpm, |it| {
                it.back_emf_limit_rpm
            })
            .col("back_emf_limit_kmh", "the same on the road", Unit::Kmh, |it| {
                it.back_emf_limit_kmh
            })
            .table()
    }

    /// The same for people, a line for each fact.
    fn fact_table(&self) -> Table {
        self.table().without_empty_columns().as_facts("First day, full charge, driver aboard")
    }

    /// What was assumed, with what it matters for and the way to replace it, a row for each.
    #[must_use]
    pub fn assumed_table(&self) -> Table {
        Table::of("assumed", assumed_table(&[]).title, Units::Metric, &self.assumed)
            .words("key", "key", |it| it.key.as_str())
            .words("value", "value", |it| it.value.as_str())
            .words("band", "band", |it| it.band.as_deref())
            .words("source", "source", |it| it.source.as_str())
            .words("matters", "matters for", |it| it.matters.as_deref())
            .words("find_out", "find it out", |it| it.find_out.as_deref())
            .words("table", "table", |it| it.table.as_deref())
            .words("instead", "line instead", |it| it.instead.as_deref())
            .table()
    }

    /// What each day makes of pack and motor, a row for each.
    #[must_use]
    pub fn days_table(&self) -> Table {
        Table::of("check-days", "What each day makes of pack and motor", self.units, &self.days)
            .words("day", "day", |d| &d.day)
            .col("temperature_degc", "air", Unit::Degc, |d| d.temperature_degc)
            .col("pack_temperature_degc", "pack at start", Unit::Degc, |d| d.pack_temperature_degc)
            .col("altitude_m", "altitude", Unit::M, |d| d.altitude_m)
            .to(0)
            .col("air_density_kgpm3", "air density", Unit::Kgpm3, |d| {
                density(d.air_density_kgpm3, &d.day)
            })
            .col("floor_pct", "runs end at", Unit::Pct, |d| d.floor_pct)
            .col("usable_kwh", "usable", Unit::Kwh, |d| d.usable_kwh)
            .col("continuous_heat_pct", "lasting motor heat", Unit::Pct, |d| d.continuous_heat_pct)
            .to(0)
            .table()
    }

    fn short_days_table(&self) -> Table {
        let days = self.days_table();
        let keys = days.columns.iter().map(|column| column.key.clone());
        days.pick(&keys.filter(|key| !key.starts_with("air_density")).collect::<Vec<_>>())
    }

    /// Motor speed by gear and road speed, a row for each pair.
    #[must_use]
    pub fn gears_table(&self) -> Table {
        Table::of("check-gears", "Motor speed in each gear", self.units, &self.gears)
            .words("gear", "gear", |g| g.gear)
            .to(0)
            .words("overall_ratio", "overall ratio", |g| g.overall_ratio)
            .to(3)
            .col("speed_kmh", "speed", Unit::Kmh, |g| g.speed_kmh)
            .col("motor_speed_rpm", "motor speed", Unit::Rpm, |g| g.motor_speed_rpm)
            .words("over_motor_speed", "over the motor's highest", |g| g.over_motor_speed)
            .table()
    }

    /// Motor speed in each gear (rows) at each road speed (columns); `too fast` where the motor must not turn
    /// so fast. Empty without a gearbox.
    fn gear_speeds_table(&self) -> Table {
        let mut gears: Vec<&GearSpeed> = self.gears.iter().collect();
        gears.dedup_by_key(|it| it.gear);
        let first = gears.first().map_or(0, |it| it.gear);
        let speeds = self.gears.iter().filter(|it| it.gear == first).map(|it| it.speed_kmh);
        let start = Table::of("", "Motor speed in each gear", self.units, gears)
            .words("gear", "gear", |it| it.gear)
            .to(0)
            .words("overall_ratio", "overall ratio", |it| it.overall_ratio)
            .to(2);
        let cell = |it: &GearSpeed| match it.over_motor_speed {
            true => Cell::from("too fast"),
            false => Cell::from(it.motor_speed_rpm),
        };
        let all = speeds.enumerate().fold(start, |rows, (place, speed_kmh)| {
            let nth = |gear: u32| self.gears.iter().filter(move |it| it.gear == gear).nth(place);
            let head = format!("rpm at {}", self.units.text(speed_kmh, Unit::Kmh));
            rows.words("", head, |it| nth(it.gear).map(cell)).to(0).right()
        });
        all.table()
    }

    /// What each stage of the driveline is asked to bear, a row for each.
    #[must_use]
    pub fn stages_table(&self) -> Table {
        let title = "What each stage is asked to bear, at its input";
        Table::of("check-stages", title, self.units, &self.stages)
            .words("stage", "stage", |s| s.stage.as_str())
            .col("launch_torque_nm", "at full torque", Unit::Nm, |s| s.launch_torque_nm)
            .to(0)
            .col("max_torque_nm", "allowed", Unit::Nm, |s| s.max_torque_nm)
            .to(0)
            .col("original_torque_nm", "by the engine, first gear", Unit::Nm, |s| {
                s.original_torque_nm
            })
            .to(0)
            .col("top_speed_rpm", "at the highest speed", Unit::Rpm, |s| s.top_speed_rpm)
            .col("max_speed_rpm", "allowed", Unit::Rpm, |s| s.max_speed_rpm)
            .table()
    }

    /// Lines of which it is known by how much they narrow; all of them where it is known of none.
    fn lines(&self) -> Vec<Vec<Say>> {
        let known = |line: &&LineToAdd| line.band_shrinks_pct.is_some();
        let knows = self.lines_to_add.iter().any(|line| known(&line));
        let shown = self.lines_to_add.iter().filter(|line| !knows || known(line));
        shown.map(|it| vec![Say::Line(it.line.clone()), Say::Words(it.why.clone())]).collect()
    }

    /// What is assumed, the values that a line would narrow most first; keys that are alike stand together.
    fn entries(&self) -> Vec<Vec<Say>> {
        let place = |given: &&Assumption| {
            let place = self.lines_to_add.iter().position(|line| line.key == given.key);
            place.unwrap_or(self.lines_to_add.len())
        };
        let mut ordered: Vec<&Assumption> = self.assumed.iter().collect();
        ordered.sort_by_key(place);
        let mut groups: Vec<Vec<&Assumption>> = Vec::new();
        for given in ordered {
            match groups.iter_mut().find(|group| alike(group[0], given)) {
                Some(group) => group.push(given),
                None => groups.push(vec![given]),
            }
        }
        let first = (!groups.is_empty()).then(|| vec![Say::Words(OWN_NUMBER.to_owned())]);
        first.into_iter().chain(groups.iter().map(|group| entry(group))).collect()
    }
}

fn density(value: f64, day: &Name) -> Cell {
    Cell::from(value).of(&Question::of(&rows::AIR_DENSITY).on_day(day))
}

fn alike(a: &Assumption, b: &Assumption) -> bool {
    let said = |it: &Assumption| {
        let (band, matters, find_out) = (it.band.clone(), it.matters.clone(), it.find_out.clone());
        (it.value.clone(), band, it.source.clone(), matters, find_out)
    };
    said(a) == said(b)
}

fn entry(group: &[&Assumption]) -> Vec<Say> {
    let given = group[0];
    let keys: Vec<&str> = group.iter().map(|it| it.key.as_str()).collect();
    let band = given.band.as_ref().map_or_else(String::new, |band| format!(" {band}"));
    let head = format!("{} = {}{band}: {}", keys.join(", "), given.value, given.source);
    let matters = given.matters.iter().map(|it| format!("matters for: {it}"));
    let how = given.find_out.iter().map(|it| format!("find it out: {it}"));
    let mut said: Vec<Say> =
        std::iter::once(head).chain(matters).chain(how).map(Say::Words).collect();
    let instead = group.iter().filter_map(|it| Some((it.table.as_ref()?, it.instead.as_ref()?)));
    said.extend(instead.map(|(table, line)| Say::Line(format!("then, in [{table}]: {line}"))));
    if group.iter().all(|it| it.instead.is_none()) {
        let follows = "it follows from other keys of the build: write it in their place";
        said.push(Say::Line(follows.to_owned()));
    }
    said
}
