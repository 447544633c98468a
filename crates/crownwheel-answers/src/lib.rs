//! What comes out of a calculation, serialisable: the only home of result keys, labels and units.
//!
//! [`Build`] is a build file that is asked what the command line asks, with assumed values, bands and the hash of what was
//! read; every answer is the JSON that `--json` prints.
//!
//! ```no_run
//! use crownwheel_answers::Build;
//! use std::ops::ControlFlow;
//!
//! let build = Build::open("my-car")?.set("pack.modules_in_series", "8")?;
//! let range = build.range().cycle("udds").day("winter").worlds(500).answer()?;
//! println!("{}\n{}", range.plain, serde_json::to_string(&range)?);
//! let sweep = build.sweep().vary("driveline.axle.ratio", ["3.70", "3.89", "4.22"]).cycle("udds");
//! let ranked = sweep.threads(2).run(|at| {
//!     if at.done > 100 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
//! })?;
//! println!("{}", ranked.plain);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! A wrong build is an [`AskError`](build::AskError): `kind` says where it went wrong, `report` every problem with its file,
//! line and key.
//!
//! * `check`, `weigh`, `range`, `trace`: plain data with public fields. The field names *are* the
//!   JSON keys, in metric units that the names carry. No physics in here.
//! * [`mod@unit`] and [`json`]: the same answer in US units: every value converted, every key that ends
//!   in a unit renamed (`mass_kg`, `mass_lb`). Tables, sentences and JSON ask the same place.
//! * [`table`]: the same answers as tables. A column's key is the path of the JSON value, so CSV
//!   headers and JSON keys are the same words.
//! * [`sheet`] and [`sheets`]: each answer as people read it, said once; [`text`]: how a terminal shows it;
//!   [`csv_text`]: a table as a CSV file.
//!
//! A value that is missing is `null` in JSON, an empty cell in CSV and a dash in text, never 0.
//! `None` and a float that is not finite both count as missing.

pub mod audit;
pub mod balance;
pub mod build;
pub mod caution;
pub mod charge;
pub mod check;
pub mod coastdown;
pub mod compare;
pub mod csv_text;
pub mod demands;
pub mod drawn;
pub mod explain;
pub mod from_car;
pub mod from_sweep;
pub mod gauges;
pub mod glossary;
pub mod hills;
pub mod json;
pub mod method;
pub mod plain;
pub mod provenance;
pub mod pull;
pub mod range;
pub mod ratios;
pub mod routes;
pub mod sheet;
pub mod sheets;
pub mod sweep;
pub mod table;
pub mod text;
pub mod trace;
pub mod trip;
pub mod weigh;
pub mod windows;
mod words;
pub mod world;

pub use crownwheel::weights::LoadCase;
pub use crownwheel_quantities::{Band, Deciles, Question, Unit, Units, Warning, unit};

pub use audit::AuditAnswer;
pub use balance::{Balance, BrakingMemo, RoadShares};
pub use build::Build;
pub use caution::{Caution, Topic};
pub use charge::ChargeAnswer;
pub use check::{CheckAnswer, DayFacts, GearSpeed, LineToAdd, StageLoad};
pub use coastdown::CoastDownAnswer;
pub use compare::CompareAnswer;
pub use demands::DemandsAnswer;
pub use drawn::WorldDraw;
pub use explain::ExplainAnswer;
pub use gauges::GaugesAnswer;
pub use method::{Method, Rule};
pub use provenance::{Assumption, Provenance};
pub use pull::PullAnswer;
pub use range::{
    CycleResult, MiddleWorld, MissedPct, MotorUse, OilMax, RangeAnswer, SteadyResult, Trip,
};
pub use routes::RouteResult;
pub use sheet::Sheet;
pub use sweep::{OptionAnswer, SweepAnswer};
pub use table::{Cell, Column, Grid, Table};
pub use trace::{CycleTrace, MotorCurve};
pub use trip::{RepairLine, TripAnswer};
pub use weigh::{WeighAnswer, WeighCase, WeighLimits};
pub use windows::{Window, WindowQuantity};
pub use world::WorldAnswer;
