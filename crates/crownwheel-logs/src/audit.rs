//! The finished car against its build: the same trip driven by the model, measured and predicted use
//! with bands, where they part, and which single cause explains it best.
//!
//! The method is a linear one with normal errors. The trip is cut into blocks of equal time; in each
//! the energy that left the pack and the energy that came back are compared with the model's. The
//! model's sensitivity to everything that the build is unsure of, and to the five usual causes, is
//! found by driving it again with each number moved. For every cause its likelihood is computed with
//! all other unsureness averaged out (the evidence of a normal model), so that a cause must explain
//! the blocks better than the build's own bands do. The size of the errors is taken from what is left
//! when all causes are free, widened for neighbouring blocks that err alike.

mod answer;
mod blocks;
mod causes;
mod drive;
mod error;
mod model;
mod posterior;
mod resistance;
mod write;

pub use answer::{Source, audit_answer};
pub use causes::Cause;
pub use error::AuditError;
pub use write::measured_table;

use crownwheel::knob::Knob;
use crownwheel::spec::{CarSpec, DaySpec};
use crownwheel_files::Build;

use crate::log::Log;
use crate::trip::{Trip, trip};
use blocks::Blocks;
use causes::RankedCause;
use drive::Drive;
use model::{DriveRun, Model};
use resistance::Resistance;

/// Standard deviation of a meter's gain, of volts times amperes (engineer's judgement for a shunt of
/// half a per cent and a divider).
pub const METER_SD: f64 = 0.01;

/// Standard deviation of the energy that comes back, as a part of it, from averaging the log's speed:
/// short and hard braking is smoothed (engineer's judgement).
pub const SMOOTHING_SD: f64 = 0.03;

/// Standard deviation of standing loads that a build gives without a band, W (engineer's judgement).
pub const LOAD_SD_W: f64 = 15.0;

/// Standard deviation of the load aboard, kg (engineer's judgement).
pub const ABOARD_SD_KG: f64 = 10.0;

/// Standard deviation of the share of regeneration that a build gives without a band (engineer's
/// judgement).
pub const REGEN_SD: f64 = 0.03;

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
    /// Hypotheses by probability; `None` as cause is "as the build says".
    pub judged: Vec<RankedCause>,
    /// Pairs of causes that this log cannot tell apart.
    pub alike: Vec<(Cause, Cause)>,
    /// Seconds in which the model could not follow.
    pub behind_s: f64,
    /// Measured and predicted energy over time for a figure: way m, J, J.
    pub course: Vec<(f64, f64, f64)>,
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
    let (start_charge_frac, start_charge_from) = drive.start_charge(&build.car, options);
    let model = Model { cycle: trip.cycle()?, time_s: &trip.time_s, start_charge_frac };
    let run = model.run(&build.car, &day)?;
    let discharge_is_negative = drive.discharge_is_negative(&run);
    let drive = drive.discharging_positive(discharge_is_negative);
    let blocks = Blocks::of(&trip, &drive, &run)?;
    let resistance = Resistance::of(&drive, &run);
    let unsure = unsure(build, &day, &model, &blocks, &run)?;
    let study = causes::Study {
        car: &build.car,
        day: &day,
        model: &model,
        blocks: &blocks,
        run: &run,
        resistance: resistance.as_ref(),
        unsure: &unsure,
    };
    let (judged, alike) = study.judge()?;
    let sum = |values: &[f64]| blocks.sum(values);
    let predicted_variance: f64 =
        unsure.iter().filter(|one| !one.is_of_log).map(|one| blocks.net(&one.effect).powi(2)).sum();
    Ok(Audit {
        day,
        start_charge_frac,
        start_charge_from,
        discharge_is_negative,
        compared_m: sum(&drive.way_m),
        compared_s: sum(&drive.step_s),
        measured_j: blocks.net(&blocks.measured),
        predicted_j: blocks.net(&blocks.predicted(&run)),
        predicted_sd_j: predicted_variance.sqrt(),
        doings: blocks::doings(&trip, &drive, &run),
        taken_back_j: (-blocks.back(&blocks.measured), -blocks.back(&blocks.predicted(&run))),
        resistance,
        judged,
        alike,
        behind_s: run.behind_s,
        course: blocks::course(&trip, &drive, &run),
        notes,
        trip,
    })
}

/// Something that the build, the meter, the cleaning or the day is unsure of, with its effect on every block.
#[derive(Clone, Debug)]
struct UncertainTerm {
    /// Change of every observation for one standard deviation.
    effect: Vec<f64>,
    /// The same for the resistance, ohm.
    resistance_ohm: f64,
    /// It belongs to the meter or to the cleaning of the log, not to the car.
    is_of_log: bool,
}

/// Drives the model again with everything unsure moved by a standard deviation, both ways.
fn unsure(
    build: &Build,
    day: &DaySpec,
    model: &Model<'_>,
    blocks: &Blocks,
    run: &DriveRun,
) -> Result<Vec<UncertainTerm>, AuditError> {
    let mut all = Vec::new();
    let mut moved: Vec<(Knob, f64)> = Vec::new();
    for (path, spread) in &build.spreads {
        let sd = spread.standard_deviation();
        if let (true, Some(knob)) = (sd > 0.0, Knob::find(path, &build.car)) {
            moved.push((knob, sd));
        }
    }
    let has = |path: &str| build.spreads.get(path).is_some_and(|spread| !spread.is_exact());
    let judged = [("luggage.mass", ABOARD_SD_KG), ("regen.share", REGEN_SD)];
    for (path, sd) in judged.into_iter().filter(|(path, _)| !has(path)) {
        moved.extend(Knob::find(path, &build.car).map(|knob| (knob, sd)));
    }
    for (knob, sd) in moved {
        let run_at = |amount: f64| {
            let mut car = build.car.clone();
            let value = knob.get(&car)?;
            knob.set(&mut car, value + amount).ok()?;
            model.run(&car, day).ok()
        };
        all.extend(difference(run_at(sd), run_at(-sd), run, blocks));
    }
    let with_load = |watts: f64| {
        let day = DaySpec { extra_load_w: day.extra_load_w + watts, ..day.clone() };
        model.run(&build.car, &day).ok()
    };
    all.extend(difference(with_load(LOAD_SD_W), with_load(-LOAD_SD_W), run, blocks));
    let predicted = blocks.predicted(run);
    let gain = predicted.iter().map(|value| METER_SD * value).collect();
    all.push(UncertainTerm { effect: gain, resistance_ohm: 0.0, is_of_log: true });
    let back = blocks.only_back(&predicted);
    let smoothed = back.iter().map(|value| SMOOTHING_SD * value).collect();
    all.push(UncertainTerm { effect: smoothed, resistance_ohm: 0.0, is_of_log: true });
    Ok(all)
}

/// Half the difference of two runs, or the difference of one from the run between if the other is
/// not possible.
fn difference(
    up: Option<DriveRun>,
    down: Option<DriveRun>,
    middle: &DriveRun,
    blocks: &Blocks,
) -> Option<UncertainTerm> {
    let half = if up.is_some() && down.is_some() { 0.5 } else { 1.0 };
    if up.is_none() && down.is_none() {
        return None;
    }
    let up = up.as_ref().unwrap_or(middle);
    let down = down.as_ref().unwrap_or(middle);
    let (high, low) = (blocks.predicted(up), blocks.predicted(down));
    let effect = high.iter().zip(&low).map(|(high, low)| half * (high - low)).collect();
    let resistance_ohm = half * (up.resistance_ohm() - down.resistance_ohm());
    Some(UncertainTerm { effect, resistance_ohm, is_of_log: false })
}

/// The car with its drag area multiplied.
fn with_drag(car: &mut CarSpec, factor: f64) -> Option<()> {
    let paths = ["car.drag_area", "car.drag_coefficient", "car.road_load.f2"];
    let knob = paths.into_iter().find_map(|path| Knob::find(path, car))?;
    let value = knob.get(car)?;
    knob.set(car, value * factor).ok()
}
