//! The space of options: bases crossed with axes, numbered, never held all at once.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::Car;
use crate::knob::Knob;
use crate::spec::CarSpec;
use crate::spread::Spread;
use crate::unsure::{Model, UncertainNumber};

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
pub struct SweptNumber {
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
    pub axes: Vec<SweptNumber>,
    /// Price of one battery module. `None`: not known.
    pub module_price: Option<f64>,
}

/// One option.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct OptionCase {
    /// Identity: the choices in the order of their keys, `axle.ratio=3.89 tyres=narrow`. It does not
    /// depend on the order in which the sweep lists them.
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
    ///
    /// Its car is checked, which takes as long as making it ([`Car::new`]); who makes the car anyway
    /// takes [`Space::unchecked`].
    #[must_use]
    pub fn option(&self, index: u128) -> Option<OptionCase> {
        let mut option = self.unchecked(index)?;
        if let Some(reason) = option.model.as_ref().ok().and_then(|model| why_not(&model.car)) {
            option.model = Err(reason);
        }
        Some(option)
    }

    /// As [`Space::option`], without asking whether its car can be built: [`why_not`] tells.
    #[must_use]
    pub fn unchecked(&self, index: u128) -> Option<OptionCase> {
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
    fn pick(&self, index: u128) -> Option<(&Base, Vec<(&SweptNumber, &AxisValue)>)> {
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
fn on_axes(mut model: Model, picked: &[(&SweptNumber, &AxisValue)]) -> Result<Model, String> {
    for (axis, value) in picked {
        axis.knob.set(&mut model.car, value.spread.nominal).map_err(|error| error.to_string())?;
        model.unsure.retain(|unsure| unsure.key != axis.key);
        if !value.spread.is_exact() {
            model.unsure.push(UncertainNumber {
                key: Arc::clone(&axis.key),
                knob: axis.knob,
                spread: value.spread,
                physical: axis.physical,
            });
        }
    }
    Ok(model)
}

/// Why a car cannot be built, all that is wrong with it; `None` if it can.
#[must_use]
pub fn why_not(car: &CarSpec) -> Option<String> {
    let problems: Vec<String> = Car::problems(car).iter().map(ToString::to_string).collect();
    (!problems.is_empty()).then(|| problems.join("; "))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example;

    fn axis(key: &str, values: &[(&str, f64)]) -> SweptNumber {
        SweptNumber {
            key: Arc::from(key),
            knob: Knob::find(key, &example::small_saloon()).unwrap(),
            physical: (0.0, f64::INFINITY),
            values: values
                .iter()
                .map(|(label, value)| AxisValue {
                    label: Arc::from(*label),
                    spread: Spread::exact(*value),
                    price: None,
                })
                .collect(),
        }
    }

    fn choice(of: &str, is: &str, price: Option<f64>) -> Choice {
        Choice { of: Arc::from(of), is: Arc::from(is), price }
    }

    fn model() -> Model {
        Model { car: example::small_saloon(), unsure: Vec::new() }
    }

    fn space() -> Space {
        let base = |name: &str, price: Option<f64>| Base {
            choices: vec![choice("tyres", name, price)],
            model: Ok(model()),
        };
        Space {
            bases: vec![base("as it is", None), base("narrow", Some(160.0))],
            axes: vec![
                axis("driveline.axle.ratio", &[("3.89", 3.89), ("4.22", 4.22)]),
                axis("pack.modules_in_series", &[("7", 7.0), ("8", 8.0), ("9", 9.0)]),
            ],
            module_price: Some(310.0),
        }
    }

    #[test]
    fn every_combination_has_one_number_and_one_identity() {
        let space = space();
        assert_eq!(space.len(), 12);
        let options: Vec<OptionCase> = (0..12).map(|i| space.option(i).unwrap()).collect();
        assert_eq!(options[0].id, "axle.ratio=3.89 modules_in_series=7 tyres='as it is'");
        assert_eq!(options[1].id, "axle.ratio=3.89 modules_in_series=8 tyres='as it is'");
        assert_eq!(options[11].id, "axle.ratio=4.22 modules_in_series=9 tyres=narrow");
        let mut ids: Vec<&str> = options.iter().map(|option| option.id.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), 12);
        assert_eq!(space.option(12), None);
        let car = &options[11].model.as_ref().unwrap().car;
        assert!((car.driveline.axle.ratio - 4.22).abs() < f64::EPSILON);
        assert_eq!(car.pack.modules_in_series, 9);
        assert!((options[11].price.unwrap() - (160.0 + 9.0 * 310.0)).abs() < 1e-9);
    }

    #[test]
    fn identity_does_not_depend_on_the_order_of_lists() {
        let one = space();
        let mut other = space();
        other.axes.reverse();
        other.bases.reverse();
        other.axes[0].values.reverse();
        let ids = |space: &Space| {
            let mut ids: Vec<String> = (0..12).map(|i| space.option(i).unwrap().id).collect();
            ids.sort();
            ids
        };
        assert_eq!(ids(&one), ids(&other));
    }

    #[test]
    fn what_is_written_for_an_option_replaces_the_spread_of_the_base() {
        let key = "tyres.rolling_resistance";
        let mut axis = axis(key, &[("0.0105", 0.0105), ("0.0115 ± 0.0015", 0.0115)]);
        axis.values[1].spread = Spread::normal(0.0115, 0.0015);
        let of_base = UncertainNumber {
            key: Arc::from(key),
            knob: axis.knob,
            spread: Spread::normal(0.012, 0.002),
            physical: (0.0, 1.0),
        };
        let base =
            Base { choices: Vec::new(), model: Ok(Model { unsure: vec![of_base], ..model() }) };
        let space = Space { bases: vec![base], axes: vec![axis], module_price: None };
        let exact = space.option(0).unwrap();
        assert_eq!(exact.id, "rolling_resistance=0.0105");
        assert_eq!(exact.price, None);
        assert!(exact.model.unwrap().unsure.is_empty());
        let unsure = space.option(1).unwrap();
        assert_eq!(unsure.id, "rolling_resistance='0.0115 ± 0.0015'");
        let unsure = unsure.model.unwrap().unsure;
        assert_eq!(unsure.len(), 1);
        assert_eq!(unsure[0].spread, Spread::normal(0.0115, 0.0015));
    }

    #[test]
    fn what_cannot_be_built_stays_with_its_reason() {
        let mut space = space();
        space.axes[1] = axis("pack.modules_in_series", &[("400", 400.0), ("8.5", 8.5)]);
        space.bases[1].model = Err("no such tyre".to_owned());
        let reason = |index: u128| space.option(index).unwrap().model.unwrap_err();
        assert!(reason(0).contains("`pack"), "{}", reason(0));
        assert!(space.unchecked(0).unwrap().model.is_ok());
        assert!(reason(1).contains("a whole number"), "{}", reason(1));
        assert_eq!(reason(4), "no such tyre");
        assert_eq!(space.option(4).unwrap().price, None);
    }

    #[test]
    fn a_space_far_too_large_is_counted_and_not_listed() {
        let many: Vec<(&str, f64)> = vec![("1", 1.0); 1000];
        let mut space = space();
        space.axes = vec![axis("luggage.mass", &many); 4];
        assert_eq!(space.len(), 2_000_000_000_000);
        assert!(space.option(1_999_999_999_999).is_some());
        space.axes = vec![axis("luggage.mass", &many); 20];
        assert_eq!(space.len(), u128::MAX);
        space.axes.push(axis("luggage.mass", &[]));
        assert!(space.is_empty() && space.option(0).is_none());
    }

    #[test]
    fn identities_are_short_and_never_ambiguous() {
        let both = [
            choice("put_in.front.motor.mass", "71 kg", None),
            choice("put_in.rear.motor.mass", "it's = 'x'", None),
            choice("axle", "", None),
        ];
        assert_eq!(
            id(&both),
            "put_in.front.motor.mass='71 kg' put_in.rear.motor.mass='it''s = ''x''' axle=''"
        );
        assert_eq!(id(&[]), ONLY_OPTION);
    }
}
