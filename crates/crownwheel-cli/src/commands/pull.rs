//! `pull`: tractive effort, times, hills and speeds; ratios side by side.

use std::num::NonZeroUsize;

use clap::Args as ClapArgs;
use crownwheel_answers::pull::RatioLine;
use crownwheel_answers::ratios::differences;

use super::give;
use crate::args::Common;
use crate::outcome::{Failure, Outcome};
use crate::subject::{day, load_with};
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
    let place = day(&loaded.subject, pull.day.as_ref())?;
    let mut answer = loaded.pull(place, pull.worlds.into())?;
    answer.ratios = if variants.is_empty() {
        let with = |setting| {
            let sets: Vec<String> = plain.iter().cloned().chain([setting]).collect();
            load_with(&pull.common, &sets)
        };
        loaded.gear_ratios(place, with)?
    } else {
        variant_lines(pull, place, &plain, &variants)?
    };
    answer.notes.extend(differences(&answer.ratios));
    give("pull", &answer, &answer.sheet(), &pull.common.output)?;
    Ok(Outcome::new(pull.common.output.strict, answer.warnings.len()))
}

/// A row for each setting of the list.
fn variant_lines(
    pull: &Pull,
    place: usize,
    plain: &[String],
    variants: &[String],
) -> Result<Vec<RatioLine>, Failure> {
    let line = |setting: &String| {
        let sets: Vec<String> = plain.iter().chain([setting]).cloned().collect();
        let loaded = load_with(&pull.common, &sets)?;
        Ok(loaded.ratio_line(setting.replace('=', " = "), place))
    };
    variants.iter().map(line).collect()
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
