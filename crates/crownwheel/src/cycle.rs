//! Drive cycles: what the driver wants, by time or by distance.

use std::fmt;

use crate::constants::KMH_PER_MPS;
use crate::road_load::Slope;

/// Names of the built-in cycles.
pub const BUILTIN_NAMES: [&str; 8] =
    ["udds", "hwfet", "us06", "wltc3b", "wltc3a", "wltc2", "wltc1", "nedc"];

/// Longest piece of a cycle, s; longer intervals are cut into equal parts.
pub const LONGEST_PIECE_S: f64 = 1.0;

/// Half width of the time in which the lowest target counts for following, s.
const FOLLOWING_WINDOW_S: f64 = 1.0;

/// Steepest gradient that a cycle may have, as rise over run.
pub const STEEPEST_GRADE: f64 = 1.0;

/// Fastest speed that a cycle may have, m/s (360 km/h).
pub const FASTEST_MPS: f64 = 100.0;

/// Least length of a steady cycle, m: a shorter one has no range.
const STEADY_AT_LEAST_M: f64 = 200.0;

/// Most pieces that a cycle may have: at a second each, three weeks of driving.
pub const MOST_PIECES: u32 = 2_000_000;

/// Gradient along a cycle.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
pub enum Grade {
    /// Flat.
    Flat,
    /// Rise over run at each sample, for the interval that ends there.
    Frac(Vec<f64>),
    /// Height at each sample, m.
    Elevation(Vec<f64>),
}

/// A cycle as it was written down.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case", deny_unknown_fields))]
pub enum Samples {
    /// Speed against time.
    ByTime {
        /// Time, s, rising.
        time_s: Vec<f64>,
        /// Speed, m/s.
        speed_mps: Vec<f64>,
        /// Gradient.
        grade: Grade,
    },
    /// Speed against distance: between two rows `v²` is a straight line in distance.
    ByDistance {
        /// Distance, m, rising.
        distance_m: Vec<f64>,
        /// Speed, m/s.
        speed_mps: Vec<f64>,
        /// Time standing at a row of speed zero, s.
        stop_s: Vec<f64>,
        /// Gradient.
        grade: Grade,
    },
}

/// What is wrong with a cycle.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
#[non_exhaustive]
pub enum CycleProblem {
    /// Fewer than two samples.
    TooFewSamples,
    /// Columns differ in length.
    UnequalLengths,
    /// A value is not a finite number.
    NotFinite,
    /// Time or distance does not rise from one sample to the next.
    NotRising {
        /// Value at the sample before.
        before: f64,
        /// Value at the sample.
        given: f64,
    },
    /// Speed below zero or above [`FASTEST_MPS`].
    SpeedOutOfRange {
        /// Speed, m/s.
        speed_mps: f64,
    },
    /// A negative stop, or one at a sample that does not stand still.
    StopOutOfPlace {
        /// Stop, s.
        stop_s: f64,
    },
    /// Two samples at speed zero with a distance between them: it would take for ever.
    StandsOverDistance,
    /// Steeper than [`STEEPEST_GRADE`].
    TooSteep {
        /// Rise over run.
        grade_frac: f64,
    },
    /// Heights that make the road steeper than [`STEEPEST_GRADE`].
    RisesTooMuch {
        /// Rise from the sample before, m.
        rise_m: f64,
        /// Length of the road between them, m.
        length_m: f64,
    },
    /// The whole cycle covers no distance.
    NoDistance,
    /// More than [`MOST_PIECES`] pieces of at most [`LONGEST_PIECE_S`].
    TooLong,
}

/// Why a cycle was refused.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[non_exhaustive]
pub struct CycleError {
    /// Sample, counted from 0.
    pub row: usize,
    /// What is wrong there.
    pub problem: CycleProblem,
}

impl fmt::Display for CycleError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "sample {}: {}", self.row, self.problem)
    }
}

impl fmt::Display for CycleProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CycleProblem::TooFewSamples => f.write_str("a cycle needs at least two samples"),
            CycleProblem::UnequalLengths => f.write_str("columns differ in length"),
            CycleProblem::NotFinite => f.write_str("not a finite number"),
            CycleProblem::NotRising { before, given } => {
                write!(f, "{given} does not come after {before}")
            }
            CycleProblem::SpeedOutOfRange { speed_mps } => {
                write!(f, "speed {speed_mps:.3} m/s is outside of 0 to {FASTEST_MPS} m/s")
            }
            CycleProblem::StopOutOfPlace { stop_s } => {
                write!(f, "a stop of {stop_s} s needs speed 0 and at least 0 s")
            }
            CycleProblem::StandsOverDistance => {
                f.write_str("two samples at speed 0 with a distance between them")
            }
            CycleProblem::TooSteep { grade_frac } => {
                write!(f, "grade {grade_frac} is steeper than {STEEPEST_GRADE}")
            }
            CycleProblem::RisesTooMuch { rise_m, length_m } => {
                write!(
                    f,
                    "{rise_m:.1} m of height over {length_m:.1} m of road is steeper than a grade of {STEEPEST_GRADE}"
                )
            }
            CycleProblem::NoDistance => f.write_str("the cycle covers no distance"),
            CycleProblem::TooLong => {
                write!(
                    f,
                    "up to here the cycle has more than {MOST_PIECES} steps of at most {LONGEST_PIECE_S} s"
                )
            }
        }
    }
}

impl std::error::Error for CycleError {}

/// No cycle of this name is built in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoCycle {
    name: String,
}

impl NoCycle {
    /// The name that looks most like it.
    #[must_use]
    pub fn nearest(&self) -> Option<String> {
        crate::keys::paths::nearest_of(BUILTIN_NAMES.iter().copied(), &self.name)
    }
}

impl fmt::Display for NoCycle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "no cycle `{}` is built in", self.name)?;
        match self.nearest() {
            Some(nearest) => write!(f, "; the nearest is `{nearest}`"),
            None => write!(f, "; there are {}", BUILTIN_NAMES.join(", ")),
        }
    }
}

impl std::error::Error for NoCycle {}

/// How long a leg lasts.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "snake_case"))]
pub enum Span {
    /// A time, s.
    Time(f64),
    /// A distance along the road, m.
    Distance(f64),
}

/// One piece of a cycle: constant acceleration towards a target speed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Leg {
    /// Length.
    pub span: Span,
    /// Speed wanted at its end, m/s.
    pub target_mps: f64,
    /// Lowest target within 1 s before and after its end, m/s.
    pub lowest_target_mps: f64,
    /// Sine of the road angle.
    pub sin: f64,
    /// Cosine of the road angle.
    pub cos: f64,
}

/// A checked cycle, cut into legs.
#[derive(Clone, Debug, PartialEq)]
pub struct Cycle {
    name: String,
    start_mps: f64,
    legs: Vec<Leg>,
    distance_m: f64,
    duration_s: f64,
    climb_m: f64,
}

/// A piece before the lowest targets are known.
struct Piece {
    span: Span,
    duration_s: f64,
    target_mps: f64,
    slope: Slope,
}

impl Cycle {
    /// Checks samples and cuts them into legs of at most [`LONGEST_PIECE_S`].
    ///
    /// # Errors
    /// The first sample that cannot be driven, and why.
    ///
    /// Speeds from 0 to [`FASTEST_MPS`], grades up to [`STEEPEST_GRADE`]; time or distance rises.
    ///
    /// ```
    /// use crownwheel::cycle::{Cycle, Grade, Samples};
    /// let samples = Samples::ByTime { time_s: vec![0.0, 10.0, 20.0], speed_mps: vec![0.0, 10.0, 0.0],
    ///     grade: Grade::Flat };
    /// // Two triangles.
    /// assert!((Cycle::new("hump", &samples)?.distance_m() - 100.0).abs() < 1e-9);
    /// # Ok::<(), crownwheel::cycle::CycleError>(())
    /// ```
    pub fn new(name: &str, samples: &Samples) -> Result<Cycle, CycleError> {
        let (start_mps, pieces) = match samples {
            Samples::ByTime { time_s, speed_mps, grade } => by_time(time_s, speed_mps, grade)?,
            Samples::ByDistance { distance_m, speed_mps, stop_s, grade } => {
                by_distance(distance_m, speed_mps, stop_s, grade)?
            }
        };
        let cycle = Cycle::from_pieces(name, start_mps, &pieces);
        if cycle.distance_m > 0.0 {
            Ok(cycle)
        } else {
            Err(CycleError { row: 0, problem: CycleProblem::NoDistance })
        }
    }

    /// A built-in cycle by its name, `udds`.
    ///
    /// # Errors
    /// A name that is not in [`BUILTIN_NAMES`], with the nearest. The source stands at the head of [`builtin_text`].
    ///
    /// ```
    /// use crownwheel::Cycle;
    /// // 40 CFR 86 appendix I: 1,369 s and 7.45 miles.
    /// let udds = Cycle::builtin("udds")?;
    /// assert!((udds.duration_s() - 1_369.0).abs() < 1e-9);
    /// assert!((udds.distance_m() / 1_609.344 - 7.45).abs() < 0.01);
    /// assert!(Cycle::builtin("uds").unwrap_err().to_string().contains("`udds`"));
    /// # Ok::<(), crownwheel::cycle::NoCycle>(())
    /// ```
    pub fn builtin(name: &str) -> Result<Cycle, NoCycle> {
        let read = builtin_text(name).and_then(builtin_samples);
        let cycle = read.and_then(|samples| Cycle::new(name, &samples).ok());
        cycle.ok_or_else(|| NoCycle { name: name.to_owned() })
    }

    /// City traffic: the urban dynamometer schedule of the United States.
    ///
    /// ```
    /// assert_eq!(crownwheel::Cycle::udds().name(), "udds");
    /// ```
    #[must_use]
    pub fn udds() -> Cycle {
        Cycle::known("udds")
    }

    /// Country roads: the highway schedule of the United States.
    ///
    /// ```
    /// assert_eq!(crownwheel::Cycle::hwfet().name(), "hwfet");
    /// ```
    #[must_use]
    pub fn hwfet() -> Cycle {
        Cycle::known("hwfet")
    }

    /// The worldwide cycle for cars of more than 34 W/kg.
    ///
    /// ```
    /// assert_eq!(crownwheel::Cycle::wltc3b().name(), "wltc3b");
    /// ```
    #[must_use]
    pub fn wltc3b() -> Cycle {
        Cycle::known("wltc3b")
    }

    #[expect(clippy::expect_used, reason = "a file of our own, which tests read")]
    fn known(name: &str) -> Cycle {
        Cycle::builtin(name).expect("it is built in")
    }

    /// A cycle of times, s, and speeds, m/s, on the flat.
    ///
    /// # Errors
    /// As [`Cycle::new`].
    ///
    /// ```
    /// use crownwheel::Cycle;
    /// let hump = Cycle::by_time("hump", &[(0.0, 0.0), (10.0, 10.0), (20.0, 0.0)])?;
    /// assert!((hump.distance_m() - 100.0).abs() < 1e-9);
    /// # Ok::<(), crownwheel::cycle::CycleError>(())
    /// ```
    pub fn by_time(name: &str, samples: &[(f64, f64)]) -> Result<Cycle, CycleError> {
        let (time_s, speed_mps) = samples.iter().copied().unzip();
        Cycle::new(name, &Samples::ByTime { time_s, speed_mps, grade: Grade::Flat })
    }

    /// A cycle of distances, m, speeds there, m/s, and grades of the way to there, rise over run; it stops nowhere.
    ///
    /// # Errors
    /// As [`Cycle::new`].
    ///
    /// ```
    /// use crownwheel::Cycle;
    /// let hill = Cycle::by_distance("hill", &[(0.0, 10.0, 0.0), (500.0, 15.0, 0.04), (900.0, 10.0, -0.02)])?;
    /// assert!((hill.distance_m() - 900.0).abs() < 1e-9);
    /// # Ok::<(), crownwheel::cycle::CycleError>(())
    /// ```
    pub fn by_distance(name: &str, samples: &[(f64, f64, f64)]) -> Result<Cycle, CycleError> {
        let column = |of: fn(&(f64, f64, f64)) -> f64| samples.iter().map(of).collect::<Vec<f64>>();
        let samples = Samples::ByDistance {
            distance_m: column(|it| it.0),
            speed_mps: column(|it| it.1),
            stop_s: vec![0.0; samples.len()],
            grade: Grade::Frac(column(|it| it.2)),
        };
        Cycle::new(name, &samples)
    }

    /// A steady speed on the flat for a minute or 200 m, what is more, begun and ended at that speed.
    ///
    /// `speed_mps` is held between 0.1 m/s and [`FASTEST_MPS`].
    ///
    /// ```
    /// let cycle = crownwheel::cycle::Cycle::steady(20.0);
    /// assert!((cycle.distance_m() - 1_200.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn steady(speed_mps: f64) -> Cycle {
        Cycle::steady_in_steps(speed_mps, 60)
    }

    /// The same with its minute in this many steps: many cars are driven for hours at one speed, and hardly anything
    /// changes in a second.
    ///
    /// ```
    /// let cycle = crownwheel::cycle::Cycle::steady_in_steps(20.0, 6);
    /// assert!(cycle.legs().len() == 6 && (cycle.distance_m() - 1_200.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn steady_in_steps(speed_mps: f64, steps: u32) -> Cycle {
        let speed_mps = speed_mps.clamp(0.1, FASTEST_MPS);
        let step_s = 60.0 / f64::from(steps.max(1));
        let piece = || Piece {
            span: Span::Time(step_s),
            duration_s: step_s,
            target_mps: speed_mps,
            slope: Slope::from_sin(0.0),
        };
        let mut pieces: Vec<Piece> = (0..steps.max(1)).map(|_| piece()).collect();
        while crate::table::count(pieces.len()) * step_s * speed_mps < STEADY_AT_LEAST_M {
            pieces.push(piece());
        }
        Cycle::from_pieces(
            &format!("steady {:.0} km/h", speed_mps * KMH_PER_MPS),
            speed_mps,
            &pieces,
        )
    }

    /// The same cycle with every leg cut into `parts` equal times (for step-halving tests).
    ///
    /// `parts` from 1; distance, time and climb stay.
    ///
    /// ```
    /// let cycle = crownwheel::cycle::Cycle::steady(20.0);
    /// let finer = cycle.refined(4);
    /// assert_eq!(finer.legs().len(), 240);
    /// assert!((finer.distance_m() - 1_200.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn refined(&self, parts: u32) -> Cycle {
        let mut speed_mps = self.start_mps;
        let mut pieces = Vec::with_capacity(self.legs.len() * parts as usize);
        for leg in &self.legs {
            let slope = Slope::from_sin(leg.sin);
            cut(&mut pieces, leg.span, (speed_mps, leg.target_mps), slope, parts);
            speed_mps = leg.target_mps;
        }
        Cycle::from_pieces(&self.name, self.start_mps, &pieces)
    }

    fn from_pieces(name: &str, start_mps: f64, pieces: &[Piece]) -> Cycle {
        let lowest = lowest_targets(start_mps, pieces);
        let mut cycle = Cycle {
            name: name.to_owned(),
            start_mps,
            legs: Vec::with_capacity(pieces.len()),
            distance_m: 0.0,
            duration_s: 0.0,
            climb_m: 0.0,
        };
        let mut speed_mps = start_mps;
        for (piece, lowest_target_mps) in pieces.iter().zip(lowest) {
            let length_m = 0.5 * (speed_mps + piece.target_mps) * piece.duration_s;
            cycle.distance_m += length_m;
            cycle.duration_s += piece.duration_s;
            cycle.climb_m += (length_m * piece.slope.sin()).max(0.0);
            cycle.legs.push(Leg {
                span: piece.span,
                target_mps: piece.target_mps,
                lowest_target_mps,
                sin: piece.slope.sin(),
                cos: piece.slope.cos(),
            });
            speed_mps = piece.target_mps;
        }
        cycle
    }

    /// Name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Speed at the start, m/s.
    #[must_use]
    pub fn start_mps(&self) -> f64 {
        self.start_mps
    }

    /// Legs in order.
    #[must_use]
    pub fn legs(&self) -> &[Leg] {
        &self.legs
    }

    /// Distance when the targets are met, m.
    #[must_use]
    pub fn distance_m(&self) -> f64 {
        self.distance_m
    }

    /// Duration when the targets are met, s.
    #[must_use]
    pub fn duration_s(&self) -> f64 {
        self.duration_s
    }

    /// All metres uphill.
    #[must_use]
    pub fn climb_m(&self) -> f64 {
        self.climb_m
    }

    /// Highest target, m/s.
    #[must_use]
    pub fn top_speed_mps(&self) -> f64 {
        self.legs.iter().map(|leg| leg.target_mps).fold(self.start_mps, f64::max)
    }
}

/// Lowest target within a second before and after the end of each piece.
fn lowest_targets(start_mps: f64, pieces: &[Piece]) -> Vec<f64> {
    let mut ends_s = vec![0.0];
    let mut targets_mps = vec![start_mps];
    for piece in pieces {
        ends_s.push(ends_s[ends_s.len() - 1] + piece.duration_s);
        targets_mps.push(piece.target_mps);
    }
    let (mut first, mut last) = (0, 0);
    let within = FOLLOWING_WINDOW_S + 1e-9;
    let lowest_at = |i: usize| {
        while ends_s[i] - ends_s[first] > within {
            first += 1;
        }
        while last + 1 < ends_s.len() && ends_s[last + 1] - ends_s[i] <= within {
            last += 1;
        }
        targets_mps[first..=last].iter().copied().fold(f64::INFINITY, f64::min)
    };
    (1..ends_s.len()).map(lowest_at).collect()
}

fn by_time(
    time_s: &[f64],
    speed_mps: &[f64],
    grade: &Grade,
) -> Result<(f64, Vec<Piece>), CycleError> {
    check_columns(time_s, speed_mps, grade)?;
    let mut pieces = Vec::with_capacity(time_s.len());
    for i in 1..time_s.len() {
        let dt_s = time_s[i] - time_s[i - 1];
        if dt_s <= 0.0 {
            return Err(not_rising(time_s, i));
        }
        let speeds = (speed_mps[i - 1], speed_mps[i]);
        let slope = slope_of(grade, i, 0.5 * (speeds.0 + speeds.1) * dt_s)?;
        let parts = parts_of(dt_s, pieces.len(), i)?;
        cut(&mut pieces, Span::Time(dt_s), speeds, slope, parts);
    }
    Ok((speed_mps[0], pieces))
}

fn by_distance(
    distance_m: &[f64],
    speed_mps: &[f64],
    stop_s: &[f64],
    grade: &Grade,
) -> Result<(f64, Vec<Piece>), CycleError> {
    check_columns(distance_m, speed_mps, grade)?;
    check_stops(speed_mps, stop_s)?;
    let mut pieces = Vec::with_capacity(2 * distance_m.len());
    let stand = |pieces: &mut Vec<Piece>, row: usize| {
        let seconds = stop_s[row];
        if seconds > 0.0 {
            let parts = parts_of(seconds, pieces.len(), row)?;
            cut(pieces, Span::Time(seconds), (0.0, 0.0), Slope::from_sin(0.0), parts);
        }
        Ok(())
    };
    stand(&mut pieces, 0)?;
    for i in 1..distance_m.len() {
        let ds_m = distance_m[i] - distance_m[i - 1];
        let speeds = (speed_mps[i - 1], speed_mps[i]);
        let standing = speeds.0 + speeds.1 <= 0.0;
        let same_place_stop = ds_m == 0.0 && standing && stop_s[i] + stop_s[i - 1] > 0.0;
        if !same_place_stop {
            if ds_m <= 0.0 {
                return Err(not_rising(distance_m, i));
            }
            if standing {
                return Err(CycleError { row: i, problem: CycleProblem::StandsOverDistance });
            }
            let duration_s = 2.0 * ds_m / (speeds.0 + speeds.1);
            let slope = slope_of(grade, i, ds_m)?;
            let parts = parts_of(duration_s, pieces.len(), i)?;
            cut(&mut pieces, Span::Distance(ds_m), speeds, slope, parts);
        }
        stand(&mut pieces, i)?;
    }
    Ok((speed_mps[0], pieces))
}

/// How many pieces the interval that ends at sample `row` is cut into, after `before` others.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 1 and the most pieces"
)]
fn parts_of(duration_s: f64, before: usize, row: usize) -> Result<u32, CycleError> {
    let parts = (duration_s / LONGEST_PIECE_S - 1e-9).ceil().max(1.0);
    if parts + before as f64 > f64::from(MOST_PIECES) {
        return Err(CycleError { row, problem: CycleProblem::TooLong });
    }
    Ok(parts as u32)
}

/// Adds an interval of constant acceleration as pieces of equal time.
fn cut(pieces: &mut Vec<Piece>, span: Span, speeds: (f64, f64), slope: Slope, parts: u32) {
    let (from_mps, to_mps) = speeds;
    let whole_s = match span {
        Span::Time(dt_s) => dt_s,
        Span::Distance(ds_m) => 2.0 * ds_m / (from_mps + to_mps),
    };
    let duration_s = whole_s / f64::from(parts);
    let speed_at = |k: u32| from_mps + (to_mps - from_mps) * f64::from(k) / f64::from(parts);
    for k in 1..=parts {
        let target_mps = if k == parts { to_mps } else { speed_at(k) };
        let piece_span = match span {
            Span::Time(_) => Span::Time(duration_s),
            Span::Distance(_) => Span::Distance(0.5 * (speed_at(k - 1) + target_mps) * duration_s),
        };
        pieces.push(Piece { span: piece_span, duration_s, target_mps, slope });
    }
}

fn check_columns(along: &[f64], speed_mps: &[f64], grade: &Grade) -> Result<(), CycleError> {
    let rows = along.len();
    let error = |row: usize, problem: CycleProblem| Err(CycleError { row, problem });
    if rows < 2 {
        return error(0, CycleProblem::TooFewSamples);
    }
    let grades: &[f64] = match grade {
        Grade::Flat => &[],
        Grade::Frac(values) | Grade::Elevation(values) => values,
    };
    if speed_mps.len() != rows || !(grades.is_empty() || grades.len() == rows) {
        return error(rows, CycleProblem::UnequalLengths);
    }
    for row in 0..rows {
        let grade_finite = grades.get(row).is_none_or(|g| g.is_finite());
        if !along[row].is_finite() || !speed_mps[row].is_finite() || !grade_finite {
            return error(row, CycleProblem::NotFinite);
        }
        if !(0.0..=FASTEST_MPS).contains(&speed_mps[row]) {
            let speed_mps = speed_mps[row];
            return error(row, CycleProblem::SpeedOutOfRange { speed_mps });
        }
    }
    Ok(())
}

fn check_stops(speed_mps: &[f64], stop_s: &[f64]) -> Result<(), CycleError> {
    if stop_s.len() != speed_mps.len() {
        return Err(CycleError { row: stop_s.len(), problem: CycleProblem::UnequalLengths });
    }
    let wrong = (0..stop_s.len()).find(|i| {
        let stop = stop_s[*i];
        !stop.is_finite() || stop < 0.0 || (stop > 0.0 && speed_mps[*i] > 0.0)
    });
    match wrong {
        None => Ok(()),
        Some(row) => {
            Err(CycleError { row, problem: CycleProblem::StopOutOfPlace { stop_s: stop_s[row] } })
        }
    }
}

fn not_rising(along: &[f64], row: usize) -> CycleError {
    let (before, given) = (along[row - 1], along[row]);
    CycleError { row, problem: CycleProblem::NotRising { before, given } }
}

/// Slope of the interval that ends at sample `i` and is `length_m` long.
fn slope_of(grade: &Grade, i: usize, length_m: f64) -> Result<Slope, CycleError> {
    let refused = |problem: CycleProblem| Err(CycleError { row: i, problem });
    match grade {
        Grade::Flat => Ok(Slope::from_sin(0.0)),
        Grade::Frac(values) if values[i].abs() <= STEEPEST_GRADE => {
            Ok(Slope::from_grade(values[i]))
        }
        Grade::Frac(values) => refused(CycleProblem::TooSteep { grade_frac: values[i] }),
        // Standing still, a jump of height (a noisy sensor) moves nothing.
        Grade::Elevation(_) if length_m <= 0.0 => Ok(Slope::from_sin(0.0)),
        Grade::Elevation(values) => {
            let rise_m = values[i] - values[i - 1];
            let slope = Slope::from_sin(rise_m / length_m);
            if slope.grade_frac().abs() <= STEEPEST_GRADE {
                return Ok(slope);
            }
            refused(CycleProblem::RisesTooMuch { rise_m, length_m })
        }
    }
}

/// The file of a built-in cycle, with its source lines.
///
/// ```
/// let text = crownwheel::cycle::builtin_text("nedc").expect("it is built in");
/// assert!(text.starts_with('#'));
/// ```
#[must_use]
pub fn builtin_text(name: &str) -> Option<&'static str> {
    Some(match name {
        "udds" => include_str!("cycles/udds.csv"),
        "hwfet" => include_str!("cycles/hwfet.csv"),
        "us06" => include_str!("cycles/us06.csv"),
        "wltc3b" => include_str!("cycles/wltc3b.csv"),
        "wltc3a" => include_str!("cycles/wltc3a.csv"),
        "wltc2" => include_str!("cycles/wltc2.csv"),
        "wltc1" => include_str!("cycles/wltc1.csv"),
        "nedc" => include_str!("cycles/nedc.csv"),
        _ => return None,
    })
}

/// Reads an embedded file: comment lines, a header `time_s,speed_kmh` or `_mph`, then rows. It is
/// no reader of what people write, only of the eight files beside it (all are tested).
fn builtin_samples(text: &str) -> Option<Samples> {
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let unit_mps = match lines.next()?.split(',').nth(1)? {
        "speed_mph" => crate::constants::METRE_PER_MILE / 3600.0,
        "speed_kmh" => 1.0 / KMH_PER_MPS,
        _ => return None,
    };
    let mut time_s = Vec::new();
    let mut speed_mps = Vec::new();
    for line in lines {
        let mut cells = line.split(',');
        time_s.push(cells.next()?.parse::<f64>().ok()?);
        speed_mps.push(cells.next()?.parse::<f64>().ok()? * unit_mps);
    }
    Some(Samples::ByTime { time_s, speed_mps, grade: Grade::Flat })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_builtin_cycle_reads() {
        for name in BUILTIN_NAMES {
            let cycle = Cycle::builtin(name).expect(name);
            assert!(cycle.distance_m() > 10_000.0 && cycle.legs().len() > 500);
        }
        assert!(Cycle::builtin("nothing").is_err());
    }

    #[test]
    fn distance_rows_become_equal_times_of_constant_acceleration() {
        let samples = Samples::ByDistance {
            distance_m: vec![0.0, 100.0, 200.0],
            speed_mps: vec![0.0, 20.0, 0.0],
            stop_s: vec![0.0, 0.0, 2.5],
            grade: Grade::Elevation(vec![0.0, 5.0, 0.0]),
        };
        let cycle = Cycle::new("hill", &samples).unwrap();
        assert!((cycle.distance_m() - 200.0).abs() < 1e-9);
        assert!((cycle.duration_s() - 22.5).abs() < 1e-9);
        assert!((cycle.climb_m() - 5.0).abs() < 1e-9);
        assert!((cycle.legs()[0].sin - 0.05).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_driven_is_refused_with_its_row() {
        let by_time = |time_s: Vec<f64>, speed_mps: Vec<f64>| {
            let samples = Samples::ByTime { time_s, speed_mps, grade: Grade::Flat };
            Cycle::new("x", &samples).unwrap_err()
        };
        assert_eq!(by_time(vec![0.0], vec![1.0]).problem, CycleProblem::TooFewSamples);
        let back = by_time(vec![0.0, 2.0, 1.0], vec![1.0; 3]);
        assert_eq!(back.row, 2);
        assert_eq!(back.problem, CycleProblem::NotRising { before: 2.0, given: 1.0 });
        assert_eq!(by_time(vec![0.0, 1.0], vec![0.0, f64::NAN]).problem, CycleProblem::NotFinite);
        assert_eq!(by_time(vec![0.0, 1.0], vec![0.0, 0.0]).problem, CycleProblem::NoDistance);
        let stands = Samples::ByDistance {
            distance_m: vec![0.0, 10.0, 20.0],
            speed_mps: vec![5.0, 0.0, 0.0],
            stop_s: vec![0.0; 3],
            grade: Grade::Flat,
        };
        let error = Cycle::new("x", &stands).unwrap_err();
        assert_eq!(error, CycleError { row: 2, problem: CycleProblem::StandsOverDistance });
    }

    #[test]
    fn roads_that_are_too_steep_are_refused_as_they_are_given() {
        let graded = |grade: Grade| {
            let (time_s, speed_mps) = (vec![0.0, 1.0], vec![5.0; 2]);
            Cycle::new("x", &Samples::ByTime { time_s, speed_mps, grade }).map_err(|it| it.problem)
        };
        assert!(graded(Grade::Frac(vec![0.0, 1.0])).is_ok());
        // The square of 1e200 is no number any more, and made the road flat.
        for grade_frac in [1.001, -2.0, 1e8, 1e200, -1e300] {
            let refused = graded(Grade::Frac(vec![0.0, grade_frac])).unwrap_err();
            assert_eq!(refused, CycleProblem::TooSteep { grade_frac });
        }
        for rise_m in [4.9, -5.0, 1e300] {
            let refused = graded(Grade::Elevation(vec![0.0, rise_m])).unwrap_err();
            assert_eq!(refused, CycleProblem::RisesTooMuch { rise_m, length_m: 5.0 });
        }
    }

    /// A few rows may stand for years: they would be cut into gigabytes of seconds.
    #[test]
    fn years_of_driving_are_refused_before_they_are_cut() {
        let limit_s = f64::from(MOST_PIECES);
        let by_time = |end_s: f64| Samples::ByTime {
            time_s: vec![0.0, 1.0, end_s],
            speed_mps: vec![1.0; 3],
            grade: Grade::Flat,
        };
        let longest = Cycle::new("x", &by_time(limit_s)).unwrap();
        assert_eq!(longest.legs().len(), MOST_PIECES as usize);
        for end_s in [limit_s + 1.0, 1e17, 1e300] {
            let error = Cycle::new("x", &by_time(end_s)).unwrap_err();
            assert_eq!(error, CycleError { row: 2, problem: CycleProblem::TooLong });
        }
        let stands = |distance_m: f64, stop_s: f64| Samples::ByDistance {
            distance_m: vec![0.0, distance_m],
            speed_mps: vec![10.0, 0.0],
            stop_s: vec![0.0, stop_s],
            grade: Grade::Flat,
        };
        for samples in [stands(1e12, 0.0), stands(10.0, 1e9)] {
            let error = Cycle::new("x", &samples).unwrap_err();
            assert_eq!(error, CycleError { row: 1, problem: CycleProblem::TooLong });
        }
    }

    #[test]
    fn the_lowest_target_looks_a_second_both_ways() {
        let samples = Samples::ByTime {
            time_s: vec![0.0, 1.0, 2.0, 3.0],
            speed_mps: vec![0.0, 4.0, 8.0, 6.0],
            grade: Grade::Flat,
        };
        let cycle = Cycle::new("x", &samples).unwrap();
        let lowest: Vec<f64> = cycle.legs().iter().map(|leg| leg.lowest_target_mps).collect();
        assert_eq!(lowest, vec![0.0, 4.0, 6.0]);
    }
}
