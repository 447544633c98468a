//! Road load from coasting runs.

use serde::Serialize;

use crate::{Assumption, Caution, Provenance, Units, Warning};

/// The answer of `coastdown`.
///
/// The coefficients hold at 20 °C and 100 kPa, in still air, on the flat, for the mass of the runs.
/// Every `_se` is a standard error; times [`Self::band_over_se`] it is half of the 95 % band.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CoastDownAnswer {
    /// Program, inputs, seed.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric.
    pub units: Units,
    /// The answer in one sentence, see [`CoastDownAnswer::plain_line`].
    pub plain: String,
    /// Runs that the fit is made from.
    pub runs_used: usize,
    /// Constant part of the road load, N. `None`: no run can bear the fit, as for all below.
    pub f0_n: Option<f64>,
    /// Its standard error, N.
    pub f0_n_se: Option<f64>,
    /// Part that grows with speed, N per m/s.
    pub f1_n_per_mps: Option<f64>,
    /// Its standard error.
    pub f1_n_per_mps_se: Option<f64>,
    /// Part that grows with speed squared, N per (m/s)².
    pub f2_n_per_mps2: Option<f64>,
    /// Its standard error.
    pub f2_n_per_mps2_se: Option<f64>,
    /// Drag area, m², of the fit with `f1` tied to 0.
    pub drag_area_m2: Option<f64>,
    /// Its standard error, m².
    pub drag_area_m2_se: Option<f64>,
    /// Everything constant as a rolling resistance coefficient, of the same fit.
    pub rolling_resistance: Option<f64>,
    /// Its standard error.
    pub rolling_resistance_se: Option<f64>,
    /// The fit with `f1` tied to 0.
    pub tied: Option<TiedFit>,
    /// Half of a 95 % band over its standard error, by Student's t.
    pub band_over_se: Option<f64>,
    /// How the errors of the coefficients hang together, each -1..1.
    pub correlation: Option<Correlation>,
    /// What the coefficients hold for.
    pub holds_for: HoldsFor,
    /// Gradient in the first direction, positive uphill.
    pub gradient_pct: Option<f64>,
    /// Its standard error; 0 if it was given.
    pub gradient_pct_se: Option<f64>,
    /// Headwind in the first direction at the height of the car.
    pub headwind_kmh: Option<f64>,
    /// Its standard error; 0 if it was given.
    pub headwind_kmh_se: Option<f64>,
    /// What is left over between readings and curve, standard deviation.
    pub residual_sd_kmh: Option<f64>,
    /// Time in which the memory of the noise fades. `None`: it has none.
    pub noise_memory_s: Option<f64>,
    /// Force by which runs differ beyond the noise within them, standard deviation. `None`: they
    /// do not.
    pub run_scatter_n: Option<f64>,
    /// Road load against speed with its 95 % band.
    pub forces: Vec<ForceLine>,
    /// Runs that were used.
    pub runs: Vec<RunLine>,
    /// Runs that were refused, each with its reason.
    pub refused: Vec<RefusedRun>,
    /// What the data cannot tell apart, a sentence each.
    pub cannot_tell_apart: Vec<String>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// What was assumed, with its source.
    pub assumed: Vec<Assumption>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
    /// Readings and curves of the runs, for the figure and the table.
    #[serde(skip)]
    pub curves: Vec<RunCurve>,
}

/// The fit with the linear part tied to 0.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct TiedFit {
    /// Constant part, N.
    pub f0_n: f64,
    /// Its standard error, N.
    pub f0_n_se: f64,
    /// Part that grows with speed squared, N per (m/s)².
    pub f2_n_per_mps2: f64,
    /// Its standard error.
    pub f2_n_per_mps2_se: f64,
    /// Correlation of both errors, -1..1.
    pub f0_f2: f64,
    /// Half of a 95 % band over its standard error, by Student's t.
    pub band_over_se: f64,
}

/// Correlations of the errors of the coefficients.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Correlation {
    /// Of `f0` and `f1`.
    pub f0_f1: f64,
    /// Of `f0` and `f2`.
    pub f0_f2: f64,
    /// Of `f1` and `f2`.
    pub f1_f2: f64,
}

/// What coefficients hold for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct HoldsFor {
    /// Mass of the car during the runs.
    pub mass_kg: f64,
    /// The same with turning parts.
    pub effective_mass_kg: f64,
    /// Air temperature of the reference.
    pub temperature_degc: f64,
    /// Air pressure of the reference, kPa.
    pub pressure_kpa: f64,
}

/// Road load at a speed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ForceLine {
    /// Speed.
    pub speed_kmh: f64,
    /// Force.
    pub force_n: f64,
    /// Low end of its 95 % band.
    pub low_n: f64,
    /// High end.
    pub high_n: f64,
    /// Force of the fit with `f1` tied to 0.
    pub tied_n: f64,
}

/// A run that was used.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunLine {
    /// File.
    pub file: String,
    /// Name of the run, as the file has it, or its number.
    pub run: String,
    /// Direction, as the file has it. `None`: not known.
    pub direction: Option<String>,
    /// Line of the file where it starts.
    pub line: u32,
    /// How long it coasts.
    pub seconds: f64,
    /// Speed at the start.
    pub from_kmh: f64,
    /// Speed at the end.
    pub to_kmh: f64,
    /// Readings used.
    pub readings: usize,
    /// What is left over between readings and curve, standard deviation.
    pub residual_sd_kmh: f64,
}

/// A run that was refused.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RefusedRun {
    /// File.
    pub file: String,
    /// Name of the run, as the file has it, or its number.
    pub run: String,
    /// Line of the file where it starts.
    pub line: u32,
    /// Short name of the reason for programs, `short_speed_span`.
    pub code: &'static str,
    /// The reason, with the place.
    pub reason: String,
}

/// Readings of a run with the fitted curve.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RunCurve {
    /// Name of the run with its file, for the key.
    pub name: String,
    /// Whether it goes in the first direction.
    pub first_direction: bool,
    /// Times from the start of the run, s.
    pub time_s: Vec<f64>,
    /// Measured speeds, km/h.
    pub speed_kmh: Vec<f64>,
    /// Fitted speeds, km/h.
    pub fitted_kmh: Vec<f64>,
}
