//! Sections with figures: weights, range, pull, charging, drives, motor, energy.

use crownwheel_answers::from_car::speed_word;
use crownwheel_answers::tables::measure_table;
use crownwheel_answers::{LoadCase, Reckoned, Topic, Unit};
use maud::{Markup, html};

use super::parts::{Narrow, Rows, caution, figure, list, range_matrix};
use super::reckonings::Reckonings;
use crate::{FigureError, Figures, ReportInput};

pub(super) fn weights(
    input: &ReportInput,
    figures: &Figures,
    all: &Reckonings,
) -> Result<Markup, FigureError> {
    let grid = input.weigh.case_grid();
    let link = |_: usize, head: &str, row: &[String]| {
        let case = LoadCase::ALL.into_iter().find(|case| case.label() == head)?.key();
        let label = row.first()?;
        let of = [
            ("front axle,", "axle_load.front"),
            ("rear axle,", "axle_load.rear"),
            ("whole car,", "mass"),
        ];
        let (_, name) = of.into_iter().find(|(start, _)| label.starts_with(start))?;
        all.anchor(&format!("{name}.{case}"))
    };
    Ok(html! {
        div.pair {
            div {
                (figure(&figures.corners, Reckoned::Weights)?)
                (list(&input.weigh.notes))
                (caution(Topic::AxleLoads))
                (caution(Topic::Brakes))
            }
            div {
                (Rows::new("Corner weights and what is left", &grid, Narrow::Tight, Reckoned::Weights).linked(&link))
            }
        }
    })
}

pub(super) fn range(
    input: &ReportInput,
    figures: &Figures,
    all: &Reckonings,
) -> Result<Markup, FigureError> {
    let measured = measure_table(&input.range.measure_next, input.units()).without_empty_columns();
    let link = |_: usize, head: &str, row: &[String]| {
        let what = ["range", "use"].into_iter().find(|it| head.split(',').next() == Some(it))?;
        let [cycle, day, ..] = row else { return None };
        all.anchor(&format!("{what}.{cycle}.{day}"))
    };
    let grid = input.range.short_grid();
    Ok(html! {
        div.pair {
            div { (figure(&figures.steady, Reckoned::SteadyRange)?) }
            div {
                (range_matrix(&input.range))
                (list(&input.range.notes))
            }
        }
        (Rows::new("Use and range per cycle and day", &grid, Narrow::Stacked, Reckoned::Range).linked(&link))
        @if !input.range.measure_next.is_empty() {
            (Rows::new("What to measure next", &measured.grid(), Narrow::Stacked, Reckoned::MeasureNext))
        }
    })
}

/// Rows of the times, with the names of their answers.
const TIMES: [(&str, &str); 7] = [
    ("0 to 50 km/h", "time.kmh_0_50"),
    ("0 to 100 km/h", "time.kmh_0_100"),
    ("0 to 60 mph", "time.mph_0_60"),
    ("50 to 80 km/h", "time.kmh_50_80"),
    ("80 to 120 km/h", "time.kmh_80_120"),
    ("top speed on the flat", "top_speed"),
    ("steepest start", "start_grade"),
];

pub(super) fn pull(
    input: &ReportInput,
    figures: &Figures,
    all: &Reckonings,
) -> Result<Markup, FigureError> {
    let Some(pull) = &input.pull else { return Ok(html! { p { "Pull was not asked for." } }) };
    let about = [Reckoned::Pull, Reckoned::FullThrottle, Reckoned::Hills];
    let drawn = figures.pull.iter().zip(about).map(|(it, about)| figure(it, about));
    let drawn = drawn.collect::<Result<Vec<_>, _>>()?;
    let word = |speed_kmh: f64| speed_word(speed_kmh, input.units());
    let times = |_: usize, head: &str, row: &[String]| {
        let (_, name) =
            TIMES.into_iter().find(|(what, _)| row.first().is_some_and(|it| it == what))?;
        all.anchor(&format!("{name}.{}", pull.day)).filter(|_| head == "value")
    };
    let hold = |row: usize, head: &str, _: &[String]| {
        let speed = word(pull.hold.get(row)?.speed_kmh).filter(|_| head == "grade, %")?;
        all.anchor(&format!("hold_grade.{speed}.{}", pull.day))
    };
    let shafts = |row: usize, head: &str, _: &[String]| {
        let shaft = pull.shafts.get(row).filter(|_| head == "motor, rpm")?;
        let speed = word(shaft.speed_kmh)?;
        all.anchor_of_value(&format!("motor_speed.{speed}"), shaft.motor_speed_rpm)
    };
    let rows = |title, grid, narrow, about| Rows::owned(title, grid, narrow, about);
    Ok(html! {
        div.pair { @for drawing in &drawn { div { (drawing) } } }
        (rows("At full throttle", pull.times_grid(), Narrow::Tight, Reckoned::FullThrottle).linked(&times))
        (caution(Topic::FullThrottle))
        (rows("Steepest grades held, and how long", pull.hold_grid(), Narrow::Stacked, Reckoned::Hills).linked(&hold))
        (rows("The hills of the build, and half an hour on the flat", pull.hill_grid(), Narrow::Stacked, Reckoned::Hills))
        (rows("Hardest braking by the motor alone", pull.overrun_table().grid(), Narrow::Stacked, Reckoned::Overrun))
        (caution(Topic::Brakes))
        (rows("Braking: axle loads at 0.5 g, and locking by the motor alone in the wet", pull.braking_table().grid(), Narrow::Stacked, Reckoned::Braking))
        (rows("Where each gear ends, downhill too", pull.over_rev_table().grid(), Narrow::Tight, Reckoned::ShaftSpeeds))
        (rows("Shaft speeds", pull.shaft_table().grid(), Narrow::Stacked, Reckoned::ShaftSpeeds).linked(&shafts))
    })
}

pub(super) fn charging(
    input: &ReportInput,
    figures: &Figures,
    all: &Reckonings,
) -> Result<Markup, FigureError> {
    let charge = input.charge.as_ref().filter(|charge| !charge.supplies.is_empty());
    let Some(charge) = charge else {
        return Ok(html! { p { "The build names no supply to charge from." } });
    };
    let drawn = figures.charging.as_ref().map(|it| figure(it, Reckoned::Charging)).transpose()?;
    let grid = charge.supply_grid();
    let link = |row: usize, head: &str, _: &[String]| {
        let supply = charge.supplies.get(row).filter(|_| head == "hours")?;
        all.anchor(&format!("charge_hours.{}.{}", supply.name, charge.day))
    };
    Ok(html! {
        div.pair {
            div { @if let Some(drawing) = &drawn { (drawing) } }
            div {
                (Rows::new("Charging at each supply", &grid, Narrow::Stacked, Reckoned::Charging).linked(&link))
                (list(&charge.notes))
                (caution(Topic::Supply))
                (caution(Topic::HighVoltage))
            }
        }
    })
}

pub(super) fn drives(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let drawn = figures.cycles.iter().map(|it| figure(it, Reckoned::Cycle));
    let drawn = drawn.collect::<Result<Vec<_>, _>>()?;
    let gears = input.range.gear_use_grid();
    Ok(html! {
        div.pair { @for drawing in &drawn { div { (drawing) } } }
        @if !gears.rows.is_empty() {
            (Rows::new("Time in each gear, one cycle from full", &gears, Narrow::Tight, Reckoned::Cycle))
        }
    })
}

pub(super) fn motor(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let windows = figures.windows.as_ref().map(|it| figure(it, Reckoned::Windows)).transpose()?;
    let worst = input.range.worst_windows_grid().turned();
    Ok(html! {
        div.pair {
            div { (figure(&figures.motor, Reckoned::Motor)?) }
            div { @if let Some(drawing) = &windows { (drawing) } }
            div {
                (Rows::new("Worst rolling values of all cycles and days", &worst, Narrow::Tight, Reckoned::Windows))
                (caution(Topic::Currents))
            }
        }
    })
}

pub(super) fn energy(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let title =
        format!("Energy balance from full to empty, {}", input.units().symbol(Unit::WhPerKm));
    let (braking, balance) = (input.range.braking_grid(), input.range.balance_grid());
    Ok(html! {
        div.pair {
            div { (figure(&figures.balance, Reckoned::Balance)?) }
            div {
                (Rows::new("Braking energy, beside the balance", &braking, Narrow::Tight, Reckoned::Balance))
            }
        }
        (Rows::new(&title, &balance, Narrow::Stacked, Reckoned::Balance))
    })
}
