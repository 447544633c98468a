//! The inputs that an answer hangs on.

use crate::explain::ExplainInput;

/// An input of a build.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InputText {
    /// Path of the key; a `*` stands for every name that lacks it.
    pub key: String,
    /// Its value with its band, as it is written or assumed.
    pub value: String,
    /// The build gives it; else it is assumed.
    pub given: bool,
    /// Where it is from. `None`: the build does not say.
    pub source: Option<String>,
}

/// The inputs whose keys are one of these, or lie in one of these tables; those given first.
pub(super) fn of(all: &[InputText], starts: &[String]) -> Vec<ExplainInput> {
    let fits = |input: &&InputText| starts.iter().any(|start| begins(&input.key, start));
    let shown = |input: &InputText| ExplainInput {
        key: input.key.clone(),
        value: input.value.clone(),
        given: input.given,
        source: input.source.clone(),
    };
    let given = all.iter().filter(|input| input.given);
    let assumed = all.iter().filter(|input| !input.given);
    given.chain(assumed).filter(fits).map(shown).collect()
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
}
