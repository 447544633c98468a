//! The finished car against its build: the same trip driven by the model, measured and predicted use
//! with bands, where they part, and which single cause explains it best.
//!
//! The method is a linear one with normal errors. The time that the car moves is cut into equal blocks; in each
//! the energy that left the pack and the energy that came back are compared with the model's. The time that it stands is one
//! comparison of its own, and a sharp one: it rules what is said of standing loads. Heater and air conditioning that the log has
//! columns of are known loads. The model's sensitivity to everything that the build, the day and the model itself are unsure
//! of, and to the six usual causes, is found by driving it again with each number moved. For every cause, and for every pair of
//! them, the likelihood is computed with all other unsureness averaged out (the evidence of a normal model), so that a cause
//! must explain the blocks better than the bands do. The size of the errors is taken from what is left when all causes are
//! free, widened for neighbouring blocks that err alike. A build whose prediction is more than three standard deviations off
//! is not right, whatever else is; and where the best explanation leaves as much, none of these is it alone.

mod answer;
mod blocks;
mod cause;
mod drive;
mod error;
mod judge;
mod model;
mod posterior;
mod resistance;
mod unsure;
mod write;

pub use answer::{Source, audit_answer};
pub use cause::Cause;
pub use error::AuditError;
pub use judge::{CauseAmount, Explanation};
pub use unsure::{
    ABOARD_SD_KG, COLD_BACK_SD, HEADWIND_SD_MPS, LOAD_SD_W, METER_SD, REGEN_SD, SMOOTHING_SD,
    WARM_PACK_K,
};
pub use write::measured_table;

use crownwheel::spec::DaySpec;
use crownwheel_answers::audit::REFUTED_SD;
use crownwheel_files::Build;

use crate::log::Log;
use crate::trip::{Trip, trip};
use blocks::Blocks;
use drive::Drive;
use judge::Study;
use model::Model;
use resistance::Resistance;
use unsure::Sensitivity;

/// What an audit is asked with.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AuditOptions {
    /// State of charge at the start, 0..1. `None`: from the log's charge, else from its volts at
    /// rest, else full.
    pub start_charge_frac: Option<f64>,
}

/// A finished car compared with its build.
#[derive(Clone, Debug, PartialEq)]
pub struct Audit {
    /// The cleaned trip.
    pub trip: Trip,
    /// Outdoor conditions that the model drove in.
    pub day: DaySpec,
    /// State of charge at the start.
    pub start_charge_frac: f64,
    /// Where it is from.
    pub start_charge_from: &'static str,
    /// The log counts discharge as negative.
    pub discharge_is_negative: bool,
    /// Way with readings of volts and amperes, m, and its time, s.
    pub compared_m: f64,
    /// Time with readings, s.
    pub compared_s: f64,
    /// Measured energy at the pack's terminals, net, J.
    pub measured_j: f64,
    /// The same predicted, J.
    pub predicted_j: f64,
    /// Standard deviation of the prediction from what the build is unsure of, J.
    pub predicted_sd_j: f64,
    /// Energy by what the car was doing.
    pub doings: Vec<Activity>,
    /// Resistance of pack and harness.
    pub resistance: Option<Resistance>,
    /// Energy that came back, measured and predicted, J.
    pub taken_back_j: (f64, f64),
    /// Explanations by probability.
    pub judged: Vec<Explanation>,
    /// Pairs of causes that this log cannot tell apart.
    pub alike: Vec<(Cause, Cause)>,
    /// Seconds in which the model could not follow.
    pub behind_s: f64,
    /// Measured and predicted energy over time for a figure: way m, J, J.
    pub course: Vec<(f64, f64, f64)>,
    /// Energy of heater and air conditioning in the log's own columns, J. `None`: it has none.
    pub cabin_j: Option<f64>,
    /// What was taken for granted, a sentence each.
    pub notes: Vec<String>,
}

/// Energy while the car was doing one thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Activity {
    /// What.
    pub what: &'static str,
    /// Time, s.
    pub seconds: f64,
    /// Measured energy at the terminals, J.
    pub measured_j: f64,
    /// Predicted, J.
    pub predicted_j: f64,
}

/// Compares a log with a build on a day.
///
/// # Errors
/// [`AuditError`] if the log cannot bear the comparison.
pub fn audit(
    log: &Log,
    build: &Build,
    day: &DaySpec,
    options: &AuditOptions,
) -> Result<Audit, AuditError> {
    let trip = trip(log)?;
    let mut notes = trip.notes.clone();
    let drive = Drive::of(&trip, log)?;
    let day = drive.day(day, &mut notes);
    let (car, day) = drive.without_cabin(&trip, &build.car, day, &mut notes);
    let (start_charge_frac, start_charge_from) = drive.start_charge(&car, options);
    let cycle = trip.cycle()?;
    let cabin_j = drive.cabin_j.clone();
    let model =
        Model { cycle, time_s: &trip.time_s, start_charge_frac, cabin_j: cabin_j.as_deref() };
    let run = model.run(&car, &day)?;
    let discharge_is_negative = drive.discharge_is_negative(&run);
    let drive = drive.discharging_positive(discharge_is_negative);
    let blocks = Blocks::of(&trip, &drive, &run)?;
    let resistance = Resistance::of(&drive, &run);
    let sensitivity =
        Sensitivity { build, car: &car, day: &day, model: &model, blocks: &blocks, run: &run };
    let unsure = sensitivity.terms();
    let (measured_j, predicted_j) =
        (blocks.net(&blocks.measured), blocks.net(&blocks.predicted(&run)));
    let of_car = unsure.iter().filter(|one| !one.is_of_log);
    let predicted_variance: f64 = of_car.map(|one| blocks.net(&one.effect).powi(2)).sum();
    let predicted_sd_j = predicted_variance.sqrt();
    let joint_sd_j = libm::hypot(predicted_sd_j, METER_SD * measured_j);
    let study = Study {
        car: &car,
        day: &day,
        model: &model,
        blocks: &blocks,
        run: &run,
        resistance: resistance.as_ref(),
        unsure: &unsure,
        build_is_refuted: (measured_j - predicted_j).abs() > REFUTED_SD * joint_sd_j,
    };
    let (judged, alike) = study.judge()?;
    Ok(Audit {
        start_charge_frac,
        start_charge_from,
        discharge_is_negative,
        compared_m: blocks.sum(&drive.way_m),
        compared_s: blocks.sum(&drive.step_s),
        measured_j,
        predicted_j,
        predicted_sd_j,
        doings: blocks::doings(&trip, &drive, &run),
        taken_back_j: (-blocks.back(&blocks.measured), -blocks.back(&blocks.predicted(&run))),
        resistance,
        judged,
        alike,
        behind_s: run.behind_s,
        course: blocks::course(&trip, &drive, &run),
        cabin_j: cabin_j.map(|cabin_j| blocks.sum(&cabin_j)),
        notes,
        day,
        trip,
    })
}
