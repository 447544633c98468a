//! Figures and the self-contained HTML report, made from answers.
//!
//! [`files`] turns a [`ReportInput`] into everything that a report folder holds: the page, its
//! figures as files, and every table as CSV and JSON. It writes nothing; the caller does. The same
//! input gives the same bytes.

mod figures;
mod frame;
mod ink;
mod page;
mod render;
mod sketch;

use crownwheel_answers::tables::{assumed_table, warnings_table};
use crownwheel_answers::{
    Assumed, CheckAnswer, CycleTrace, MotorCurve, RangeAnswer, Table, Warning, WeighAnswer,
};
use serde::Serialize;

pub use render::FigureError;
use sketch::Sketch;

/// What a report is made from.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ReportInput {
    /// What was understood. Its provenance stands for the whole report.
    pub check: CheckAnswer,
    /// Weights.
    pub weigh: WeighAnswer,
    /// Use and range.
    pub range: RangeAnswer,
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
    /// What was assumed for any of the answers, each key once.
    fn assumed(&self) -> Vec<Assumed> {
        let mut all: Vec<Assumed> = Vec::new();
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
    fn warnings(&self) -> Vec<Warning> {
        let mut all: Vec<Warning> = Vec::new();
        for warning in
            self.check.warnings.iter().chain(&self.weigh.warnings).chain(&self.range.warnings)
        {
            if !all.contains(warning) {
                all.push(warning.clone());
            }
        }
        all
    }

    /// Every table with the name of its file.
    fn tables(&self) -> Vec<(String, Table)> {
        let mut tables = vec![
            self.check.table(),
            self.weigh.table(),
            self.weigh.limits_table(),
            self.range.table(),
            self.range.steady_table(),
            self.range.balance_table(),
            self.range.binding_table(),
            self.range.windows_table(),
            MotorCurve::table(&self.motor_curves),
            assumed_table(&self.assumed()),
            warnings_table(&self.warnings()),
        ]
        .into_iter()
        .map(|table| (table.name.to_owned(), table))
        .collect::<Vec<_>>();
        tables.extend(
            self.traces.iter().enumerate().map(|(i, trace)| (trace_slug(i, trace), trace.table())),
        );
        tables
    }

    fn figures(&self) -> Figures {
        let cycle = |(i, trace): (usize, &CycleTrace)| {
            let result =
                self.range.results.iter().find(|r| r.cycle == trace.cycle && r.day == trace.day);
            figures::cycle(trace, result, &trace_slug(i, trace))
        };
        Figures {
            corners: figures::corners(&self.weigh),
            steady: figures::steady(&self.range),
            cycles: self.traces.iter().enumerate().map(cycle).collect(),
            motor: figures::motor(&self.motor_curves, &self.traces),
            balance: figures::balance(&self.range),
        }
    }
}

/// The figures of a report.
struct Figures {
    corners: Sketch,
    steady: Sketch,
    cycles: Vec<Sketch>,
    motor: Sketch,
    balance: Sketch,
}

impl Figures {
    fn all(&self) -> impl Iterator<Item = &Sketch> {
        [&self.corners, &self.steady]
            .into_iter()
            .chain(&self.cycles)
            .chain([&self.motor, &self.balance])
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
        ("report.json".to_owned(), json_bytes(input)),
    ];
    for figure in figures.all() {
        files
            .push((format!("figures/{}.svg", figure.slug), render::file_svg(figure)?.into_bytes()));
        if input.png {
            files.push((format!("figures/{}.png", figure.slug), render::png(figure)?));
        }
    }
    for (name, table) in &tables {
        files.push((format!("tables/{name}.csv"), table.csv(&input.check.provenance).into_bytes()));
        files.push((format!("tables/{name}.json"), json_bytes(table)));
    }
    Ok(files)
}

/// Keys stay in the order of the fields.
fn json_bytes(value: &impl Serialize) -> Vec<u8> {
    let mut text = serde_json::to_vec_pretty(value).expect("plain data with string keys");
    text.push(b'\n');
    text
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
