//! The build that a command names, and what is asked of it.

use std::path::Path;

use crownwheel_answers::build::{AskError, AskErrorKind, Named};
use crownwheel_answers::from_car::RangeRequest;
use crownwheel_files::{BuildText, Files, Set};

use crate::args::{Common, Range};
use crate::outcome::Failure;
use crate::standard_input;
use crate::values::is_dash;

pub(crate) use crownwheel_answers::build::{
    LoadedBuild, USUAL_CYCLES, assumed_for, days, demanded_cycles, each_once, hash, hex, of_build,
    open_cycles, own_cycles, trip, typed,
};

impl From<AskError> for Failure {
    fn from(error: AskError) -> Failure {
        match (error.kind(), error.report()) {
            (_, Some(report)) => Failure::Input(report.clone()),
            (AskErrorKind::Asked, _) => Failure::Usage(error.to_string()),
            _ => Failure::Failed(error.to_string()),
        }
    }
}

/// Reads the build that a command names.
pub(crate) fn load(common: &Common) -> Result<LoadedBuild, Failure> {
    load_with(common, &common.set)
}

/// The same with other settings than the command's.
pub(crate) fn load_with(common: &Common, texts: &[String]) -> Result<LoadedBuild, Failure> {
    let build = open(&common.file, texts)?.build()?;
    Ok(of_build(build, common.output.units.into(), texts)?)
}

/// The text of a build, with what is set over it.
pub(crate) fn open(file: &Path, sets: &[String]) -> Result<BuildText, Failure> {
    let sets = parse_sets(sets)?;
    if is_dash(file) {
        return Ok(BuildText::given(
            &Files::default(),
            standard_input::NAME,
            standard_input::build()?,
            &sets,
        )?);
    }
    Ok(BuildText::open(file, &sets)?)
}

/// Settings as they are typed.
pub(crate) fn parse_sets(texts: &[String]) -> Result<Vec<Set>, Failure> {
    texts.iter().map(|text| parse_set(text)).collect()
}

fn parse_set(text: &str) -> Result<Set, Failure> {
    Set::parse(text).ok_or_else(|| {
        let lacks = if text.contains('=') { "key" } else { "value" };
        Failure::Usage(format!(
            "`--set {text}` has no {lacks}: write a key, `=` and a value, for example --set driveline.axle.ratio=3.89"
        ))
    })
}

/// Cycles, days and speeds that a command asks for.
pub(crate) fn asked(
    loaded: &mut LoadedBuild,
    range: &Range,
    usual: &[&str],
) -> Result<RangeRequest, Failure> {
    let named = Named { cycles: &range.cycle, days: &range.day };
    Ok(crownwheel_answers::build::asked(loaded, &named, usual)?)
}

/// Place of a named day; the first if none is named.
pub(crate) fn day(
    subject: &crownwheel_answers::from_car::Subject,
    name: Option<&String>,
) -> Result<usize, Failure> {
    let names: Vec<String> = name.into_iter().cloned().collect();
    Ok(days(subject, &names)?[0])
}
