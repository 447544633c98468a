//! An audit as an answer.

use crownwheel::constants::JPM_PER_WH_PER_KM;
use crownwheel::spec::CarSpec;
use crownwheel::spread::SD_PER_HALF_WIDTH;
use crownwheel_answers::audit::{
    Change, CoursePoint, DIFFERS_SD, DoingLine, Finding, Measure, REFUTED_SD, ResistanceLine,
};
use crownwheel_answers::{
    AuditAnswer, Band, Caution, Deciles, Provenance, Topic, Unit, Units, Warning,
};

use super::cause::Cause;
use super::judge::{CauseAmount, Explanation};
use super::{ABOARD_SD_KG, Audit, HEADWIND_SD_MPS, LOAD_SD_W, METER_SD, REGEN_SD};
use crate::trip::repair_lines;

/// Joules in a watt-hour.
const WH_J: f64 = 3600.0;
/// Standard deviations from the middle to the value that nine in ten are below.
const P90_SD: f64 = 1.2816;
/// Share of the time behind the log's speed that is worth a warning.
const BEHIND_SHARE: f64 = 0.02;

/// What an answer says of where it comes from.
#[derive(Clone, Debug)]
pub struct Source {
    /// The log, as it was named.
    pub log: String,
    /// Name of the fact, letters, digits and `_`.
    pub fact: String,
    /// Program and inputs.
    pub provenance: Provenance,
    /// Units that the answer is shown in.
    pub units: Units,
}

/// The answer of `audit`.
#[must_use]
pub fn audit_answer(audit: &Audit, car: &CarSpec, source: Source) -> AuditAnswer {
    let per_km = |joules: f64| joules / JPM_PER_WH_PER_KM / audit.compared_m;
    let predicted = band(per_km(audit.predicted_j), per_km(audit.predicted_sd_j));
    let meter_sd_j = METER_SD * audit.measured_j.abs();
    let measured = band(per_km(audit.measured_j), per_km(meter_sd_j));
    let joint_j = libm::hypot(audit.predicted_sd_j, meter_sd_j);
    let finding = |judged: &Explanation| finding(audit, car, judged);
    let remaining_j = audit.judged.first().map_or(0.0, |best| audit.measured_j - best.predicted_j);
    let band_frac = P90_SD * audit.predicted_sd_j / audit.predicted_j;
    let mut answer = AuditAnswer {
        fact: super::measured_table(audit, &source.fact, &source.log),
        provenance: source.provenance,
        units: source.units,
        log: source.log,
        car: car.name.clone(),
        day: audit.day.name.clone(),
        distance_km: audit.compared_m / 1000.0,
        duration_s: audit.compared_s,
        difference_pct: 100.0 * (audit.measured_j / audit.predicted_j - 1.0),
        difference_sd: (audit.measured_j - audit.predicted_j) / joint_j,
        predicted_use_wh_per_km: predicted,
        measured_use_wh_per_km: measured,
        findings: audit.judged.iter().map(finding).collect(),
        remaining_wh_per_km: per_km(remaining_j),
        remaining_sd: remaining_j / joint_j,
        logged_cabin_w: audit.cabin_j.map(|cabin_j| cabin_j / audit.compared_s),
        doings: audit.doings.iter().map(doing_line).collect(),
        resistance: audit.resistance.map(|found| ResistanceLine {
            measured_mohm: 1e3 * found.measured_ohm,
            half_width_mohm: 1e3 * SD_PER_HALF_WIDTH * found.measured_se_ohm,
            predicted_mohm: 1e3 * found.model_ohm,
        }),
        taken_back_wh: audit.taken_back_j.0 / WH_J,
        predicted_taken_back_wh: audit.taken_back_j.1 / WH_J,
        discharge_sign: if audit.discharge_is_negative { "negative" } else { "positive" },
        start_charge_pct: 100.0 * audit.start_charge_frac,
        start_charge_from: audit.start_charge_from,
        alike: audit.alike.iter().map(|(a, b)| [words(*a), words(*b)].map(str::to_owned)).collect(),
        repairs: repair_lines(&audit.trip.repairs),
        course: audit
            .course
            .iter()
            .map(|(way_m, measured_j, predicted_j)| CoursePoint {
                distance_km: way_m / 1000.0,
                measured_kwh: measured_j / WH_J / 1000.0,
                predicted_kwh: predicted_j / WH_J / 1000.0,
                predicted_p10_kwh: (1.0 - band_frac) * predicted_j / WH_J / 1000.0,
                predicted_p90_kwh: (1.0 + band_frac) * predicted_j / WH_J / 1000.0,
            })
            .collect(),
        notes: Vec::new(),
        cautions: vec![Caution::about(Topic::Brakes), Caution::about(Topic::HighVoltage)],
        ..AuditAnswer::default()
    };
    answer.notes = notes(audit, &answer);
    answer.warnings = warnings(audit, &answer);
    answer.plain = answer.plain_line();
    answer
}

fn band(nominal: f64, sd: f64) -> Band {
    let deciles = Deciles {
        p10: nominal - P90_SD * sd,
        p50: nominal,
        p90: nominal + P90_SD * sd,
        standard_error: None,
    };
    Band::with(nominal, deciles)
}

fn doing_line(doing: &super::Activity) -> DoingLine {
    DoingLine {
        what: doing.what.to_owned(),
        duration_s: doing.seconds,
        measured_wh: doing.measured_j / WH_J,
        predicted_wh: doing.predicted_j / WH_J,
        difference_w: (doing.measured_j - doing.predicted_j) / doing.seconds,
    }
}

fn finding(audit: &Audit, car: &CarSpec, judged: &Explanation) -> Finding {
    let changes: Vec<Change> = judged.causes.iter().map(|found| change(car, found)).collect();
    let named: Vec<&str> = changes.iter().map(|change| change.what).collect();
    let suggestions: Vec<&str> =
        judged.causes.iter().map(|found| suggestion(found.cause, found.amount > 0.0)).collect();
    Finding {
        what: if named.is_empty() { "as the build says".to_owned() } else { named.join(" and ") },
        probability_pct: 100.0 * judged.probability,
        changes,
        use_wh_per_km: judged.predicted_j / JPM_PER_WH_PER_KM / audit.compared_m,
        suggestion: suggestions.join(" "),
    }
}

/// A cause in the unit that people know it by, and what the build has of it.
fn change(car: &CarSpec, found: &CauseAmount) -> Change {
    let drag_m2 = crownwheel::Car::new(car).map_or(f64::NAN, |car| car.drag_area_m2());
    let (unit, factor, build) = match found.cause {
        Cause::StandingLoads | Cause::Heater => (Unit::W, 1.0, None),
        Cause::ConstantForce => (Unit::N, 1.0, None),
        // A car given by coast-down coefficients has no drag area of its own.
        Cause::DragArea if drag_m2.is_finite() && drag_m2 > 0.0 => {
            (Unit::M2, drag_m2, Some(drag_m2))
        }
        Cause::Regeneration => (Unit::Pct, 100.0, Some(100.0 * car.regen.share)),
        Cause::DragArea | Cause::PackResistance => (Unit::Pct, 100.0, None),
    };
    let measure = |value: f64| Measure { value, unit };
    Change {
        what: words(found.cause),
        change: measure(factor * found.amount),
        half_width: measure(factor * found.half_width_95),
        build: build.map(measure),
    }
}

/// The cause in words.
const fn words(cause: Cause) -> &'static str {
    match cause {
        Cause::StandingLoads => "standing loads",
        Cause::Heater => "cabin heater",
        Cause::ConstantForce => "constant drag force",
        Cause::DragArea => "drag area",
        Cause::Regeneration => "share of braking taken back",
        Cause::PackResistance => "resistance of the cells",
    }
}

const fn suggestion(cause: Cause, more: bool) -> &'static str {
    match (cause, more) {
        (Cause::StandingLoads, true) => {
            "Something draws power all the time: heater, pumps, lights, DC-DC converter. With the car standing, switch them off one by one and watch the current."
        }
        (Cause::StandingLoads, false) => {
            "The standing loads of the build are too high: measure the current with the car standing and write it into [load]."
        }
        (Cause::Heater, true) => {
            "Most is drawn while the cabin warms: a heater that the build does not have. Write [cabin], or log its power beside the drive (heater_w)."
        }
        (Cause::Heater, false) => {
            "The heater takes less than the build's: measure its power while it warms the car and while it holds it warm."
        }
        (Cause::ConstantForce, true) => {
            "Constant force too high: brakes that drag, tight wheel bearings, low tyre pressure, toe. Feel for a hot hub after a drive, and turn each wheel off the ground."
        }
        (Cause::ConstantForce, false) => {
            "Tyres and brakes run more freely than the build has it: a coast-down says by how much."
        }
        (Cause::DragArea, true) => {
            "More air drag than the build has: open windows, a rack, ride height, missing trays below; or there was a headwind on most of the way."
        }
        (Cause::DragArea, false) => {
            "Less air drag than the build has, or a tailwind on most of the way: drive it both ways, or do a coast-down."
        }
        (Cause::Regeneration, true) => {
            "More comes back than the build says: write the controller's own share into [regen]."
        }
        (Cause::Regeneration, false) => {
            "Less comes back than the build says: look at share, fade-out speed and charging limit in the controller, and whether the friction brakes take over early."
        }
        (Cause::PackResistance, true) => {
            "The volts fall more with current than they should: a loose or corroded joint, a weak module, cold cells. Have the volts of each module compared under load."
        }
        (Cause::PackResistance, false) => {
            "The volts fall less with current than the build has it: the cells are better or warmer than their sheet."
        }
    }
}

fn notes(audit: &Audit, answer: &AuditAnswer) -> Vec<String> {
    let mut notes = audit.notes.clone();
    let sign = if audit.discharge_is_negative {
        "The log counts current out of the pack as negative; its sign was turned."
    } else {
        "The log counts current out of the pack as positive."
    };
    notes.push(sign.to_owned());
    notes.push(format!(
        "The model starts at {:.0} % of charge: {}.",
        answer.start_charge_pct, answer.start_charge_from
    ));
    if let Some(found) = &answer.resistance {
        notes.push(format!(
            "Volts against amperes give {:.0} ± {:.0} mΩ for pack and harness; the build has {:.0} mΩ on this trip.",
            found.measured_mohm, found.half_width_mohm, found.predicted_mohm
        ));
    }
    notes.push(format!(
        "Braking gave {:.2} kWh back to the pack; the build predicts {:.2} kWh.",
        answer.taken_back_wh / 1000.0,
        answer.predicted_taken_back_wh / 1000.0
    ));
    notes.push(format!(
        "Bands hold nine in ten minus one in ten of what the build is unsure of and of what the model leaves out, of this car and of this trip, and ± {:.0} % (19 to 1) for the meter. Where the build has no band of its own, ± {:.0} W of standing loads, ± {:.0} kg aboard, ± {:.0} % of regeneration and, on a calm day, ± {:.0} m/s of mean wind are taken as unsure.",
        100.0 * SD_PER_HALF_WIDTH * METER_SD,
        SD_PER_HALF_WIDTH * LOAD_SD_W,
        SD_PER_HALF_WIDTH * ABOARD_SD_KG,
        100.0 * SD_PER_HALF_WIDTH * REGEN_SD,
        SD_PER_HALF_WIDTH * HEADWIND_SD_MPS,
    ));
    notes.push(
        "Each cause is tried alone and with each other, by how well it explains energy out and back in blocks of the trip and the energy of the standing car. A cause that is not listed can look like one of these; 1 % is kept for that.".to_owned(),
    );
    notes
}

fn warnings(audit: &Audit, answer: &AuditAnswer) -> Vec<Warning> {
    let mut all = Vec::new();
    let mut warn = |code: &str, text: String| all.push(Warning { code: code.to_owned(), text });
    if answer.difference_sd.abs() > DIFFERS_SD {
        warn(
            "use_differs",
            format!(
                "Measured use differs from the prediction by {:+.0} %, {:.1} joint standard deviations.",
                answer.difference_pct,
                answer.difference_sd.abs()
            ),
        );
    }
    if answer.remaining_sd.abs() > REFUTED_SD {
        warn(
            "none_of_these_alone",
            format!(
                "No cause that was tried explains the log: {:.0} Wh/km remain with the best of them, {:.1} joint standard deviations.",
                answer.remaining_wh_per_km,
                answer.remaining_sd.abs()
            ),
        );
    }
    for [first, second] in &answer.alike {
        warn(
            "cannot_tell_apart",
            format!(
                "This log can hardly tell {first} from {second}: its speeds or loads vary too little."
            ),
        );
    }
    if audit.behind_s > BEHIND_SHARE * audit.trip.duration_s() {
        warn(
            "model_falls_behind",
            format!(
                "For {:.0} s the model cannot keep the log's speed: the car pulls better than its build, or the log's speed is too high.",
                audit.behind_s
            ),
        );
    }
    all
}
