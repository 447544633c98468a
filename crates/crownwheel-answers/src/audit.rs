//! A finished car compared with its build.

use crownwheel::name::Name;
use serde::Serialize;

use crate::{Band, Caution, Provenance, RepairLine, Unit, Units, Warning};

/// The answer of `audit`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct AuditAnswer {
    /// Program and inputs.
    pub provenance: Provenance,
    /// Units that the answer is shown in; the fields stay metric.
    pub units: Units,
    /// The answer in a few sentences, see [`AuditAnswer::plain_line`].
    pub plain: String,
    /// The log, as it was named.
    pub log: String,
    /// Name of the car.
    pub car: Name,
    /// Name of the day.
    pub day: Name,
    /// Way that was compared, km.
    pub distance_km: f64,
    /// Time that was compared, s.
    pub duration_s: f64,
    /// Use at the pack's terminals, net: the build's prediction with its band.
    pub predicted_use_wh_per_km: Band,
    /// The same as measured, with the band of the meter.
    pub measured_use_wh_per_km: Band,
    /// Measured over predicted, less one, %.
    pub difference_pct: f64,
    /// The difference in joint standard deviations.
    pub difference_sd: f64,
    /// What the log says of the causes, alone and in pairs, most probable first.
    pub findings: Vec<Finding>,
    /// What the first explanation leaves of the measured use, Wh/km.
    pub remaining_wh_per_km: f64,
    /// The same in joint standard deviations.
    pub remaining_sd: f64,
    /// Mean power of heater and air conditioning in the log's own columns, W. `None`: it has none.
    pub logged_cabin_w: Option<f64>,
    /// Energy by what the car was doing.
    pub doings: Vec<DoingLine>,
    /// Resistance of pack and harness. `None`: the current hardly swings.
    pub resistance: Option<ResistanceLine>,
    /// Energy that came back to the terminals, measured, Wh.
    pub taken_back_wh: f64,
    /// The same predicted, Wh.
    pub predicted_taken_back_wh: f64,
    /// Sign of the log's current while the pack discharges.
    pub discharge_sign: &'static str,
    /// State of charge at the start, %.
    pub start_charge_pct: f64,
    /// Where it is from.
    pub start_charge_from: &'static str,
    /// Causes that this log cannot tell apart, in pairs.
    pub alike: Vec<[String; 2]>,
    /// The fact, as lines of a build.
    pub fact: String,
    /// The build that the fact was written into. `None`: that was not asked for.
    pub written: Option<String>,
    /// Every repair of the log.
    pub repairs: Vec<RepairLine>,
    /// Measured and predicted energy along the way.
    #[serde(skip)]
    pub course: Vec<CoursePoint>,
    /// What else to know, a sentence each.
    pub notes: Vec<String>,
    /// What a person should look at.
    pub warnings: Vec<Warning>,
    /// Safety words.
    pub cautions: Vec<Caution>,
}

/// One explanation.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Finding {
    /// The cause, or two, or `as the build says`.
    pub what: String,
    /// Probability among the explanations, %.
    pub probability_pct: f64,
    /// How far off the build is, a line for each cause.
    pub changes: Vec<Change>,
    /// Predicted use with the causes at work, Wh/km.
    pub use_wh_per_km: f64,
    /// What to look at.
    pub suggestion: String,
}

/// A cause with its size.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// The cause.
    pub what: &'static str,
    /// How far off it is.
    pub change: Measure,
    /// Half the width of its 95 % band.
    pub half_width: Measure,
    /// What the build has.
    pub build: Option<Measure>,
}

/// A value with its unit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Measure {
    /// Value.
    pub value: f64,
    /// Unit.
    #[serde(serialize_with = "symbol")]
    pub unit: Unit,
}

fn symbol<S: serde::Serializer>(unit: &Unit, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(Units::Metric.symbol(*unit))
}

/// Energy while the car was doing one thing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DoingLine {
    /// What.
    pub what: String,
    /// Time, s.
    pub duration_s: f64,
    /// Measured energy at the terminals, Wh.
    pub measured_wh: f64,
    /// Predicted, Wh.
    pub predicted_wh: f64,
    /// Mean power by which they differ, W.
    pub difference_w: f64,
}

/// Resistance from volts against amperes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ResistanceLine {
    /// From the log, milliohm.
    pub measured_mohm: f64,
    /// Half the width of its 95 % band, milliohm.
    pub half_width_mohm: f64,
    /// In the model on the same trip, milliohm.
    pub predicted_mohm: f64,
}

/// Energy so far at a place of the way.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CoursePoint {
    /// Way, km.
    pub distance_km: f64,
    /// Measured, kWh.
    pub measured_kwh: f64,
    /// Predicted, kWh.
    pub predicted_kwh: f64,
    /// One in ten lie below, kWh: the band of the whole way in proportion.
    pub predicted_p10_kwh: f64,
    /// Nine in ten lie below, kWh.
    pub predicted_p90_kwh: f64,
}

/// From this many joint standard deviations nothing that was tried explains a difference.
pub const REFUTED_SD: f64 = 3.0;
/// From this many joint standard deviations a difference is one.
pub const DIFFERS_SD: f64 = 2.0;

/// Probability from which a cause is named as the likely one, %.
const LIKELY_PCT: f64 = 50.0;

impl AuditAnswer {
    /// Use against prediction, and the likely cause, in plain words.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let shown = |value: f64| self.units.text(value, Unit::WhPerKm);
        let band = match (self.predicted_use_wh_per_km.p10, self.predicted_use_wh_per_km.p90) {
            (Some(low), Some(high)) => format!(
                " ({} to {})",
                self.units.digits(low, Unit::WhPerKm, 0),
                self.units.digits(high, Unit::WhPerKm, 0)
            ),
            _ => String::new(),
        };
        let verdict = if self.difference_sd > DIFFERS_SD {
            "more than it should"
        } else if self.difference_sd < -DIFFERS_SD {
            "less than predicted"
        } else {
            "within what the build can say"
        };
        let used = format!(
            "On {} the car used {}, the build predicts {}{band}: {verdict}.",
            self.units.text_to(self.distance_km, Unit::Km, 1),
            shown(self.measured_use_wh_per_km.nominal),
            shown(self.predicted_use_wh_per_km.nominal),
        );
        format!("{used} {}", self.likely())
    }

    fn likely(&self) -> String {
        let Some(best) = self.findings.first() else { return String::new() };
        let remains = self.remaining_sd.abs() > REFUTED_SD;
        let likely = best.probability_pct >= LIKELY_PCT;
        if remains {
            return format!(
                "None of the usual causes explains it alone or with another: {} with {} remain.",
                self.units.text(self.remaining_wh_per_km, Unit::WhPerKm),
                best.what
            );
        }
        if !likely {
            let named: Vec<&str> =
                self.findings.iter().take(2).map(|finding| finding.what.as_str()).collect();
            return format!("The log does not settle why: {} come first.", named.join("; "));
        }
        if best.changes.is_empty() {
            return "Nothing in the log speaks against the build.".to_owned();
        }
        // A pattern can point to a fault where the sum of all energy is within the band.
        let within = self.difference_sd.abs() <= DIFFERS_SD;
        format!(
            "{} ({} %): {}. {}",
            if within { "Yet the pattern points to" } else { "Most likely" },
            crate::unit::digits(best.probability_pct, 0),
            self.finding_words(best),
            best.suggestion
        )
    }

    /// `constant drag force, 95 N more than the build, and standing loads, 200 W more than the build`.
    fn finding_words(&self, finding: &Finding) -> String {
        let one = |it: &Change| {
            format!("{}, {}", it.what, self.change_words(&it.change, it.build.as_ref()))
        };
        finding.changes.iter().map(one).collect::<Vec<_>>().join(", and ")
    }

    /// `95 N more than the build`, `9 points less than the build's 60 %`.
    pub(crate) fn change_words(&self, change: &Measure, build: Option<&Measure>) -> String {
        let more = if change.value < 0.0 { "less" } else { "more" };
        let size = Measure { value: change.value.abs(), ..*change };
        match build {
            None => format!("{} {more} than the build", self.measure_words(&size)),
            Some(build) => format!(
                "{} {more} than the build's {}",
                self.size_words(&size),
                self.measure_words(build)
            ),
        }
    }

    /// A size beside a value of the build: shares differ by points, not by a part of themselves.
    pub(crate) fn size_words(&self, size: &Measure) -> String {
        match size.unit {
            Unit::Pct => format!("{} points", self.units.digits(size.value, Unit::Pct, 0)),
            _ => self.measure_words(size),
        }
    }

    pub(crate) fn measure_words(&self, measure: &Measure) -> String {
        let decimals = if measure.unit == Unit::M2 { 2 } else { 0 };
        self.units.text_to(measure.value, measure.unit, decimals)
    }
}
