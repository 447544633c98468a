//! Whole-program tests and published checks live in `tests/tests/`, one file per subject.
