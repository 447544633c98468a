//! Keys of a sweep's own file.

use super::{KeyKind, KeyRow, from, number, row, whole};
use crate::units::Dimension::Ratio;

/// Most worlds of a sweep.
const MOST_WORLDS: f64 = 1e6;
/// Largest seed.
const LARGEST_SEED: f64 = 4_294_967_295.0;

const CYCLES: KeyKind = KeyKind::Several("a list of built-in cycles and names of cycle files");
const DAYS: KeyKind = KeyKind::Several("a list of days of the build");
const VARY: KeyKind = KeyKind::Several(
    "keys of the car, each with a list of values, of { value, price }, or with { from, to } and step or \
     count",
);

pub(super) const ROWS: &[KeyRow] = &[
    row("format", "version of the file format", KeyKind::Whole, "1").required(),
    row("build", "the build that the options start from", KeyKind::Text, "\"build.toml\"")
        .assumed("build.toml", "the build beside the sweep"),
    whole("worlds", "worlds that every option is judged in", 1.0, MOST_WORLDS, "2000")
        .assumed("2000", "enough for the digits that are printed"),
    whole("seed", "number that all draws hang on", 0.0, LARGEST_SEED, "1")
        .assumed("1", "the same every time"),
    row(
        "screening",
        "look at all options in a few worlds first, and only at the best in all",
        KeyKind::Flag,
        "true",
    )
    .assumed("true", "it saves most of the time and changes no verdict by more than its error"),
    row("cycles", "cycles that every option drives", CYCLES, "[\"wltc3b\", \"udds\"]").required(),
    row("days", "days that they are driven on", DAYS, "[\"mild\", \"winter\"]")
        .derived("every day of the build"),
    row("vary", "keys of the build with the values that each takes", VARY, "[vary]"),
    row("choose.*.name", "name of one of the things to choose from", KeyKind::Text, "\"narrow\"")
        .required(),
    number("choose.*.price", "what it costs", Ratio, from(-1e9, 1e9, ""), "420"),
    row(
        "choose.*.set",
        "keys of the build that it sets",
        KeyKind::Several("keys of the car, each with its value"),
        "{ tyres.size = \"145/80 R13 75T\" }",
    ),
    row(
        "choose.*.without",
        "keys and tables of the build that it goes without",
        KeyKind::Several("a list of keys and tables of the car"),
        "[\"put_in.vacuum_pump\"]",
    ),
    row("price.currency", "what all prices are in", KeyKind::Text, "\"EUR\""),
    number("price.each_module", "price of a battery module", Ratio, from(0.0, 1e9, ""), "310"),
];
