//! Where the number of a key stands in the description of a car or a day.

use std::cmp::Ordering;
use std::hash::{Hash, Hasher};
use std::ops::Range;
use std::sync::Arc;

use super::Key;
use crate::spec::{CarSpec, DaySpec};

/// Where a number stands. `None` from one of these: this car or day has no such number.
#[derive(Clone, Copy, Debug, Default)]
#[non_exhaustive]
pub enum Bind {
    /// In no description.
    #[default]
    Nothing,
    /// In a car.
    Car(fn(&mut CarSpec) -> Option<Binding<'_>>),
    /// In each part of a list, by its place in it.
    Each(List, fn(&mut CarSpec, usize) -> Option<Binding<'_>>),
    /// In a day.
    Day(fn(&mut DaySpec) -> Option<Binding<'_>>),
}

/// The number itself.
#[derive(Debug, PartialEq)]
#[non_exhaustive]
pub enum Binding<'a> {
    /// One number.
    Number(&'a mut f64),
    /// One number that may be left open.
    Open(&'a mut Option<f64>),
    /// A whole number.
    Count(&'a mut u32),
    /// Several that one key writes; it says nothing of a car in which they differ.
    Alike(Vec<Binding<'a>>),
}

impl<'a> From<&'a mut f64> for Binding<'a> {
    fn from(number: &'a mut f64) -> Self {
        Binding::Number(number)
    }
}

impl<'a> From<&'a mut Option<f64>> for Binding<'a> {
    fn from(open: &'a mut Option<f64>) -> Self {
        Binding::Open(open)
    }
}

impl<'a> From<&'a mut u32> for Binding<'a> {
    fn from(count: &'a mut u32) -> Self {
        Binding::Count(count)
    }
}

/// The place of a number: how a row says it.
#[allow(clippy::unnecessary_wraps, reason = "rows give None where a car has no such number")]
pub(super) fn at<'a>(number: impl Into<Binding<'a>>) -> Option<Binding<'a>> {
    Some(number.into())
}

impl Binding<'_> {
    /// The number, in SI. `None`: it is left open, or the numbers differ.
    #[must_use]
    pub fn get(&self) -> Option<f64> {
        match self {
            Binding::Number(number) => Some(**number),
            Binding::Open(open) => **open,
            Binding::Count(count) => Some(f64::from(**count)),
            Binding::Alike(places) => {
                let first = places.first()?.get()?;
                let same =
                    |place: &Binding<'_>| place.get().map(f64::to_bits) == Some(first.to_bits());
                places.iter().all(same).then_some(first)
            }
        }
    }

    /// Writes the number, in SI, whatever stands there; a whole number must be whole.
    ///
    /// # Errors
    /// A whole number is wanted, and `value` is none.
    pub fn write(self, value: f64) -> Result<(), NotWhole> {
        match self {
            Binding::Number(number) => *number = value,
            Binding::Open(open) => *open = Some(value),
            Binding::Count(count) => *count = whole(value).ok_or(NotWhole)?,
            Binding::Alike(places) => {
                return places.into_iter().try_for_each(|place| place.write(value));
            }
        }
        Ok(())
    }
}

/// A whole number of 0 or more was wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotWhole;

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "checked to be a whole number in range"
)]
fn whole(value: f64) -> Option<u32> {
    let fits = value.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&value);
    fits.then_some(value as u32)
}

/// A list of parts with names that the writer chose.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum List {
    /// `taken_out`.
    TakenOut,
    /// `put_in`.
    PutIn,
    /// `seat`.
    Seats,
    /// `load`.
    Loads,
    /// `pack.box`.
    Boxes,
}

impl List {
    /// The name at a place; `None` behind the last.
    #[must_use]
    pub fn name(self, car: &CarSpec, place: usize) -> Option<&Arc<str>> {
        let weights = &car.weights;
        match self {
            List::TakenOut => weights.taken_out.get(place).map(|part| &part.name),
            List::PutIn => weights.put_in.get(place).map(|part| &part.name),
            List::Seats => weights.seats.get(place).map(|seat| &seat.person.name),
            List::Loads => car.loads.get(place).map(|load| &load.name),
            List::Boxes => car.pack.boxes.get(place).map(|one| &one.name),
        }
    }

    /// All names.
    pub fn names(self, car: &CarSpec) -> impl Iterator<Item = &Arc<str>> {
        (0..).map_while(move |place| self.name(car, place))
    }
}

impl Key {
    /// Where it stands in a car, in the part at `place` if it is one of a list.
    #[must_use]
    pub fn in_car<'a>(&self, car: &'a mut CarSpec, place: usize) -> Option<Binding<'a>> {
        match self.bind {
            Bind::Car(find) => find(car),
            Bind::Each(_, find) => find(car, place),
            Bind::Day(_) | Bind::Nothing => None,
        }
    }

    /// Where it stands in a day.
    #[must_use]
    pub fn in_day<'a>(&self, day: &'a mut DaySpec) -> Option<Binding<'a>> {
        match self.bind {
            Bind::Day(find) => find(day),
            _ => None,
        }
    }

    /// The places of a list in which a car may have it; one if it is of no list.
    #[must_use]
    pub fn places(&self, car: &CarSpec) -> Range<usize> {
        match self.bind {
            Bind::Car(_) => 0..1,
            Bind::Each(list, _) => 0..list.names(car).count(),
            Bind::Day(_) | Bind::Nothing => 0..0,
        }
    }

    /// Its path in a car, with the name of the part at `place`.
    #[must_use]
    pub fn path_at(&self, car: &CarSpec, place: usize) -> String {
        match self.bind {
            Bind::Each(list, _) => list.name(car, place).map(|name| self.named(name)),
            _ => None,
        }
        .unwrap_or_else(|| self.path.to_owned())
    }
}

/// A key is its path.
impl PartialEq for Key {
    fn eq(&self, other: &Self) -> bool {
        self.path == other.path
    }
}

impl Eq for Key {}

impl PartialOrd for Key {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Key {
    fn cmp(&self, other: &Self) -> Ordering {
        self.path.cmp(other.path)
    }
}

impl Hash for Key {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.path.hash(state);
    }
}
