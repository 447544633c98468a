//! Makes the invented logs of a trip and of the finished car in `data-demo/dunlin/logs`, from a known
//! truth plus noise with a fixed seed, as messy as people's own.
//!
//!     cargo run -p crownwheel-logs --example trip_and_audit_logs -- data-demo/dunlin
//!
//! The truth of `finished-car.csv` is the build with one wheel's brake dragging: 90 N more constant
//! force. All three logs drive the moor round.
#![allow(clippy::print_stdout, reason = "a script says what it wrote")]

use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use crownwheel::cycle::Cycle;
use crownwheel::drive::{Driver, drive, start_state};
use crownwheel::knob::Knob;
use crownwheel::spec::CarSpec;
use crownwheel::{Car, Day};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::Rng;

/// Force by which a brake drags more than the build has it, N.
const DRAGGING_BRAKE_N: f64 = 90.0;

fn main() -> Result<(), Box<dyn Error>> {
    let folder =
        std::env::args().nth(1).map_or_else(|| PathBuf::from("data-demo/dunlin"), PathBuf::from);
    let build = crownwheel_files::load(&folder, &[])?;
    let cycle = crownwheel_files::cycle_file::read(&folder.join("moor-round.csv"), 1 << 24)?.cycle;
    let logs = folder.join("logs");
    fs::create_dir_all(&logs)?;
    let mut car = build.car.clone();
    let drag = Knob::find("car.brake_drag", &car)?;
    let value = drag.get(&car).ok_or("no brake drag")?;
    drag.set(&mut car, value + DRAGGING_BRAKE_N)?;
    let rows = driven(&car, &Day::new(&build.days[0])?, &cycle)?;
    write(&logs, "moor-round.gpx", &gpx(&rows, &mut Noise::seeded(1)))?;
    write(&logs, "moor-round-phone.csv", &phone(&rows, &mut Noise::seeded(2)))?;
    write(&logs, "finished-car.csv", &finished_car(&rows, &mut Noise::seeded(3)))
}

fn write(folder: &Path, name: &str, text: &str) -> Result<(), Box<dyn Error>> {
    fs::write(folder.join(name), text)?;
    println!("{} bytes in {}", text.len(), folder.join(name).display());
    Ok(())
}

/// A second of the truth.
struct Row {
    time_s: f64,
    way_m: f64,
    speed_mps: f64,
    height_m: f64,
    voltage_v: f64,
    current_a: f64,
    charge_frac: f64,
}

/// Drives the cycle and keeps about a row a second.
fn driven(car: &CarSpec, day: &Day, cycle: &Cycle) -> Result<Vec<Row>, Box<dyn Error>> {
    let car = Car::new(car)?;
    let mut state = start_state(&car, day, cycle);
    let mut rows: Vec<Row> = Vec::new();
    let (mut time_s, mut way_m, mut height_m) = (0.0, 0.0, 120.0);
    let mut next_s = 0.0;
    drive(&mut Driver::new(&car, day), cycle, &mut state, |driven| {
        let step = driven.step;
        time_s += step.duration_s;
        way_m += step.distance_m;
        height_m += step.distance_m * driven.leg.sin;
        if time_s >= next_s {
            next_s = time_s.floor() + 1.0;
            rows.push(Row {
                time_s,
                way_m,
                speed_mps: step.state.speed_mps,
                height_m,
                voltage_v: step.voltage_v,
                current_a: step.current_a,
                charge_frac: step.state.charge_frac,
            });
        }
        true
    });
    Ok(rows)
}

/// Noise with a fixed seed.
struct Noise(Pcg64Mcg);

impl Noise {
    fn seeded(seed: u64) -> Self {
        Self(Pcg64Mcg::new(0x5eed_0000_0000_0000_u128 + u128::from(seed)))
    }

    /// Even between 0 and 1.
    fn even(&mut self) -> f64 {
        f64::from(self.0.next_u32()) / f64::from(u32::MAX)
    }

    /// Normal, near enough: the sum of twelve even draws.
    fn normal(&mut self, sd: f64) -> f64 {
        sd * ((0..12).map(|_| self.even()).sum::<f64>() - 6.0)
    }

    /// Once in `times`.
    fn once_in(&mut self, times: f64) -> bool {
        self.even() * times < 1.0
    }
}

/// Latitude and longitude on a wide bend over the moor.
fn fix_deg(way_m: f64) -> (f64, f64) {
    let bend = way_m / 46_000.0 * std::f64::consts::TAU;
    let radius_m = 46_000.0 / std::f64::consts::TAU;
    let (north_m, east_m) = (radius_m * libm::sin(bend), radius_m * (1.0 - libm::cos(bend)));
    (54.5 + north_m / 111_300.0, -2.0 + east_m / 64_700.0)
}

/// A clock that starts at ten to midnight.
fn of_day(time_s: f64) -> (u32, u32, f64) {
    let all_s = 85_800.0 + time_s;
    let s = all_s.rem_euclid(86_400.0);
    let whole =
        |value: f64| value.to_string().split('.').next().and_then(|t| t.parse().ok()).unwrap_or(0);
    (whole(s / 3600.0), whole((s / 60.0) % 60.0), s % 60.0)
}

/// A receiver's track: zero fixes first, heights that wander, a tunnel, repeated points, an edge of a
/// segment, points without a time.
fn gpx(rows: &[Row], noise: &mut Noise) -> String {
    let mut out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"an invented receiver\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n <trk><name>moor round</name><trkseg>\n".to_owned();
    for _ in 0..5 {
        out.push_str(
            "  <trkpt lat=\"0.0\" lon=\"0.0\"><time>1980-01-06T00:00:00Z</time></trkpt>\n",
        );
    }
    let mut wander_m = 0.0;
    for (i, row) in rows.iter().enumerate() {
        wander_m = 0.98 * wander_m + noise.normal(0.6);
        if (1200..1240).contains(&i) {
            continue;
        }
        if i == 1800 {
            out.push_str(" </trkseg><trkseg>\n");
        }
        let (lat, lon) = fix_deg(row.way_m);
        let (mut lat, lon) =
            (lat + noise.normal(0.8) / 111_300.0, lon + noise.normal(0.8) / 64_700.0);
        if noise.once_in(700.0) {
            lat += 0.004;
        }
        let _ = write!(out, "  <trkpt lat=\"{lat:.6}\" lon=\"{lon:.6}\">");
        if !noise.once_in(40.0) {
            let _ = write!(out, "<ele>{:.1}</ele>", row.height_m + 47.0 + wander_m);
        }
        if !noise.once_in(300.0) {
            let (h, m, s) = of_day(row.time_s);
            let day = if row.time_s < 600.0 { 18 } else { 19 };
            let _ = write!(out, "<time>2026-05-{day}T{h:02}:{m:02}:{:02.0}Z</time>", s.floor());
        }
        out.push_str("</trkpt>\n");
        if noise.once_in(500.0) {
            let last = out.trim_end().rfind('\n').map_or(0, |at| at + 1);
            let repeated = out[last..].to_owned();
            out.push_str(&repeated);
        }
    }
    out.push_str(" </trkseg></trk>\n</gpx>\n");
    out
}

/// A phone's table: a line of its own first, semicolons, decimal commas, time of day, trailing
/// separators, cells without a value, a spike, a heading again in the middle.
fn phone(rows: &[Row], noise: &mut Noise) -> String {
    let heading = "Time;Speed (km/h);Altitude (m);Latitude;Longitude;Accuracy (m);\r\n";
    let mut out = format!("sep=;\r\nDrive over the moor;;;;;;\r\n{heading}");
    for (i, row) in rows.iter().enumerate() {
        let (h, m, s) = of_day(row.time_s);
        let (lat, lon) = fix_deg(row.way_m);
        let creep = if row.speed_mps < 0.1 { noise.even() } else { 0.0 };
        let mut speed = (row.speed_mps * 3.6 + noise.normal(0.3) + creep).max(0.0);
        if i == 1500 {
            speed = 211.0;
        }
        let speed = if noise.once_in(200.0) { "--".to_owned() } else { format!("{speed:.1}") };
        let height = row.height_m + noise.normal(1.5);
        let line = format!(
            "{h:02}:{m:02}:{:02.0};{speed};{height:.1};{lat:.6};{lon:.6};{:.0};\r\n",
            s.floor(),
            3.0 + 4.0 * noise.even()
        );
        out.push_str(&line.replace('.', ","));
        if i == 2000 {
            out.push_str(heading);
        }
    }
    out
}

/// A battery monitor with a receiver: milliseconds, discharge negative, `OFF` while it wakes up, a
/// row of units, a lost column now and then.
fn finished_car(rows: &[Row], noise: &mut Noise) -> String {
    let mut out = "# battery monitor, first drive of the finished car\nTime,Speed,Pack voltage,Pack current,SOC,Outside temp,Altitude\nms,mph,V,A,%,°C,m\n".to_owned();
    for (i, row) in rows.iter().enumerate() {
        let current = -row.current_a + noise.normal(0.4);
        let electric = if i < 8 {
            "OFF,OFF".to_owned()
        } else {
            format!("{:.1},{current:.1}", row.voltage_v + noise.normal(0.1))
        };
        let speed = (row.speed_mps / 0.447_04 + noise.normal(0.1)).max(0.0);
        let _ = write!(
            out,
            "{:.0},{speed:.1},{electric},{:.0},{:.1}",
            1000.0 * row.time_s,
            100.0 * row.charge_frac,
            15.4 + noise.normal(0.2)
        );
        if !noise.once_in(250.0) {
            let _ = write!(out, ",{:.1}", row.height_m + noise.normal(0.8));
        }
        out.push('\n');
    }
    out
}
