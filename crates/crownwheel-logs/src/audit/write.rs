//! The measured fact as lines of a build.

use crownwheel::constants::JPM_PER_WH_PER_KM;
use crownwheel::spread::SD_PER_HALF_WIDTH;

use super::{Audit, METER_SD};

/// A `[measured.NAME]` table: the cycle beside the build, the day, the use with the meter's band and
/// where it is from. `name` must be letters, digits and `_`.
#[must_use]
pub fn measured_table(audit: &Audit, name: &str, log: &str) -> String {
    let use_wh_per_km = audit.measured_j / JPM_PER_WH_PER_KM / audit.compared_m;
    let log: String = log
        .chars()
        .map(|c| if c.is_control() || matches!(c, '"' | '\\') { ' ' } else { c })
        .collect();
    format!(
        "[measured.{name}]\ncycle = \"{name}.csv\"\nday = \"{}\"\nuse = {{ value = \"{use_wh_per_km:.1} Wh/km ± {:.0} %\", from = \"log {log}, {:.1} km\" }}\n",
        audit.day.name,
        100.0 * SD_PER_HALF_WIDTH * METER_SD,
        audit.compared_m / 1000.0
    )
}
