//! A JSON Schema (draft 2020-12) of builds and sweeps, made from the key table: for editors that complete
//! and check TOML by one. What holds between keys, and whether a number lies within its limits, is said by
//! `check`.

use std::collections::BTreeMap;

use crownwheel::cycle::BUILTIN_NAMES;
use crownwheel_files::keys::{self, KeyKind, KeyRow, Need};
use crownwheel_files::sweep_file;
use crownwheel_files::units::{self, Dimension};
use serde_json::{Map, Value, json};

/// The dialect that the schema is written in.
const DIALECT: &str = "https://json-schema.org/draft/2020-12/schema";

/// A number as people write it.
const NUMBER: &str = r"[-+\u2212]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?";

/// A name of the writer's own.
const NAME: &str = r"^[\p{L}\p{N}_-]+$";

/// The schema of a build.
pub(super) fn of_build() -> Value {
    let mut tree = Tree::default();
    keys::all().for_each(|row| tree.insert(row.path, row));
    document("A build: one conversion of a car to electric drive", tree.table(&Place::Build))
}

/// The schema of a sweep.
pub(super) fn of_sweep() -> Value {
    let mut tree = Tree::default();
    let build = || keys::all();
    keys::of_sweep().for_each(|row| tree.insert(row.path, row));
    build()
        .filter(|row| row.path.starts_with("demand."))
        .for_each(|row| tree.insert(row.path, row));
    let mut table = tree.table(&Place::Sweep);
    let mut of_car = Tree::default();
    let is_of_car = |row: &&KeyRow| sweep_file::is_of_car(row.path);
    build().filter(is_of_car).for_each(|row| of_car.insert(row.path, row));
    table["properties"]["vary"] = of_car.table(&Place::Vary);
    table["properties"]["choose"] = choose(&of_car.table(&Place::Set));
    document("A sweep: options of a build, and what they must do", table)
}

fn document(title: &str, mut table: Value) -> Value {
    let mut schema = json!({ "$schema": DIALECT, "title": title });
    if let (Some(schema), Some(table)) = (schema.as_object_mut(), table.as_object_mut()) {
        schema.append(table);
    }
    schema
}

/// The things to choose from: a list for each name. `set` are keys of the car.
fn choose(set: &Value) -> Value {
    let row = |name: &str| keys::of_sweep().find(|row| row.path == format!("choose.*.{name}"));
    let words = |name: &str| row(name).map_or("", |row| row.title);
    let thing = json!({
        "type": "object",
        "properties": {
            "name": described(words("name"), json!({ "type": "string" })),
            "price": described(words("price"), json!({ "type": "number" })),
            "set": described(words("set"), set.clone()),
            "without": described(words("without"), json!({ "type": "array", "items": { "type": "string" } })),
        },
        "required": ["name"],
        "additionalProperties": false,
    });
    json!({
        "type": "object",
        "propertyNames": { "pattern": NAME },
        "additionalProperties": { "type": "array", "minItems": 1, "items": thing },
    })
}

fn described(words: &str, mut schema: Value) -> Value {
    schema["description"] = words.into();
    schema
}

/// Where a key stands.
enum Place {
    /// In a build: a value, or a value with where it is from.
    Build,
    /// In a sweep: a value.
    Sweep,
    /// Among what a choice sets: some values of a build.
    Set,
    /// In the table of what is varied: a list of values, or a range.
    Vary,
}

/// Keys by their names; a name may be a key and a table.
#[derive(Default)]
struct Tree {
    row: Option<&'static KeyRow>,
    below: BTreeMap<&'static str, Tree>,
}

impl Tree {
    fn insert(&mut self, path: &'static str, row: &'static KeyRow) {
        match path.split_once('.') {
            Some((first, rest)) => self.below.entry(first).or_default().insert(rest, row),
            None => self.below.entry(path).or_default().row = Some(row),
        }
    }

    fn table(&self, place: &Place) -> Value {
        let mut table = json!({ "type": "object" });
        let named = self.below.iter().filter(|(name, _)| **name != "*");
        let properties: Map<String, Value> =
            named.clone().map(|(name, tree)| ((*name).to_owned(), tree.schema(place))).collect();
        if !properties.is_empty() {
            table["properties"] = properties.into();
        }
        // Of what is varied nothing must be there; nor must a table that stands in place of a key.
        let must = |tree: &Tree| tree.row.is_some_and(|row| row.need == Need::Required);
        let required: Vec<&str> =
            named.filter(|(_, tree)| must(tree)).map(|(name, _)| *name).collect();
        if !required.is_empty() && !matches!(place, Place::Vary | Place::Set) {
            table["required"] = required.into();
        }
        match self.below.get("*") {
            Some(any) => {
                table["propertyNames"] = json!({ "pattern": NAME });
                table["additionalProperties"] = any.schema(place);
            }
            None => table["additionalProperties"] = false.into(),
        }
        table
    }

    /// A key, a table, or either.
    fn schema(&self, place: &Place) -> Value {
        let Some(row) = self.row else { return self.table(place) };
        let mut schema = match place {
            Place::Build | Place::Set => with_source(&value(row)),
            Place::Sweep => of_the_sweep(row),
            Place::Vary => varied(&value(row)),
        };
        if !self.below.is_empty() {
            schema = json!({ "anyOf": [schema, self.table(place)] });
        }
        annotate(&mut schema, row, place);
        schema
    }
}

/// What a person is told about a key while writing it.
fn annotate(schema: &mut Value, row: &KeyRow, place: &Place) {
    let mut words = format!("{}; allowed is {}", row.title, row.allowed());
    match row.need {
        Need::Assumed { text, source } => {
            words.push_str(&format!("; without it {text} ({source})"));
            if !matches!(place, Place::Vary) {
                schema["default"] = written(row.kind, text);
            }
        }
        Need::Derived { rule } => words.push_str(&format!("; without it {rule}")),
        _ => {}
    }
    schema["description"] = words.into();
    if !matches!(place, Place::Vary)
        && let Some(example) = example(row)
    {
        schema["examples"] = json!([example]);
    }
}

/// A default as it is in JSON.
fn written(kind: KeyKind, text: &str) -> Value {
    match kind {
        KeyKind::Flag => (text == "true").into(),
        KeyKind::Whole => text.parse::<u32>().map_or_else(|_| text.into(), Value::from),
        _ => text.into(),
    }
}

/// The example of a row as it is in JSON; of tables there is none.
fn example(row: &KeyRow) -> Option<Value> {
    // What TOML and JSON write alike: texts in quotes, numbers, flags, and lists of them.
    serde_json::from_str(row.example).ok()
}

/// A value, or a table of the value and where it is from.
fn with_source(value: &Value) -> Value {
    json!({ "anyOf": [value, {
        "type": "object",
        "properties": { "value": value, "from": { "type": "string" } },
        "required": ["value"],
        "additionalProperties": false,
    }] })
}

/// A key that only sweeps have; cycles and days are lists there.
fn of_the_sweep(row: &KeyRow) -> Value {
    match row.path {
        "cycles" | "days" => {
            json!({ "type": "array", "items": { "type": "string" }, "minItems": 1 })
        }
        _ => value(row),
    }
}

/// Values of a key: in a list, each perhaps with a price, or from one number to another.
fn varied(value: &Value) -> Value {
    let priced = json!({
        "type": "object",
        "properties": { "value": value, "price": { "type": "number" } },
        "required": ["value"],
        "additionalProperties": false,
    });
    let end = json!({ "type": ["number", "string"] });
    json!({ "anyOf": [
        { "type": "array", "minItems": 1, "items": { "anyOf": [value, priced] } },
        {
            "type": "object",
            "properties": { "from": end, "to": end, "step": end, "count": { "type": "integer" } },
            "required": ["from", "to"],
            "additionalProperties": false,
        },
    ] })
}

/// What may stand after a key.
fn value(row: &KeyRow) -> Value {
    match row.kind {
        KeyKind::Number(dimension) => number(row, dimension),
        KeyKind::Whole => whole(row),
        KeyKind::Flag => json!({ "type": "boolean" }),
        KeyKind::Choice(words) => json!({ "enum": words }),
        KeyKind::Words(words) => json!({ "type": "array", "items": { "enum": words } }),
        KeyKind::Cycle => json!({ "anyOf": [
            { "enum": BUILTIN_NAMES },
            { "type": "string", "pattern": r"[./\\]" },
        ] }),
        KeyKind::Gear => json!({ "anyOf": [
            { "type": "integer", "minimum": 1 },
            { "const": "best" },
        ] }),
        KeyKind::Ratios => json!({
            "type": "array",
            "minItems": 1,
            "maxItems": 12,
            "items": { "type": ["number", "string"] },
        }),
        KeyKind::Wind => json!({
            "type": "string",
            "pattern": r"^\s*([Cc]alm|.*([Aa]ll round|[Hh]eadwind|[Tt]ailwind))\s*$",
        }),
        KeyKind::PowerLimit => json!({ "type": "string", "pattern": r"\d.*(W|A|hp|PS)\s*$" }),
        KeyKind::VoltageAtSpeed => json!({ "type": "string", "pattern": r"\sat\s" }),
        KeyKind::ColdCapacity => json!({ "anyOf": [
            { "type": "string", "minLength": 1 },
            { "type": "array", "minItems": 1, "items": { "type": "object" } },
        ] }),
        _ => json!({ "type": "string", "minLength": 1 }),
    }
}

fn whole(row: &KeyRow) -> Value {
    let mut schema = json!({ "type": "integer" });
    if let Some(limits) = row.limits() {
        schema["minimum"] = limits.low.into();
        schema["maximum"] = limits.high.into();
    }
    schema
}

/// A text with a unit; a pure number may stand bare.
fn number(row: &KeyRow, dimension: Dimension) -> Value {
    let text = json!({ "type": "string", "pattern": pattern(dimension, row.takes_band()) });
    if dimension != Dimension::Ratio {
        return text;
    }
    let mut bare = json!({ "type": "number" });
    if let Some(limits) = row.limits().filter(|limits| limits.unit.name.is_empty()) {
        let low = if limits.above_low { "exclusiveMinimum" } else { "minimum" };
        bare[low] = limits.low.into();
        bare["maximum"] = limits.high.into();
    }
    json!({ "anyOf": [bare, text] })
}

/// `0.52 m`, and where it may be unsure `0.52 m ± 3 cm`, `0.52 ± 0.03 m`, `1.2 N m ± 40 %`, `2 .. 3 m`.
fn pattern(dimension: Dimension, unsure: bool) -> String {
    let own = units::all().filter(|unit| unit.dimension == dimension && !unit.name.is_empty());
    let names: Vec<String> = own.map(|unit| spelling(unit.name)).collect();
    let unit = format!("({})", names.join("|"));
    let may = if dimension == Dimension::Ratio { "?" } else { "" };
    let alone = format!(r"{NUMBER}\s*{unit}{may}");
    if !unsure {
        return format!(r"^\s*{alone}\s*$");
    }
    let half = r"\s*(±|\+/-|\+-)\s*";
    let to = r"\s*(\.\.|…)\s*";
    format!(
        r"^\s*({alone}({half}{NUMBER}\s*({unit}|%)?)?|{NUMBER}{half}{NUMBER}\s*{unit}|{NUMBER}\s*{unit}?{to}{NUMBER}\s*{unit}{may})\s*$"
    )
}

/// A unit in all its spellings: `N m`, `N·m`, `N-m`; `m2`, `m^2`, `m²`; `ohm`, `Ω`.
fn spelling(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars() {
        match c {
            ' ' => out.push_str(r"[\s·⋅*-]"),
            '2' => out.push_str(r"(\^?2|²)"),
            '3' => out.push_str(r"(\^?3|³)"),
            '^' => {}
            '/' => out.push_str(r"\s*/\s*"),
            '(' => out.push_str(r"\(\s*"),
            ')' => out.push_str(r"\s*\)"),
            c => out.push(c),
        }
    }
    out.replace("ohm", "(ohm|Ω|\u{2126})")
}
