//! For unit tests: the example's car as a subject.

use crownwheel::example::{mild_day, small_saloon};
use crownwheel::spec::CarSpec;
use crownwheel::{Car, Day};

use super::Subject;
use crate::{Provenance, Units};

/// The car as it is, on a mild day.
pub(super) fn subject() -> Subject {
    changed(|_| {})
}

/// The same with a change.
pub(super) fn changed(change: impl FnOnce(&mut CarSpec)) -> Subject {
    let mut spec = small_saloon();
    change(&mut spec);
    Subject {
        car: Car::new(&spec).unwrap(),
        days: vec![Day::new(&mild_day()).unwrap()],
        provenance: Provenance::default(),
        assumed: Vec::new(),
        notes: Vec::new(),
        warnings: Vec::new(),
        lines_to_add: Vec::new(),
        units: Units::Metric,
    }
}
