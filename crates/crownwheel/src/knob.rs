//! Knobs: an adjustable number of a car or of a day, by its path in a build file.
//!
//! A sweep or an uncertainty study changes a copy of a [`CarSpec`] through knobs, without parsing:
//! the path is looked up once, [`Knob::set`] is a plain assignment. [`DayKnob`] does the same for a
//! [`DaySpec`]. What a knob is, and what is allowed, says its [`Key`].

use std::fmt;

use crate::keys::{self, Bind, Binding, Key};
use crate::spec::{CarSpec, DaySpec, SpecError, SpecErrorKind};

/// One adjustable number of a car.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Knob {
    key: &'static Key,
    /// Place in the list that the key's `*` names a part of.
    place: usize,
}

impl Knob {
    /// The knob of a path, `driveline.axle.ratio` or `put_in.motor.mass`.
    ///
    /// # Errors
    /// The path is no number of this car (it may be one of another).
    ///
    /// ```
    /// use crownwheel::{Car, example, knob::Knob};
    /// let mut spec = example::small_saloon();
    /// let knob = Knob::find("driveline.axle.ratio", &spec)?;
    /// assert_eq!(knob.get(&spec), Some(4.22));
    /// knob.set(&mut spec, 3.70)?;
    /// assert!((Car::new(&spec)?.overall_ratio() - 5.55).abs() < 1e-12);
    /// assert!(Knob::find("car.drag_area", &spec).is_err(), "it is written as coefficient and area");
    /// let slip = Knob::find("motor.maxspeed", &spec).unwrap_err();
    /// assert_eq!(
    ///     slip.to_string(),
    ///     "`motor.maxspeed` is no adjustable number here; the nearest known key is `motor.max_speed`"
    /// );
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn find(path: &str, spec: &CarSpec) -> Result<Knob, NoKnob> {
        Knob::of_car(path, spec).ok_or_else(|| NoKnob::of(path))
    }

    fn of_car(path: &str, spec: &CarSpec) -> Option<Knob> {
        let key = keys::find(path).filter(|key| key.is_adjustable())?;
        let place = match key.bind {
            Bind::Each(list, _) => list.names(spec).position(|name| key.named(name) == path)?,
            _ => 0,
        };
        let knob = Knob { key, place };
        knob.get(spec).map(|_| knob)
    }

    /// All knobs of a car, with their paths.
    ///
    /// ```
    /// use crownwheel::{example, knob::Knob};
    /// let spec = example::small_saloon();
    /// let all = Knob::all(&spec);
    /// assert!(all.iter().any(|(path, knob)| path == "put_in.motor.mass" && knob.get(&spec) == Some(71.0)));
    /// ```
    #[must_use]
    pub fn all(spec: &CarSpec) -> Vec<(String, Knob)> {
        let mut car = spec.clone();
        let mut has = |knob: &Knob| {
            knob.key.in_car(&mut car, knob.place).is_some_and(|number| number.get().is_some())
        };
        keys::all()
            .filter(|key| key.is_adjustable())
            .flat_map(|key| key.places(spec).map(move |place| Knob { key, place }))
            .filter(|knob| has(knob))
            .map(|knob| (knob.key.path_at(spec, knob.place), knob))
            .collect()
    }

    /// The key.
    #[must_use]
    pub fn key(self) -> &'static Key {
        self.key
    }

    /// The number, in the unit of its field in [`crate::spec`]. `None` if this car has no such
    /// number. It looks at a copy of the car: not for the inside of a loop.
    #[must_use]
    pub fn get(self, spec: &CarSpec) -> Option<f64> {
        self.key.in_car(&mut spec.clone(), self.place)?.get()
    }

    /// Sets the number; [`crate::Car::new`] checks it with all others.
    ///
    /// # Errors
    /// When this car has no such number, or a whole number is wanted and `value` is none.
    ///
    /// ```
    /// use crownwheel::{example, knob::Knob};
    /// let mut spec = example::small_saloon();
    /// let modules = Knob::find("pack.modules_in_series", &spec)?;
    /// assert!(modules.set(&mut spec, 8.5).is_err(), "half a module");
    /// modules.set(&mut spec, 8.0)?;
    /// assert_eq!(spec.pack.modules_in_series, 8);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn set(self, spec: &mut CarSpec, value: f64) -> Result<(), SpecError> {
        put(self.key, self.key.in_car(spec, self.place), value)
    }
}

/// One adjustable number of a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct DayKnob(&'static Key);

impl DayKnob {
    /// The knob of a path, `day.winter.temperature`.
    ///
    /// # Errors
    /// It is no number of this day.
    ///
    /// ```
    /// use crownwheel::{example, knob::DayKnob};
    /// let mut day = example::winter_day();
    /// let knob = DayKnob::find("day.winter.wind", &day)?;
    /// assert_eq!(knob.get(&day), Some(5.0));
    /// knob.set(&mut day, 7.0)?;
    /// assert_eq!(knob.get(&day), Some(7.0));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn find(path: &str, spec: &DaySpec) -> Result<DayKnob, NoKnob> {
        let is_of = |knob: &DayKnob| knob.0.named(&spec.name) == path && knob.get(spec).is_some();
        let key = keys::find(path).filter(|key| key.is_adjustable());
        key.map(DayKnob).filter(is_of).ok_or_else(|| NoKnob::of(path))
    }

    /// The key.
    #[must_use]
    pub fn key(self) -> &'static Key {
        self.0
    }

    /// The number, in the unit of its field in [`DaySpec`]. `None` if the day has no such number.
    #[must_use]
    pub fn get(self, spec: &DaySpec) -> Option<f64> {
        self.0.in_day(&mut spec.clone())?.get()
    }

    /// Sets the number; [`crate::Day::new`] checks it with all others.
    ///
    /// # Errors
    /// When this day has no such number.
    pub fn set(self, spec: &mut DaySpec, value: f64) -> Result<(), SpecError> {
        put(self.0, self.0.in_day(spec), value)
    }
}

/// A path that is no adjustable number of a car or day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoKnob {
    path: String,
    nearest: Option<String>,
}

impl NoKnob {
    fn of(path: &str) -> NoKnob {
        let nearest = keys::find(path).is_none().then(|| keys::nearest(path)).flatten();
        NoKnob { path: path.to_owned(), nearest }
    }

    /// The path.
    #[must_use]
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The key that looks most like it. `None`: it is a key, but not of this car or day, or nothing is like it.
    #[must_use]
    pub fn nearest(&self) -> Option<&str> {
        self.nearest.as_deref()
    }
}

impl fmt::Display for NoKnob {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is no adjustable number here", self.path)?;
        match &self.nearest {
            Some(nearest) => write!(f, "; the nearest known key is `{nearest}`"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for NoKnob {}

/// Writes a number where there is one.
impl CarSpec {
    /// This car with one number changed by its key, in the unit of its field.
    ///
    /// # Errors
    /// A path that is no number of this car, with the nearest key; a value that the key does not allow.
    ///
    /// ```
    /// use crownwheel::example;
    /// let spec = example::small_saloon().with("driveline.axle.ratio", 3.89)?;
    /// assert_eq!(spec.driveline.axle.ratio, 3.89);
    /// let slip = spec.with("driveline.axel.ratio", 3.89).unwrap_err();
    /// assert!(slip.to_string().contains("nearest known key is `driveline.axle.ratio`"));
    /// assert!(spec.with("driveline.axle.ratio", -1.0).is_err());
    /// # Ok::<(), crownwheel::knob::ChangeError>(())
    /// ```
    pub fn with(&self, path: &str, value: f64) -> Result<CarSpec, ChangeError> {
        let knob = Knob::find(path, self).map_err(|it| ChangeError(Why::NoKnob(it)))?;
        let refused = |it| ChangeError(Why::Refused(it));
        let mut spec = self.clone();
        knob.set(&mut spec, value).map_err(refused)?;
        let own = crate::Car::problems(&spec).into_iter().find(|it| it.key == path);
        match own {
            Some(problem) => Err(refused(problem)),
            None => Ok(spec),
        }
    }
}

/// Why a number of a car cannot be changed.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeError(Why);

#[derive(Clone, Debug, PartialEq)]
enum Why {
    NoKnob(NoKnob),
    Refused(SpecError),
}

impl ChangeError {
    /// The key that looks most like the path, if there is no such key.
    #[must_use]
    pub fn nearest(&self) -> Option<&str> {
        match &self.0 {
            Why::NoKnob(it) => it.nearest.as_deref(),
            Why::Refused(_) => None,
        }
    }
}

impl fmt::Display for ChangeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.0 {
            Why::NoKnob(it) => it.fmt(f),
            Why::Refused(it) => it.fmt(f),
        }
    }
}

impl std::error::Error for ChangeError {}

fn put(key: &Key, place: Option<Binding<'_>>, value: f64) -> Result<(), SpecError> {
    let refused = |kind, allowed: &str| SpecError {
        kind,
        key: key.path.to_owned(),
        value,
        unit: "",
        allowed: allowed.to_owned(),
    };
    let place = place.filter(|place| place.get().is_some());
    let place = place.ok_or_else(|| {
        refused(SpecErrorKind::Absent, "left out of a car or day that has no such part")
    })?;
    place.write(value).map_err(|_| refused(SpecErrorKind::Whole, "a whole number, 0 or more"))
}

#[cfg(test)]
mod tests;
