//! Every cause and every pair of causes tried against the build as it is.

use crownwheel::normal::share_below;
use crownwheel::spec::{CarSpec, DaySpec};
use crownwheel::spread::SD_PER_HALF_WIDTH;
use nalgebra::{DMatrix, DVector};

use super::blocks::Blocks;
use super::cause::Cause;
use super::error::AuditError;
use super::model::{DriveRun, Model};
use super::posterior::{Linear, Posterior};
use super::resistance::Resistance;
use super::unsure::UncertainTerm;

/// An explanation and how it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// The causes at work, none: the car is as the build says.
    pub causes: Vec<CauseAmount>,
    /// Probability among the explanations.
    pub probability: f64,
    /// Predicted net energy with them at work, J.
    pub predicted_j: f64,
}

/// A cause at work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CauseAmount {
    /// The cause.
    pub cause: Cause,
    /// How far off, in the unit of the cause; of [`Cause::Heater`] the mean power, W.
    pub amount: f64,
    /// Half the width of the 95 % band of the amount.
    pub half_width_95: f64,
}

/// Belief in the build before the log (engineer's judgement).
const BELIEF_IN_THE_BUILD: f64 = 0.2;
/// Belief that a second cause is at work beside a first, times the belief in it (engineer's judgement).
const BELIEF_IN_A_SECOND: f64 = 0.3;
/// Belief that a cause is a fault rather than a car better than its build (engineer's judgement).
const BELIEF_IN_A_FAULT: f64 = 0.95;
/// Probability that is kept for what is none of these, whatever the numbers say (engineer's
/// judgement).
const NOT_LISTED: f64 = 0.01;
/// Passes of moving the point of linearisation.
const PASSES: usize = 3;
/// Correlation from which two causes cannot be told apart.
const ALIKE: f64 = 0.85;
/// The size of the errors against what was guessed lies between these.
const ERROR_SIZE: (f64, f64) = (0.3, 10.0);
/// What a model leaves out is not chance, and blocks further apart err alike as well: times the size (engineer's judgement).
const WIDENED: f64 = 1.5;
/// Parts of the size that a pass may move beyond.
const FURTHEST: f64 = 3.0;
/// Error of an amount beyond what the blocks say, one standard deviation, as a part of it: cleaning
/// and averaging change a drive a little (seen in logs made from a known truth).
const METHOD_ERROR: f64 = 0.05;
/// Numbers that the blocks can settle at most: the causes and a few of the build's.
const CAUSES_AND_MORE: usize = 8;
/// An assumed cabin that takes less on average is no cause, W.
const LEAST_HEAT_W: f64 = 50.0;

/// Explanations by probability, and pairs of causes that cannot be told apart.
type Verdict = (Vec<Explanation>, Vec<(Cause, Cause)>);

/// Everything that judging needs.
pub(super) struct Study<'a> {
    pub(super) car: &'a CarSpec,
    pub(super) day: &'a DaySpec,
    pub(super) model: &'a Model<'a>,
    pub(super) blocks: &'a Blocks,
    pub(super) run: &'a DriveRun,
    pub(super) resistance: Option<&'a Resistance>,
    pub(super) unsure: &'a [UncertainTerm],
    /// The prediction lies so far off that the build cannot be right.
    pub(super) build_is_refuted: bool,
}

/// A point of linearisation: amounts of causes, with the model's run there.
struct Point {
    amounts: Vec<f64>,
    run: DriveRun,
}

impl Study<'_> {
    /// Tries every explanation.
    pub(super) fn judge(&self) -> Result<Verdict, AuditError> {
        let heat_w = self.usual_heat_w();
        let causes: Vec<Cause> = Cause::ALL
            .into_iter()
            .filter(|cause| *cause != Cause::Heater || heat_w > LEAST_HEAT_W)
            .collect();
        let (_, all_free) = self.fit(&causes, 1.0).ok_or(AuditError::Astray)?;
        let size = self.error_size(&all_free);
        let (_, all_free) = self.fit(&causes, size).ok_or(AuditError::Astray)?;
        let tried = explanations(&causes).into_iter().filter_map(|causes| {
            let (point, posterior) = self.fit(&causes, size)?;
            let found = self.amounts(&causes, &point, &posterior, heat_w);
            let evidence = posterior.log_evidence + libm::log(belief(&found));
            let predicted_j = self.blocks.net(&self.blocks.predicted(&point.run));
            Some((Explanation { causes: found, probability: 0.0, predicted_j }, evidence))
        });
        let (mut judged, evidence): (Vec<Explanation>, Vec<f64>) = tried.unzip();
        self.share(&mut judged, &evidence);
        judged.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        Ok((judged, alike(&causes, &all_free)))
    }

    /// Probabilities from evidence.
    fn share(&self, judged: &mut [Explanation], evidence: &[f64]) {
        let best = evidence.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        for (judged, evidence) in judged.iter_mut().zip(evidence) {
            let refuted = judged.causes.is_empty() && self.build_is_refuted;
            judged.probability = if refuted { 0.0 } else { libm::exp(evidence - best) };
        }
        let sum: f64 = judged.iter().map(|judged| judged.probability).sum();
        for judged in judged {
            judged.probability *= (1.0 - NOT_LISTED) / sum.max(f64::MIN_POSITIVE);
        }
    }

    /// Mean power that an assumed cabin takes on this trip, W; 0 where the log has the heater's own.
    fn usual_heat_w(&self) -> f64 {
        if self.model.cabin_j.is_some() {
            return 0.0;
        }
        let seconds = self.model.time_s.last().copied().unwrap_or_default().max(1.0);
        let aside = |run: &DriveRun| run.aside_j.iter().sum::<f64>();
        let heated = self.run_with(&[Cause::Heater], &[1.0]);
        heated.map_or(0.0, |run| (aside(&run) - aside(self.run)) / seconds)
    }

    fn amounts(
        &self,
        causes: &[Cause],
        point: &Point,
        posterior: &Posterior,
        heat_w: f64,
    ) -> Vec<CauseAmount> {
        let one = |(k, cause): (usize, &Cause)| {
            let unit = if *cause == Cause::Heater { heat_w } else { 1.0 };
            let amount = unit * (point.amounts[k] + cause.size() * posterior.mean[k]);
            let sd = unit * cause.size() * posterior.covariance[(k, k)].sqrt();
            let half_width_95 = SD_PER_HALF_WIDTH * libm::hypot(sd, METHOD_ERROR * amount);
            CauseAmount { cause: *cause, amount, half_width_95 }
        };
        causes.iter().enumerate().map(one).collect()
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
            residual[row] =
                (self.blocks.measured[row] - predicted[row]) / self.blocks.error(row, size);
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
            effect[(row, column)] = value / self.blocks.error(row, size);
        }
        if let Some(resistance) = self.resistance {
            effect[(values.len(), column)] = ohm / resistance.measured_se_ohm;
        }
    }

    /// Change for one size of a cause at a point.
    fn effect_of(&self, causes: &[Cause], point: &Point, column: usize) -> Option<(Vec<f64>, f64)> {
        const STEP: f64 = 0.1;
        let at = |step: f64| {
            let mut amounts = point.amounts.clone();
            amounts[column] += step * causes[column].size();
            self.run_with(causes, &amounts)
        };
        self.blocks.change(at, &point.run, STEP)
    }

    /// Size of the errors from what is left when all causes are free; neighbours that err alike count
    /// as fewer.
    fn error_size(&self, all_free: &Posterior) -> f64 {
        let moving = 2 * self.blocks.count();
        let left: Vec<f64> = all_free.left.iter().copied().take(moving).collect();
        let square: f64 = left.iter().map(|value| value * value).sum();
        let free = self.blocks.telling.saturating_sub(CAUSES_AND_MORE).max(4);
        let free = f64::from(u32::try_from(free).unwrap_or(u32::MAX));
        let (out, back) = left.split_at(self.blocks.count());
        let product: f64 =
            [out, back].iter().flat_map(|part| part.windows(2)).map(|pair| pair[0] * pair[1]).sum();
        let alike = (product / square).clamp(0.0, 0.6);
        let widened = (1.0 + alike) / (1.0 - alike);
        (WIDENED * (square / free * widened).sqrt()).clamp(ERROR_SIZE.0, ERROR_SIZE.1)
    }
}

/// Nothing, each cause, each pair of causes.
fn explanations(causes: &[Cause]) -> Vec<Vec<Cause>> {
    let mut all = vec![Vec::new()];
    all.extend(causes.iter().map(|cause| vec![*cause]));
    for (i, first) in causes.iter().enumerate() {
        all.extend(causes[i + 1..].iter().map(|second| vec![*first, *second]));
    }
    all
}

/// Belief in causes before the log, and in the signs of what was found of them: of a normal belief around nothing the half that
/// is a fault weighs more than the half that is none.
fn belief(causes: &[CauseAmount]) -> f64 {
    if causes.is_empty() {
        return BELIEF_IN_THE_BUILD;
    }
    let second = if causes.len() > 1 { BELIEF_IN_A_SECOND } else { 1.0 };
    causes.iter().fold(second, |belief, found| {
        let sd = (found.half_width_95 / SD_PER_HALF_WIDTH).max(f64::MIN_POSITIVE);
        let fault = share_below(found.cause.fault_sign() * found.amount / sd);
        let signs = BELIEF_IN_A_FAULT * fault + (1.0 - BELIEF_IN_A_FAULT) * (1.0 - fault);
        belief * found.cause.belief() * 2.0 * signs
    })
}

/// Pairs of causes whose amounts hang together.
fn alike(causes: &[Cause], posterior: &Posterior) -> Vec<(Cause, Cause)> {
    let c = &posterior.covariance;
    let mut pairs = Vec::new();
    for (i, first) in causes.iter().enumerate() {
        for (j, second) in causes.iter().enumerate().skip(i + 1) {
            let correlation = c[(i, j)] / (c[(i, i)] * c[(j, j)]).sqrt();
            if correlation.abs() > ALIKE {
                pairs.push((*first, *second));
            }
        }
    }
    pairs
}
