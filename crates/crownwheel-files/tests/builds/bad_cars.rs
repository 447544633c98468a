//! The van and the light car, wrong in their weights, springs, tyres, road load and days.

use crate::bench::{Demo, check_messages, edit, set};

#[test]
fn weights_that_are_wrong() {
    check_messages(
        "weights_that_are_wrong",
        Demo::Godwit,
        &[
            (
                "a weighbridge ticket beside four scales",
                edit(
                    "[axle_lift]",
                    "[weighbridge]\nfront_axle = \"2034 lb\"\nrear_axle = \"1246 lb\"\n[axle_lift]",
                ),
            ),
            ("three scales", edit("front_right = \"1006 lb\"\n", "")),
            (
                "a height given and measured",
                edit("track_rear =", "centre_of_gravity_height = \"29 in\"\ntrack_rear ="),
            ),
            ("an axle that was not raised", edit("\"24 in\"", "\"0 in\"")),
            ("an axle raised higher than the van is long", edit("\"24 in\"", "\"110 in\"")),
            ("a side in place of an axle", edit("lower_axle = \"front\"", "lower_axle = \"left\"")),
            (
                "a lower axle that lost load",
                edit("raised_load = \"2176 lb ± 8 lb\"", "raised_load = \"1500 lb\""),
            ),
            (
                "a centre of gravity above the roof",
                edit("raised_load = \"2176 lb ± 8 lb\"", "raised_load = \"3200 lb\""),
            ),
            (
                "a level load of another car",
                edit("level_load = \"2034 lb\"", "level_load = \"3034 lb\""),
            ),
            ("no load with the axle raised", edit("raised_load = \"2176 lb ± 8 lb\"\n", "")),
            ("hubs in feet", edit("hub_radius = \"12.2 in\"", "hub_radius = \"12.2 ft\"")),
            ("a force for a spring rate", edit("\"160 lbf/in\"", "\"160 lbf\"")),
            ("a frequency for a spring rate", edit("\"160 lbf/in\"", "\"1.5 Hz\"")),
            ("springs in front only", edit("rear_wheel_rate = \"210 lbf/in\"\n", "")),
            ("springs as stiff as rock", edit("\"160 lbf/in\"", "\"160000 lbf/in\"")),
            ("an axle heavier than its load", edit("\"215 lb\"", "\"1300 lb\"")),
            ("power steering in words", edit("power_steering = true", "power_steering = \"yes\"")),
            ("power for the torque of the engine", edit("\"85 lbf ft\"", "\"85 hp\"")),
            ("a ratio with a colon", edit("first_gear = 3.80", "first_gear = \"3.80 : 1\"")),
            ("an engine without its first gear", edit("first_gear = 3.80\n", "")),
            ("stones", edit("mass = \"172 lb\"", "mass = \"12 st\"")),
            ("hundredweights", edit("gross = \"5950 lb\"", "gross = \"53 cwt\"")),
            (
                "a force for an axle load",
                edit("front_axle = \"3100 lb\"", "front_axle = \"3100 lbf\""),
            ),
            ("feet and inches", edit("wheelbase = \"98 in\"", "wheelbase = \"8 ft 2 in\"")),
            ("inches by their mark", edit("wheelbase = \"98 in\"", "wheelbase = '98\"'")),
            ("one track", edit("track_front = \"63.5 in\"\n", "")),
            (
                "a part beside the road",
                edit("right_of_centre = \"17 in\"", "right_of_centre = \"17 ft\""),
            ),
        ],
    );
}

#[test]
fn tickets_that_are_wrong() {
    check_messages(
        "tickets_that_are_wrong",
        Demo::Wren,
        &[
            ("one axle on the weighbridge", edit("rear_axle = \"272 kg ± 5 kg\"\n", "")),
            (
                "no scales at all",
                edit(
                    "[weighbridge]                             # one axle at a time, fluids in, \
                     nobody aboard: 508 kg\nfront_axle = \"236 kg ± 5 kg\"\n\
                     rear_axle = \"272 kg ± 5 kg\"\n",
                    "",
                ),
            ),
            ("a ticket below zero", edit("\"236 kg ± 5 kg\"", "\"-236 kg\"")),
            ("a ticket in tonnes", edit("\"236 kg ± 5 kg\"", "\"236 t\"")),
            ("more taken out than the car", edit("mass = \"118 kg\"", "mass = \"1180 kg\"")),
            (
                "a top speed without power",
                edit(
                    "from_top_speed = \"55 mph\", at_power = \"18 hp\"",
                    "from_top_speed = \"55 mph\"",
                ),
            ),
            ("power in the wrong place", edit("at_power = \"18 hp\"", "at_power = \"18 lbf ft\"")),
            (
                "a top speed for a drag area",
                edit("from_top_speed = \"55 mph\"", "from_top_speed = \"55 ft2\""),
            ),
            ("less power than the tyres take", edit("at_power = \"18 hp\"", "at_power = \"2 hp\"")),
            ("a lossless driveline and more", edit("driveline = 0.88", "driveline = 1.3")),
            (
                "an unknown way to a drag area",
                edit("from_top_speed = \"55 mph\"", "top_speed = \"55 mph\""),
            ),
            (
                "a drag area in two ways",
                edit(
                    "brake_drag =",
                    "drag_coefficient = 0.7\nfrontal_area = \"1.5 m2\"\nbrake_drag =",
                ),
            ),
            (
                "a yaw in degrees",
                edit("brake_drag =", "drag_rise_with_yaw = \"10 deg\"\nbrake_drag ="),
            ),
            (
                "drag that trebles with yaw",
                edit("brake_drag =", "drag_rise_with_yaw = 2\nbrake_drag ="),
            ),
            ("a drag of kilograms", edit("\"20 N ± 12 N\"", "\"20 kg ± 12 kg\"")),
        ],
    );
}

#[test]
fn road_loads_that_are_wrong() {
    check_messages(
        "road_loads_that_are_wrong",
        Demo::Godwit,
        &[
            (
                "no mass of the runs",
                edit(
                    "mass = \"3620 lb\"                          # with driver and instruments\n",
                    "",
                ),
            ),
            ("a force for a slope", edit("f1 = \"0.15 lbf/mph\"", "f1 = \"0.15 lbf\"")),
            ("a slope for a square", edit("\"0.042 lbf/mph2 ± 5 %\"", "\"0.042 lbf/mph\"")),
            ("a constant part below zero", edit("\"49 lbf ± 4 lbf\"", "\"-49 lbf\"")),
            ("pounds for a force", edit("\"49 lbf ± 4 lbf\"", "\"49 lb\"")),
            ("a band in another dimension", edit("\"49 lbf ± 4 lbf\"", "\"49 lbf ± 4 mph\"")),
            (
                "a percentage of degrees Fahrenheit",
                edit("temperature = \"68 °F\"", "temperature = \"68 °F ± 5 %\""),
            ),
            ("inches of mercury", edit("\"14.5 psi\"", "\"29.5 inHg\"")),
            ("a tyre's pressure", edit("\"14.5 psi\"", "\"32 psi\"")),
            ("a word that never turned", edit("[\"axle\", \"gearbox\"]", "[\"axle\", \"clutch\"]")),
            ("turning as a text", edit("[\"axle\", \"gearbox\"]", "\"axle and gearbox\"")),
            ("nothing about what turned", edit("turning = [\"axle\", \"gearbox\"]\n", "")),
            (
                "coefficients and a drag area",
                edit("power_steering =", "drag_area = \"16 ft2\"\npower_steering ="),
            ),
            (
                "coefficients and a brake drag",
                edit("power_steering =", "brake_drag = \"4 lbf\"\npower_steering ="),
            ),
            (
                "coefficients and rolling resistance",
                edit("[tyres]\n", "[tyres]\nrolling_resistance = 0.012\n"),
            ),
        ],
    );
}

#[test]
fn tyres_that_are_wrong() {
    let size = |to| edit("size = \"155/80 R13 79T\"", to);
    let rolling = |to| edit("rolling_resistance = \"0.0115 ± 0.0015\"", to);
    check_messages(
        "tyres_that_are_wrong",
        Demo::Dunlin,
        &[
            ("a rim of another age", size("size = \"165 R93\"")),
            ("figures the other way round", size("size = \"155/80 R31\"")),
            ("an aspect with its digits swapped", size("size = \"155/08 R13\"")),
            ("a digit too many", size("size = \"1555/80 R13\"")),
            ("an old mark with a rim in its width", size("size = \"13-5.60\"")),
            ("an old mark without its point", size("size = \"560-13\"")),
            ("an old mark with a comma", size("size = \"5,60-13\"")),
            ("an old mark that nobody made", size("size = \"15.60-13\"")),
            ("half a mark", size("size = \"155/80\"")),
            ("a load index of a lorry", size("size = \"155/80 R13 790T\"")),
            ("two speed symbols", size("size = \"155/80 R13 79TS\"")),
            ("a bare number", size("size = 155")),
            ("no mark", size("")),
            ("a class that is on no label", rolling("label_class = \"H\"")),
            ("a class in small letters", rolling("label_class = \"e\"")),
            (
                "a class of the old label on the new one",
                rolling("label_class = \"G\"\nlabel_rule = \"2021\""),
            ),
            ("a label of no year", rolling("label_class = \"E\"\nlabel_rule = \"1999\"")),
            (
                "a class and a coefficient",
                edit("rolling_resistance =", "label_class = \"E\"\nrolling_resistance ="),
            ),
            ("neither class nor coefficient", rolling("")),
            ("a coefficient of a sledge", rolling("rolling_resistance = 0.3")),
            ("a coefficient for a thousand", rolling("rolling_resistance = \"11.5 N/kN\"")),
            (
                "a speed law that nobody knows",
                edit("[tyres]\n", "[tyres]\nspeed_law = \"falling\"\n"),
            ),
            ("a road ten times the drum", edit("[tyres]\n", "[tyres]\ndrum_to_road = 10\n")),
            ("turns without a distance", edit("[tyres]\n", "[tyres]\nrolled = { turns = 5 }\n")),
            (
                "turns and the maker's figure",
                edit(
                    "[tyres]\n",
                    "[tyres]\nrevolutions_per_km = 568\nrolled = { turns = 5, distance = \"8.8 m\" }\n",
                ),
            ),
            ("turns for a yard", edit("[tyres]\n", "[tyres]\nrevolutions_per_yard = 0.52\n")),
            ("grip of glue", edit("dry = 0.8", "dry = 8")),
            ("a mass for an inertia", edit("\"0.62 kg m2\"", "\"12 kg\"")),
        ],
    );
}

#[test]
fn days_and_demands_that_are_wrong() {
    check_messages(
        "days_and_demands_that_are_wrong",
        Demo::Godwit,
        &[
            ("degrees without their ring", edit("\"59 °F\"", "\"59 F\"")),
            ("degrees without a scale", edit("\"59 °F\"", "\"59 °\"")),
            ("Celsius written as Fahrenheit", edit("\"23 °F\"", "\"-50 °F\"")),
            ("Fahrenheit written as Celsius", edit("\"86 °F\"", "\"86 °C\"")),
            ("a band in percent of degrees", edit("\"59 °F\"", "\"59 °F ± 10 %\"")),
            ("a range of mixed scales", edit("\"59 °F\"", "\"59 °F .. 10 °C\"")),
            ("wind without a direction", edit("\"11 mph all round\"", "\"11 mph\"")),
            ("wind in knots", edit("\"11 mph all round\"", "\"11 knots all round\"")),
            ("wind in words", edit("\"11 mph all round\"", "\"breezy\"")),
            ("wind below zero", edit("\"8 mph headwind\"", "\"-8 mph headwind\"")),
            ("wind at the ground", edit("wind_height = \"6 ft\"", "wind_height = \"0 ft\"")),
            ("mud", edit("road = \"rough\"", "road = \"muddy\"")),
            ("altitude without a unit", edit("altitude = \"850 ft\"", "altitude = 850")),
            ("more than all the humidity", edit("humidity = \"70 %\"", "humidity = \"170 %\"")),
            ("energy for a heater", edit("extra_load = \"2.2 kW\"", "extra_load = \"2.2 kWh\"")),
            (
                "a pack in an oven",
                edit("pack_temperature = \"36 °F\"", "pack_temperature = \"360 °F\""),
            ),
            ("a speed for a range", edit("at_least = \"100 mi\"", "at_least = \"100 mph\"")),
            ("surer than sure", edit("sure = 0.8", "sure = 1.5")),
            ("minutes with a unit", edit("minutes_at_least = 30", "minutes_at_least = \"30 min\"")),
            ("kilometres for a lorry driver", edit("speed = \"25 mph\"", "speed = \"25 kph\"")),
            ("a hill in degrees", edit("grade = \"12 %\"", "grade = \"12 °\"")),
            ("a hill without length", edit("length = \"0.9 mi\"\n", "")),
            ("a supply with a plus", edit("\"240 V x 16 A\"", "\"240 V + 16 A\"")),
            ("a supply of less than nothing", edit("\"240 V x 16 A\"", "\"-3 W\"")),
            ("a load on 24 V", edit("side = \"12 V\"", "side = \"24 V\"")),
            ("a day of another build", edit("day = \"mild\"", "day = \"spring\"")),
            ("no days for the demand", set("demand.market_round.range.day", "spring")),
        ],
    );
}
