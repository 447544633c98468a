//! From factors to options: axes where setting a number says it all, else a car for each combination.

use std::collections::BTreeMap;
use std::sync::Arc;

use crownwheel::knob::Knob;
use crownwheel::space::{AxisValue, Base, Choice, Space, SweptNumber};

use crate::build::{BuildText, LooseCar};
use crate::document::Document;
use crate::input::InputFile;
use crate::message::{Problem, ProblemKind, Report, printable};
use crate::model::model;
use crate::quantity::Spread;

use super::MOST_BASES;
use super::factor::{Alternative, Factor};
use super::written::SweepText;

/// Entries that are tried one by one; of more, this many evenly spaced ones.
const TRIED: usize = 200;
/// Problems of one entry that are shown.
const SHOWN: usize = 3;

/// The way out that only a sweep has.
const OR_WITHOUT: &str = "; a [[choose.NAME]] may go without what the build says, as in without = \
[\"car.drag_coefficient\"]";

/// What cars are made from.
pub(super) struct Stock {
    /// The build; its document has adopted the sweep's.
    pub(super) text: BuildText,
    /// Number of the sweep among the document's sources.
    pub(super) sweep: usize,
}

impl Stock {
    /// The options, and the tables that their cars read. `None` if there are too many cars to make
    /// or a choice fits none; `report` says so.
    pub(super) fn space(
        &self,
        document: &Document,
        written: &SweepText,
        report: &mut Report,
    ) -> Option<(Space, Vec<InputFile>)> {
        let (mut axes, mut groups) = (Vec::new(), Vec::new());
        let base = self.car(&[]);
        for factor in &written.factors {
            match base.as_ref().ok().and_then(|base| self.axis(factor, &[], base)) {
                Some(axis) => axes.push((factor, axis)),
                None => groups.push(factor),
            }
        }
        loop {
            few_enough(document, &groups, report)?;
            // A number that is plain in the build may be worked with in another car.
            let (plain, other): (Vec<_>, Vec<_>) = axes
                .drain(..)
                .partition(|(factor, axis)| self.is_plain_in_all(factor, axis, &groups));
            axes = plain;
            if other.is_empty() {
                break;
            }
            groups.extend(other.into_iter().map(|(factor, _)| factor));
        }
        few_enough(document, &groups, report)?;
        let axes: Vec<SweptNumber> = axes.into_iter().map(|(_, axis)| axis).collect();
        let mut cars = self.cars(&groups);
        for (factor, entry, wrong) in &cars.never {
            refuse(factor, entry, wrong, document.source_count(), report);
        }
        for base in &mut cars.bases {
            lacks_an_axis(base, &axes);
        }
        let space = Space { bases: cars.bases, axes, module_price: written.module_price };
        report.is_empty().then_some((space, cars.tables))
    }

    /// The car of the build with some entries put over it.
    fn car(&self, entries: &[&Alternative]) -> Result<LooseCar, Report> {
        let mut document = self.text.document.clone();
        let mut report = Report::default();
        for (path, at) in entries.iter().flat_map(|entry| &entry.without) {
            if !document.take_out(path) {
                let what = format!("`without`: the build has no `{}`", printable(path));
                let problem =
                    document.problem(ProblemKind::UnknownKey, &at.adopted(self.sweep), what);
                report.push(problem.key(path).hint("name a key or a table that the build writes"));
            }
        }
        for change in entries.iter().flat_map(|entry| &entry.changes) {
            let key_at = change.key_at.adopted(self.sweep);
            document.put(&change.path, &key_at, change.node.adopted(self.sweep));
        }
        if report.is_empty() { self.text.car(&document) } else { Err(report) }
    }

    /// The factor as an axis over the car of some entries, if each of its values says exactly what
    /// setting the number says: then nothing else is worked out from it.
    fn axis(&self, factor: &Factor, with: &[&Alternative], base: &LooseCar) -> Option<SweptNumber> {
        let knob = Knob::find(&factor.name, &base.car).ok().filter(|_| factor.varied)?;
        let value = |(place, entry): (usize, &Alternative)| {
            if is_tried(place, factor) {
                return self.axis_value(factor, entry, with, base, knob);
            }
            let spread = entry.spread?;
            Some(AxisValue { label: Arc::clone(&entry.label), spread, price: entry.price })
        };
        let values = factor.entries.iter().enumerate().map(value).collect::<Option<Vec<_>>>()?;
        let key = Arc::clone(&factor.name);
        Some(SweptNumber { physical: knob.key().ends_si(), key, knob, values })
    }

    fn axis_value(
        &self,
        factor: &Factor,
        entry: &Alternative,
        with: &[&Alternative],
        base: &LooseCar,
        knob: Knob,
    ) -> Option<AxisValue> {
        let mut entries = with.to_vec();
        entries.push(entry);
        let made = self.car(&entries).ok()?;
        let value = knob.get(&made.car)?;
        let mut set = base.car.clone();
        knob.set(&mut set, value).ok()?;
        let key: &str = &factor.name;
        let rest = |spreads: &BTreeMap<String, Spread>| {
            let mut rest = spreads.clone();
            rest.remove(key);
            rest
        };
        let plain = set == made.car && rest(&base.spreads) == rest(&made.spreads);
        let spread = made.spreads.get(key).copied().unwrap_or(Spread::exact(value));
        // Of many values not all are tried: then what is written must be what it comes to.
        let plain = plain && (factor.entries.len() <= TRIED || entry.spread == Some(spread));
        plain.then(|| AxisValue { label: Arc::clone(&entry.label), spread, price: entry.price })
    }

    /// Whether an axis stays one in the cars of the groups, each entry looked at by itself.
    fn is_plain_in_all(&self, factor: &Factor, axis: &SweptNumber, groups: &[&Factor]) -> bool {
        let ends = Factor {
            entries: factor.entries.iter().take(1).chain(factor.entries.last()).cloned().collect(),
            ..factor.clone()
        };
        let mut tried = groups.iter().flat_map(|group| {
            let entries = group.entries.iter().enumerate();
            entries.filter(|(place, _)| is_tried(*place, group)).map(|(_, entry)| entry)
        });
        tried.all(|entry| {
            // An entry that makes no car by itself says nothing here.
            let Ok(base) = self.car(&[entry]) else { return true };
            let found = self.axis(&ends, &[entry], &base);
            found.is_some_and(|found| found.knob == axis.knob)
        })
    }

    /// A base for each combination of the groups.
    fn cars<'f>(&self, groups: &[&'f Factor]) -> Cars<'f> {
        let mut cars = Cars { bases: Vec::new(), tables: Vec::new(), never: Vec::new() };
        let mut failed: BTreeMap<(usize, usize), Option<Report>> = BTreeMap::new();
        let mut places = vec![0_usize; groups.len()];
        loop {
            let entries: Vec<&'f Alternative> =
                groups.iter().zip(&places).map(|(group, place)| &group.entries[*place]).collect();
            let made = self.car(&entries);
            for key in places.iter().copied().enumerate() {
                let worst = failed.entry(key).or_insert_with(|| made.as_ref().err().cloned());
                if made.is_ok() {
                    *worst = None;
                }
            }
            cars.push(groups, &entries, made);
            if !step(&mut places, groups) {
                break;
            }
        }
        for ((group, place), wrong) in failed {
            if let Some(wrong) = wrong {
                cars.never.push((groups[group], &groups[group].entries[place], wrong));
            }
        }
        cars
    }
}

/// Whether an entry is tried: all of a few, and of many some evenly spaced ones and the last.
fn is_tried(place: usize, factor: &Factor) -> bool {
    let apart = factor.entries.len().div_ceil(TRIED);
    place.is_multiple_of(apart) || place + 1 == factor.entries.len()
}

/// The cars of all combinations.
struct Cars<'f> {
    bases: Vec<Base>,
    /// Every table that was read, once.
    tables: Vec<InputFile>,
    /// Entries with which no car can be put together, and what is wrong.
    never: Vec<(&'f Factor, &'f Alternative, Report)>,
}

impl Cars<'_> {
    fn push(
        &mut self,
        groups: &[&Factor],
        entries: &[&Alternative],
        made: Result<LooseCar, Report>,
    ) {
        let choices = groups.iter().zip(entries).map(|(group, entry)| Choice {
            of: Arc::clone(&group.name),
            is: Arc::clone(&entry.label),
            price: entry.price,
        });
        let choices = choices.collect();
        let model = match made {
            Ok(LooseCar { mut car, spreads, inputs }) => {
                for input in inputs {
                    if self.tables.iter().all(|known| known.path != input.path) {
                        self.tables.push(input);
                    }
                }
                if let Some(Base { model: Ok(first), .. }) = self.bases.first() {
                    share_tables(&mut car, &first.car);
                }
                Ok(model(car, &spreads))
            }
            Err(report) => Err(reason(&report)),
        };
        self.bases.push(Base { choices, model });
    }
}

/// Thousands of cars with the same tables hold them once.
fn share_tables(car: &mut crownwheel::spec::CarSpec, first: &crownwheel::spec::CarSpec) {
    use crownwheel::spec::MotorLossSpec;
    if car.motor.curve == first.motor.curve {
        car.motor.curve = Arc::clone(&first.motor.curve);
    }
    if car.pack.open_circuit == first.pack.open_circuit {
        car.pack.open_circuit = Arc::clone(&first.pack.open_circuit);
    }
    if let (MotorLossSpec::Map(own), MotorLossSpec::Map(known)) =
        (&mut car.motor.losses, &first.motor.losses)
        && own == known
    {
        *own = Arc::clone(known);
    }
}

/// The next combination, the last group first. Whether there is one.
fn step(places: &mut [usize], groups: &[&Factor]) -> bool {
    for (place, group) in places.iter_mut().zip(groups).rev() {
        *place += 1;
        if *place < group.entries.len() {
            return true;
        }
        *place = 0;
    }
    false
}

/// Counts the cars before any is made.
fn few_enough(document: &Document, groups: &[&Factor], report: &mut Report) -> Option<()> {
    let count = groups
        .iter()
        .fold(1_u128, |count, group| count.saturating_mul(group.entries.len() as u128));
    if count <= MOST_BASES {
        return Some(());
    }
    let largest = groups.iter().max_by_key(|group| group.entries.len())?;
    let product: Vec<String> =
        groups.iter().map(|group| format!("{} of {}", group.entries.len(), group.name)).collect();
    let what = format!(
        "{count} cars would have to be put together one by one: {}",
        printable(&product.join(" x "))
    );
    let problem = document.problem(ProblemKind::OutOfRange, &largest.at, what);
    let hint = format!(
        "at most {MOST_BASES} are; numbers from which nothing else is worked out, such as \
         driveline.axle.ratio, do not count: leave some choices out, or split the sweep"
    );
    report.push(problem.key(&*largest.name).value(&count.to_string()).hint(hint));
    None
}

/// Takes over what is wrong with an entry that fits no car.
fn refuse(
    factor: &Factor,
    entry: &Alternative,
    wrong: &Report,
    number: usize,
    report: &mut Report,
) {
    let with = format!(" (with {} = \"{}\")", factor.name, printable(&entry.label));
    for problem in wrong.problems().iter().take(SHOWN) {
        // The same with another value of the same key says nothing new.
        let said = |known: &Problem| {
            known.key == problem.key
                && (known.line, known.column) == (problem.line, problem.column)
                && known.what.starts_with(&problem.what)
        };
        if report.problems().iter().any(said) {
            continue;
        }
        let mut problem = problem.clone();
        problem.what.push_str(&with);
        if problem.kind == ProblemKind::Conflict {
            problem.hint.push_str(OR_WITHOUT);
        }
        report.absorb(problem.into(), number, &factor.name);
    }
}

/// Why a combination makes no car, on one line.
fn reason(report: &Report) -> String {
    let words = report.problems().iter().take(SHOWN).map(|problem| {
        if problem.allowed.is_empty() {
            problem.what.clone()
        } else {
            format!("{}: allowed is {}", problem.what, problem.allowed)
        }
    });
    words.collect::<Vec<_>>().join("; ")
}

/// A car that lacks the number of an axis is none of the options.
fn lacks_an_axis(base: &mut Base, axes: &[SweptNumber]) {
    if let Ok(model) = &base.model
        && let Some(axis) =
            axes.iter().find(|axis| Knob::find(&axis.key, &model.car) != Ok(axis.knob))
    {
        base.model = Err(format!("`{}` is no number of this car", axis.key));
    }
}
