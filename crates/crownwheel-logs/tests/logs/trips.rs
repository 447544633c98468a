//! From a log to a cycle: way, time and height stay what they were, and what no car does is gone.

use std::fmt::Write as _;

use crownwheel::cycle::Cycle;
use crownwheel_logs::read::read_log_from;
use crownwheel_logs::trip::{CycleAxis, Trip, route, trip};
use crownwheel_logs::{ReadOptions, RepairKind};

fn trip_of(text: &str) -> Trip {
    trip(&read_log_from("logs/drive.csv", text.as_bytes(), &ReadOptions::default()).unwrap())
        .unwrap_or_else(|error| panic!("{error}"))
}

fn refused(text: &str) -> String {
    let log = read_log_from("drive.csv", text.as_bytes(), &ReadOptions::default()).unwrap();
    trip(&log).unwrap_err().to_string()
}

/// A cycle file read back as `range --cycle` reads it.
fn read_back(trip: &Trip, along: CycleAxis) -> Cycle {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("cycle.csv");
    std::fs::write(&path, trip.cycle_csv(along)).unwrap();
    crownwheel_files::cycle_file::read(&path, 1 << 30)
        .unwrap_or_else(|error| panic!("{error}"))
        .cycle
}

/// Speeds of a built-in cycle every second, km/h.
fn cycle_kmh(name: &str) -> Vec<f64> {
    let text = crownwheel::cycle::builtin_text(name).unwrap();
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let factor = if text.contains("speed_mph") { 1.609_344 } else { 1.0 };
    rows.map(|row| row.split(',').nth(1).unwrap().parse::<f64>().unwrap() * factor).collect()
}

/// A log of speeds every second.
fn log_of(speeds_kmh: &[f64]) -> String {
    let mut text = "time_s,speed_kmh\n".to_owned();
    for (second, kmh) in speeds_kmh.iter().enumerate() {
        let _ = writeln!(text, "{second},{kmh}");
    }
    text
}

/// Noise between -1 and 1 that is the same every time.
fn noise(i: usize) -> f64 {
    let x = libm::sin(f64::from(u32::try_from(i).unwrap()) * 12.989_8) * 43_758.545_3;
    2.0 * (x - x.floor()) - 1.0
}

fn within(value: f64, wanted: f64, relative: f64) {
    assert!((value / wanted - 1.0).abs() <= relative, "{value} for {wanted}");
}

#[test]
fn a_logged_cycle_comes_back_as_it_was() {
    for name in ["wltc3b", "udds", "us06"] {
        let trip = trip_of(&log_of(&cycle_kmh(name)));
        let truth = Cycle::builtin(name).unwrap();
        within(trip.length_m(), truth.distance_m(), 1e-3);
        within(trip.duration_s(), truth.duration_s(), 1e-9);
        let by_time = read_back(&trip, CycleAxis::Time);
        within(by_time.distance_m(), trip.length_m(), 1e-5);
        within(by_time.duration_s(), trip.duration_s(), 1e-9);
        let by_distance = read_back(&trip, CycleAxis::Distance);
        within(by_distance.distance_m(), trip.length_m(), 1e-3);
        within(by_distance.duration_s(), trip.duration_s(), 0.02);
    }
}

/// Seven points of a track whose geodesic length (WGS84, geographiclib 2.1) is 2914.7869 m, whose
/// climb is 41.5 m.
#[test]
fn a_track_is_as_long_as_its_geodesics() {
    let points = [
        (48.0, 11.0, 520.0),
        (48.0045, 11.0, 532.5),
        (48.0045, 11.0067, 541.0),
        (48.009, 11.0134, 560.0),
        (48.009, 11.02, 548.0),
        (48.0135, 11.0267, 549.5),
        (48.0135, 11.0268, 549.5),
    ];
    let gpx = |seconds: Option<u32>| {
        let mut text = "<gpx version=\"1.1\"><trk><trkseg>\n".to_owned();
        for (i, (lat, lon, ele)) in (0_u32..).zip(points) {
            let time = seconds.map_or_else(String::new, |step| {
                let at = i * step;
                format!("<time>2024-05-18T10:{:02}:{:02}Z</time>", at / 60, at % 60)
            });
            let _ =
                writeln!(text, "<trkpt lat=\"{lat}\" lon=\"{lon}\"><ele>{ele}</ele>{time}</trkpt>");
        }
        text + "</trkseg></trk></gpx>"
    };
    for seconds in [20, 40, 60] {
        let trip = trip_of(&gpx(Some(seconds)));
        assert!((trip.length_m() - 2914.7869).abs() < 0.001, "{}", trip.length_m());
        assert!((trip.climb_raw_m.unwrap() - 41.5).abs() < 1e-9);
        let climb_m = trip.climb_m.unwrap();
        within(climb_m, 41.5, 0.1);
        within(trip.duration_s(), f64::from(6 * seconds), 1e-9);
    }
    let options = ReadOptions { as_route: true, ..ReadOptions::default() };
    let log = read_log_from("r.gpx", gpx(None).as_bytes(), &options).unwrap();
    let route = route(&log, 60.0 / 3.6).unwrap();
    assert!((route.length_m() - 2914.7869).abs() < 0.001);
    assert!((route.climb_raw_m.unwrap() - 41.5).abs() < 1e-9);
    let cycle = read_back(&route, CycleAxis::Distance);
    within(cycle.distance_m(), 2914.7869, 1e-4);
    // 16.67 s up and down over 138.9 m each, the rest at 60 km/h.
    within(cycle.duration_s(), 2914.7869 / (60.0 / 3.6) + 60.0 / 3.6, 0.01);
    let by_time = read_back(&route, CycleAxis::Time);
    within(by_time.distance_m(), 2914.7869, 1e-3);
}

/// A track eastwards along the equator's parallel of 0°: 111,319.49 m a degree.
fn track(fixes_m: impl Iterator<Item = Option<(f64, f64)>>) -> String {
    let mut text = "time_s,lat,lon\n".to_owned();
    for (second, fix) in fixes_m.enumerate() {
        let Some((east_m, north_m)) = fix else { continue };
        let _ = writeln!(
            text,
            "{second},{:.8},{:.8}",
            1.0 + north_m / 110_576.0,
            10.0 + east_m / 111_302.6
        );
    }
    text
}

#[test]
fn wandering_fixes_of_a_standing_car_are_no_way() {
    let fix = |i: usize| {
        let wander = |k: usize| 2.0 * noise(7 * i + k);
        let east_m = match i {
            0..120 => 15.0 * f64::from(u32::try_from(i).unwrap()),
            120..420 => 1800.0 + wander(1),
            _ => 1800.0 + 15.0 * f64::from(u32::try_from(i - 420).unwrap()),
        };
        let north_m = if (120..420).contains(&i) { wander(2) } else { 0.0 };
        Some((east_m, north_m))
    };
    let trip = trip_of(&track((0..540).map(fix)));
    within(trip.length_m(), 1800.0 + 15.0 * 119.0, 0.004);
    assert!(trip.repairs.count(RepairKind::StandstillJitter) > 280);
    let standing = trip.speed_mps.iter().filter(|speed| **speed < 1e-9).count();
    assert!((285..310).contains(&standing), "{standing}");
}

/// Some receivers write a speed of zero all the way: the fixes know better.
#[test]
fn a_speed_that_is_always_zero_is_no_speed() {
    let mut text = "time_s,lat,lon,speed_kmh\n".to_owned();
    for i in 0..100_u32 {
        let _ = writeln!(text, "{i},1.0,{:.8},0", 10.0 + 15.0 * f64::from(i) / 111_302.6);
    }
    within(trip_of(&text).length_m(), 99.0 * 15.0, 1e-3);
}

#[test]
fn creeping_speeds_of_a_standing_car_are_zero() {
    let mut speeds = vec![40.0; 60];
    speeds.extend((0..30).map(|i| 0.8 + 0.5 * noise(i)));
    speeds.extend([40.0; 60]);
    let trip = trip_of(&log_of(&speeds));
    assert_eq!(trip.repairs.count(RepairKind::StandstillJitter), 30);
    assert!(trip.speed_mps[62..88].iter().all(|speed| *speed < 1e-9));
    let cycle = read_back(&trip, CycleAxis::Distance);
    within(cycle.duration_s(), trip.duration_s(), 0.02);
}

#[test]
fn spikes_are_gone_and_the_way_stays() {
    let mut speeds = vec![50.0; 200];
    speeds[77] = 180.0;
    speeds[130] = 0.0;
    let trip = trip_of(&log_of(&speeds));
    assert_eq!(trip.repairs.count(RepairKind::SpeedSpikes), 2);
    within(trip.length_m(), 199.0 * 50.0 / 3.6, 1e-9);
    let fixes = (0..200_usize).map(|i| {
        let east_m = 14.0 * f64::from(u32::try_from(i).unwrap());
        Some(match i {
            50 => (east_m + 5000.0, 0.0),
            80..84 => (east_m, 900.0),
            120 => (east_m, 60.0),
            _ => (east_m, 0.0),
        })
    });
    let trip = trip_of(&track(fixes));
    assert_eq!(trip.repairs.count(RepairKind::PositionSpikes), 6);
    within(trip.length_m(), 199.0 * 14.0, 1e-4);
    let mut heights = "time_s,speed_kmh,elevation_m\n".to_owned();
    for i in 0..200 {
        let _ = writeln!(heights, "{i},50,{}", if i == 90 { 300 } else { 100 });
    }
    let trip = trip_of(&heights);
    assert_eq!(trip.repairs.count(RepairKind::ElevationSpikes), 1);
    assert!(trip.climb_m.unwrap() < 1e-9 && (trip.climb_raw_m.unwrap() - 200.0).abs() < 1e-9);
}

#[test]
fn a_tunnel_keeps_its_way_and_a_pause_its_place() {
    // Out of sight for 40 s, driving on at 20 m/s.
    let fixes = (0..300_usize).map(|i| {
        let east_m = 20.0 * f64::from(u32::try_from(i).unwrap());
        (!(100..140).contains(&i)).then_some((east_m, 0.0))
    });
    let trip = trip_of(&track(fixes));
    assert_eq!(trip.repairs.count(RepairKind::Gaps), 1);
    within(trip.length_m(), 299.0 * 20.0, 1e-4);
    within(trip.duration_s(), 299.0, 1e-9);
    let mut parked = log_of(&[30.0; 60]);
    for i in 0..60 {
        let _ = writeln!(parked, "{},{}", 4000 + i, if i == 0 { 0 } else { 30 });
    }
    let parked = parked.replace("\n59,30\n", "\n59,0\n");
    let trip = trip_of(&parked);
    assert_eq!(trip.repairs.count(RepairKind::Pauses), 1);
    within(trip.duration_s(), 59.0 + 10.0 + 59.0, 1e-9);
}

/// Without fixes nobody knows where the car was in a quarter of an hour, nor with them in a day.
#[test]
fn what_nobody_knows_is_left_out() {
    let mut text = log_of(&[50.0; 60]);
    for i in 0..60 {
        let _ = writeln!(text, "{},50", 960 + i);
    }
    let trip = trip_of(&text);
    assert_eq!(trip.repairs.count(RepairKind::LongGaps), 1);
    within(trip.length_m(), (118.0 * 50.0 + 10.0 * 50.0) / 3.6, 0.1);
    let mut fixes = track((0..60_u32).map(|i| Some((20.0 * f64::from(i), 0.0))));
    for i in 0..60_u32 {
        let east_m = 100_000.0 + 20.0 * f64::from(i);
        let _ = writeln!(fixes, "{},{:.8},{:.8}", 86_400 + i, 1.0, 10.0 + east_m / 111_302.6);
    }
    let trip = trip_of(&fixes);
    assert_eq!(trip.repairs.count(RepairKind::LongGaps), 1);
    within(trip.duration_s(), 128.0, 1e-9);
    within(trip.length_m(), 2.0 * 59.0 * 20.0, 0.1);
}

#[test]
fn missing_speeds_are_straight_lines_and_missing_heights_too() {
    let mut text = "time_s,speed_kmh,elevation_m\n".to_owned();
    for i in 0..100 {
        let speed = if (40..43).contains(&i) { "--".to_owned() } else { (10 + i).to_string() };
        let height = if i % 2 == 0 { String::new() } else { format!("{}", 100 + i) };
        let _ = writeln!(text, "{i},{speed},{height}");
    }
    let trip = trip_of(&text);
    assert_eq!(trip.repairs.count(RepairKind::MissingSpeed), 3);
    assert_eq!(trip.repairs.count(RepairKind::MissingElevation), 50);
    within(trip.speed_mps[41] * 3.6, 51.0, 1e-3);
}

#[test]
fn a_cliff_is_held_at_what_a_road_may_be() {
    let mut text = "time_s,speed_kmh,elevation_m\n".to_owned();
    for i in 0..100 {
        let _ = writeln!(text, "{i},40,{}", if i < 50 { 20 } else { 170 });
    }
    let trip = trip_of(&text);
    assert!(trip.repairs.count(RepairKind::SteepGrades) > 0);
    let steepest = trip.grade_frac().unwrap().into_iter().fold(0.0, f64::max);
    within(steepest, 0.35, 0.01);
    read_back(&trip, CycleAxis::Time);
}

#[test]
fn several_clocks_in_a_file_leave_the_longest() {
    let text =
        format!("{}{}", log_of(&[30.0; 40]), log_of(&[50.0; 90]).replace("time_s,speed_kmh\n", ""));
    let trip = trip_of(&text);
    assert_eq!(trip.repairs.count(RepairKind::PartsLeftOut), 1);
    within(trip.length_m(), 89.0 * 50.0 / 3.6, 1e-9);
}

#[test]
fn what_is_no_trip_is_refused_in_words() {
    assert!(refused("time_s,speed_kmh\n0,10\n1,10\n").contains("only 2 of its rows"));
    assert!(refused(&log_of(&[0.0; 60])).contains("the car moves 0 m"));
    let log = read_log_from("x", log_of(&[50.0; 60]).as_bytes(), &ReadOptions::default()).unwrap();
    assert!(route(&log, 15.0).unwrap_err().to_string().contains("no latitude and longitude"));
    assert!(route(&log, 500.0).unwrap_err().to_string().contains("1800 km/h"));
    assert!(route(&log, f64::NAN).is_err());
}

/// Town traffic with all its short moves, by distance: every one is a cycle that can be read.
#[test]
fn short_moves_and_stops_are_readable_by_distance() {
    for seed in 0..60_usize {
        let mut speeds = vec![30.0; 20];
        for k in 0..40 {
            let length = 1 + (seed * 31 + k * 17) % 9;
            let speed = (12.0 * noise(seed * 97 + 3 * k + 1)).max(0.0);
            speeds.extend(std::iter::repeat_n(speed, length));
        }
        let trip = trip_of(&log_of(&speeds));
        let by_distance = read_back(&trip, CycleAxis::Distance);
        within(by_distance.distance_m(), trip.length_m(), 0.02);
        read_back(&trip, CycleAxis::Time);
    }
}
