//! `gauges`: what the old gauges read after the conversion.

use crownwheel::gauges::{FinalDrive, SpeedometerDrive};
use crownwheel::spec::RollingSpec;
use crownwheel::tyre::rolling_radius_m;
use crownwheel_answers::from_car::{self, SpeedometerSource};
use crownwheel_files::outside::Speedometer;

use super::give;
use crate::args::Common;
use crate::outcome::{Failure, Outcome};
use crate::subject::load;

pub(crate) fn run(common: &Common) -> Result<Outcome, Failure> {
    let loaded = load(common)?;
    let before = loaded.build.speedometer.as_ref().map(before);
    let answer = from_car::gauges(&loaded.subject, before.as_ref());
    give("gauges", &answer, &answer.sheet(), &common.output)?;
    Ok(Outcome::new(common.output.strict, answer.warnings.len()))
}

/// What the build says that the speedometer belonged to.
fn before(given: &Speedometer) -> SpeedometerSource {
    SpeedometerSource {
        gearing: FinalDrive {
            final_drive_ratio: given.final_drive_ratio,
            rolling_radius_m: rolling_radius_m(&given.tyre, &RollingSpec::FromMark),
        },
        drive: if given.from_wheel {
            SpeedometerDrive::Wheel
        } else {
            SpeedometerDrive::PropellerShaft
        },
        pulses_per_turn: given.pulses_per_turn,
    }
}
