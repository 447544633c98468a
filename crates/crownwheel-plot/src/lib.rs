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

use crownwheel_answers::explain::InputText;
use crownwheel_answers::sheets::{inputs_table, warnings_table};
use crownwheel_answers::{
    AuditAnswer, ChargeAnswer, CheckAnswer, CoastDownAnswer, CompareAnswer, CycleTrace,
    DemandsAnswer, ExplainAnswer, MotorCurve, Provenance, PullAnswer, RangeAnswer, Sheet, Table,
    TripAnswer, Units, Warning, WeighAnswer, WindowQuantity, json,
};
use maud::html;
use page::{Page, Workings, alarm};
use serde::Serialize;

pub use sketch::FigureError;
use sketch::Sketch;
pub use sweep::{SweepInput, sweep_files};

/// What a report is made from.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ReportInput {
    /// What changed since the report that stood in the same folder. `None`: none did, or it is not known.
    pub since: Option<CompareAnswer>,
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

    /// The answers in the order of the page.
    fn sheets(&self) -> Vec<Sheet> {
        let demands = self.demands.iter().map(DemandsAnswer::sheet);
        let first = demands.chain([self.weigh.sheet(), self.range.sheet()]);
        let pull = self.pull.iter().map(PullAnswer::sheet);
        let charge = self.charge.iter().map(ChargeAnswer::sheet);
        first.chain(pull).chain(charge).chain([self.check.sheet()]).collect()
    }

    /// Every table that is written.
    fn tables(&self, sheets: &[Sheet]) -> Vec<Table> {
        let mut all: Vec<Table> = sheets.iter().flat_map(Sheet::tables).cloned().collect();
        all.push(MotorCurve::table(&self.motor_curves, self.units()));
        all.push(warnings_table(&self.warnings()));
        all.push(inputs_table(&self.inputs));
        all.retain(|table| !table.rows.is_empty());
        all.extend(self.traces.iter().enumerate().map(|(i, trace)| {
            let name = trace_slug(i, trace).into();
            Table { name, ..trace.table(self.units()) }
        }));
        all
    }

    /// The figures in the order of the page.
    fn figures(&self) -> Vec<Sketch> {
        let cycle = |(i, trace): (usize, &CycleTrace)| {
            let result =
                self.range.results.iter().find(|r| r.cycle == trace.cycle && r.day == trace.day);
            figures::cycle(trace, result, &trace_slug(i, trace), self.units())
        };
        let supplied = self.charge.as_ref().filter(|charge| !charge.supplies.is_empty());
        let limited = !self.range.results.is_empty() && !self.current_limits_a.is_empty();
        let mut all = vec![figures::corners(&self.weigh), figures::steady(&self.range)];
        all.extend(self.pull.iter().flat_map(pull_figures));
        all.extend(supplied.map(figures::charging));
        all.extend(self.traces.iter().enumerate().map(cycle));
        all.push(figures::motor(&self.motor_curves, &self.traces, self.units()));
        all.extend(limited.then(|| self.current_windows()));
        all.push(figures::balance(&self.range));
        all
    }

    fn current_windows(&self) -> Sketch {
        let limits: Vec<(&str, f64)> =
            self.current_limits_a.iter().map(|(name, amps)| (name.as_str(), *amps)).collect();
        figures::windows(&self.range, WindowQuantity::BatteryCurrentRms, &limits)
    }

    /// The page with these figures and tables beside it.
    fn page(&self, figures: &[Sketch], tables: &[Table], sheets: &[Sheet]) -> Drawn<String> {
        let over: Vec<String> =
            self.weigh.overloads().iter().map(|it| self.weigh.overload_sentence(it)).collect();
        // The loads over a limit stand above already.
        let warnings = self.warnings().into_iter().map(|it| it.text);
        let warnings: Vec<String> = warnings.filter(|text| !over.contains(text)).collect();
        let page = Page {
            car: &self.check.car,
            kind: ["Conversion to electric drive", "conversion report"],
            sheets,
            before: self.since.as_ref().map(page::since).unwrap_or_default(),
            after: html! {
                (alarm("over", "Over a limit", &over))
                (alarm("warn", "Look at this", &warnings))
            },
            figures,
            workings: Workings::new(&self.explained, &self.inputs),
            json: "report.json",
            tables,
            provenance: &self.check.provenance,
        };
        page.html()
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

/// Something drawn, or why it could not be.
type Drawn<T> = Result<T, FigureError>;

/// Every file of a report: its name below the report's folder, with `/`, and its bytes.
///
/// # Errors
/// A figure could not be drawn.
pub fn files(input: &ReportInput) -> Result<Vec<(String, Vec<u8>)>, FigureError> {
    let (figures, sheets) = (input.figures(), input.sheets());
    let tables = input.tables(&sheets);
    let page = input.page(&figures, &tables, &sheets)?;
    let json = json_bytes(input, input.units());
    let first = [("report.html", page.into_bytes()), ("report.json", json)];
    with_beside(first, &figures, &tables, &input.check.provenance, input.png)
}

/// The first files, and what stands in folders beside them.
fn with_beside(
    first: [(&str, Vec<u8>); 2],
    figures: &[Sketch],
    tables: &[Table],
    provenance: &Provenance,
    png: bool,
) -> Drawn<Vec<(String, Vec<u8>)>> {
    let mut files: Vec<(String, Vec<u8>)> =
        first.map(|(name, bytes)| (name.to_owned(), bytes)).to_vec();
    for figure in figures {
        let name = format!("figures/{}", figure.slug);
        files.push((format!("{name}.svg"), svg::file_svg(figure)?.into_bytes()));
        if png {
            files.push((format!("{name}.png"), render::png(figure)?));
        }
    }
    for table in tables {
        let name = format!("tables/{}", table.name);
        files.push((format!("{name}.csv"), table.csv(provenance).into_bytes()));
        if has_json(table) {
            // A table knows its units already.
            files.push((format!("{name}.json"), json_bytes(table, Units::Metric)));
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
