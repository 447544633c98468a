//! The van with a pack that is wrong.

use crate::bench::{Demo, check_messages, edit};

#[test]
fn packs_that_are_wrong() {
    let cold = |to| edit("cold_capacity = \"cell-cold.csv\"", to);
    check_messages(
        "packs_that_are_wrong",
        Demo::Godwit,
        &[
            ("a chemistry without a table", edit("chemistry = \"lfp\"", "chemistry = \"nca\"")),
            (
                "a chemistry and its own table",
                edit("chemistry = \"lfp\"", "chemistry = \"lfp\"\nopen_circuit = \"cell-ocv.csv\""),
            ),
            (
                "cold by resistance and by a sheet",
                edit("cold_capacity =", "resistance_b = \"2000 K\"\ncold_capacity ="),
            ),
            ("a cold sheet that is not there", cold("cold_capacity = \"cell-warm.csv\"")),
            ("a cold capacity for every cold", cold("cold_capacity = \"70 %\"")),
            ("a cold capacity as a number", cold("cold_capacity = 0.7")),
            (
                "a cold list with half a row",
                cold(
                    "cold_capacity = [{ temperature = \"32 °F\" }, { temperature = \"77 °F\", capacity = \"100 %\" }]",
                ),
            ),
            (
                "a cold list of one row",
                cold("cold_capacity = [{ temperature = \"32 °F\", capacity = \"80 %\" }]"),
            ),
            (
                "a cold list that goes back",
                cold(
                    "cold_capacity = [{ temperature = \"77 °F\", capacity = \"100 %\" }, \
                     { temperature = \"32 °F\", capacity = \"80 %\" }]",
                ),
            ),
            (
                "more than all the capacity",
                cold(
                    "cold_capacity = [{ temperature = \"32 °F\", capacity = \"80 %\" }, \
                     { temperature = \"77 °F\", capacity = \"180 %\" }]",
                ),
            ),
            (
                "a cold list without its rings",
                cold(
                    "cold_capacity = [{ temperature = \"32 F\", capacity = \"80 %\" }, \
                     { temperature = \"77 F\", capacity = \"100 %\" }]",
                ),
            ),
            ("a cold list of words", cold("cold_capacity = [\"frost\", \"thaw\"]")),
            (
                "a resistance of an unknown kind",
                edit("resistance_kind = \"1 kHz\"", "resistance_kind = \"ac\""),
            ),
            (
                "modules like chalk and cheese",
                edit("module_spread = \"2 %\"", "module_spread = \"50 %\""),
            ),
            ("a spread below zero", edit("module_spread = \"2 %\"", "module_spread = \"-2 %\"")),
            ("more strings than room", edit("modules_in_parallel = 2", "modules_in_parallel = 3")),
            ("no strings", edit("modules_in_parallel = 2", "modules_in_parallel = 0")),
            ("half a module", edit("modules_in_series = 12", "modules_in_series = \"12 1/2\"")),
            ("a box of less than nothing", edit("room_for = 8", "room_for = -8")),
            ("a current for a rate", edit("max_charge = \"0.5 C\"", "max_charge = \"70 A\"")),
            (
                "energy for a capacity",
                edit("cell_capacity = \"140 Ah\"", "cell_capacity = \"0.45 kWh\""),
            ),
            (
                "resistance in whole ohms",
                edit("harness_resistance = \"3 mohm\"", "harness_resistance = \"3 ohm\""),
            ),
            ("younger than new", edit("state_of_health = 1.0", "state_of_health = 1.2")),
            ("nothing but reserve", edit("reserve = \"15 %\"", "reserve = \"100 %\"")),
            (
                "a usable part from full to empty",
                edit(
                    "usable = { from = \"5 %\", to = \"97 %\" }",
                    "usable = { from = \"97 %\", to = \"5 %\" }",
                ),
            ),
            (
                "a usable part without an end",
                edit(
                    "usable = { from = \"5 %\", to = \"97 %\" }",
                    "usable = { from = \"5 %\" , too = \"97 %\" }",
                ),
            ),
            ("more volts than the controller takes", edit("to = \"180 V\"", "to = \"150 V\"")),
            (
                "a module with the mass of a coin",
                edit("module_mass = \"31 lb\"", "module_mass = \"31 oz\""),
            ),
        ],
    );
}
