//! The van and the light car, wrong in their gearbox, motor and inverter.

use crate::bench::{Demo, check_messages, edit, set};

#[test]
fn gearboxes_that_are_wrong() {
    let gears = |to| edit("gears = [3.80, 2.10, 1.36, 0.93]", to);
    let gear = |to| edit("gear = \"best\"", to);
    check_messages(
        "gearboxes_that_are_wrong",
        Demo::Godwit,
        &[
            ("a gear that is not there", gear("gear = 7")),
            ("gear nought", gear("gear = 0")),
            ("a gear and a half", gear("gear = 2.5")),
            ("a gear in words", gear("gear = \"third\"")),
            ("a gear by a misspelt word", gear("gear = \"beste\"")),
            ("a gear over the command line", set("driveline.gearbox.gear", "7")),
            ("no gears", gears("gears = []")),
            ("no list of gears", gears("")),
            ("one gear outside a list", gears("gears = 3.80")),
            ("gears in words", gears("gears = [\"first\", \"second\"]")),
            ("gears with units", gears("gears = [\"3.80 rpm\"]")),
            ("gears from top to first", gears("gears = [0.93, 1.36, 2.10, 3.80]")),
            ("a gear of nothing", gears("gears = [3.80, 2.10, 0]")),
            ("a reverse gear", gears("gears = [3.80, 2.10, 1.36, -4.1]")),
            (
                "more gears than a lorry",
                gears("gears = [15, 13, 11, 9.5, 8, 7, 6, 5, 4, 3, 2.5, 2, 1.5, 1]"),
            ),
            (
                "a reduction beside the gearbox",
                edit("[driveline.axle]", "[driveline.reduction]\nratio = 1.5\n[driveline.axle]"),
            ),
            ("a ratio in place of gears", gears("ratio = 3.80")),
            ("a dwell without a unit", edit("dwell = \"4 s\"", "dwell = 4")),
            ("a dwell below zero", edit("dwell = \"4 s\"", "dwell = \"-4 s\"")),
            (
                "a shift that takes all day",
                edit("shift_time = \"1.2 s\"", "shift_time = \"1.2 h\""),
            ),
            ("a mass for a rating", edit("max_torque = \"105 lbf ft\"", "max_torque = \"105 lb\"")),
            (
                "a rating of nothing",
                edit("max_torque = \"105 lbf ft\"", "max_torque = \"0 lbf ft\""),
            ),
            ("teeth that nobody cuts", edit("kind = \"helical\"", "kind = \"square\"")),
            ("an efficiency in whole percent", edit("\"0.97 ± 0.01\"", "\"97 ± 1\"")),
            ("drag as a force", edit("\"0.4 lbf ft ± 40 %\"", "\"0.4 lbf ± 40 %\"")),
            ("a ratio to one", edit("ratio = 4.44", "ratio = \"4.44 to 1\"")),
            ("no axle ratio", edit("ratio = 4.44\n", "")),
            ("a third driven axle", edit("driven_axle = \"front\"", "driven_axle = \"both\"")),
        ],
    );
}

#[test]
fn motors_that_are_wrong() {
    let back_emf = |to| edit("back_emf = \"20 V at 1000 rpm\"", to);
    let best = |to| {
        edit(
            "{ best_efficiency = \"92 %\", at_speed = \"3200 rpm\", at_torque = \"55 lbf ft\" }",
            to,
        )
    };
    check_messages(
        "motors_that_are_wrong",
        Demo::Godwit,
        &[
            ("a motor of steam", edit("[motor]\n", "[motor]\nkind = \"steam\"\n")),
            (
                "an armature without brushes",
                edit("[motor]\n", "[motor]\narmature_resistance = \"14 mohm\"\n"),
            ),
            (
                "a voltage for a phase current",
                edit("phase_current = \"450 A\"", "phase_current = \"450 V\""),
            ),
            (
                "a phase current of nothing",
                edit("phase_current = \"450 A\"", "phase_current = \"0 A\""),
            ),
            (
                "the controller's phase current alone",
                edit(
                    "phase_current = \"450 A\"                   # during the test of the curve\n",
                    "",
                ),
            ),
            (
                "a controller ten times the test",
                edit("max_phase_current = \"420 A\"", "max_phase_current = \"4200 A\""),
            ),
            ("half a back-EMF", back_emf("back_emf = \"20 V\"")),
            ("a back-EMF at no unit", back_emf("back_emf = \"20 V at 1000\"")),
            ("a back-EMF in amperes", back_emf("back_emf = \"20 A at 1000 rpm\"")),
            ("a back-EMF at standstill", back_emf("back_emf = \"20 V at 0 rpm\"")),
            ("a back-EMF of nothing", back_emf("back_emf = \"0 V at 1000 rpm\"")),
            ("a back-EMF for each turn", back_emf("back_emf = \"0.02 V/rpm\"")),
            ("half a rating", edit("time = \"30 min\"\n", "")),
            ("a rating without a unit", edit("time = \"30 min\"", "time = 30")),
            ("a rating over the peak", edit("torque = \"78 lbf ft\"", "torque = \"300 lbf ft\"")),
            (
                "a rating that is held for ever anyway",
                edit("torque = \"78 lbf ft\"", "torque = \"40 lbf ft\""),
            ),
            ("a winding that melts", edit("\"311 °F\"", "\"1311 °F\"")),
            ("a winding that is cold", edit("\"311 °F\"", "\"104 °F\"")),
            (
                "a falling part that fell for nothing",
                edit("falling_part = \"voltage\"", "falling_part = \"current\""),
            ),
            ("faster than the curve", edit("max_speed = \"6000 rpm\"", "max_speed = \"7000 rpm\"")),
            (
                "a curve at no voltage",
                edit("curve_voltage = \"140 V\"                   # under load\n", ""),
            ),
            (
                "a peak that is over at once",
                edit("peak_seconds = \"90 s\"", "peak_seconds = \"0 s\""),
            ),
            (
                "a best efficiency of 92",
                best(
                    "{ best_efficiency = 92, at_speed = \"3200 rpm\", at_torque = \"55 lbf ft\" }",
                ),
            ),
            (
                "a best point without torque",
                best("{ best_efficiency = \"92 %\", at_speed = \"3200 rpm\" }"),
            ),
            ("a best point and a file", best("\"losses.csv\"")),
            ("losses of an unknown kind", best("{ friction = \"3 W\" }")),
            (
                "horsepower for a torque",
                best("{ best_efficiency = 0.92, at_speed = \"3200 rpm\", at_torque = \"34 hp\" }"),
            ),
            ("a battery current of a lighthouse", edit("\"275 A\"", "\"275 kA\"")),
            (
                "a window upside down",
                edit("from = \"110 V\", to = \"180 V\"", "from = \"180 V\", to = \"110 V\""),
            ),
        ],
    );
}

#[test]
fn brushed_motors_that_are_wrong() {
    check_messages(
        "brushed_motors_that_are_wrong",
        Demo::Wren,
        &[
            (
                "an armature of glass",
                edit("armature_resistance = \"14 mohm\"", "armature_resistance = \"14 Mohm\""),
            ),
            (
                "an armature that takes all the voltage",
                edit("armature_resistance = \"14 mohm\"", "armature_resistance = \"5 ohm\""),
            ),
            (
                "phases on a motor with brushes",
                edit("[inverter]", "phase_current = \"300 A\"\n[inverter]"),
            ),
            ("a share below zero", edit("share = 0\n", "share = -0.2\n")),
            ("lead by another name", edit("chemistry = \"lead\"", "chemistry = \"lead-acid\"")),
            (
                "lead at the voltage of lithium",
                edit(
                    "max_discharge =",
                    "cell_voltage = { from = \"3.0 V\", to = \"4.2 V\" }\nmax_discharge =",
                ),
            ),
            ("a block too many", edit("modules_in_series = 8", "modules_in_series = 9")),
            (
                "a rating over which nothing turns",
                edit("max_torque = \"85 N m\"", "max_torque = \"-85 N m\""),
            ),
        ],
    );
}
