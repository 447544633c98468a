//! `[vary]` that is wrong: keys, values, lists and ranges.

use crate::bench::Wrong::{Lines, Set};
use crate::bench::check_messages;

#[test]
fn varied_keys_that_are_wrong() {
    check_messages(
        "varied_keys_that_are_wrong",
        &[
            ("nothing but a number", Lines("vary = 3")),
            ("a misspelt key", Lines("[vary]\ndriveline.axle.ration = [3.89]")),
            ("a misspelt table", Lines("[vary]\ndriveline.axel.ratio = [3.89]")),
            ("a key like no other", Lines("[vary]\nzzzzzz = [1]")),
            ("a table as a whole", Lines("[vary]\ndriveline.axle = [3.89]")),
            ("one value outside a list", Lines("[vary]\ndriveline.axle.ratio = 3.89")),
            ("an empty list", Lines("[vary]\ndriveline.axle.ratio = []")),
            ("a value twice", Lines("[vary]\npack.modules_in_parallel = [1, 1.0]")),
            (
                "a value twice in other units",
                Lines("[vary]\npack.module_mass = [\"11.4 kg\", \"11400 g\"]"),
            ),
            ("a text for a number", Lines("[vary]\ndriveline.axle.ratio = [3.89, \"long\"]")),
            ("a missing unit", Lines("[vary]\npack.module_mass = [11.4, 12]")),
            ("a wrong unit", Lines("[vary]\npack.module_mass = [\"11.4 m\"]")),
            ("beyond what is allowed", Lines("[vary]\ndriveline.axle.ratio = [3.89, -4.22]")),
            ("a fraction of a module", Lines("[vary]\npack.modules_in_series = [8, 8.5]")),
            (
                "a band where none may be",
                Lines("[vary]\ninverter.voltage_window.to = [\"156 ± 3 V\"]"),
            ),
            (
                "a band that runs backwards",
                Lines("[vary]\ntyres.rolling_resistance = [\"0.012 .. 0.010\"]"),
            ),
            ("a list in a list", Lines("[vary]\ndriveline.axle.ratio = [[3.89], [4.22]]")),
            (
                "a word that is no choice",
                Lines("[vary]\ndriveline.axle.kind = [\"hypoid\", \"square\"]"),
            ),
            ("no tyre mark", Lines("[vary]\ntyres.size = [\"the old ones\"]")),
            (
                "a table that is not there",
                Lines("[vary]\nmotor.curve = [\"motor-curve.csv\", \"other-curve.csv\"]"),
            ),
            ("a day", Lines("[vary]\nday.winter.temperature = [\"-2 °C\", \"-8 °C\"]")),
            ("a demand", Lines("[vary]\ndemand.cruise.cruise.speed = [\"100 km/h\"]")),
            (
                "a key twice, quoted and dotted",
                Lines(
                    "[vary]\n\"tyres.wheel_inertia\" = [\"0.6 kg m2\"]\ntyres.wheel_inertia = [\"0.7 kg m2\"]",
                ),
            ),
            (
                "a key and the table that it is in",
                Lines(
                    "[vary]\nmotor.losses = [\"motor-losses.csv\"]\n\"motor.losses.copper\" = [\"0.1 W/(N m)^2\"]",
                ),
            ),
            ("a value without its number", Lines("[vary]\ndriveline.axle.ratio = [{ price = 3 }]")),
            (
                "a price that is no number",
                Lines("[vary]\ndriveline.axle.ratio = [{ value = 3.89, price = \"3 EUR\" }]"),
            ),
            (
                "a word too many beside a value",
                Lines("[vary]\ndriveline.axle.ratio = [{ value = 3.89, cost = 3 }]"),
            ),
            (
                "what cannot stand beside what the build says",
                Lines("[vary]\ncar.drag_area = [\"0.7 m2\", \"0.6 m2\"]"),
            ),
            (
                "a number that this car does not have",
                Lines("[vary]\nmotor.armature_resistance = [\"12 mohm\"]"),
            ),
            ("an override of a varied key", Set("driveline.axle.ratio", "4.0")),
            ("an override of the table of a varied key", Set("driveline.axle", "{ ratio = 4.0 }")),
            ("an override of the list", Set("vary.driveline.axle.ratio", "[3.70, \"x\"]")),
        ],
    );
}

#[test]
fn ranges_that_are_wrong() {
    let ratio = |range: &'static str| Lines(range);
    check_messages(
        "ranges_that_are_wrong",
        &[
            (
                "neither step nor count",
                ratio("[vary]\ndriveline.axle.ratio = { from = 3, to = 5 }"),
            ),
            (
                "step and count",
                ratio("[vary]\ndriveline.axle.ratio = { from = 3, to = 5, step = 1, count = 3 }"),
            ),
            ("no start", ratio("[vary]\ndriveline.axle.ratio = { to = 5, step = 1 }")),
            ("no end", ratio("[vary]\ndriveline.axle.ratio = { from = 3, step = 1 }")),
            ("backwards", ratio("[vary]\ndriveline.axle.ratio = { from = 5, to = 3, step = 1 }")),
            (
                "from nowhere to there",
                ratio("[vary]\ndriveline.axle.ratio = { from = 3, to = 3, count = 2 }"),
            ),
            (
                "a step that misses the end",
                ratio("[vary]\ndriveline.axle.ratio = { from = 3, to = 5, step = 0.3 }"),
            ),
            (
                "a step of nothing",
                ratio("[vary]\ndriveline.axle.ratio = { from = 3, to = 5, step = 0 }"),
            ),
            (
                "a step backwards",
                ratio("[vary]\ndriveline.axle.ratio = { from = 3, to = 5, step = -1 }"),
            ),
            ("one value", ratio("[vary]\ndriveline.axle.ratio = { from = 3, to = 5, count = 1 }")),
            (
                "a count and a half",
                ratio("[vary]\ndriveline.axle.ratio = { from = 3, to = 5, count = 2.5 }"),
            ),
            (
                "half modules",
                ratio("[vary]\npack.modules_in_series = { from = 7, to = 10, step = 0.5 }"),
            ),
            (
                "a count that makes half modules",
                ratio("[vary]\npack.modules_in_series = { from = 7, to = 10, count = 3 }"),
            ),
            (
                "a misspelt word",
                ratio("[vary]\ndriveline.axle.ratio = { from = 3, to = 5, steps = 1 }"),
            ),
            (
                "a range of texts",
                ratio("[vary]\ntyres.size = { from = \"145/80 R13\", to = \"155/80 R13\" }"),
            ),
            (
                "an unsure end",
                ratio(
                    "[vary]\ntyres.rolling_resistance = { from = \"0.010 ± 0.001\", to = 0.012, count = 3 }",
                ),
            ),
            (
                "an end without its unit",
                ratio("[vary]\npack.module_mass = { from = 10, to = \"12 kg\", count = 3 }"),
            ),
            (
                "a step without its unit",
                ratio("[vary]\npack.module_mass = { from = \"10 kg\", to = \"12 kg\", step = 1 }"),
            ),
            (
                "an end beyond what is allowed",
                ratio("[vary]\ndriveline.axle.ratio = { from = 3, to = 500, count = 3 }"),
            ),
            (
                "a million million values",
                ratio("[vary]\ndriveline.axle.ratio = { from = 1, to = 2, step = 1e-12 }"),
            ),
            (
                "a count that no memory holds",
                ratio("[vary]\ndriveline.axle.ratio = { from = 1, to = 2, count = 9999999999999 }"),
            ),
        ],
    );
}
