//! The inputs that an answer depends on.

use crate::explain::InputText;

/// It stands in the car's table, and nothing depends on it.
const NAME: &str = "car.name";

/// The inputs whose keys are one of these, or lie in one of these tables; those given first.
pub(super) fn of(all: &[InputText], starts: &[String]) -> Vec<InputText> {
    let given = all.iter().filter(|input| input.given);
    let assumed = all.iter().filter(|input| !input.given);
    given.chain(assumed).filter_map(|input| shown(input, all, starts)).collect()
}

/// An input as it is shown, if it is one of these.
fn shown(input: &InputText, all: &[InputText], starts: &[String]) -> Option<InputText> {
    if input.key == NAME {
        return None;
    }
    let start = starts.iter().find(|start| begins(&input.key, start))?;
    let key = named(&input.key, start);
    // What is assumed for all names that lack it is not assumed for one that has it.
    let written = || all.iter().any(|other| other.given && other.key == key);
    (input.given || !written()).then(|| InputText { key: key.clone(), ..input.clone() })
}

/// The key with the names of `start` in the place of each `*`.
fn named(key: &str, start: &str) -> String {
    let mut names = start.split('.');
    let part = |part| match names.next() {
        Some(name) if part == "*" => name,
        _ => part,
    };
    key.split('.').map(part).collect::<Vec<_>>().join(".")
}

/// Whether a key is `start` or lies in it, part by part; a `*` on either side is any name.
fn begins(key: &str, start: &str) -> bool {
    let mut parts = key.split('.');
    start.split('.').all(|wanted| {
        parts.next().is_some_and(|part| part == wanted || part == "*" || wanted == "*")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_found_by_their_table_and_not_by_their_letters() {
        assert!(begins("put_in.motor.mass", "put_in"));
        assert!(begins("put_in.*.above_ground", "put_in.motor.above_ground"));
        assert!(begins("day.winter.wind", "day.winter"));
        assert!(!begins("day.mild.wind", "day.winter"));
        assert!(!begins("pack.module_mass", "pack.module"));
        assert!(!begins("pack", "pack.module_mass"));
    }

    #[test]
    fn what_is_assumed_for_others_is_not_assumed_for_a_day_that_has_it() {
        let input = |key: &str, given: bool| InputText {
            key: key.to_owned(),
            value: String::new(),
            given,
            source: None,
        };
        let all = [
            input("day.*.wind", false),
            input("day.*.altitude", false),
            input("day.winter.wind", true),
        ];
        let keys = |day: &str| -> Vec<(String, bool)> {
            of(&all, &[format!("day.{day}")]).into_iter().map(|it| (it.key, it.given)).collect()
        };
        assert_eq!(
            keys("winter"),
            [("day.winter.wind".to_owned(), true), ("day.winter.altitude".to_owned(), false)]
        );
        assert_eq!(
            keys("mild"),
            [("day.mild.wind".to_owned(), false), ("day.mild.altitude".to_owned(), false)]
        );
    }
}
