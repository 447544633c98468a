//! Coast-down results put into the text of a build: it stays TOML, it holds them, and no line is lost.

#![no_main]

use crownwheel_files::Set;
use crownwheel_files::write_back::{RoadLoadText, with_road_load};
use libfuzzer_sys::fuzz_target;
use toml::Table;

fuzz_target!(|text: &str| {
    let road_load = RoadLoadText {
        f0: "118.2 ± 2.9 N".to_owned(),
        f1: "0 N/(m/s)".to_owned(),
        f2: "0.45 N/(m/s)^2".to_owned(),
        mass: "905 kg".to_owned(),
        temperature: "11 °C".to_owned(),
        pressure: "1013 hPa".to_owned(),
        turning: vec!["axle".to_owned()],
        from: text.chars().take(20).collect(),
    };
    for replace in [false, true] {
        match with_road_load(text, &road_load, replace) {
            Ok(written) => {
                let table: Table = written
                    .text
                    .parse()
                    .unwrap_or_else(|error| panic!("{error}\n{}", written.text));
                let coefficients = &table["car"]["road_load"];
                assert_eq!(coefficients["f0"]["value"].as_str(), Some("118.2 ± 2.9 N"));
                for line in text.lines() {
                    assert!(written.text.contains(line.trim()), "lost: {line}\n{}", written.text);
                }
            }
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
    if let Some(set) = Set::parse(text) {
        assert!(!set.key.is_empty());
    }
});
