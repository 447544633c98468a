//! `check` as a person runs it: every assumed value is explained, and can be replaced.

use serde_json::Value;

use crate::bench::{demo, dunlin, good, json, path_text, text};

fn list<'v>(answer: &'v Value, field: &str) -> &'v [Value] {
    answer[field].as_array().unwrap()
}

fn words<'v>(value: &'v Value, field: &str) -> &'v str {
    value[field].as_str().unwrap_or_else(|| panic!("no {field}: {value}"))
}

#[test]
fn every_assumed_value_is_explained_on_the_screen_and_in_json() {
    for name in ["dunlin", "godwit", "wren"] {
        let build = demo(name);
        let answer = json(&["check", path_text(&build), "--worlds", "60"]);
        let done = good(&["check", path_text(&build), "--worlds", "60"]);
        // What is wrapped is put together again.
        let screen = text(&done.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
        for assumed in list(&answer, "assumed") {
            for field in ["key", "value", "source", "matters", "find_out"] {
                let said = words(assumed, field).split_whitespace().collect::<Vec<_>>().join(" ");
                assert!(screen.contains(&said), "{name}: {field} of {assumed}");
            }
            if let Some(line) = assumed["instead"].as_str() {
                let said = format!("then, in [{}]: {line}", words(assumed, "table"));
                assert!(screen.contains(&said), "{name}: {said}");
            }
        }
    }
}

/// What a line would narrow is computed in as many worlds as are asked for, and not at all in one.
#[test]
fn worlds_tell_what_a_line_narrows() {
    let narrows = |worlds: &str| {
        let answer = json(&["check", &dunlin(), "--worlds", worlds]);
        let lines = list(&answer, "lines_to_add");
        assert!(lines.len() > 5);
        let shrinks = lines.iter().filter_map(|line| line["band_shrinks_pct"].as_f64());
        (shrinks.collect::<Vec<f64>>(), answer["provenance"]["seed"].clone())
    };
    assert_eq!(narrows("1"), (Vec::new(), Value::Null));
    let (few, seed) = narrows("200");
    assert!(!few.is_empty() && few.windows(2).all(|pair| pair[0] >= pair[1]), "{few:?}");
    assert_eq!(seed, 1);
    // Twelve worlds tell nothing.
    assert_eq!(narrows("12").0, Vec::<f64>::new());
}
