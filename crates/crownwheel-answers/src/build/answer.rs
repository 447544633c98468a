//! An answer that is written as the command line writes it.

use std::ops::Deref;

use serde::ser::Error;
use serde::{Serialize, Serializer};

use crate::{Units, json};

/// An answer. Its fields are there with all digits; as JSON it is what the command line prints with `--json`: in the units of
/// the build, estimates with the digits that their standard error allows.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer<T> {
    answer: T,
    units: Units,
}

impl<T> Answer<T> {
    pub(super) fn new(answer: T, units: Units) -> Answer<T> {
        Answer { answer, units }
    }

    /// The answer itself.
    #[must_use]
    pub fn into_inner(self) -> T {
        self.answer
    }
}

impl<T> Deref for Answer<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.answer
    }
}

impl<T: Serialize> Serialize for Answer<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        json::value(&self.answer, self.units).map_err(S::Error::custom)?.serialize(serializer)
    }
}
