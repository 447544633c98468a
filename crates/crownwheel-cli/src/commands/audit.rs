//! `audit`: the finished car against its build.

use std::path::Path;
use std::path::PathBuf;

use clap::Args as ClapArgs;
use crownwheel_files::Build;
use crownwheel_logs::ReadOptions;
use crownwheel_logs::audit::{
    self, AuditError, AuditOptions, Source, audit_answer, measured_table,
};
use crownwheel_logs::trip::CycleAxis;

use super::charge::fraction;
use super::{show, write};
use crate::args::{Common, Output};
use crate::outcome::{Failure, Outcome, shown};
use crate::subject::{day, load};
use crate::values::is_dash;
use crate::{build_text, logs};

#[derive(Debug, ClapArgs)]
pub(crate) struct Audit {
    /// The log: speed, pack volts and amperes; charge, heights and outside temperature if you have
    /// them; -: standard input
    pub(crate) log: PathBuf,
    /// The build, or a folder with a build.toml in it; -: standard input
    #[arg(default_value = "build.toml")]
    pub(crate) build: PathBuf,
    /// Put a value over the build's, as often as you like: luggage.mass="40 kg"
    #[arg(long, value_name = "KEY=VALUE")]
    pub(crate) set: Vec<String>,
    /// A day of the build; without it the first
    #[arg(long, value_name = "DAY")]
    pub(crate) day: Option<String>,
    /// State of charge at the start, if the log does not have it: 92%
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub(crate) from: Option<String>,
    /// Unit of the log's speed, if its heading does not say it: km/h, m/s, mph or kn
    #[arg(long, value_name = "UNIT")]
    pub(crate) speed_unit: Option<String>,
    /// Add what was measured to the build as [measured.NAME], and its cycle beside it as NAME.csv
    #[arg(long, value_name = "NAME")]
    pub(crate) write: Option<String>,
    #[command(flatten)]
    pub(crate) output: Output,
}

impl Audit {
    /// The build with the options of the answer.
    pub(crate) fn build_and_output(&self) -> Common {
        Common { file: self.build.clone(), set: self.set.clone(), output: self.output.clone() }
    }
}

/// Name of the fact when none is given.
const USUAL_FACT: &str = "my_drive";

pub(crate) fn run(args: &Audit) -> Result<Outcome, Failure> {
    let fact = args.write.clone().unwrap_or_else(|| USUAL_FACT.to_owned());
    check_name(&fact)?;
    refuse_one_pipe_for_two(args)?;
    let common = args.build_and_output();
    let loaded = load(&common)?;
    let build = &loaded.build;
    let place = day(&loaded.subject, args.day.as_ref())?;
    let options = ReadOptions {
        speed_unit: logs::speed_unit(args.speed_unit.as_ref())?,
        ..ReadOptions::default()
    };
    let mut inputs = logs::Inputs::default();
    let log = inputs.log(&args.log, &options)?;
    let from = args.from.as_ref().map(|text| fraction("--from", text)).transpose()?;
    let asked = AuditOptions { start_charge_frac: from };
    let found = audit::audit(&log, build, &build.days[place], &asked)
        .map_err(|error| refused(build, &error))?;
    let said = [&args.day, &args.from, &args.speed_unit].map(|t| t.clone().unwrap_or_default());
    build.inputs.iter().for_each(|input| inputs.add(&input.bytes));
    let said: Vec<String> = common.set.iter().cloned().chain(said).collect();
    let log_name = match args.log.file_name() {
        Some(_) if is_dash(&args.log) => logs::name(&args.log),
        name => name.map_or_else(String::new, |name| name.to_string_lossy().into()),
    };
    let source = Source {
        log: log_name.clone(),
        fact: fact.clone(),
        provenance: inputs.provenance(&said),
        units: common.output.units.into(),
    };
    let mut answer = audit_answer(&found, &build.car, source);
    if args.write.is_some() {
        let lines = measured_table(&found, &fact, &log_name);
        let cycle = found.trip.cycle_csv(CycleAxis::Time);
        write_fact(build, &fact, &lines, &cycle, common.output.force)?;
        answer.written = Some(shown(&build.path));
    }
    let figure = || crownwheel_plot::audit_figure(&answer);
    let sheet = answer.sheet();
    let json = write("audit", &answer, &sheet, &common.output, Some(&figure))?;
    show(&json, &sheet, &common.output)?;
    Ok(Outcome::new(common.output.strict, answer.warnings.len()))
}

/// Standard input is one file, and cannot be written into.
fn refuse_one_pipe_for_two(args: &Audit) -> Result<(), Failure> {
    let why = match (is_dash(&args.build), is_dash(&args.log), &args.write) {
        (true, true, _) => "`audit - -`: standard input is either the log or the build",
        (true, _, Some(_)) => {
            "`--write`: standard input cannot be written into; name the build's file"
        }
        _ => return Ok(()),
    };
    Err(Failure::Usage(why.to_owned()))
}

fn refused(build: &Build, error: &AuditError) -> Failure {
    match error {
        AuditError::Refused(spec) => Failure::Usage(format!("{}: {spec}", shown(&build.path))),
        AuditError::Astray => Failure::Failed(error.to_string()),
        _ => Failure::Usage(error.to_string()),
    }
}

/// The name becomes a key and a file name.
fn check_name(name: &str) -> Result<(), Failure> {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
    if !name.is_empty() && name.len() <= 40 && name.chars().all(plain) {
        return Ok(());
    }
    Err(Failure::Usage(format!(
        "`--write {name}` is no name of a fact: use small letters, digits and _, for example --write moor_in_june"
    )))
}

/// Adds the fact to the end of the build, and its cycle beside it. The new build is read before it
/// takes the place of the old; nothing else in it is touched.
fn write_fact(
    build: &Build,
    name: &str,
    lines: &str,
    cycle: &str,
    force: bool,
) -> Result<(), Failure> {
    if build.measured.iter().any(|fact| &*fact.name == name) {
        return Err(Failure::Usage(format!(
            "`{}` has a [measured.{name}] already: give --write another name, or take that table out",
            shown(&build.path)
        )));
    }
    let folder = build.path.parent().unwrap_or(Path::new(""));
    let old = build_text::of(build)?;
    let gap = if old.ends_with('\n') { "\n" } else { "\n\n" };
    let new = format!("{old}{gap}{lines}");
    logs::write_new(&folder.join(format!("{name}.csv")), cycle.as_bytes(), force)?;
    build_text::tried(&build.path, &new).map_err(|why| {
        Failure::Usage(format!("nothing was written into `{}`: {why}", shown(&build.path)))
    })?;
    build_text::replace(build, &new)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_facts_are_keys_and_file_names() {
        assert!(check_name("moor_in_june").is_ok());
        for wrong in ["", "a.b", "../x", "June", "with space", &"x".repeat(41)] {
            assert!(check_name(wrong).is_err(), "{wrong}");
        }
    }
}
