//! `compare` and `explain`, as a person runs them: their numbers are those of the other commands, and
//! the arithmetic that they show gives them.

use serde_json::Value;
use tempfile::TempDir;

use crate::bench::{demo, dunlin, json, run, run_with, text};

fn explain(answer: &str) -> Value {
    json(&["explain", answer, &dunlin()])
}

/// The same double: both were printed with every digit that it has.
fn same(explained: &Value, printed: &Value) -> bool {
    match (explained.as_f64(), printed.as_f64()) {
        (Some(a), Some(b)) => a.to_bits() == b.to_bits(),
        _ => false,
    }
}

/// The row of a list in which a field has a value.
fn row<'v>(list: &'v Value, field: &str, value: &Value) -> &'v Value {
    list.as_array().unwrap().iter().find(|row| row[field] == *value).unwrap()
}

fn assert_explains(pairs: &[(&str, &Value)]) {
    for (answer, printed) in pairs {
        let explained = explain(answer);
        assert!(same(&explained["result"]["value"], printed), "{answer}: {explained} {printed}");
    }
}

#[test]
fn what_is_explained_of_weights_and_facts_is_what_check_and_weigh_print() {
    let dunlin = dunlin();
    let check = json(&["check", &dunlin]);
    let weigh = json(&["weigh", &dunlin]);
    let laden = row(&weigh["cases"], "case", &"at_gross".into());
    assert_explains(&[
        ("mass", &check["mass_kg"]),
        ("mass_kg.at_gross", &laden["mass_kg"]),
        ("axle_load.front", &check["front_axle_kg"]),
        ("rear_axle_kg.at_gross", &laden["rear_axle_kg"]),
        ("rolling_radius", &check["rolling_radius_m"]),
        ("overall_ratio", &check["overall_ratio"]),
        ("drag_area", &check["drag_area_m2"]),
        ("rolling_resistance", &check["rolling_resistance"]),
        ("air_density", &check["air_density_kgpm3"]),
    ]);
}

#[test]
fn what_is_explained_of_driving_is_what_pull_and_range_print() {
    let dunlin = dunlin();
    let pull = json(&["pull", &dunlin, "--worlds", "1"]);
    let table = pull["table"].as_array().unwrap();
    let cycles = ["--cycle", "udds", "--day", "winter"];
    let range = json(&[&["range", dunlin.as_str(), "--worlds", "1"], &cycles[..]].concat());
    assert_explains(&[
        ("drag.0_kmh", &table[0]["road_load_n"]),
        ("range.udds.winter", &range["results"][0]["range_km"]["nominal"]),
    ]);
    // The table's speeds are whole km/h to the last digit but one.
    for (answer, field) in [("drag.80_kmh", "road_load_n"), ("motor_speed.80", "motor_speed_rpm")] {
        let explained = explain(answer)["result"]["value"].as_f64().unwrap();
        let printed = table[80][field].as_f64().unwrap();
        assert!((explained / printed - 1.0).abs() < 1e-12, "{answer}: {explained} {printed}");
    }
}

/// Terms and products of `792.0 - 218.0 kg` or `18.6 kWh / 202.6 Wh/km`, without brackets; words are
/// units.
fn computed(expression: &str) -> f64 {
    let (mut sum, mut product, mut operator) = (0.0, 0.0, "+");
    for word in expression.split_whitespace() {
        if let Ok(number) = word.parse::<f64>() {
            match operator {
                "x" => product *= number,
                "/" => product /= number,
                "-" => (sum, product) = (sum + product, -number),
                _ => (sum, product) = (sum + product, number),
            }
        } else if ["+", "-", "x", "/"].contains(&word) {
            operator = word;
        }
    }
    sum + product
}

/// The last step's numbers, put in, give what stands behind the `=`, and that is the result.
#[test]
fn the_last_step_gives_the_result() {
    assert!((computed("792.0 - 218.0 + 2 x 3 kg / 4") - 575.5).abs() < 1e-12);
    for (answer, tolerance) in [
        ("mass", 0.06),
        ("mass.every_seat", 0.06),
        ("axle_load.rear", 0.3),
        ("axle_load.front.at_gross", 0.3),
        ("overall_ratio", 0.0001),
        ("drag.112.winter", 0.3),
    ] {
        let explained = explain(answer);
        let last = explained["steps"].as_array().unwrap().last().unwrap();
        let (expression, shown) = last["numbers"].as_str().unwrap().rsplit_once(" = ").unwrap();
        let value = explained["result"]["value"].as_f64().unwrap();
        let shown: f64 = shown.split_whitespace().next().unwrap().parse().unwrap();
        assert!((computed(expression) - value).abs() <= tolerance, "{answer}: {last} {value}");
        assert!((shown - value).abs() <= tolerance, "{answer}: {last} {value}");
    }
}

/// Worked by hand from the numbers in the demo's build.
#[test]
fn steps_agree_with_a_pocket_calculator() {
    let value = |answer: &str| explain(answer)["result"]["value"].as_f64().unwrap();
    let parts_kg = 71.0 + 12.5 + 14.0 + 11.0 + 7.5 + 3.5 + 13.0 + 9.0 + 9.0 + 3.5;
    let gone_kg = 148.0 + 9.0 + 14.0 + 33.0 + 14.0;
    let mass_kg = 221.5 + 214.0 + 176.5 + 180.0 - gone_kg + parts_kg + 9.0 * 11.4 + 78.0;
    assert!((value("mass") - mass_kg).abs() < 1e-9);
    let radius_m = 3.05 * (13.0 * 0.0254 + 2.0 * 0.155 * 0.80) / std::f64::consts::TAU;
    assert!((value("rolling_radius") - radius_m).abs() < 1e-12);
    let turns_rpm = 60.0 * (112.0 / 3.6) * 1.50 * 4.22 / (std::f64::consts::TAU * radius_m);
    assert!((value("motor_speed.112_kmh") - turns_rpm).abs() < 1e-9);
    // Range: energy taken over energy for a kilometre, as shown.
    let range = explain("range.udds.winter");
    let last = range["steps"].as_array().unwrap().last().unwrap();
    let (expression, _) = last["numbers"].as_str().unwrap().rsplit_once(" = ").unwrap();
    let km = 1000.0 * computed(expression);
    assert!((km / range["result"]["value"].as_f64().unwrap() - 1.0).abs() < 1e-4, "{last}");
}

#[test]
fn inputs_say_whether_they_are_given_and_where_they_are_from() {
    let set = "tyres.rolling_resistance={ value = 0.0108, from = \"drum, May\" }";
    let answer = json(&["explain", "drag.80.winter", &dunlin(), "--set", set]);
    let inputs = &answer["inputs"];
    let rolling = row(inputs, "key", &"tyres.rolling_resistance".into());
    assert_eq!((&rolling["given"], &rolling["source"]), (&true.into(), &"drum, May".into()));
    let brake = row(inputs, "key", &"car.brake_drag".into());
    assert_eq!(brake["given"], false);
    assert!(!brake["source"].as_str().unwrap().is_empty());
    // Winter has a wind of its own, so none is assumed for it.
    let winds = |row: &&Value| row["key"].as_str().unwrap().ends_with(".wind");
    let winds: Vec<&Value> = inputs.as_array().unwrap().iter().filter(winds).collect();
    assert_eq!(winds.len(), 1, "{winds:?}");
    assert_eq!((&winds[0]["key"], &winds[0]["given"]), (&"day.winter.wind".into(), &true.into()));
}

#[test]
fn an_unknown_answer_is_refused_with_the_nearest_and_all_that_can_be_explained() {
    for (answer, said) in [
        ("rang.winter", ["did you mean `range`?", "axle_load.rear[.CASE]"]),
        ("range.wintr", ["did you mean `winter`?", "moor-round"]),
        ("axle_load", ["does not say which axle", "axle_load.rear"]),
        ("mass.80_kmh", ["says nothing here", "every_seat"]),
        ("rolling_radius.winter", ["`winter`", "leave it out"]),
        ("", ["cannot be explained", "mass[.CASE]"]),
    ] {
        let output = run(&["explain", answer, &dunlin()]);
        assert_eq!(output.status.code(), Some(2), "{answer}");
        assert!(output.stdout.is_empty(), "{answer}");
        for part in said {
            assert!(text(&output.stderr).contains(part), "{answer}: {}", text(&output.stderr));
        }
    }
}

const RATIO: &str = "driveline.axle.ratio=3.89";
const MODULES: &str = "pack.modules_in_series=8";

fn number(value: &Value) -> f64 {
    value["value"].as_f64().unwrap()
}

#[test]
fn both_sides_of_a_comparison_are_what_the_other_commands_print() {
    let dunlin = dunlin();
    let compared = json(&["compare", &dunlin, "--set", RATIO, "--set", MODULES]);
    let answer = |name: &str| row(&compared["answers"], "answer", &name.into()).clone();
    for (side, sets) in [("first", &[][..]), ("second", &["--set", RATIO, "--set", MODULES][..])] {
        let of = |args: &[&str]| json(&[args, &[dunlin.as_str()], sets].concat());
        let check = of(&["check"]);
        let pull = of(&["pull", "--worlds", "1"]);
        let range = of(&["range", "--cycle", "udds", "--day", "winter", "--worlds", "1"]);
        for (name, printed) in [
            ("mass_kg.driver_only", &check["mass_kg"]),
            ("front_axle_kg.driver_only", &check["front_axle_kg"]),
            ("effective_mass_kg", &check["effective_mass_kg"]),
            ("pack_energy_kwh", &check["pack_energy_kwh"]),
            ("top_speed_kmh", &pull["top_speed"]["kmh"]),
            ("times_s.kmh_0_100", &pull["times_s"]["kmh_0_100"]),
            ("start_grade_pct", &pull["start_grade_pct"]),
            ("range_km.udds.winter", &range["results"][0]["range_km"]["nominal"]),
        ] {
            assert!(same(&answer(name)[side]["value"], printed), "{side} {name}");
        }
    }
}

/// By hand: a module of 11.4 kg less, a ratio of 3.89 for 4.22, and both in the effective mass.
#[test]
fn the_parts_of_a_move_and_what_acts_together_are_the_whole_of_it() {
    let compared = json(&["compare", &dunlin(), "--set", RATIO, "--set", MODULES]);
    assert_eq!(compared["inputs"].as_array().unwrap().len(), 2);
    for answer in compared["answers"].as_array().unwrap() {
        let parts: f64 = answer["parts"].as_array().unwrap().iter().map(|p| number(&p["by"])).sum();
        let whole = number(&answer["by"]);
        let all = parts + number(&answer["together"]);
        assert!((all - whole).abs() < 1e-9 * whole.abs().max(1.0), "{answer}");
        assert!((number(&answer["second"]) - number(&answer["first"]) - whole).abs() < 1e-9);
    }
    let answer = |name: &str| row(&compared["answers"], "answer", &name.into()).clone();
    let mass = answer("mass_kg.driver_only");
    assert!((number(&mass["by"]) + 11.4).abs() < 1e-9, "{mass}");
    let share = |answer: &Value, input: &str| {
        row(&answer["parts"], "input", &input.into())["share_pct"].as_f64().unwrap()
    };
    assert!((share(&mass, "pack.modules_in_series") - 100.0).abs() < 1e-9);
    assert!(share(&mass, "driveline.axle.ratio").abs() < 1e-9);
    let effective = answer("effective_mass_kg");
    let radius_m = 3.05 * (13.0 * 0.0254 + 2.0 * 0.155 * 0.80) / std::f64::consts::TAU;
    let rotor_kg = 0.045 * 2.25 * (3.89 * 3.89 - 4.22 * 4.22) / (radius_m * radius_m);
    let wanted_pct = 100.0 * rotor_kg / (rotor_kg - 11.4);
    assert!((share(&effective, "driveline.axle.ratio") - wanted_pct).abs() < 1e-6);
}

#[test]
fn two_demos_are_compared_with_their_values_as_written() {
    let compared = json(&["compare", &dunlin(), demo("wren").to_str().unwrap()]);
    let inputs = compared["inputs"].as_array().unwrap();
    let keys = || inputs.iter().flat_map(|input| input["keys"].as_array().unwrap());
    let wheelbase = keys().find(|key| key["key"] == "car.wheelbase").unwrap();
    assert_eq!(wheelbase["first"], "2.32 m");
    assert!(wheelbase["second"].is_string(), "{wheelbase}");
    assert_ne!(wheelbase["second"], "2.32 m");
    // What does not stand alone is said, and nothing is put down to it.
    for input in inputs.iter().filter(|input| input["not_alone"].is_string()) {
        for answer in compared["answers"].as_array().unwrap() {
            let part = row(&answer["parts"], "input", &input["input"]);
            assert!(part["by"]["value"].is_null() && part["share_pct"].is_null(), "{part}");
        }
    }
    let same = json(&["compare", &dunlin(), &dunlin()]);
    assert_eq!(same["plain"], "The builds do not differ in any input.");
    assert!(same["answers"].as_array().unwrap().iter().all(|answer| answer["moved"] == false));
}

#[test]
fn comparisons_come_in_us_units_and_are_the_same_at_any_thread_count() {
    let dunlin = dunlin();
    let args = ["compare", dunlin.as_str(), "--set", MODULES, "--units", "us", "--json"];
    let [one, two] = ["1", "2"].map(|threads| run_with(&args, threads).stdout);
    assert_eq!(text(&one), text(&two));
    let compared: Value = serde_json::from_slice(&one).unwrap();
    let mass = row(&compared["answers"], "answer", &"mass_lb.driver_only".into());
    assert_eq!(mass["by"]["unit"], "lb");
    assert!((number(&mass["by"]) + 11.4 / 0.453_592_37).abs() < 1e-9, "{mass}");
}

#[test]
fn wrong_use_of_both_ends_with_2_and_results_go_into_a_folder() {
    let dunlin = dunlin();
    for (args, said) in [
        (vec!["compare", dunlin.as_str()], "name a second build"),
        (vec!["compare", dunlin.as_str(), "/no/such/build.toml"], "/no/such/build.toml"),
        (vec!["compare", dunlin.as_str(), "--set", "car.wheelbse=2 m"], "wheelbse"),
        (vec!["explain"], "ANSWER"),
        (vec!["explain", "mass", "/no/such/build.toml"], "/no/such/build.toml"),
    ] {
        let output = run(&args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(output.stdout.is_empty() && text(&output.stderr).contains(said), "{args:?}");
    }
    let folder = TempDir::new().unwrap();
    let out = folder.path().to_str().unwrap();
    let compare = run(&["compare", &dunlin, "--set", RATIO, "--out", out]);
    assert_eq!(compare.status.code(), Some(0), "{}", text(&compare.stderr));
    let explain = run(&["explain", "mass", &dunlin, "--out", &format!("{out}/why")]);
    assert_eq!(explain.status.code(), Some(0), "{}", text(&explain.stderr));
    for file in [
        "compare.json",
        "compare.txt",
        "compare.csv",
        "compare-parts.csv",
        "compare-inputs.csv",
        "why/explain.json",
        "why/explain-steps.csv",
        "why/explain-inputs.csv",
    ] {
        assert!(folder.path().join(file).is_file(), "{file}");
    }
}
