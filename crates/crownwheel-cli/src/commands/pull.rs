//! `pull`: tractive effort, times, hills and speeds; ratios side by side.

use std::num::NonZeroUsize;

use clap::Args as ClapArgs;
use crownwheel::hold::Climb;
use crownwheel::spec::FirstStage;
use crownwheel_answers::PullAnswer;
use crownwheel_answers::from_car::{self, Hill};
use crownwheel_answers::pull::RatioLine;
use crownwheel_answers::ratios::differences;
use crownwheel_files::Build;

use super::give;
use crate::args::Common;
use crate::bands::Bands;
use crate::outcome::{Failure, Outcome};
use crate::subject::{LoadedBuild, day, load_with};
use crate::values::parse_worlds;

#[derive(Debug, ClapArgs)]
pub(crate) struct Pull {
    #[command(flatten)]
    pub(crate) common: Common,
    /// A day of the build; without it the first
    #[arg(long, value_name = "DAY")]
    pub(crate) day: Option<String>,
    /// Worlds that bands are drawn from, 2000 without it; 1: nominal values, no bands
    #[arg(long, value_name = "N", value_parser = parse_worlds, allow_hyphen_values = true)]
    pub(crate) worlds: Option<NonZeroUsize>,
}

pub(crate) fn run(pull: &Pull) -> Result<Outcome, Failure> {
    let (plain, list) = split_list(&pull.common.set)?;
    // The first of a list stands for the car; the others stand beside it.
    let variants = list.map_or_else(Vec::new, |list| list.settings());
    let first: Vec<String> = plain.iter().cloned().chain(variants.first().cloned()).collect();
    let mut loaded = load_with(&pull.common, &first)?;
    let bands = Bands::new(&mut loaded, (pull.worlds, false), &first)?;
    let mut answer = pull_of(pull, &loaded)?;
    if let Some(bands) = &bands {
        bands.pull(day(&loaded.subject, pull.day.as_ref())?, &mut answer)?;
    }
    answer.ratios = if variants.is_empty() {
        gear_lines(pull, &plain, &loaded)?
    } else {
        variant_lines(pull, &plain, &variants)?
    };
    answer.notes.extend(differences(&answer.ratios));
    give("pull", &answer, &answer.sheet(), &pull.common.output)?;
    Ok(Outcome::new(pull.common.output.strict, answer.warnings.len()))
}

fn pull_of(pull: &Pull, loaded: &LoadedBuild) -> Result<PullAnswer, Failure> {
    let place = day(&loaded.subject, pull.day.as_ref())?;
    Ok(from_car::pull(&loaded.subject, place, &hills(&loaded.build)))
}

/// The named hills of a build.
pub(crate) fn hills(build: &Build) -> Vec<Hill> {
    let hill = |hill: &crownwheel_files::outside::Hill| Hill {
        name: hill.name.clone(),
        length_m: hill.length_m,
        climb: Climb { speed_mps: hill.speed_mps, grade_frac: hill.grade_frac },
    };
    build.hills.iter().map(hill).collect()
}

/// A row for each setting of the list.
fn variant_lines(
    pull: &Pull,
    plain: &[String],
    variants: &[String],
) -> Result<Vec<RatioLine>, Failure> {
    let line = |setting: &String| {
        let sets: Vec<String> = plain.iter().chain([setting]).cloned().collect();
        let loaded = load_with(&pull.common, &sets)?;
        let answer = pull_of(pull, &loaded)?;
        Ok(line_of(setting.replace('=', " = "), &loaded, &answer))
    };
    variants.iter().map(line).collect()
}

/// The row of a car, in its usual gear.
fn line_of(name: String, loaded: &LoadedBuild, answer: &PullAnswer) -> RatioLine {
    let car = &loaded.subject.car;
    RatioLine::of(name, car.usual_gear() + 1, car.overall_ratio(), answer)
}

/// A row for each gear of a kept gearbox, as if it were the only one.
fn gear_lines(
    pull: &Pull,
    plain: &[String],
    loaded: &LoadedBuild,
) -> Result<Vec<RatioLine>, Failure> {
    let FirstStage::Gearbox(gearbox) = &loaded.build.car.driveline.first else {
        return Ok(Vec::new());
    };
    let line = |gear: usize| {
        let setting = format!("driveline.gearbox.gear={gear}");
        let sets: Vec<String> = plain.iter().cloned().chain([setting]).collect();
        let loaded = load_with(&pull.common, &sets)?;
        let answer = pull_of(pull, &loaded)?;
        Ok(line_of(format!("gear {gear}"), &loaded, &answer))
    };
    (1..=gearbox.gears.len()).map(line).collect()
}

/// A setting with several numbers, `driveline.axle.ratio=3.70,3.89,4.22`.
pub(crate) struct List {
    pub(crate) key: String,
    pub(crate) values: Vec<String>,
}

impl List {
    /// One setting for each value.
    fn settings(&self) -> Vec<String> {
        self.values.iter().map(|value| format!("{}={value}", self.key)).collect()
    }
}

/// Parts the settings into plain ones and the one that is a list of numbers.
fn split_list(sets: &[String]) -> Result<(Vec<String>, Option<List>), Failure> {
    let mut plain = Vec::new();
    let mut list: Option<List> = None;
    for set in sets {
        match list_of(set) {
            None => plain.push(set.clone()),
            Some(found) => {
                if let Some(known) = &list {
                    return Err(Failure::Usage(format!(
                        "`{}` and `{}` are both lists; `pull` puts one list side by side",
                        known.key, found.key
                    )));
                }
                list = Some(found);
            }
        }
    }
    Ok((plain, list))
}

pub(crate) fn list_of(set: &str) -> Option<List> {
    let (key, value) = set.split_once('=')?;
    let values: Vec<String> = value.split(',').map(|part| part.trim().to_owned()).collect();
    let numbers = values.len() > 1 && values.iter().all(|part| part.parse::<f64>().is_ok());
    numbers.then(|| List { key: key.trim().to_owned(), values })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_of_numbers_is_parted_from_plain_settings() {
        let sets = ["car.name=A, B".to_owned(), "driveline.axle.ratio=3.7, 4.22".to_owned()];
        let (plain, list) = split_list(&sets).unwrap();
        assert_eq!(plain, [sets[0].clone()]);
        let settings = list.unwrap().settings();
        assert_eq!(settings, ["driveline.axle.ratio=3.7", "driveline.axle.ratio=4.22"]);
        let twice = ["a=1,2".to_owned(), "b=3,4".to_owned()];
        assert!(split_list(&twice).is_err());
    }
}
