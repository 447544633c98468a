//! Figures and the self-contained HTML report, made from answers.
//!
//! [`files`] turns a [`ReportInput`] into everything that a report folder holds: the page, its
//! figures as files, and every table as CSV and JSON. It writes nothing; the caller does. The same
//! input gives the same bytes. [`sweep_files`] does the same for a [`SweepInput`].

mod chart;
mod figures;
mod ink;
pub mod inline;
mod page;
mod render;
mod sketch;
mod svg;
mod sweep;
mod thin;

use crownwheel_answers::from_car::InputText;
use crownwheel_answers::sweep::Answers;
use crownwheel_answers::tables::{
    assumed_table, bands_table, inputs_table, measure_table, warnings_table,
};
use crownwheel_answers::{
    Assumption, AuditAnswer, ChargeAnswer, CheckAnswer, CoastDownAnswer, CycleTrace, DemandsAnswer,
    ExplainAnswer, MotorCurve, PullAnswer, RangeAnswer, SinceAnswer, Table, TripAnswer, Units,
    Warning, WeighAnswer, WindowQuantity, json,
};
use serde::Serialize;

pub use sketch::FigureError;
use sketch::Sketch;
pub use sweep::{SweepInput, sweep_files};

/// What a report is made from.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ReportInput {
    /// What changed since the report that stood in the same folder. `None`: none did, or it is not known.
    pub since: Option<SinceAnswer>,
    /// What was understood. Its provenance and its units stand for the whole report.
    pub check: CheckAnswer,
    /// Weights.
    pub weigh: WeighAnswer,
    /// Use and range.
    pub range: RangeAnswer,
    /// Tractive effort, times, hills. `None`: not asked.
    pub pull: Option<PullAnswer>,
    /// Charging. `None`: not asked.
    pub charge: Option<ChargeAnswer>,
    /// How the car does by its demands. `None`: it has none, or no worlds were drawn.
    pub demands: Option<DemandsAnswer>,
    /// How numbers of the page are computed.
    #[serde(skip)]
    pub explained: Vec<ExplainAnswer>,
    /// Every input of the build, as it is written or assumed.
    #[serde(skip)]
    pub inputs: Vec<InputText>,
    /// Limits of the battery current that the build states, with their names, A.
    pub current_limits_a: Vec<(String, f64)>,
    /// Cycles to show in full, each driven once from full charge.
    #[serde(skip)]
    pub traces: Vec<CycleTrace>,
    /// The motor at the voltages that matter, highest first.
    pub motor_curves: Vec<MotorCurve>,
    /// Draw each figure as PNG too.
    #[serde(skip)]
    pub png: bool,
}

impl ReportInput {
    /// Units of the whole report.
    fn units(&self) -> Units {
        self.check.units
    }

    /// What was assumed for any of the answers, each key once.
    fn assumed(&self) -> Vec<Assumption> {
        let mut all: Vec<Assumption> = Vec::new();
        for assumed in
            self.check.assumed.iter().chain(&self.weigh.assumed).chain(&self.range.assumed)
        {
            if !all.iter().any(|known| known.key == assumed.key) {
                all.push(assumed.clone());
            }
        }
        all
    }

    /// The warnings of all answers, each text once.
    #[must_use]
    pub fn warnings(&self) -> Vec<Warning> {
        let mut all: Vec<Warning> = Vec::new();
        let first = self.check.warnings.iter().chain(&self.weigh.warnings);
        let pull = self.pull.iter().flat_map(|pull| &pull.warnings);
        let charge = self.charge.iter().flat_map(|charge| &charge.warnings);
        for warning in first.chain(&self.range.warnings).chain(pull).chain(charge) {
            if !all.contains(warning) {
                all.push(warning.clone());
            }
        }
        all
    }

    /// Bands of times and grades; empty without worlds.
    fn pull_bands(&self) -> Answers {
        self.pull.as_ref().map(|pull| pull.bands.clone()).unwrap_or_default()
    }

    /// Bands of charging times; empty without worlds.
    fn charge_bands(&self) -> Answers {
        self.charge.as_ref().map(|charge| charge.bands.clone()).unwrap_or_default()
    }

    /// Every table with the name of its file.
    fn tables(&self) -> Vec<(String, Table)> {
        let usual = vec![
            self.check.table(),
            self.check.days_table(),
            self.check.stages_table(),
            self.weigh.table(),
            self.weigh.limits_table(),
            self.range.table(),
            self.range.steady_table(),
            self.range.balance_table(),
            self.range.binding_table(),
            self.range.windows_table(),
            MotorCurve::table(&self.motor_curves).shown_in(self.units()),
            assumed_table(&self.assumed()),
            warnings_table(&self.warnings()),
        ];
        // Only a gearbox has these.
        let of_gearbox = [self.check.gears_table(), self.range.gears_table()];
        let of_gearbox = of_gearbox.into_iter().filter(|table| !table.rows.is_empty());
        let pull = self.pull.iter().flat_map(|pull| {
            let more = [
                pull.table(),
                pull.hold_table(),
                pull.hill_table(),
                pull.hill_windows_table(),
                pull.braking_table(),
                pull.over_rev_table(),
                pull.overrun_table(),
                pull.shaft_table(),
            ];
            more.into_iter().chain(pull.less_charge_tables())
        });
        let charge = self.charge.iter().flat_map(|charge| [charge.table(), charge.points_table()]);
        let units = self.units();
        // Only worlds give these.
        let of_worlds = [
            measure_table(&self.range.measure_next, units),
            bands_table("pull-bands", &self.pull_bands(), units),
            bands_table("charge-bands", &self.charge_bands(), units),
        ];
        let of_worlds = of_worlds.into_iter().filter(|table| !table.rows.is_empty());
        let mut tables: Vec<(String, Table)> = usual
            .into_iter()
            .chain(of_gearbox)
            .chain(pull)
            .chain(charge)
            .chain(of_worlds)
            .chain(self.demands.iter().map(DemandsAnswer::table))
            .chain((!self.inputs.is_empty()).then(|| inputs_table(&self.inputs)))
            .map(|table| (table.name.to_owned(), table))
            .collect();
        let traces = self.traces.iter().enumerate();
        tables.extend(
            traces.map(|(i, trace)| (trace_slug(i, trace), trace.table().shown_in(self.units()))),
        );
        tables
    }

    fn figures(&self) -> Figures {
        let cycle = |(i, trace): (usize, &CycleTrace)| {
            let result =
                self.range.results.iter().find(|r| r.cycle == trace.cycle && r.day == trace.day);
            figures::cycle(trace, result, &trace_slug(i, trace), self.units())
        };
        Figures {
            corners: figures::corners(&self.weigh),
            steady: figures::steady(&self.range),
            cycles: self.traces.iter().enumerate().map(cycle).collect(),
            motor: figures::motor(&self.motor_curves, &self.traces, self.units()),
            balance: figures::balance(&self.range),
            pull: self.pull.iter().flat_map(pull_figures).collect(),
            windows: (!self.range.results.is_empty() && !self.current_limits_a.is_empty())
                .then(|| self.current_windows()),
            charging: self
                .charge
                .as_ref()
                .filter(|charge| !charge.supplies.is_empty())
                .map(figures::charging),
        }
    }
}

impl ReportInput {
    fn current_windows(&self) -> Sketch {
        let limits: Vec<(&str, f64)> =
            self.current_limits_a.iter().map(|(name, amps)| (name.as_str(), *amps)).collect();
        figures::windows(&self.range, WindowQuantity::BatteryCurrentRms, &limits)
    }
}

/// Figures of a pull answer; heat on hills only if there are any.
fn pull_figures(pull: &PullAnswer) -> Vec<Sketch> {
    let mut drawn = vec![figures::tractive_effort(pull), figures::full_throttle(pull)];
    if pull.hills.iter().any(|hill| !hill.heat.is_empty()) {
        drawn.push(figures::hill_heat(pull));
    }
    drawn
}

/// The figures of a report.
struct Figures {
    corners: Sketch,
    steady: Sketch,
    cycles: Vec<Sketch>,
    motor: Sketch,
    balance: Sketch,
    pull: Vec<Sketch>,
    windows: Option<Sketch>,
    charging: Option<Sketch>,
}

impl Figures {
    fn all(&self) -> impl Iterator<Item = &Sketch> {
        [&self.corners, &self.steady]
            .into_iter()
            .chain(&self.pull)
            .chain(&self.charging)
            .chain(&self.cycles)
            .chain([&self.motor])
            .chain(&self.windows)
            .chain([&self.balance])
    }
}

/// Every file of a report: its name below the report's folder, with `/`, and its bytes.
///
/// # Errors
/// A figure could not be drawn.
pub fn files(input: &ReportInput) -> Result<Vec<(String, Vec<u8>)>, FigureError> {
    let figures = input.figures();
    let tables = input.tables();
    let page = page::page(input, &figures, &tables)?;
    let mut files = vec![
        ("report.html".to_owned(), page.into_bytes()),
        ("report.json".to_owned(), json_bytes(input, input.units())),
    ];
    for figure in figures.all() {
        files.push((format!("figures/{}.svg", figure.slug), svg::file_svg(figure)?.into_bytes()));
        if input.png {
            files.push((format!("figures/{}.png", figure.slug), render::png(figure)?));
        }
    }
    for (name, table) in &tables {
        files.push((format!("tables/{name}.csv"), table.csv(&input.check.provenance).into_bytes()));
        if has_json(table) {
            // A table knows its units already.
            files.push((format!("tables/{name}.json"), json_bytes(table, Units::Metric)));
        }
    }
    Ok(files)
}

/// The figure of a coast-down: name of its file and its bytes.
///
/// # Errors
/// It could not be drawn.
pub fn coast_down_figure(answer: &CoastDownAnswer) -> Result<(String, Vec<u8>), FigureError> {
    figure_file(&figures::coast_down(answer))
}

/// The figure of a trip: name of its file and its bytes.
///
/// # Errors
/// It could not be drawn.
pub fn trip_figure(answer: &TripAnswer) -> Result<(String, Vec<u8>), FigureError> {
    figure_file(&figures::trip(answer))
}

/// The figure of an audit: name of its file and its bytes.
///
/// # Errors
/// It could not be drawn.
pub fn audit_figure(answer: &AuditAnswer) -> Result<(String, Vec<u8>), FigureError> {
    figure_file(&figures::audit(answer))
}

fn figure_file(sketch: &Sketch) -> Result<(String, Vec<u8>), FigureError> {
    Ok((format!("{}.svg", sketch.slug), svg::file_svg(sketch)?.into_bytes()))
}

/// Rows above which a table is written as CSV only: as JSON every sample repeats every key.
const MOST_JSON_ROWS: usize = 20_000;

/// Whether a table is short enough to be written as JSON too.
fn has_json(table: &Table) -> bool {
    table.rows.len() <= MOST_JSON_ROWS
}

/// Keys stay in the order of the fields.
fn json_bytes(value: &impl Serialize, units: Units) -> Vec<u8> {
    json::text(value, units).expect("plain data with string keys").into_bytes()
}

/// A file name that no cycle name can break out of: `cycle-1-wltc3b-mild`.
fn trace_slug(index: usize, trace: &CycleTrace) -> String {
    let plain = |text: &str| -> String {
        let letters = text
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' });
        letters.take(24).collect::<String>().trim_matches('-').to_owned()
    };
    format!("cycle-{}-{}-{}", index + 1, plain(&trace.cycle), plain(&trace.day))
}
