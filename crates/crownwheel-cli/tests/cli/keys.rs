//! The reference of keys for programs and editors: the demos are valid by the schema, and slips are not.

use std::fs;
use std::sync::LazyLock;

use boon::{Compiler, SchemaIndex, Schemas};
use serde_json::{Value, json};

use crate::bench::{demo, good, json as answer, run, text};

const DEMOS: [&str; 3] = ["dunlin", "godwit", "wren"];

/// A schema that is ready to check by.
struct Checker {
    schemas: Schemas,
    index: SchemaIndex,
}

impl Checker {
    fn new(args: &[&str]) -> Self {
        let schema: Value = serde_json::from_slice(&good(args).stdout).unwrap();
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        let (mut schemas, mut compiler) = (Schemas::new(), Compiler::new());
        compiler.add_resource("schema.json", schema).unwrap();
        let index = compiler.compile("schema.json", &mut schemas).unwrap();
        Self { schemas, index }
    }

    /// It takes seconds to make, so all tests share it.
    fn of_build() -> &'static Self {
        static OF_BUILD: LazyLock<Checker> = LazyLock::new(|| Checker::new(&["keys", "--schema"]));
        &OF_BUILD
    }

    fn of_sweep() -> &'static Self {
        static OF_SWEEP: LazyLock<Checker> =
            LazyLock::new(|| Checker::new(&["keys", "--schema", "--sweep"]));
        &OF_SWEEP
    }

    fn why_not(&self, document: &Value) -> Option<String> {
        self.schemas.validate(document, self.index).err().map(|error| format!("{error:#}"))
    }
}

fn toml_of(text: &str) -> Value {
    serde_json::to_value(toml::from_str::<toml::Table>(text).unwrap()).unwrap()
}

fn demo_text(name: &str, file: &str) -> String {
    fs::read_to_string(demo(name).join(file)).unwrap()
}

#[test]
fn the_demos_are_valid_by_the_schema() {
    let (build, sweep) = (Checker::of_build(), Checker::of_sweep());
    for name in DEMOS {
        let why = build.why_not(&toml_of(&demo_text(name, "build.toml")));
        assert_eq!(why, None, "{name}");
    }
    let metric = toml_of(&demo_text("godwit", "build-metric.toml"));
    assert_eq!(build.why_not(&metric), None);
    for name in ["dunlin", "godwit"] {
        let why = sweep.why_not(&toml_of(&demo_text(name, "sweep.toml")));
        assert_eq!(why, None, "{name}");
    }
}

/// What the program refuses at a glance, an editor marks, too.
#[test]
fn slips_are_not_valid() {
    let checker = Checker::of_build();
    let good = demo_text("dunlin", "build.toml");
    for (from, to) in [
        ("wheelbase = ", "wheelbse = "),
        ("[motor]", "[moter]"),
        ("mass = \"148 kg\"", "mas = \"148 kg\""),
        ("wheelbase = \"2.32 m\"", "wheelbase = 2.32"),
        ("wheelbase = \"2.32 m\"", "wheelbase = \"2.32\""),
        ("wheelbase = \"2.32 m\"", "wheelbase = \"2.32 kg\""),
        ("wheelbase = \"2.32 m\"", "wheelbase = \"2,32 m\""),
        ("driven_axle = \"rear\"", "driven_axle = \"back\""),
        ("live_axle = true", "live_axle = \"yes\""),
        ("modules_in_series = 9", "modules_in_series = 9.5"),
        ("modules_in_series = 9", "modules_in_series = \"nine\""),
        ("ratio = 4.22", "ratio = \"4.22 : 1\""),
        ("share = 0.6", "share = 1.6"),
        ("peak_seconds = \"60 s\"", "peak_seconds = \"60 kW\""),
        ("cycle = \"moor-round.csv\"", "cycle = \"moor-round\""),
        ("limit = \"7.4 kW\"", "limit = \"7.4\""),
        ("wind = \"5 m/s all round\"", "wind = \"5 m/s\""),
        ("plate]\ngross = \"1180 kg\"", "plate]\ngross = \"1180 kg ± 5 kg\""),
        ("format = 1\n", ""),
        ("name = \"Dunlin 1100 saloon, 1967\"\n", ""),
        ("[day.mild] ", "[day.\"a mild one\"] "),
    ] {
        assert!(good.contains(from), "{from}");
        let bad = toml_of(&good.replacen(from, to, 1));
        assert!(checker.why_not(&bad).is_some(), "{to}");
    }
}

#[test]
fn slips_in_a_sweep_are_not_valid() {
    let checker = Checker::of_sweep();
    let good = demo_text("dunlin", "sweep.toml");
    for (from, to) in [
        ("worlds = 2000", "worlds = 0"),
        ("worlds = 2000", "world = 2000"),
        ("cycles = [\"wltc3b\", \"udds\", \"moor-round.csv\"]", "cycles = \"udds\""),
        ("driveline.axle.ratio = ", "driveline.axle.ration = "),
        ("[\"360 A\", \"420 A\"]", "[\"360 kg\"]"),
        ("[\"360 A\", \"420 A\"]", "\"360 A\""),
        ("{ from = 8, to = 11 }", "{ from = 8 }"),
        ("name = \"as they are\"", "nam = \"as they are\""),
        ("set.tyres.size = \"145/80 R13 75T\"", "set.tyres.sise = \"145/80 R13 75T\""),
        ("[vary]\n", "[vary]\nday.mild.temperature = [\"1 °C\"]\n"),
        ("currency = \"EUR\"", "currency = 3"),
    ] {
        assert!(good.contains(from), "{from}");
        let bad = toml_of(&good.replacen(from, to, 1));
        assert!(checker.why_not(&bad).is_some(), "{to}");
    }
}

/// Numbers in every spelling that the reader takes are valid, and others are not.
#[test]
fn quantities_are_valid_in_every_spelling() {
    let checker = Checker::of_build();
    let with = |key: &str, value: &str| {
        let mut build = toml_of(&demo_text("dunlin", "build.toml"));
        let (table, name) = key.rsplit_once('.').unwrap();
        let pointer = format!("/{}", table.replace('.', "/"));
        build.pointer_mut(&pointer).unwrap()[name] = json!(value);
        checker.why_not(&build)
    };
    for (key, value) in [
        ("car.wheelbase", "2.30 ± 0.01 m"),
        ("car.wheelbase", "2.30 m ± 10 mm"),
        ("car.wheelbase", "2.30 m +/- 1 %"),
        ("car.wheelbase", "2.2 .. 2.4 m"),
        ("car.wheelbase", "90 in"),
        ("car.wheelbase", "  2.3m "),
        ("car.frontal_area", "1.66 m²"),
        ("car.frontal_area", "17.9 sq ft"),
        ("car.frontal_area", "1.66 m^2"),
        ("car.drag_coefficient", "0.38 .. 0.46"),
        ("car.drag_coefficient", "43 % ± 3 %"),
        ("driveline.axle.drag_torque", "1.2 N·m ± 40 %"),
        ("driveline.axle.drag_torque", "1.2 Nm"),
        ("day.winter.temperature", "-2 °C"),
        ("day.winter.temperature", "\u{2212}2 .. 5 °C"),
        ("day.winter.temperature", "28 °F"),
        ("pack.cell_resistance", "0.8 mΩ"),
        ("pack.max_discharge", "4 C"),
        ("tyres.wheel_inertia", "0.62 kg m²"),
    ] {
        // The program itself is the judge.
        let set = format!("{key}={value}");
        let done = run(&["weigh", &crate::bench::dunlin(), "--set", &set]);
        assert_eq!(done.status.code(), Some(0), "{set}: {}", text(&done.stderr));
        assert_eq!(with(key, value), None, "{set}");
    }
    for (key, value) in [
        ("car.wheelbase", "about 2 m"),
        ("car.wheelbase", "2.3 m and a bit"),
        ("car.wheelbase", "± 2 m"),
        ("car.wheelbase", "2.3 m ± 3 ± 4 m"),
        ("driveline.axle.drag_torque", "1.2 kN"),
        ("plate.gross", "1100 .. 1200 kg"),
    ] {
        let set = format!("{key}={value}");
        let done = run(&["weigh", &crate::bench::dunlin(), "--set", &set]);
        assert_eq!(done.status.code(), Some(2), "{set}");
        assert!(with(key, value).is_some(), "{set}");
    }
}

#[test]
fn every_key_is_listed_with_what_the_table_says() {
    let all = answer(&["keys"]);
    let all = all.as_array().unwrap();
    assert!(all.len() > 120);
    let find = |key: &str| all.iter().find(|row| row["key"] == key).unwrap();
    let drag = find("car.brake_drag");
    assert_eq!(drag["kind"], "number");
    assert_eq!(drag["default"], "15 N ± 10 N");
    assert_eq!(drag["default_source"], "engineering judgement");
    assert_eq!(drag["units"], json!(["N", "kN", "lbf"]));
    assert_eq!(
        drag["limits"],
        json!({ "low": 0.0, "low_itself": true, "high": 2000.0, "unit": "N" })
    );
    assert_eq!((&drag["takes_spread"], &drag["required"]), (&json!(true), &json!(false)));
    assert!(drag["find_out"].as_str().unwrap().contains("spring balance"));
    assert_eq!(find("car.driven_axle")["choices"], json!(["front", "rear"]));
    assert_eq!(find("car.wheelbase")["required"], true);
    let listed = text(&good(&["keys"]).stdout).lines().filter(|l| l.contains(" = ")).count();
    assert!(listed >= all.len(), "{listed}");
    assert_eq!(answer(&["keys", "grip"]).as_array().unwrap().len(), 3);
}

#[test]
fn the_keys_of_a_sweep_are_listed() {
    let said = text(&good(&["keys", "--sweep"]).stdout).to_owned();
    for key in ["worlds = 2000", "[vary]", "choose.*.price", "price.each_module", "screening"] {
        assert!(said.contains(key), "{key}: {said}");
    }
    let rows = answer(&["keys", "--sweep", "price"]);
    assert!(rows.as_array().unwrap().iter().any(|row| row["key"] == "price.currency"));
    let none = run(&["keys", "--sweep", "wheelbase"]);
    assert_eq!(none.status.code(), Some(2));
    assert!(text(&none.stderr).contains("crownwheel keys --sweep"));
}

/// What `new` writes begins with how to use the schema, and is valid by it.
#[test]
fn a_new_build_and_its_sweep_are_valid() {
    let folder = tempfile::TempDir::new().unwrap();
    let mine = folder.path().join("mine");
    good(&["new", mine.to_str().unwrap()]);
    let read = |name: &str| toml_of(&fs::read_to_string(mine.join(name)).unwrap());
    assert_eq!(Checker::of_build().why_not(&read("build.toml")), None);
    assert_eq!(Checker::of_sweep().why_not(&read("sweep.toml")), None);
}
