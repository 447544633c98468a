//! The space of options: bases crossed with axes, numbered, never held all at once.

use std::collections::BTreeMap;
use std::sync::Arc;

use crownwheel::Car;
use crownwheel::knob::Knob;

use crate::model::{Model, Unsure};
use crate::spread::Spread;

/// One choice that an option has made.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// What was chosen: a path, `driveline.axle.ratio`, or the name of a group, `tyres`.
    pub of: Arc<str>,
    /// What it is: `3.89`, `narrow`.
    pub is: Arc<str>,
    /// What it costs, in the currency of the sweep. `None`: no price is written.
    pub price: Option<f64>,
}

/// One value of an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisValue {
    /// The value as written, for people.
    pub label: Arc<str>,
    /// The value, and how unsure it is; it replaces what the base says of this number.
    pub spread: Spread,
    /// What it costs. `None`: no price is written.
    pub price: Option<f64>,
}

/// A number that takes each of several values.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Path in a build file.
    pub key: Arc<str>,
    /// The number.
    pub knob: Knob,
    /// Lowest and highest value that make sense, in the unit of the number; infinite where there is
    /// none.
    pub physical: (f64, f64),
    /// Its values.
    pub values: Vec<AxisValue>,
}

/// A car to start from: one combination of the choices that change more than single numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Base {
    /// What was chosen.
    pub choices: Vec<Choice>,
    /// The car, or why there can be none.
    pub model: Result<Model, String>,
}

/// All options: every base with every combination of values of the axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Space {
    /// Cars to start from.
    pub bases: Vec<Base>,
    /// Numbers that are varied.
    pub axes: Vec<Axis>,
    /// Price of one battery module. `None`: not known.
    pub module_price: Option<f64>,
}

/// One option.
#[derive(Clone, Debug, PartialEq)]
pub struct OptionCase {
    /// Identity: the choices in the order of their keys, `axle.ratio=3.89 tyres=narrow`. It does not
    /// hang on the order in which the sweep lists them.
    pub id: String,
    /// What was chosen, in the order of the keys.
    pub choices: Vec<Choice>,
    /// The car, or why it cannot be built.
    pub model: Result<Model, String>,
    /// What the choices and the modules cost. `None`: nothing has a price, or the car is not known.
    pub price: Option<f64>,
}

/// Identity of the one option of a sweep that varies nothing.
pub const ONLY_OPTION: &str = "as written";

impl Space {
    /// How many options there are.
    #[must_use]
    pub fn len(&self) -> u128 {
        self.axes.iter().fold(self.bases.len() as u128, |count, axis| {
            count.saturating_mul(axis.values.len() as u128)
        })
    }

    /// Whether there is no option.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The option of a number below [`Space::len`]; the last axis changes first. `None` beyond.
    #[must_use]
    pub fn option(&self, index: u128) -> Option<OptionCase> {
        let (base, picked) = self.pick(index)?;
        let mut choices = base.choices.clone();
        choices.extend(picked.iter().map(|(axis, value)| Choice {
            of: Arc::clone(&axis.key),
            is: Arc::clone(&value.label),
            price: value.price,
        }));
        choices.sort_by(|a, b| a.of.cmp(&b.of));
        let model = base.model.clone().and_then(|model| on_axes(model, &picked));
        Some(OptionCase { id: id(&choices), price: self.price(&choices, &model), choices, model })
    }

    /// The base and the value on each axis.
    fn pick(&self, index: u128) -> Option<(&Base, Vec<(&Axis, &AxisValue)>)> {
        let mut rest = index;
        let mut picked = Vec::with_capacity(self.axes.len());
        for axis in self.axes.iter().rev() {
            let count = axis.values.len() as u128;
            let place = usize::try_from(rest.checked_rem(count)?).ok()?;
            picked.push((axis, axis.values.get(place)?));
            rest /= count;
        }
        picked.reverse();
        Some((self.bases.get(usize::try_from(rest).ok()?)?, picked))
    }

    fn price(&self, choices: &[Choice], model: &Result<Model, String>) -> Option<f64> {
        let mut parts: Vec<f64> = choices.iter().filter_map(|choice| choice.price).collect();
        if let Some(each) = self.module_price {
            let pack = &model.as_ref().ok()?.car.pack;
            let modules = f64::from(pack.modules_in_series) * f64::from(pack.modules_in_parallel);
            parts.push(each * modules);
        }
        (!parts.is_empty()).then(|| parts.iter().sum())
    }
}

/// A base with a value on each axis, or what does not fit.
fn on_axes(mut model: Model, picked: &[(&Axis, &AxisValue)]) -> Result<Model, String> {
    for (axis, value) in picked {
        axis.knob.set(&mut model.car, value.spread.nominal).map_err(|error| error.to_string())?;
        model.unsure.retain(|unsure| unsure.key != axis.key);
        if !value.spread.is_exact() {
            model.unsure.push(Unsure {
                key: Arc::clone(&axis.key),
                knob: axis.knob,
                spread: value.spread,
                physical: axis.physical,
            });
        }
    }
    let problems: Vec<String> = Car::problems(&model.car).iter().map(ToString::to_string).collect();
    if problems.is_empty() { Ok(model) } else { Err(problems.join("; ")) }
}

/// Identity from choices that are in the order of their keys.
fn id(choices: &[Choice]) -> String {
    if choices.is_empty() {
        return ONLY_OPTION.to_owned();
    }
    let mut uses: BTreeMap<&str, usize> = BTreeMap::new();
    for choice in choices {
        *uses.entry(short(&choice.of)).or_default() += 1;
    }
    let part = |choice: &Choice| {
        let short = short(&choice.of);
        let key = if uses.get(short) == Some(&1) { short } else { &*choice.of };
        format!("{}={}", quoted(key), quoted(&choice.is))
    };
    choices.iter().map(part).collect::<Vec<_>>().join(" ")
}

/// The last part of a path, or the last two of a longer one: `modules_in_series`, `axle.ratio`.
fn short(path: &str) -> &str {
    let mut dots = path.rmatch_indices('.').map(|(place, _)| place);
    match (dots.next(), dots.next()) {
        (None, _) => path,
        (Some(last), None) => &path[last + 1..],
        (Some(_), Some(before)) => &path[before + 1..],
    }
}

/// In quotes if it holds what would make the identity ambiguous: `'as it is'`.
fn quoted(text: &str) -> String {
    let plain =
        |c: char| !c.is_whitespace() && !c.is_control() && !matches!(c, '=' | '\'' | ',' | '"');
    if !text.is_empty() && text.chars().all(plain) {
        return text.to_owned();
    }
    format!("'{}'", text.replace('\'', "''"))
}
