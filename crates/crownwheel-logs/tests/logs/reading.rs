//! Logs as people have them: every repair by a small file that needs it, every refusal by its words.

use crownwheel_logs::log::{Clock, Quantity};
use crownwheel_logs::read::{SpeedUnit, read_log_from};
use crownwheel_logs::{Log, ReadOptions, RepairKind, read_log};

fn read(text: impl AsRef<[u8]>) -> Log {
    read_log_from("log.csv", text.as_ref(), &ReadOptions::default())
        .unwrap_or_else(|error| panic!("{error}"))
}

fn refused(text: impl AsRef<[u8]>) -> String {
    read_log_from("log.csv", text.as_ref(), &ReadOptions::default()).unwrap_err().to_string()
}

fn repairs(log: &Log) -> Vec<(&'static str, u64)> {
    log.repairs.iter().map(|repair| (repair.kind.name(), repair.count)).collect()
}

fn kmh(log: &Log) -> Vec<f64> {
    let shown = |mps: &f64| (mps * 36.0).round() / 10.0;
    log.speed_mps().unwrap().iter().map(shown).collect()
}

/// Times to a microsecond, in whole ones.
fn micros(log: &Log) -> Vec<i64> {
    #[allow(clippy::cast_possible_truncation, reason = "a test's few seconds")]
    let whole = |time_s: &f64| (time_s * 1e6).round() as i64;
    log.time_s.iter().map(whole).collect()
}

/// The same drive in every dress: what is read is one and the same.
#[test]
fn every_dress_of_a_table_is_the_same_drive() {
    for (text, expected) in [
        ("time_s,speed_kmh\n0,0\n1,18.5\n2,36\n", vec![]),
        ("\u{feff}time_s,speed_kmh\n0,0\n1,18.5\n2,36\n", vec![("byte_order_mark", 1)]),
        ("time_s,speed_kmh\r\n0,0\r\n1,18.5\r\n2,36\r\n", vec![("carriage_returns", 1)]),
        (
            "sep=;\nZeit;n\nTime (s);Speed (km/h)\n0;0\n1;18,5\n2;36,0\n",
            vec![("sep_line", 1), ("lines_before_heading", 1), ("decimal_commas", 2)],
        ),
        (
            "Drive of May\n\nexported by hand\ntime\tspeed\ns\tkm/h\n0\t0\n1\t18.5\n2\t36\n",
            vec![("lines_before_heading", 2), ("units_row", 1)],
        ),
        ("time_s,speed_kmh,\n0,0,\n1,18.5,\n2,36,\n", vec![("trailing_separators", 4)]),
        (
            "time_s,speed_kmh\n0,0,\n1,18.5\n2,36,7,8\n",
            vec![("trailing_separators", 1), ("other_column_count", 1)],
        ),
        (
            "time_s,speed_kmh\n0,0\n# a stop\n1,18.5\ntime_s,speed_kmh\n2,36\n",
            vec![("comment_lines", 1), ("repeated_headings", 1)],
        ),
        ("time_s,speed_kmh\n0,0 km/h\n1,18.5 km/h\n2,10 m/s\n", vec![("units_in_cells", 3)]),
        ("time_ms;speed_kmh\n0;0\n1000;18.5\n2000;36\n", vec![]),
        ("time,speed_kmh\n0,0\n1,18.5\n2,36\n", vec![("time_unit_found", 1)]),
        ("time,speed_kmh\n0,0\n1000,18.5\n2000,36\n", vec![("time_unit_found", 1)]),
        (
            "Time,Speed (km/h)\n23:59:59,0\n00:00:00,18.5\n00:00:01,36\n",
            vec![("midnight_wraps", 1)],
        ),
        ("time_ms,speed_kmh\n86399000,0\n0,18.5\n1000,36\n", vec![("midnight_wraps", 1)]),
        (
            "Timestamp,mph\n2024-05-18T10:00:00Z,0\n2024-05-18T12:00:01+02:00,11.495367\n2024-05-18T10:00:02.000Z,22.369363\n",
            vec![],
        ),
        (
            "date,time,knots\n18.05.2024,10:00:00,0\n18.05.2024,10:00:01,9.989201\n18.05.2024,10:00:02,19.438445\n",
            vec![],
        ),
        (
            "Date/Time;m/s\n2024-05-18 10:00:00;0\n2024-05-18 10:00:01;5,1388889\n2024-05-18 10:00:02;10\n",
            vec![("decimal_commas", 1), ("stamps_without_zone", 1)],
        ),
        ("time,speed_kmh\n59:58,0\n59:59,18.5\n60:00,36\n", vec![("time_unit_found", 1)]),
        (
            "Date,18.05.2024,Time,12:00,Speed\ntime_s,speed_kmh\n0,0\n1,18.5\n2,36\n",
            vec![("lines_before_heading", 1)],
        ),
        ("timestamp,speed_kmh\n1716028205,0\n1716028206,18.5\n1716028207,36\n", vec![]),
        ("timestamp,speed_kmh\n1716028205000,0\n1716028206000,18.5\n1716028207000,36\n", vec![]),
    ] {
        let log = read(text);
        assert_eq!(kmh(&log), [0.0, 18.5, 36.0], "{text}");
        assert_eq!(micros(&log), [0, 1_000_000, 2_000_000], "{text}");
        assert_eq!(repairs(&log), expected, "{text}");
    }
}

#[test]
fn bytes_that_are_no_text_are_left_out_and_counted() {
    let log = read(b"time_s,speed_kmh,T \xb0C\n0,0,1\n1,\0\x0018.5,1\n2,36,\xff\n");
    assert_eq!(kmh(&log), [0.0, 18.5, 36.0]);
    assert_eq!(repairs(&log)[..2], [("not_utf8", 2), ("zero_bytes", 1)]);
    let mut long = b"time_s,speed_kmh\n0,0\n1,18.5\n".to_vec();
    long.extend(std::iter::repeat_n(b'9', 70_000));
    long.extend(b"\n2,36\n");
    let log = read(&long);
    assert_eq!(kmh(&log), [0.0, 18.5, 36.0]);
    assert_eq!(repairs(&log), [("overlong_lines", 1)]);
}

#[test]
fn cells_without_a_value_count_as_missing() {
    let log = read(
        "time_s,speed_kmh,pack_voltage_v\n0,NaN,OFF\n1,--,130\n2,36,x4\n3,900,130\n4,36,1.2,5\n5,-9,\n",
    );
    let speed_mps = log.speed_mps().unwrap();
    assert!(speed_mps[0].is_nan() && speed_mps[3].is_nan() && speed_mps[5].is_nan());
    let expected = [
        ("other_column_count", 1),
        ("no_value_cells", 3),
        ("unreadable_cells", 1),
        ("impossible_values", 2),
    ];
    assert_eq!(repairs(&log), expected);
    let marks = read("time_s;speed_kmh\n0;0\n1.000,0;18,5\n2000;36\n");
    assert_eq!(marks.repairs.count(RepairKind::ThousandsMarks), 1);
    assert_eq!(micros(&marks)[1], 1_000_000_000);
}

#[test]
fn times_are_put_in_order_and_never_invented() {
    let log = read(
        "time_s,speed_kmh\n0,0\n0,0\n1,10\n1,20\n,99\nxx,99\n0.5,99\n2,30\n99999,99\n3,30\n4,30\n5,30\n6,30\n7,30\n8,30\n",
    );
    assert_eq!(micros(&log), [0, 1, 2, 3, 4, 5, 6, 7, 8].map(|second| second * 1_000_000));
    assert_eq!(kmh(&log)[..3], [0.0, 15.0, 30.0]);
    let expected = [
        ("without_time", 2),
        ("duplicate_times", 1),
        ("several_in_one_second", 1),
        ("backward_times", 1),
        ("forward_times", 1),
    ];
    assert_eq!(repairs(&log), expected);
}

#[test]
fn many_runs_in_a_file_are_parts() {
    let mut text = "run,direction,time_s,speed_kmh\n".to_owned();
    for (run, direction, first) in [("A", "up", 90), ("B", "down", 80)] {
        for i in 0..9 {
            text.push_str(&format!("{run},{direction},{i},{}\n", first - i));
        }
    }
    let log = read(&text);
    let labels: Vec<(&str, &str)> = log
        .parts
        .iter()
        .map(|part| (part.run.as_deref().unwrap(), part.direction.as_deref().unwrap()))
        .collect();
    assert_eq!(labels, [("A", "up"), ("B", "down")]);
    assert!(log.repairs.is_empty());
    let without_labels: String =
        text.lines().map(|line| format!("{}\n", line.splitn(3, ',').last().unwrap())).collect();
    let log = read(&without_labels);
    assert_eq!(log.parts.len(), 2);
    assert_eq!(repairs(&log), [("clock_restarts", 1)]);
}

#[test]
fn a_speed_without_a_unit_is_compared_with_the_fixes() {
    let mut text = "time_s,speed,lat,lon\n".to_owned();
    // One degree of latitude at 45° is 111,141.5 m: 0.00018 degrees a second are 20 m/s.
    for i in 0..60 {
        text.push_str(&format!("{i},72.0,{:.6},11.0\n", 45.0 + 0.00018 * f64::from(i)));
    }
    let log = read(&text);
    assert!((log.speed_mps().unwrap()[5] - 20.0).abs() < 1e-9);
    assert_eq!(repairs(&log), [("speed_unit_found", 1)]);
    assert!(log.notes.iter().any(|note| note.contains("fits km/h")), "{:?}", log.notes);
    let named = ReadOptions { speed_unit: Some(SpeedUnit::Mph), ..ReadOptions::default() };
    let log = read_log_from("x", "time_s,speed\n0,0\n1,10\n".as_bytes(), &named).unwrap();
    assert!((log.speed_mps().unwrap()[1] - 4.4704).abs() < 1e-12);
}

const GPX_HEAD: &str = "<?xml version=\"1.0\"?>\n<gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n<trk><trkseg>\n";

#[test]
fn gpx_of_both_versions_with_every_flaw_is_read() {
    let text = format!(
        "{GPX_HEAD}\
         <trkpt lat=\"0\" lon=\"0\"><time>1980-01-06T00:00:00Z</time></trkpt>\n\
         <trkpt lat=\"48.1\" lon=\"11,5\"><ele>520.5</ele><time>2024-05-18T10:00:00Z</time><speed>3.5</speed></trkpt>\n\
         <trkpt lat=\"48.1001\" lon=\"11.5\"><time>2024-05-18T12:00:01+02:00</time><extensions><x:Accuracy xmlns:x=\"x\">1</x:Accuracy><x:speed>4.5</x:speed></extensions></trkpt>\n\
         <trkpt lat=\"48.1001\" lon=\"11.5\"><ele>--</ele></trkpt>\n\
         </trkseg><trkseg>\n\
         <trkpt lat=\"48.1002\" lon=\"11.5\"><ele>521</ele><time><![CDATA[2024-05-18T10:00:09]]></time></trkpt>\n\
         </trkseg></trk></gpx>"
    );
    let log = read(&text);
    assert_eq!(log.clock, Clock::Stamp);
    assert_eq!(micros(&log), [0, 1_000_000, 9_000_000]);
    assert_eq!(log.parts.len(), 2);
    assert!(!log.parts[1].clock_restarted);
    assert_eq!(log.speed_mps().unwrap()[..2], [3.5, 4.5]);
    assert!((log.column(Quantity::Longitude).unwrap()[0] - 11.5).abs() < 1e-12);
    let elevation_m = log.column(Quantity::Elevation).unwrap();
    assert!(elevation_m[1].is_nan() && (elevation_m[2] - 521.0).abs() < 1e-12);
    let expected =
        [("no_value_cells", 1), ("stamps_without_zone", 1), ("without_time", 1), ("zero_fixes", 1)];
    assert_eq!(repairs(&log), expected);
    let old = text.replace("version=\"1.1\"", "version=\"1.0\"").replace("/1/1", "/1/0");
    assert_eq!(micros(&read(old)), micros(&log));
}

/// A second part that begins with the last point of the first is on the same clock.
#[test]
fn parts_that_share_a_point_go_on() {
    let point = |i: u32| {
        format!("<trkpt lat=\"48.{i:04}\" lon=\"11\"><time>2024-05-18T10:00:0{i}Z</time></trkpt>\n")
    };
    let log = read(format!(
        "{GPX_HEAD}{}{}</trkseg><trkseg>{}{}</trkseg></trk></gpx>",
        point(1),
        point(2),
        point(2),
        point(3)
    ));
    assert_eq!(micros(&log), [0, 1_000_000, 2_000_000]);
    assert!(log.parts.iter().all(|part| !part.clock_restarted));
    assert_eq!(repairs(&log), [("duplicate_times", 1)]);
}

#[test]
fn gpx_that_breaks_off_is_read_up_to_there() {
    let point = |i: u32| {
        format!("<trkpt lat=\"48.{i:04}\" lon=\"11\"><time>2024-05-18T10:00:0{i}Z</time></trkpt>\n")
    };
    let whole = format!("{GPX_HEAD}{}{}{}", point(1), point(2), point(3));
    for cut in ["<trkpt lat=\"48.5\"", "<trkpt lat=\"48.5\" lon=\"11\"><ele>5", "<!-- "] {
        let log = read(format!("{whole}{cut}"));
        assert_eq!(log.len(), 3, "{cut}");
        assert_eq!(repairs(&log), [("cut_off", 1)], "{cut}");
    }
}

#[test]
fn a_route_has_no_times() {
    let text = format!(
        "{}<rtept lat=\"48\" lon=\"11\"/><rtept lat=\"48.1\" lon=\"11\"><ele>500</ele></rtept></gpx>",
        GPX_HEAD.replace("<trk><trkseg>", "<rte>")
    );
    let message = refused(&text);
    assert!(message.contains("none of its 2 points has a time"), "{message}");
    assert!(message.contains("--speed"), "{message}");
    let options = ReadOptions { as_route: true, ..ReadOptions::default() };
    let log = read_log_from("r.gpx", text.as_bytes(), &options).unwrap();
    assert_eq!((log.clock, log.len()), (Clock::None, 2));
}

#[test]
fn what_cannot_be_used_is_refused_with_a_way_out() {
    for (text, words) in [
        (&b""[..], &["it is empty"][..]),
        (b"PK\x03\x04xxxx", &["packed archive", "export the log"]),
        (b"\xff\xfet\0i\0", &["names columns that are known"]),
        (b"\0\0\0\0\0\0", &["not text"]),
        (b"hello\nworld\n", &["names columns that are known", "time_s,speed_kmh"]),
        (b"1,2\n3,4\n", &["names columns that are known"]),
        (b"time_s,voltage\n1,2\n", &["neither speed nor fixes", "`voltage`"]),
        (b"speed_kmh,voltage\n1,2\n", &["no column of times", "time_s"]),
        (
            b"time_s,speed\n0,1\n1,2\n2,3\n",
            &["does not say the unit of the speed", "--speed-unit", "log.csv:1"],
        ),
        (b"time,speed_kmh\n0,1\n20,2\n40,3\n", &["does not say the unit of the time", "time_ms"]),
        (b"time_s,speed_kmh\n", &["no rows below the heading"]),
        (b"time_s,speed_kmh\nx,1\ny,2\n", &["none of its 2 rows", "12:30:05"]),
        (
            b"time_s,speed_kmh\n0,0,0,0\n1,5,3,0\n2,5,3,2\n",
            &["more cells than the heading", "log.csv:2", "semicolons"],
        ),
        (b"<gpx></gpx>", &["no track and no route"]),
        (b"<gpx><trk", &["broken before the first point"]),
        (b"<html>no</html>", &["no track and no route"]),
    ] {
        let message = refused(text);
        for word in words {
            assert!(message.contains(word), "{word}: {message}");
        }
    }
    let missing = read_log(std::path::Path::new("no/such.csv"), &ReadOptions::default());
    assert!(missing.unwrap_err().to_string().contains("no such file"));
}

/// A giant text without a tag must not fill the memory.
#[test]
fn xml_without_tags_is_given_up() {
    let endless = std::io::Read::take(std::io::repeat(b'x'), 1 << 30);
    let reader = std::io::Read::chain(&b"<gpx>"[..], endless);
    let error = read_log_from("x.gpx", reader, &ReadOptions::default()).unwrap_err();
    assert!(error.to_string().contains("no tag for a million bytes"), "{error}");
}
