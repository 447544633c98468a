//! The cycles that a sweep needs: those that it lists, and those of demands and facts.

use std::path::Path;
use std::sync::Arc;

use crate::Build;
use crate::cycle_file::{self, is_builtin_name};
use crate::document::Document;
use crate::input::{self, InputFile};
use crate::message::{ProblemKind, Report, printable};
use crate::outside::{CycleRef, DemandKind};
use crate::provider::Files;
use crownwheel::cycle::BUILTIN_NAMES;
use crownwheel::cycle::Cycle;

use super::SweepCycle;
use super::written::SweepText;

/// A cycle with the file that it was read from.
#[derive(Debug)]
pub(super) struct ReadCycle {
    pub(super) cycle: SweepCycle,
    pub(super) input: Option<InputFile>,
    pub(super) notes: Vec<String>,
}

/// The cycles that the sweep lists.
pub(super) fn listed(
    files: &Files,
    document: &Document,
    written: &SweepText,
    report: &mut Report,
) -> Vec<ReadCycle> {
    let mut cycles = Vec::new();
    for (name, at) in &written.cycles {
        let refuse =
            |kind, what: String| document.problem(kind, at, what).key("cycles").value(name);
        let of = if is_builtin_name(name) {
            CycleRef::Builtin(name.clone())
        } else {
            CycleRef::File(document.folder_of(at).join(name))
        };
        if let CycleRef::File(path) = &of
            && let Err(error) = files.look(path)
        {
            let what = format!("`cycles`: cannot read `{}`: {error}", printable(name));
            report.push(refuse(ProblemKind::File, what).hint(error.hint()));
            continue;
        }
        match open(files, name, of, true) {
            Ok(Some(cycle)) => cycles.push(cycle),
            Ok(None) => {
                let what = format!("`cycles`: there is no built-in cycle `{}`", printable(name));
                let hint = "the name of a cycle file has a dot in it, as in moor-round.csv";
                let problem = refuse(ProblemKind::UnknownKey, what);
                report.push(problem.allowed(BUILTIN_NAMES.join(", ")).hint(hint));
            }
            Err(wrong) => report.absorb(wrong, document.source_count(), "cycles"),
        }
    }
    cycles
}

/// Adds the cycles of the build's demands and facts that are not among them.
pub(super) fn of_build(build: &Build, cycles: &mut Vec<ReadCycle>, report: &mut Report) {
    let of_demands = build.demands.iter().filter_map(|demand| match &demand.what {
        DemandKind::Range { cycle, .. } => Some(cycle),
        _ => None,
    });
    for of in of_demands.chain(build.measured.iter().map(|fact| &fact.cycle)) {
        if cycles.iter().any(|known| is_same(&known.cycle.of, of)) {
            continue;
        }
        let name = match of {
            CycleRef::Builtin(name) => name.clone(),
            CycleRef::File(path) => path
                .file_name()
                .map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
        };
        match open(&build.provider, &name, of.clone(), false) {
            // A name that is not built in was refused with the build.
            Ok(read) => cycles.extend(read),
            Err(wrong) => report.absorb(wrong, usize::MAX, "demand"),
        }
    }
}

/// `None`: no such built-in cycle.
fn open(
    files: &Files,
    name: &str,
    of: CycleRef,
    listed: bool,
) -> Result<Option<ReadCycle>, Report> {
    let (cycle, input, notes) = match &of {
        CycleRef::Builtin(name) => match Cycle::builtin(name) {
            Ok(cycle) => (cycle, None, Vec::new()),
            Err(_) => return Ok(None),
        },
        CycleRef::File(path) => {
            let read = cycle_file::read_from(files, path, input::LARGEST_TABLE)?;
            (read.cycle, read.input, read.notes)
        }
    };
    let cycle = SweepCycle { name: Arc::from(name), of, cycle, listed };
    Ok(Some(ReadCycle { cycle, input, notes }))
}

/// Whether two references name the same cycle, however the path is written.
pub(super) fn is_same(a: &CycleRef, b: &CycleRef) -> bool {
    let real = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_owned());
    match (a, b) {
        (CycleRef::File(a), CycleRef::File(b)) => real(a) == real(b),
        _ => a == b,
    }
}
