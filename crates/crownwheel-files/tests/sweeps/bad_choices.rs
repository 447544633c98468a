//! `[[choose.NAME]]` that is wrong.

use crate::bench::Wrong::Lines;
use crate::bench::check_messages;

#[test]
fn choices_that_are_wrong() {
    check_messages(
        "choices_that_are_wrong",
        &[
            ("no groups", Lines("choose = 3")),
            ("single square brackets", Lines("[choose.tyres]\nname = \"narrow\"")),
            ("a list of things without a group", Lines("[[choose]]\nname = \"narrow\"")),
            ("an empty list", Lines("choose.tyres = []")),
            ("things in quotes", Lines("choose.tyres = [\"narrow\", \"wide\"]")),
            ("a group with a dot in its name", Lines("[[choose.\"a.b\"]]\nname = \"x\"")),
            ("no name", Lines("[[choose.tyres]]\nprice = 3")),
            ("nothing at all", Lines("[[choose.tyres]]")),
            ("a name that is no text", Lines("[[choose.tyres]]\nname = 3")),
            ("an empty name", Lines("[[choose.tyres]]\nname = \" \"")),
            (
                "a name twice",
                Lines("[[choose.tyres]]\nname = \"a\"\n[[choose.tyres]]\nname = \"a\""),
            ),
            ("a price in words", Lines("[[choose.tyres]]\nname = \"a\"\nprice = \"free\"")),
            (
                "a price with its currency",
                Lines("[[choose.tyres]]\nname = \"a\"\nprice = \"420 EUR\""),
            ),
            ("a misspelt word", Lines("[[choose.tyres]]\nname = \"a\"\nprise = 3")),
            (
                "a key without set",
                Lines("[[choose.tyres]]\nname = \"a\"\ntyres.size = \"145/80 R13\""),
            ),
            ("set that is no table", Lines("[[choose.tyres]]\nname = \"a\"\nset = \"narrow\"")),
            (
                "a misspelt key",
                Lines("[[choose.tyres]]\nname = \"a\"\nset.tyres.sise = \"145/80 R13\""),
            ),
            (
                "a misspelt table",
                Lines("[[choose.tyres]]\nname = \"a\"\nset.tires.size = \"145/80 R13\""),
            ),
            (
                "a table as a value",
                Lines("[[choose.tyres]]\nname = \"a\"\nset.tyres = \"145/80 R13\""),
            ),
            (
                "a value that cannot be read",
                Lines("[[choose.tyres]]\nname = \"a\"\nset.tyres.size = \"thin\""),
            ),
            (
                "a list of values",
                Lines(
                    "[[choose.tyres]]\nname = \"a\"\nset.tyres.rolling_resistance = [0.01, 0.012]",
                ),
            ),
            (
                "beyond what is allowed",
                Lines("[[choose.tyres]]\nname = \"a\"\nset.tyres.rolling_resistance = \"1 ± 0.1\""),
            ),
            (
                "a missing unit",
                Lines(
                    "[[choose.axle]]\nname = \"a\"\nset.put_in.axle_swap = { mass = 4, behind_front_axle = \"2.3 m\" }",
                ),
            ),
            (
                "half a part",
                Lines("[[choose.axle]]\nname = \"a\"\nset.put_in.axle_swap = { mass = \"4 kg\" }"),
            ),
            (
                "a day",
                Lines("[[choose.weather]]\nname = \"a\"\nset.day.winter.temperature = \"-9 °C\""),
            ),
            (
                "a key twice in two groups",
                Lines(
                    "[[choose.tyres]]\nname = \"a\"\nset.tyres.size = \"145/80 R13\"\n[[choose.wheels]]\nname = \"b\"\nset.tyres.size = \"165/80 R13\"",
                ),
            ),
            (
                "a key varied and chosen",
                Lines(
                    "[vary]\ndriveline.axle.ratio = [3.89]\n[[choose.axle]]\nname = \"a\"\nset.driveline.axle.ratio = 4.22",
                ),
            ),
            (
                "a table and a key in it",
                Lines(
                    "[[choose.a]]\nname = \"a\"\nset.motor.losses = \"motor-losses.csv\"\n[[choose.b]]\nname = \"b\"\nset.motor.losses.copper = \"0.1 W/(N m)^2\"",
                ),
            ),
            (
                "without a key that nobody knows",
                Lines("[[choose.axle]]\nname = \"a\"\nwithout = [\"put_in.zzz.mas\"]"),
            ),
            (
                "without what the build does not have",
                Lines("[[choose.axle]]\nname = \"a\"\nwithout = [\"put_in.flywheel\"]"),
            ),
            (
                "without what must be there",
                Lines("[[choose.axle]]\nname = \"a\"\nwithout = [\"driveline.axle\"]"),
            ),
            (
                "without outside a list",
                Lines("[[choose.axle]]\nname = \"a\"\nwithout = \"put_in.vacuum_pump\""),
            ),
            ("without a day", Lines("[[choose.axle]]\nname = \"a\"\nwithout = [\"day.summer\"]")),
            (
                "a reduction beside a gearbox",
                Lines(
                    "[[choose.box]]\nname = \"a\"\nset.driveline.gearbox = { gears = [3.6, 2.1], gear = 2 }",
                ),
            ),
            (
                "losses half said",
                Lines(
                    "[[choose.motor]]\nname = \"a\"\nset.motor.losses = { best_efficiency = \"92 %\" }",
                ),
            ),
            (
                "a table that is not there",
                Lines("[[choose.motor]]\nname = \"a\"\nset.motor.curve = \"other.csv\""),
            ),
            (
                "more cars than can be put together",
                Lines(
                    "[vary]\npack.box.front.room_for = { from = 1, to = 1000 }\n\
                     pack.box.rear.room_for = { from = 1, to = 1000 }",
                ),
            ),
        ],
    );
}
