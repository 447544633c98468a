//! Values of options that are looked at while they are read.

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

use clap::builder::{PathBufValueParser, PossibleValue, StringValueParser, TypedValueParser};
use clap::error::Error;
use clap::{Arg, Command};

/// Most worlds of one build; as many as a sweep may ask for.
const MOST_WORLDS: usize = 1_000_000;

/// Worlds as they are typed.
pub(crate) fn parse_worlds(text: &str) -> Result<NonZeroUsize, String> {
    let count = text.trim().parse().ok().and_then(NonZeroUsize::new);
    count.filter(|count| count.get() <= MOST_WORLDS).ok_or_else(|| {
        format!("write a whole number from 1 (nominal values, no bands) to {MOST_WORLDS}")
    })
}

/// Any text, of which a shell may offer some.
#[derive(Clone, Copy)]
pub(crate) struct SuggestedText(pub(crate) fn() -> Vec<&'static str>);

impl TypedValueParser for SuggestedText {
    type Value = String;

    fn parse_ref(
        &self,
        command: &Command,
        arg: Option<&Arg>,
        value: &std::ffi::OsStr,
    ) -> Result<String, Error> {
        StringValueParser::new().parse_ref(command, arg, value)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        Some(Box::new((self.0)().into_iter().map(PossibleValue::new)))
    }
}

/// A world of a sweep, counted from 1.
pub(crate) fn parse_world(text: &str) -> Result<usize, String> {
    let words = "write the number of a world, counted from 1: --world 31";
    text.trim().parse().map_err(|_| words.to_owned())
}

/// A port to listen on.
pub(crate) fn parse_port(text: &str) -> Result<u16, String> {
    let words = "write a port from 1024 to 65535, or 0 for any that is free: --port 8080";
    text.trim().parse().map_err(|_| words.to_owned())
}

/// Standard input or output as it is typed.
pub(crate) fn is_dash(path: &Path) -> bool {
    path == Path::new("-")
}

/// A folder that files are written into, or read from.
pub(crate) fn a_folder() -> impl TypedValueParser<Value = PathBuf> {
    no_dash("many files are meant: name a folder (./- is one); --json prints an answer")
}

/// A sweep with its build.
pub(crate) fn a_sweep() -> impl TypedValueParser<Value = PathBuf> {
    no_dash("a sweep names its build beside it: write it into a file")
}

/// A build that is written into.
pub(crate) fn a_build_file() -> impl TypedValueParser<Value = PathBuf> {
    no_dash("standard input cannot be written into: name the build's file")
}

fn no_dash(why: &'static str) -> impl TypedValueParser<Value = PathBuf> {
    let checked = move |path: PathBuf| if is_dash(&path) { Err(why) } else { Ok(path) };
    PathBufValueParser::new().try_map(checked)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn worlds_are_a_whole_number_from_one() {
        assert_eq!(parse_worlds("1"), Ok(NonZeroUsize::MIN));
        assert_eq!(parse_worlds(" 500 ").map(NonZeroUsize::get), Ok(500));
        for wrong in ["0", "-3", "2.5", "many", "", "1000001"] {
            let why = parse_worlds(wrong).unwrap_err();
            assert!(why.contains("from 1 (nominal values"), "{wrong}: {why}");
        }
    }
}
