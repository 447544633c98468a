//! From a build on disk to what answers are made from.

use std::path::Path;

use crownwheel::cycle::Cycle;
use crownwheel::spec::SpecError;
use crownwheel::{Car, Day};
use crownwheel_files::input::{self, InputFile};
use crownwheel_files::outside::{CycleRef, DemandKind};
use crownwheel_files::{Build, cycle_file, keys};
use sha2::{Digest, Sha256};

use super::AskError;
use crate::from_car::{AskedTrip, RangeRequest, Subject};
use crate::{Assumption, LineToAdd, Provenance, Trip, Units};

/// Cycles that `range` runs when none is named.
pub const USUAL_CYCLES: [&str; 3] = ["wltc3b", "udds", "hwfet"];

/// A build that was read, and the answers' subject made from it.
#[derive(Clone, Debug)]
pub struct LoadedBuild {
    /// The build.
    pub build: Build,
    /// What answers are made from.
    pub subject: Subject,
    /// Everything that was read: the build with its tables, and cycles.
    pub inputs: Vec<InputFile>,
    /// What was set over it, as it was typed: it counts for the hash of the answers.
    sets: Vec<String>,
    /// Cycles that were opened: a file is read once, so that every number is made from the same bytes.
    opened: Vec<(CycleRef, Cycle)>,
}

/// What answers are made from, of a build that was read with these settings.
///
/// # Errors
/// The core refuses the car or a day.
pub fn of_build(build: Build, units: Units, texts: &[String]) -> Result<LoadedBuild, AskError> {
    let car = Car::new(&build.car).map_err(|error| refused(&build, &error))?;
    let days = build.days.iter().map(Day::new).collect::<Result<Vec<Day>, _>>();
    let days = days.map_err(|error| refused(&build, &error))?;
    let assumed: Vec<Assumption> =
        build.assumed.iter().map(|given| assumed_in(units, &build, given)).collect();
    let subject = Subject {
        car,
        days,
        provenance: Provenance {
            program_version: env!("CARGO_PKG_VERSION").to_owned(),
            inputs_hash: hash(&build.inputs, texts),
            seed: None,
        },
        lines_to_add: lines_to_add(&assumed),
        assumed,
        notes: build.notes.clone(),
        warnings: build.warnings.clone(),
        units,
    };
    let inputs = build.inputs.clone();
    Ok(LoadedBuild { build, subject, inputs, sets: texts.to_vec(), opened: Vec::new() })
}

/// The core refuses what the reader let through.
fn refused(build: &Build, error: &SpecError) -> AskError {
    AskError::asked(format!("{}: {error}", build.path.display()))
}

/// What a build assumes for a key that it does not write.
pub fn assumed_for<'b>(
    build: &'b Build,
    key: &str,
) -> Option<&'b crownwheel_files::build::Assumption> {
    let fits = |pattern: &str| {
        let parts = (pattern.split('.'), key.split('.'));
        pattern.split('.').count() == key.split('.').count()
            && parts.0.zip(parts.1).all(|(known, part)| known == part || known == "*")
    };
    build.assumed.iter().find(|assumed| fits(&assumed.key))
}

fn assumed_in(
    units: Units,
    build: &Build,
    given: &crownwheel_files::build::Assumption,
) -> Assumption {
    let value = units.written(&given.value);
    let advice = keys::advice(&given.key);
    let line = build.instead(given, &value);
    Assumption {
        key: given.key.clone(),
        value,
        band: (!given.band.is_empty()).then(|| units.written(&given.band)),
        source: given.source.clone(),
        matters: advice.map(|advice| advice.matters.to_owned()),
        find_out: advice.map(|advice| advice.find_out.to_owned()),
        table: line.as_ref().map(|line| line.table.clone()),
        instead: line.map(|line| line.line),
    }
}

/// Every assumed value that has a band is worth a line of one's own.
///
/// What was worked out from other keys is left out: written down it would contradict them.
fn lines_to_add(shown: &[Assumption]) -> Vec<LineToAdd> {
    let line = |assumed: &Assumption| {
        let band = assumed.band.as_ref()?;
        let (table, line) = (assumed.table.as_ref()?, assumed.instead.as_ref()?);
        Some(LineToAdd {
            key: assumed.key.clone(),
            line: format!("{table}.{line}"),
            band_shrinks_pct: None,
            why: keys::find(&assumed.key).map_or_else(String::new, |row| {
                format!("{}; assumed {} {band}", row.title, assumed.value)
            }),
        })
    };
    shown.iter().filter_map(line).collect()
}

/// Hash of everything that was read and set, so that an answer can be told from another.
pub fn hash(inputs: &[InputFile], sets: &[String]) -> String {
    let mut sha = Sha256::new();
    for input in inputs {
        sha.update((input.bytes.len() as u64).to_le_bytes());
        sha.update(&input.bytes);
    }
    for set in sets {
        sha.update((set.len() as u64).to_le_bytes());
        sha.update(set.as_bytes());
    }
    hex(&sha.finalize())
}

/// Bytes as hexadecimal digits.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Cycles, days and speeds that are asked for. `usual` are run when no cycle is named, with
/// the build's own.
///
/// # Errors
/// A cycle that cannot be read, a day that there is not.
pub fn asked(
    loaded: &mut LoadedBuild,
    named: &Named<'_>,
    usual: &[&str],
) -> Result<RangeRequest, AskError> {
    let wanted: Vec<CycleRef> = if named.cycles.is_empty() {
        let usual: Vec<CycleRef> = usual.iter().map(|name| typed(name)).collect();
        let own = own_cycles(&loaded.build);
        each_once(usual.iter().chain(demanded_cycles(&loaded.build)).chain(&own))
    } else {
        named.cycles.iter().map(|name| typed(name)).collect()
    };
    let cycles = open_cycles(loaded, &wanted)?;
    let by_name = !named.cycles.is_empty();
    let trips = wanted.iter().map(|cycle| trip(&loaded.build, cycle, by_name)).collect();
    let days = days(&loaded.subject, named.days)?;
    let steady_kmh = loaded.subject.units.steady_speeds_kmh().to_vec();
    Ok(RangeRequest { cycles, trips, days, steady_kmh, routes: Vec::new() })
}

/// Cycles and days by name.
#[derive(Clone, Copy, Debug, Default)]
pub struct Named<'a> {
    /// Cycles; none: the usual ones.
    pub cycles: &'a [String],
    /// Days; none: all.
    pub days: &'a [String],
}

/// What is known of a cycle: whose trip it is, and what the build demands of it.
pub fn trip(build: &Build, cycle: &CycleRef, asked_by_name: bool) -> AskedTrip {
    let own = asked_by_name || matches!(cycle, CycleRef::File(_));
    let demanded = |demand: &crownwheel_files::outside::Demand| match &demand.what {
        DemandKind::Range { cycle: of, day, at_least_m, .. } if of == cycle => {
            Some((day.clone(), at_least_m / 1000.0))
        }
        _ => None,
    };
    AskedTrip {
        trip: if own { Trip::Own } else { Trip::Standard },
        demanded_km: build.demands.iter().filter_map(demanded).collect(),
    }
}

/// Opens cycles; what they are read from counts as input of the answer from then on.
///
/// # Errors
/// A cycle that cannot be read.
pub fn open_cycles(loaded: &mut LoadedBuild, wanted: &[CycleRef]) -> Result<Vec<Cycle>, AskError> {
    let mut cycles: Vec<Cycle> = Vec::new();
    for of in wanted {
        if let Some((_, cycle)) = loaded.opened.iter().find(|(opened, _)| opened == of) {
            cycles.push(cycle.clone());
            continue;
        }
        let opened = match of {
            CycleRef::Builtin(name) => cycle_file::open(name, Path::new(""))?,
            CycleRef::File(path) => {
                cycle_file::read_from(&loaded.build.provider, path, input::LARGEST_TABLE)?
            }
        };
        loaded.opened.push((of.clone(), opened.cycle.clone()));
        // The same file under another name is an input once.
        let new = |input: &InputFile| !loaded.inputs.contains(input);
        if let Some(input) = opened.input.filter(new) {
            loaded.inputs.push(input);
            loaded.subject.notes.extend(opened.notes);
        }
        cycles.push(opened.cycle);
    }
    loaded.hash_again();
    Ok(cycles)
}

impl LoadedBuild {
    /// Routes that were read elsewhere, from logs: what they were read from counts as input of the answers from now on.
    pub fn add_input(&mut self, input: InputFile, notes: Vec<String>) {
        self.inputs.push(input);
        self.subject.notes.extend(notes);
        self.hash_again();
    }

    fn hash_again(&mut self) {
        self.subject.provenance.inputs_hash = hash(&self.inputs, &self.sets);
    }

    /// The file that a cycle was read from. `None`: it is built in.
    pub fn file_of(&self, cycle: &Cycle) -> Option<&InputFile> {
        let path = self.opened.iter().find_map(|(of, opened)| match of {
            CycleRef::File(path) if opened.name() == cycle.name() => Some(path),
            _ => None,
        })?;
        self.inputs.iter().find(|input| input.path == *path)
    }
}

/// Cycle files that the build names, each once.
pub fn own_cycles(build: &Build) -> Vec<CycleRef> {
    let measured = build.measured.iter().map(|fact| &fact.cycle);
    let all = demanded_cycles(build).chain(measured);
    each_once(all.filter(|cycle| matches!(cycle, CycleRef::File(_))))
}

/// The cycles of the ranges that are demanded.
pub fn demanded_cycles(build: &Build) -> impl Iterator<Item = &CycleRef> {
    build.demands.iter().filter_map(|demand| match &demand.what {
        DemandKind::Range { cycle, .. } => Some(cycle),
        _ => None,
    })
}

/// Cycles as [`open_cycles`] takes them, each once.
pub fn each_once<'c>(cycles: impl Iterator<Item = &'c CycleRef>) -> Vec<CycleRef> {
    let mut all: Vec<CycleRef> = Vec::new();
    for cycle in cycles {
        if !all.contains(cycle) {
            all.push(cycle.clone());
        }
    }
    all
}

/// A cycle as it is typed.
pub fn typed(name: &str) -> CycleRef {
    if cycle_file::is_builtin_name(name) {
        CycleRef::Builtin(name.to_owned())
    } else {
        CycleRef::File(name.into())
    }
}

/// Places of the named days; all days if none is named.
///
/// # Errors
/// A day that the build does not have.
pub fn days(subject: &Subject, names: &[String]) -> Result<Vec<usize>, AskError> {
    if names.is_empty() {
        return Ok((0..subject.days.len()).collect());
    }
    let place = |name: &String| {
        subject.days.iter().position(|day| day.name() == name).ok_or_else(|| {
            let known: Vec<&str> = subject.days.iter().map(|day| day.name().key()).collect();
            AskError::asked(format!(
                "`{name}`: the build has no such day; it has {}",
                known.join(", ")
            ))
        })
    };
    names.iter().map(place).collect()
}
