//! Routes that are driven once, as a person asks for them.

use std::fs;

use serde_json::Value;
use tempfile::TempDir;

use crate::bench::{demo_log, dunlin, good, json, path_text, run, text};

fn left_pct(answer: &Value, at: usize) -> f64 {
    let route = &answer["routes"][at];
    assert_eq!(route["end"], "arrived", "{route}");
    route["charge_left_pct"]["nominal"].as_f64().unwrap()
}

#[test]
fn a_log_is_driven_once_as_the_cycle_that_was_made_of_it() {
    let (folder, dunlin, log) = (TempDir::new().unwrap(), dunlin(), demo_log("moor-round.gpx"));
    let driven = folder.path().join("driven.csv");
    good(&["trip", &log, "-o", path_text(&driven)]);
    let asked = ["range", &dunlin, "--day", "winter", "--worlds", "1", "--from", "90%"];
    let of_log = json(&[&asked[..], &["--cycle", &log]].concat());
    let of_cycle = json(&[&asked[..], &["--once", "--cycle", path_text(&driven)]].concat());
    // The cycle's file holds a millimetre a second; the log is driven from memory.
    let (log_pct, cycle_pct) = (left_pct(&of_log, 0), left_pct(&of_cycle, 0));
    assert!((log_pct - cycle_pct).abs() < 0.1, "{log_pct} {cycle_pct}");
    for answer in [&of_log, &of_cycle] {
        assert_eq!(answer["results"].as_array().unwrap().len(), 0);
        assert_eq!(answer["steady"].as_array().unwrap().len(), 0);
    }
    let said = of_log["plain"].as_str().unwrap();
    assert!(said.starts_with("With 90 % at the start ") && said.contains(" is left behind "));
    // Beside a cycle both are answered.
    let both = json(&[&asked[..], &["--cycle", &log, "--cycle", "udds"]].concat());
    assert_eq!(both["results"][0]["cycle"], "udds");
    assert_eq!(both["routes"], of_log["routes"]);
}

#[test]
fn what_is_left_stands_in_a_band_and_a_route_too_long_says_where_it_ends() {
    let dunlin = dunlin();
    let asked = ["range", &dunlin, "--once", "--cycle", "udds", "--day", "mild"];
    let answer = json(&[&asked[..], &["--worlds", "200", "--from", "60%"]].concat());
    let left = &answer["routes"][0]["charge_left_pct"];
    let [low, middle, high] = ["p10", "p50", "p90"].map(|part| left[part].as_f64().unwrap());
    assert!(low < middle && middle < high && high < 60.0, "{left}");
    let short = json(&[&asked[..], &["--worlds", "1", "--from", "12%"]].concat());
    let route = &short["routes"][0];
    assert_eq!(
        (&route["end"], &route["charge_left_pct"]["nominal"]),
        (&"empty".into(), &8.0.into())
    );
    let said = short["plain"].as_str().unwrap();
    assert!(said.contains("the pack is empty after ") && said.contains(" km of udds"), "{said}");
}

#[test]
fn what_is_no_route_is_refused_with_a_way_out() {
    let (folder, dunlin, log) = (TempDir::new().unwrap(), dunlin(), demo_log("moor-round.gpx"));
    let timeless = folder.path().join("plan.gpx");
    fs::write(
        &timeless,
        r#"<gpx><trk><trkseg><trkpt lat="50" lon="1"/><trkpt lat="50.1" lon="1"/></trkseg></trk></gpx>"#,
    )
    .unwrap();
    let short = folder.path().join("yard.csv");
    fs::write(&short, "time_s,speed_kmh\n0,0\n5,10\n10,0\n").unwrap();
    for (args, words) in [
        (vec!["range", &dunlin, "--from", "60%"], &["--from", "--once"][..]),
        (vec!["range", &dunlin, "--once", "--from", "60"], &["0% to 100%"]),
        (vec!["range", &dunlin, "--cycle", path_text(&timeless)], &["crownwheel trip", "--speed"]),
        (vec!["range", &dunlin, "--cycle", path_text(&short)], &["14 m long", "at least 100 m"]),
        (vec!["report", &dunlin, "--cycle", &log], &["log of a drive", "crownwheel trip"]),
    ] {
        let output = run(&args);
        let why = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{args:?}: {why}");
        for word in words {
            assert!(why.contains(word), "{word}: {why}");
        }
    }
}
