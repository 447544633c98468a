//! Sections with figures: weights, range, pull, charging, drives, motor, energy.

use crownwheel_answers::tables::measure_table;
use crownwheel_answers::{LoadCase, Rule, Topic, Unit, Units};
use crownwheel_quantities::{Question, rows};
use maud::{Markup, html};

use super::parts::{Narrow, Rows, caution, figure, list, range_matrix};
use super::workings::Workings;
use crate::{FigureError, Figures, ReportInput};

pub(super) fn weights(
    input: &ReportInput,
    figures: &Figures,
    all: &Workings,
) -> Result<Markup, FigureError> {
    let grid = input.weigh.case_grid();
    let link = |_: usize, head: &str, row: &[String]| {
        let case = LoadCase::ALL.into_iter().find(|case| case.label() == head)?;
        let label = row.first()?;
        let of = [
            ("front axle,", &rows::FRONT_AXLE),
            ("rear axle,", &rows::REAR_AXLE),
            ("whole car,", &rows::MASS),
        ];
        let (_, quantity) = of.into_iter().find(|(start, _)| label.starts_with(start))?;
        all.anchor(&Question::of(quantity).loaded(case))
    };
    Ok(html! {
        div.pair {
            div {
                (figure(&figures.corners, Rule::Weights)?)
                (list(&input.weigh.notes))
                (caution(Topic::AxleLoads))
                (caution(Topic::Brakes))
            }
            div {
                (Rows::new("Corner weights and what is left", &grid, Narrow::Tight, Rule::Weights).linked(&link))
            }
        }
    })
}

pub(super) fn range(
    input: &ReportInput,
    figures: &Figures,
    all: &Workings,
) -> Result<Markup, FigureError> {
    let measured = measure_table(&input.range.measure_next, input.units()).without_empty_columns();
    let link = |_: usize, head: &str, row: &[String]| {
        let of = [("range", &rows::RANGE), ("use", &rows::USE)];
        let (_, quantity) = of.into_iter().find(|it| head.split(',').next() == Some(it.0))?;
        let [cycle, day, ..] = row else { return None };
        all.anchor(&Question::of(quantity).on_cycle(cycle.as_str()).on_day(day.as_str()))
    };
    let grid = input.range.short_grid();
    Ok(html! {
        div.pair {
            div { (figure(&figures.steady, Rule::SteadyRange)?) }
            div {
                (range_matrix(&input.range))
                (list(&input.range.notes))
            }
        }
        (Rows::new("Use and range per cycle and day", &grid, Narrow::Stacked, Rule::Range).linked(&link))
        @if !input.range.measure_next.is_empty() {
            (Rows::new("What to measure next", &measured.grid(), Narrow::Stacked, Rule::MeasureNext))
        }
    })
}

/// Rows of the times, with what they answer.
fn times() -> [(&'static str, Question); 7] {
    let time = |from_kmh, to_kmh| Question::of(&rows::TIME).between(from_kmh, to_kmh);
    [
        ("0 to 50 km/h", time(0.0, 50.0)),
        ("0 to 100 km/h", time(0.0, 100.0)),
        ("0 to 60 mph", time(0.0, Units::Us.usual_sprint_kmh())),
        ("50 to 80 km/h", time(50.0, 80.0)),
        ("80 to 120 km/h", time(80.0, 120.0)),
        ("top speed on the flat", Question::of(&rows::TOP_SPEED)),
        ("steepest start", Question::of(&rows::START_GRADE)),
    ]
}

pub(super) fn pull(
    input: &ReportInput,
    figures: &Figures,
    all: &Workings,
) -> Result<Markup, FigureError> {
    let Some(pull) = &input.pull else { return Ok(html! { p { "Pull was not asked for." } }) };
    let about = [Rule::Pull, Rule::FullThrottle, Rule::Hills];
    let drawn = figures.pull.iter().zip(about).map(|(it, about)| figure(it, about));
    let drawn = drawn.collect::<Result<Vec<_>, _>>()?;
    let of_times = |_: usize, head: &str, row: &[String]| {
        let (_, question) =
            times().into_iter().find(|(what, _)| row.first().is_some_and(|it| it == what))?;
        all.anchor(&question.on_day(&pull.day)).filter(|_| head == "value")
    };
    let hold = |row: usize, head: &str, _: &[String]| {
        let line = pull.hold.get(row).filter(|_| head == "grade, %")?;
        let held = Question::of(&rows::HOLD_GRADE).at_kmh(line.speed_kmh);
        all.anchor(&held.on_day(&pull.day))
    };
    let shafts = |row: usize, head: &str, _: &[String]| {
        let shaft = pull.shafts.get(row).filter(|_| head == "motor, rpm")?;
        let speed = Question::of(&rows::MOTOR_SPEED).at_kmh(shaft.speed_kmh);
        all.anchor_of_value(&speed, shaft.motor_speed_rpm)
    };
    let rows = |title, grid, narrow, about| Rows::owned(title, grid, narrow, about);
    Ok(html! {
        div.pair { @for drawing in &drawn { div { (drawing) } } }
        (rows("At full throttle", pull.times_grid(), Narrow::Tight, Rule::FullThrottle).linked(&of_times))
        (caution(Topic::FullThrottle))
        (rows("Steepest grades held, and how long", pull.hold_grid(), Narrow::Stacked, Rule::Hills).linked(&hold))
        (rows("The hills of the build, and half an hour on the flat", pull.hill_grid(), Narrow::Stacked, Rule::Hills))
        (rows("Hardest braking by the motor alone", pull.overrun_table().grid(), Narrow::Stacked, Rule::Overrun))
        (caution(Topic::Brakes))
        (rows("Braking: axle loads at 0.5 g, and locking by the motor alone in the wet", pull.braking_table().grid(), Narrow::Stacked, Rule::Braking))
        (rows("Where each gear ends, downhill too", pull.over_rev_table().grid(), Narrow::Tight, Rule::ShaftSpeeds))
        (rows("Shaft speeds", pull.shaft_table().grid(), Narrow::Stacked, Rule::ShaftSpeeds).linked(&shafts))
    })
}

pub(super) fn charging(
    input: &ReportInput,
    figures: &Figures,
    all: &Workings,
) -> Result<Markup, FigureError> {
    let charge = input.charge.as_ref().filter(|charge| !charge.supplies.is_empty());
    let Some(charge) = charge else {
        return Ok(html! { p { "The build names no supply to charge from." } });
    };
    let drawn = figures.charging.as_ref().map(|it| figure(it, Rule::Charging)).transpose()?;
    let grid = charge.supply_grid();
    let link = |row: usize, head: &str, _: &[String]| {
        let supply = charge.supplies.get(row).filter(|_| head == "hours")?;
        let hours = Question::of(&rows::CHARGE_HOURS).at_supply(&supply.name);
        let hours = hours.from_pct(charge.from_pct).to_pct(charge.to_pct);
        all.anchor(&hours.on_day(&charge.day))
    };
    Ok(html! {
        div.pair {
            div { @if let Some(drawing) = &drawn { (drawing) } }
            div {
                (Rows::new("Charging at each supply", &grid, Narrow::Stacked, Rule::Charging).linked(&link))
                (list(&charge.notes))
                (caution(Topic::Supply))
                (caution(Topic::HighVoltage))
            }
        }
    })
}

pub(super) fn drives(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let drawn = figures.cycles.iter().map(|it| figure(it, Rule::Cycle));
    let drawn = drawn.collect::<Result<Vec<_>, _>>()?;
    let gears = input.range.gear_use_grid();
    Ok(html! {
        div.pair { @for drawing in &drawn { div { (drawing) } } }
        @if !gears.rows.is_empty() {
            (Rows::new("Time in each gear, one cycle from full", &gears, Narrow::Tight, Rule::Cycle))
        }
    })
}

pub(super) fn motor(input: &ReportInput, figures: &Figures) -> Result<Markup, FigureError> {
    let windows = figures.windows.as_ref().map(|it| figure(it, Rule::Windows)).transpose()?;
    let worst = input.range.worst_windows_grid().turned();
    Ok(html! {
        div.pair {
            div { (figure(&figures.motor, Rule::Motor)?) }
            div { @if let Some(drawing) = &windows { (drawing) } }
            div {
                (Rows::new("Worst rolling values of all cycles and days", &worst, Narrow::Tight, Rule::Windows))
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
            div { (figure(&figures.balance, Rule::Balance)?) }
            div {
                (Rows::new("Braking energy, beside the balance", &braking, Narrow::Tight, Rule::Balance))
            }
        }
        (Rows::new(&title, &balance, Narrow::Stacked, Rule::Balance))
    })
}
