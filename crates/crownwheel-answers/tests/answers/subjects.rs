//! Cars and days that answers are asked of.

use crownwheel::spec::{CarSpec, DaySpec};
use crownwheel::{Car, Day};
use crownwheel_answers::from_car::Subject;
use crownwheel_answers::{Provenance, Units};

/// A car on its days, with nothing assumed and nothing noted.
pub(crate) fn subject(spec: &CarSpec, days: &[DaySpec], units: Units) -> Subject {
    Subject {
        car: Car::new(spec).expect("a good car"),
        days: days.iter().map(|day| Day::new(day).expect("a good day")).collect(),
        provenance: Provenance::default(),
        assumed: Vec::new(),
        notes: Vec::new(),
        warnings: Vec::new(),
        lines_to_add: Vec::new(),
        units,
    }
}
