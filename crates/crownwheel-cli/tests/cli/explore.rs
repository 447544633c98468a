//! `explore` as a browser meets it: over a socket of this machine.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::Command;
use std::thread::sleep;
use std::time::Duration;

use serde_json::Value;

use crate::bench::{copy_of, dunlin, json, path_text, run, text};
use crate::page::{Page, status};

/// The results of a range, without the worst rolling values, which the page does not compute.
fn results(range: &Value) -> Vec<Value> {
    let mut results = range["results"].as_array().unwrap().clone();
    for result in &mut results {
        result.as_object_mut().unwrap().remove("windows").unwrap();
    }
    results
}

const MOVES: [(&str, &str); 4] = [
    ("driveline.axle.ratio", "3.89"),
    ("day.winter.temperature", "\u{2212}10 °C"),
    ("pack.modules_in_series", "8"),
    ("car.drag_coefficient", "0.40 ± 0.03"),
];

#[test]
fn the_answers_are_those_of_the_command_line() {
    let dunlin = dunlin();
    let page = Page::of(&[&dunlin]);
    let answer = page.answer(&MOVES);
    let sets: Vec<String> =
        MOVES.iter().map(|(key, value)| format!("--set={key}={value}")).collect();
    let of = |command: &str| {
        let mut args = vec![command, &dunlin];
        args.extend(sets.iter().map(String::as_str));
        if command != "weigh" {
            args.extend(["--worlds", "1"]);
        }
        json(&args)
    };
    let (range, weigh, pull) = (of("range"), of("weigh"), of("pull"));
    assert!(results(&answer["range"]) == results(&range), "{} {}", answer["range"], range);
    for key in ["plain", "car", "warnings", "cautions", "reserve_pct"] {
        assert_eq!(answer["range"][key], range[key], "{key}");
    }
    assert_eq!(range["results"].as_array().unwrap().len(), 12);
    for key in ["cases", "plain", "limits", "warnings"] {
        assert_eq!(answer["weigh"][key], weigh[key], "{key}");
    }
    for key in ["top_speed", "times_s", "hold", "hills", "cruise", "plain"] {
        assert_eq!(answer["pull"][key], pull[key], "{key}");
    }
    // Without a speed of its own the page asks at the speed of the demand; it has a line in every table.
    let (line, steady) = (&answer["pull"]["table"][0], &answer["range"]["steady"]);
    assert_eq!(line["limit"], pull["table"][112]["limit"]);
    let off = line["pull_n"].as_f64().unwrap() / pull["table"][112]["pull_n"].as_f64().unwrap();
    assert!((off - 1.0).abs() < 1e-9, "{off}");
    let at_112 = |it: &&Value| it["speed_kmh"] == 112.0;
    let all = range["steady"].as_array().unwrap().iter().filter(at_112);
    assert_eq!(*steady.as_array().unwrap(), all.cloned().collect::<Vec<_>>());
}

#[test]
fn a_steady_speed_and_a_day_are_questions() {
    let page = Page::of(&[&dunlin(), "--units", "us"]);
    let answer = page.answer(&[("speed", "70 mph"), ("day", "winter")]);
    let range = json(&["range", &dunlin(), "--units", "us", "--worlds", "1"]);
    let pull = json(&["pull", &dunlin(), "--units", "us", "--worlds", "1", "--day", "winter"]);
    assert_eq!(answer["pull"]["day"], "winter");
    assert_eq!(answer["pull"]["top_speed"], pull["top_speed"]);
    let at_70 = |it: &&Value| it["speed_mph"].as_f64().is_some_and(|mph| (mph - 70.0).abs() < 1e-9);
    let right: Vec<&Value> = range["steady"].as_array().unwrap().iter().filter(at_70).collect();
    let shown = answer["range"]["steady"].as_array().unwrap();
    assert_eq!((right.len(), shown.len()), (3, 3));
    for (right, shown) in right.iter().zip(shown) {
        let [right, shown] =
            [right, shown].map(|it| it["range_miles"]["nominal"].as_f64().unwrap());
        assert!((right / shown - 1.0).abs() < 1e-9, "{right} {shown}");
    }
    for (key, wrong) in [("speed", "70"), ("speed", "0 mph"), ("speed", "fast"), ("day", "autumn")]
    {
        let refused = page.answer(&[(key, wrong)]);
        assert_eq!(refused["refused"][0]["key"], key, "{wrong}: {refused}");
        assert!(refused["refused"][0]["text"].as_str().unwrap().contains(wrong), "{refused}");
    }
}

#[test]
fn a_bad_value_is_told_as_on_the_command_line() {
    let dunlin = dunlin();
    let page = Page::of(&[&dunlin]);
    for (key, wrong) in [
        ("driveline.axle.ratio", "0"),
        ("pack.modules_in_series", "12"),
        ("tyres.size", "155/80 Q13"),
        ("day.winter.temperature", "\"open"),
        ("car.drag_coefficient", "<b>"),
    ] {
        let refused = page.answer(&[(key, wrong)]);
        let output = run(&["range", &dunlin, &format!("--set={key}={wrong}")]);
        assert_eq!(output.status.code(), Some(2));
        let said = text(&output.stderr);
        let messages = refused["refused"].as_array().unwrap();
        assert!(!messages.is_empty());
        for message in messages {
            assert_eq!(message["key"], key, "{message}");
            assert!(said.contains(message["text"].as_str().unwrap()), "{message}\n{said}");
        }
        assert!(refused["parts"].is_null() && refused["range"].is_null(), "{refused}");
    }
    // The page moves what it shows, and names no other file.
    let refused = page.answer(&[("motor.curve", "/dev/zero")]);
    assert!(refused["refused"][0]["text"].as_str().unwrap().contains("is not moved on this page"));
}

#[test]
fn bands_follow_and_a_later_move_takes_over() {
    let dunlin = dunlin();
    let page = Page::of(&[&dunlin, "--worlds", "200"]);
    let (head, body) = page.asked("bands", 5, &[("driveline.axle.ratio", "3.89")]);
    assert_eq!(status(&head), "200");
    let answer: Value = serde_json::from_str(&body).unwrap();
    let right = json(&["range", &dunlin, "--set=driveline.axle.ratio=3.89", "--worlds", "200"]);
    for (ours, right) in results(&answer["range"]).iter().zip(results(&right)) {
        for (key, value) in right.as_object().unwrap() {
            assert_eq!(ours[key], *value, "{key} of {}", right["cycle"]);
        }
    }
    assert_eq!(answer["range"]["drawn"], right["drawn"]);
    let demands = answer["demands"].as_array().unwrap();
    assert_eq!(demands.len(), 2);
    for demand in demands {
        let share = demand["probability"].as_f64().unwrap();
        assert!((0.5..=1.0).contains(&share) && demand["met"] == true, "{demand}");
    }
    assert!(answer["parts"]["range"].as_str().unwrap().contains("Bands are from 200 worlds"));
    // The fourth move comes after the fifth: nobody waits for it.
    let (head, body) = page.asked("bands", 4, &[]);
    assert_eq!((status(&head), body.as_str()), ("204", ""));
    let (head, _) = page.asked("answer", 4, &[]);
    assert_eq!(status(&head), "204");
}

#[test]
fn requests_from_elsewhere_get_nothing() {
    let page = Page::of(&[&dunlin()]);
    let (host, token) = (page.host(), page.token.clone());
    let request = |method: &str, address: &str, headers: &str| {
        page.said(&format!("{method} {address} HTTP/1.1\r\n{headers}Connection: close\r\n\r\n"))
    };
    let (own, wrong) = (format!("Host: {host}\r\n"), "0".repeat(32));
    let good = format!("/{token}/");
    for (method, address, headers, code) in [
        ("GET", good.clone(), own.clone(), "200"),
        ("GET", format!("/{wrong}/"), own.clone(), "403"),
        ("GET", format!("/{wrong}/answer/1/1"), own.clone(), "403"),
        ("GET", "/".to_owned(), own.clone(), "403"),
        ("GET", good.clone(), String::new(), "403"),
        ("GET", good.clone(), "Host: example.org\r\n".to_owned(), "403"),
        ("GET", good.clone(), format!("{own}Origin: http://example.org\r\n"), "403"),
        ("GET", good.clone(), format!("{own}Sec-Fetch-Site: cross-site\r\n"), "403"),
        ("POST", good.clone(), own.clone(), "405"),
        ("OPTIONS", good.clone(), own.clone(), "405"),
        ("GET", format!("{good}build.toml"), own.clone(), "404"),
        ("GET", format!("{good}answer/1/1?a={}", "x".repeat(9000)), own.clone(), "414"),
    ] {
        let (head, body) = request(method, &address, &headers);
        assert_eq!(status(&head), code, "{method} {headers}");
        let low = head.to_ascii_lowercase();
        assert!(!low.contains("access-control"), "{head}");
        assert!(low.contains("content-security-policy: default-src 'none'"), "{head}");
        if code != "200" {
            assert_eq!(body, "", "{code}");
        }
    }
    let (head, body) = page.get("");
    for header in [
        "X-Content-Type-Options: nosniff",
        "X-Frame-Options: DENY",
        "Referrer-Policy: no-referrer",
        "Cache-Control: no-store",
    ] {
        assert!(head.contains(header), "{head}");
    }
    assert!(body.contains("Dunlin 1100") && !body.contains("<style") && !body.contains(" style="));
    for (file, kind) in [("page.css", "text/css"), ("page.js", "text/javascript")] {
        let (head, body) = page.get(file);
        assert!(head.contains(kind) && body.len() > 1000, "{head}");
    }
}

#[test]
fn a_build_that_changes_is_read_anew_and_a_broken_one_is_told() {
    let folder = copy_of("dunlin");
    let file = folder.path().join("build.toml");
    let page = Page::of(&[path_text(folder.path())]);
    let ranges = |answer: &Value| results(&answer["range"]);
    let first = page.answer(&[]);
    let whole = fs::read_to_string(&file).unwrap();
    let change = |from: &str, to: &str| {
        let text = whole.replacen(from, to, 1);
        assert_ne!(text, whole);
        fs::write(&file, text).unwrap();
    };
    change("ratio = 4.22", "ratio = 3.70");
    let second = page.answer(&[]);
    assert_ne!(first["build"], second["build"]);
    assert_eq!(second["own"]["driveline.axle.ratio"], "3.70");
    assert_ne!(ranges(&first), ranges(&second));
    assert_eq!(ranges(&page.answer(&[("driveline.axle.ratio", "4.22")])), ranges(&first));
    change("ratio = 4.22", "ratio = 4,22");
    let broken = page.answer(&[]);
    let said = broken["refused"][0]["text"].as_str().unwrap();
    assert!(said.contains("build.toml:") && broken["parts"].is_null(), "{said}");
    let (head, body) = page.get("");
    assert_eq!(status(&head), "200");
    assert!(body.contains("Final drive ratio"));
    fs::write(&file, &whole).unwrap();
    assert_eq!(ranges(&page.answer(&[])), ranges(&first));
}

/// Half of a build is a build too, if it is cut at the end of a table: who writes it needs a moment.
#[test]
fn a_build_is_not_read_while_it_is_written() {
    let folder = copy_of("dunlin");
    let file = folder.path().join("build.toml");
    let page = Page::of(&[path_text(folder.path())]);
    let whole = fs::read_to_string(&file).unwrap();
    let (before, after) = whole.split_at(whole.find("[measured.moor_in_may]").unwrap());
    fs::write(&file, before).unwrap();
    let ends = std::thread::scope(|scope| {
        let asked = scope.spawn(|| page.answer(&[]));
        sleep(Duration::from_millis(40));
        let mut open = fs::OpenOptions::new().append(true).open(&file).unwrap();
        open.write_all(after.as_bytes()).unwrap();
        drop(open);
        asked.join().unwrap()
    });
    assert_eq!(ends["build"], page.answer(&[])["build"]);
}

#[cfg(unix)]
#[test]
fn a_signal_closes_it_with_a_word() {
    for signal in ["-INT", "-TERM"] {
        let page = Page::of(&[&dunlin()]);
        page.answer(&[]);
        let (code, said) = page.ended(signal);
        assert_eq!((code, said.as_str()), (Some(0), "closed.\n"), "{signal}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn it_listens_to_this_machine_alone() {
    let page = Page::of(&[&dunlin()]);
    let port = format!(":{:04X}", page.port);
    // Second column: own address and port in hexadecimal, least byte first; fourth: 0A is listening.
    let listening = |table: &str| -> Vec<String> {
        let table = fs::read_to_string(table).unwrap_or_default();
        let fields = |line: &str| line.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        let rows = table.lines().skip(1).map(fields);
        rows.filter(|it| it[1].ends_with(&port) && it[3] == "0A").map(|it| it[1].clone()).collect()
    };
    assert_eq!(listening("/proc/net/tcp"), [format!("0100007F{port}")]);
    assert_eq!(listening("/proc/net/tcp6"), Vec::<String>::new());
}

#[test]
fn what_cannot_be_served_is_said_at_once() {
    let page = Page::of(&[&dunlin()]);
    let taken = run(&["explore", &dunlin(), "--port", &page.port.to_string()]);
    assert_eq!(taken.status.code(), Some(1));
    assert!(text(&taken.stderr).contains("leave --port out"), "{}", text(&taken.stderr));
    for wrong in [
        &["explore", "no-such-build"][..],
        &["explore", &dunlin(), "--set", "driveline.axle.ratio=0"],
        &["explore", &dunlin(), "--port", "70000"],
        &["explore", &dunlin(), "--worlds", "0"],
    ] {
        let output = run(wrong);
        assert_eq!(output.status.code(), Some(2), "{wrong:?}");
        assert!(output.stdout.is_empty() && !output.stderr.is_empty(), "{wrong:?}");
    }
}

/// The line to copy is typed into a shell.
#[cfg(unix)]
#[test]
fn the_command_to_copy_gives_the_same() {
    let folder = copy_of("dunlin");
    let odd = folder.path().join("it's a car");
    fs::create_dir(&odd).unwrap();
    for entry in fs::read_dir(folder.path()).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            fs::copy(&path, odd.join(path.file_name().unwrap())).unwrap();
        }
    }
    let page = Page::of(&[path_text(&odd), "--set", "luggage.mass=40 kg"]);
    let answer = page.answer(&MOVES);
    let program = Path::new(env!("CARGO_BIN_EXE_crownwheel"));
    let command = answer["command"].as_str().unwrap();
    assert!(command.contains("--set driveline.axle.ratio=3.89 "), "{command}");
    let line = command.replacen("crownwheel", path_text(program), 1) + " --json --worlds 1";
    let output = Command::new("sh").args(["-c", &line]).output().unwrap();
    assert!(output.status.success(), "{line}: {}", text(&output.stderr));
    let right: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(results(&answer["range"]) == results(&right), "{} {right}", answer["range"]);
}

#[test]
fn a_build_without_a_key_says_why() {
    let godwit = path_text(&crate::bench::demo("godwit")).to_owned();
    let page = Page::of(&[&godwit, "--set", "driveline.axle.ratio=4.1,4.6"]);
    let (_, body) = page.get("");
    assert!(body.contains("there is no drag area to move"), "{body}");
    for offered in ["4.1", "4.6"] {
        assert!(body.contains(&format!("data-value=\"{offered}\"")), "{body}");
    }
    let refused = page.answer(&[("car.drag_area", "0.7 m2")]);
    assert_eq!(refused["refused"][0]["key"], "car.drag_area");
    let wren = path_text(&crate::bench::demo("wren")).to_owned();
    let (_, body) = Page::of(&[&wren]).get("");
    assert!(body.contains("data-key=\"car.drag_area\""), "{body}");
}
