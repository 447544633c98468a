//! The usual causes, each tried on its own against the build as it is.

use crownwheel::knob::Knob;
use crownwheel::spec::{CarSpec, DaySpec, RoadLoadSpec};
use nalgebra::{DMatrix, DVector};

use super::blocks::Blocks;
use super::error::AuditError;
use super::model::{DriveRun, Model};
use super::posterior::{Linear, Posterior};
use super::resistance::Resistance;
use super::{UncertainTerm, with_drag};

/// What may differ from the build.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// More or less constant power, W.
    StandingLoads,
    /// More or less force that does not change with speed, N.
    ConstantForce,
    /// More or less drag area, as a part of the build's.
    DragArea,
    /// More or less of the braking taken back, as a share.
    Regeneration,
    /// More or less resistance of the cells, as a part of the build's.
    PackResistance,
}

impl Cause {
    /// All causes.
    pub const ALL: [Cause; 5] = [
        Cause::StandingLoads,
        Cause::ConstantForce,
        Cause::DragArea,
        Cause::Regeneration,
        Cause::PackResistance,
    ];

    /// How far it may lie off when it is the cause, one standard deviation, in its own unit
    /// (engineer's judgement).
    #[must_use]
    pub const fn size(self) -> f64 {
        match self {
            Cause::StandingLoads => 400.0,
            Cause::ConstantForce => 100.0,
            Cause::DragArea => 0.25,
            Cause::Regeneration => 0.3,
            Cause::PackResistance => 0.8,
        }
    }

    /// The car and the day with the cause at work. `None`: no car can be so.
    fn apply(self, amount: f64, car: &mut CarSpec, day: &mut DaySpec) -> Option<()> {
        match self {
            Cause::StandingLoads => {
                day.extra_load_w += amount;
                Some(())
            }
            Cause::ConstantForce => {
                // A force below zero is less rolling resistance: the loaded weight turns one into
                // the other.
                if matches!(car.road_load, RoadLoadSpec::Coefficients { .. }) {
                    add(car, "car.road_load.f0", amount)
                } else {
                    let drag_n = Knob::find("car.brake_drag", car)?.get(car)?;
                    let brakes_n = amount.max(-drag_n);
                    let weight_n = crownwheel::constants::STANDARD_GRAVITY_MPS2
                        * crownwheel::Car::new(car).ok()?.mass_kg();
                    add(car, "car.brake_drag", brakes_n)?;
                    let factor = car.tyres.drum_to_road;
                    car.tyres.rolling_resistance += (amount - brakes_n) / weight_n / factor;
                    Some(())
                }
            }
            Cause::DragArea => with_drag(car, 1.0 + amount),
            Cause::Regeneration => {
                car.regen.share = (car.regen.share + amount).clamp(0.0, 1.0);
                Some(())
            }
            Cause::PackResistance => {
                car.pack.cell_resistance_ohm *= (1.0 + amount).max(0.05);
                Some(())
            }
        }
    }
}

/// Adds to a number of a car. `None`: the car does not have it.
fn add(car: &mut CarSpec, path: &str, amount: f64) -> Option<()> {
    let knob = Knob::find(path, car)?;
    let value = knob.get(car)?;
    knob.set(car, value + amount).ok()
}

/// A hypothesis and how it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RankedCause {
    /// The cause. `None`: the car is as the build says.
    pub cause: Option<Cause>,
    /// Probability among the hypotheses.
    pub probability: f64,
    /// How far off, in the unit of the cause; 0 without one.
    pub amount: f64,
    /// Half the width of the 95 % band of the amount.
    pub half_width_95: f64,
    /// Predicted net energy with the cause at work, J.
    pub predicted_j: f64,
}

/// Belief in each cause before the log; the rest is belief in the build (engineer's judgement).
const BELIEF_IN_A_CAUSE: f64 = 0.1;
/// Probability that is kept for what is none of these, whatever the numbers say (engineer's
/// judgement).
const NOT_LISTED: f64 = 0.01;
/// Passes of moving the point of linearisation.
const PASSES: usize = 3;
/// Correlation from which two causes cannot be told apart.
const ALIKE: f64 = 0.85;
/// The size of the errors against what was guessed lies between these.
const ERROR_SIZE: (f64, f64) = (0.3, 10.0);
/// Parts of the size that a pass may move beyond.
const FURTHEST: f64 = 3.0;
/// Error of an amount beyond what the blocks say, one standard deviation, as a part of it: cleaning
/// and averaging change a drive a little (seen in logs made from a known truth).
const METHOD_ERROR: f64 = 0.05;
/// Half-width of a 95 % band over the standard deviation.
const HALF_WIDTH_95: f64 = 1.96;

/// Hypotheses with the most probable first, and pairs of causes that the log cannot tell apart.
pub(super) type Verdict = (Vec<RankedCause>, Vec<(Cause, Cause)>);

/// Numbers that the blocks can settle at most: the causes and a few of the build's.
const CAUSES_AND_MORE: usize = 8;

/// Everything that judging needs.
pub(super) struct Study<'a> {
    pub(super) car: &'a CarSpec,
    pub(super) day: &'a DaySpec,
    pub(super) model: &'a Model<'a>,
    pub(super) blocks: &'a Blocks,
    pub(super) run: &'a DriveRun,
    pub(super) resistance: Option<&'a Resistance>,
    pub(super) unsure: &'a [UncertainTerm],
}

/// A point of linearisation: amounts of causes, with the model's run there.
struct Point {
    amounts: Vec<f64>,
    run: DriveRun,
}

impl Study<'_> {
    /// Tries every hypothesis.
    pub(super) fn judge(&self) -> Result<Verdict, AuditError> {
        let (_, all_free) = self.fit(&Cause::ALL, 1.0).ok_or(AuditError::Astray)?;
        let size = self.error_size(&all_free);
        let (_, all_free) = self.fit(&Cause::ALL, size).ok_or(AuditError::Astray)?;
        let alike = alike(&all_free);
        let mut judged = Vec::new();
        let mut evidence = Vec::new();
        let hypotheses = std::iter::once(None).chain(Cause::ALL.map(Some));
        for cause in hypotheses {
            let causes: Vec<Cause> = cause.into_iter().collect();
            let Some((point, posterior)) = self.fit(&causes, size) else { continue };
            let belief = if cause.is_some() {
                BELIEF_IN_A_CAUSE
            } else {
                // All causes together leave this much for the build.
                1.0 - BELIEF_IN_A_CAUSE * 5.0
            };
            evidence.push(posterior.log_evidence + libm::log(belief));
            let (amount, sd) = cause.map_or((0.0, 0.0), |cause| {
                let moved = point.amounts[0] + cause.size() * posterior.mean[0];
                let sd = cause.size() * posterior.covariance[(0, 0)].sqrt();
                (moved, libm::hypot(sd, METHOD_ERROR * moved))
            });
            judged.push(RankedCause {
                cause,
                probability: 0.0,
                amount,
                half_width_95: HALF_WIDTH_95 * sd,
                predicted_j: self.blocks.net(&self.blocks.predicted(&point.run)),
            });
        }
        let best = evidence.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = evidence.iter().map(|value| libm::exp(value - best)).collect();
        let sum: f64 = weights.iter().sum();
        for (judged, weight) in judged.iter_mut().zip(weights) {
            judged.probability = (1.0 - NOT_LISTED) * weight / sum;
        }
        judged.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        Ok((judged, alike))
    }

    /// Fits some causes together with everything unsure; the point of linearisation follows.
    fn fit(&self, causes: &[Cause], size: f64) -> Option<(Point, Posterior)> {
        let mut point = Point { amounts: vec![0.0; causes.len()], run: self.run.clone() };
        let passes = if causes.is_empty() { 1 } else { PASSES };
        let mut found = None;
        for pass in 0..passes {
            let linear = self.linear(causes, &point, size)?;
            let posterior = linear.solve()?;
            if pass + 1 < passes {
                let mut next = point.amounts.clone();
                for (k, cause) in causes.iter().enumerate() {
                    let most = FURTHEST * cause.size();
                    next[k] = (next[k] + cause.size() * posterior.mean[k]).clamp(-most, most);
                }
                // A step that no car can take is halved.
                let halved = |amounts: &[f64]| -> Vec<f64> {
                    amounts.iter().zip(&point.amounts).map(|(a, b)| f64::midpoint(*a, *b)).collect()
                };
                let run = self.run_with(causes, &next).or_else(|| {
                    next = halved(&next);
                    self.run_with(causes, &next)
                });
                match run {
                    Some(run) => point = Point { amounts: next, run },
                    None => return Some((point, posterior)),
                }
            }
            found = Some(posterior);
        }
        Some((point, found?))
    }

    fn run_with(&self, causes: &[Cause], amounts: &[f64]) -> Option<DriveRun> {
        let (mut car, mut day) = (self.car.clone(), self.day.clone());
        for (cause, amount) in causes.iter().zip(amounts) {
            cause.apply(*amount, &mut car, &mut day)?;
        }
        self.model.run(&car, &day).ok()
    }

    /// The model at a point: causes first, then everything unsure.
    fn linear(&self, causes: &[Cause], point: &Point, size: f64) -> Option<Linear> {
        let observations = self.blocks.measured.len();
        let rows = observations + usize::from(self.resistance.is_some());
        let columns = causes.len() + self.unsure.len();
        let mut effect = DMatrix::zeros(rows, columns);
        let mut residual = DVector::zeros(rows);
        let mut believed = DVector::zeros(columns);
        let predicted = self.blocks.predicted(&point.run);
        for row in 0..observations {
            residual[row] = (self.blocks.measured[row] - predicted[row]) / self.error(row, size);
        }
        if let Some(resistance) = self.resistance {
            residual[observations] =
                (resistance.measured_ohm - point.run.resistance_ohm()) / resistance.measured_se_ohm;
        }
        for (column, cause) in causes.iter().enumerate() {
            believed[column] = -point.amounts[column] / cause.size();
            let (values, ohm) = self.effect_of(causes, point, column)?;
            self.put(&mut effect, column, &values, ohm, size);
        }
        for (k, unsure) in self.unsure.iter().enumerate() {
            let column = causes.len() + k;
            self.put(&mut effect, column, &unsure.effect, unsure.resistance_ohm, size);
        }
        Some(Linear { residual, effect, believed })
    }

    fn put(&self, effect: &mut DMatrix<f64>, column: usize, values: &[f64], ohm: f64, size: f64) {
        for (row, value) in values.iter().enumerate() {
            effect[(row, column)] = value / self.error(row, size);
        }
        if let Some(resistance) = self.resistance {
            effect[(values.len(), column)] = ohm / resistance.measured_se_ohm;
        }
    }

    fn error(&self, row: usize, size: f64) -> f64 {
        self.blocks.error_j[row] * size
    }

    /// Change for one size of a cause at a point, from a step both ways or one.
    fn effect_of(&self, causes: &[Cause], point: &Point, column: usize) -> Option<(Vec<f64>, f64)> {
        const STEP: f64 = 0.1;
        let at = |step: f64| {
            let mut amounts = point.amounts.clone();
            amounts[column] += step * causes[column].size();
            self.run_with(causes, &amounts)
        };
        let (up, down) = (at(STEP), at(-STEP));
        let width = if up.is_some() && down.is_some() { 2.0 * STEP } else { STEP };
        if up.is_none() && down.is_none() {
            return None;
        }
        let (up, down) = (up.as_ref().unwrap_or(&point.run), down.as_ref().unwrap_or(&point.run));
        let (high, low) = (self.blocks.predicted(up), self.blocks.predicted(down));
        let values = high.iter().zip(&low).map(|(high, low)| (high - low) / width).collect();
        Some((values, (up.resistance_ohm() - down.resistance_ohm()) / width))
    }

    /// Size of the errors from what is left when all causes are free; neighbours that err alike count
    /// as fewer.
    fn error_size(&self, all_free: &Posterior) -> f64 {
        let left: Vec<f64> =
            all_free.left.iter().copied().take(self.blocks.measured.len()).collect();
        let square: f64 = left.iter().map(|value| value * value).sum();
        let free = self.blocks.telling.saturating_sub(CAUSES_AND_MORE).max(4);
        let free = f64::from(u32::try_from(free).unwrap_or(u32::MAX));
        let (out, back) = left.split_at(self.blocks.count());
        let product: f64 =
            [out, back].iter().flat_map(|part| part.windows(2)).map(|pair| pair[0] * pair[1]).sum();
        let alike = (product / square).clamp(0.0, 0.6);
        let widened = (1.0 + alike) / (1.0 - alike);
        (square / free * widened).sqrt().clamp(ERROR_SIZE.0, ERROR_SIZE.1)
    }
}

/// Pairs of causes whose amounts hang together.
fn alike(posterior: &Posterior) -> Vec<(Cause, Cause)> {
    let c = &posterior.covariance;
    let mut pairs = Vec::new();
    for (i, first) in Cause::ALL.into_iter().enumerate() {
        for (j, second) in Cause::ALL.into_iter().enumerate().skip(i + 1) {
            let correlation = c[(i, j)] / (c[(i, i)] * c[(j, j)]).sqrt();
            if correlation.abs() > ALIKE {
                pairs.push((first, second));
            }
        }
    }
    pairs
}
