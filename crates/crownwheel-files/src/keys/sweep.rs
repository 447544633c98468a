//! Keys of a sweep's own file.

use crownwheel::keys::unit::ONE;

use super::{KeyKind, KeyRow, key, number, row};

/// Most worlds of a sweep.
const MOST_WORLDS: f64 = 1e6;
/// Largest seed.
const LARGEST_SEED: f64 = 4_294_967_295.0;
const CYCLES: KeyKind = KeyKind::Several("a list of built-in cycles and names of cycle files");
const DAYS: KeyKind = KeyKind::Several("a list of days of the build");
const VARY: KeyKind = KeyKind::Several(
    "keys of the car, each with a list of values, of { value, price }, or with { \
     from, to } and step or count",
);

pub(super) const ROWS: &[KeyRow] = &[
    row(KeyKind::Whole, key("format", "version of the file format").like("1").required()),
    row(
        KeyKind::Text,
        key("build", "the build that the options start from")
            .like("\"build.toml\"")
            .assumed("build.toml", "the build beside the sweep"),
    ),
    row(
        KeyKind::Whole,
        key("worlds", "worlds that every option is judged in")
            .count(1.0, MOST_WORLDS)
            .like("2000")
            .assumed("2000", "enough for the digits that are printed"),
    ),
    row(
        KeyKind::Whole,
        key("seed", "number that all draws depend on")
            .count(0.0, LARGEST_SEED)
            .like("1")
            .assumed("1", "the same every time"),
    ),
    row(
        KeyKind::Flag,
        key("screening", "look at all options in a few worlds first, and only at the best in all")
            .like("true")
            .assumed(
                "true",
                "it saves most of the time and changes no verdict by more than its error",
            ),
    ),
    row(
        CYCLES,
        key("cycles", "cycles that every option drives").like("[\"wltc3b\", \"udds\"]").required(),
    ),
    row(
        DAYS,
        key("days", "days that they are driven on")
            .like("[\"mild\", \"winter\"]")
            .derived("every day of the build"),
    ),
    row(VARY, key("vary", "keys of the build with the values that each takes").like("[vary]")),
    row(
        KeyKind::Text,
        key("choose.*.name", "name of one of the things to choose from")
            .like("\"narrow\"")
            .required(),
    ),
    number(key("choose.*.price", "what it costs").from(-1e9, 1e9, ONE).like("420")),
    row(
        KeyKind::Several("keys of the car, each with its value"),
        key("choose.*.set", "keys of the build that it sets")
            .like("{ tyres.size = \"145/80 R13 75T\" }"),
    ),
    row(
        KeyKind::Several("a list of keys and tables of the car"),
        key("choose.*.without", "keys and tables of the build that it goes without")
            .like("[\"put_in.vacuum_pump\"]"),
    ),
    row(KeyKind::Text, key("price.currency", "what all prices are in").like("\"EUR\"")),
    number(key("price.each_module", "price of a battery module").from(0.0, 1e9, ONE).like("310")),
];
