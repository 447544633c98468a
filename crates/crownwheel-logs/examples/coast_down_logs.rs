//! Makes the coast-down logs of the demo: an invented afternoon on an invented straight, from a known
//! road load plus noise, written the way phones and loggers write.
//!
//! `cargo run -p crownwheel-logs --example coast_down_logs -- data-demo/dunlin/logs`
//!
//! The same seed gives the same bytes. What is true is in [`TRUTH`] and [`DAY`]; the readers and the
//! fit have to find it again through decimal commas, miles an hour, approach and braking.

use std::fmt::Write as _;
use std::path::Path;

use crownwheel::coastdown::Coefficients;
use crownwheel::coastdown::curve::{Air, RunConditions, speed_curve};
use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};

/// Road load at 20 °C and 100 kPa, with the axle turning.
const TRUTH: Coefficients = Coefficients { f0_n: 122.0, f1_n_per_mps: 0.6, f2_n_per_mps2: 0.418 };

/// 905 kg with two aboard, 3 % of it turning; 11 °C and 99.1 kPa; 0.22 % uphill to the east, and a
/// breeze from there.
const DAY: RunConditions = RunConditions {
    mass_kg: 905.0,
    effective_mass_kg: 905.0 * 1.03,
    slope_sin: 0.002_2,
    air: Air { headwind_mps: 1.1, all_round_mps: 0.0 },
    rolling_factor: 1.0 + 0.008_6 * 9.0,
    density_ratio: 99.1 / 100.0 * 293.15 / 284.15,
};

/// Gusts: a force that differs from run to run, N.
const GUST_N: f64 = 1.5;

const SEED: u64 = 1967;

/// West end of the straight, degrees, and the length of a degree there, m.
const WEST_DEG: (f64, f64) = (54.310_0, -2.180_0);
const LONGITUDE_M: f64 = 64_980.0;

/// What happens in a run besides coasting.
#[derive(Clone, Copy, PartialEq)]
enum Story {
    Clean,
    /// A hare on the road: the brake for two seconds.
    Braked,
    /// A tractor ahead: given up early.
    GivenUp,
}

/// Readings of a drive.
#[derive(Default)]
struct Drive {
    time_s: Vec<f64>,
    speed_mps: Vec<f64>,
    /// Run and direction of each reading, while somebody had pressed the button.
    run: Vec<Option<(u32, bool)>>,
    east_m: Vec<f64>,
}

struct Maker {
    random: Pcg64,
    memory_mps: f64,
}

impl Maker {
    /// Uniform between 0 and 1, both out.
    fn uniform(&mut self) -> f64 {
        ((self.random.next_u64() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let size = (-2.0 * libm::log(self.uniform())).sqrt();
        size * libm::cos(std::f64::consts::TAU * self.uniform())
    }

    /// Noise of a receiver: a part that lasts three seconds, and a white one.
    fn noise_mps(&mut self, step_s: f64) -> f64 {
        let fade = libm::exp(-step_s / 3.0);
        self.memory_mps =
            fade * self.memory_mps + 0.06 * (1.0 - fade * fade).sqrt() * self.normal();
        self.memory_mps + 0.04 * self.normal()
    }

    /// Adds a run: up to speed, coasting, and to a stop.
    fn run(&mut self, drive: &mut Drive, step_s: f64, number: u32, east: bool, story: Story) {
        let first_mps = (104.0 + 6.0 * self.uniform()) / 3.6;
        let gust_n = GUST_N * self.normal();
        let last_mps = if story == Story::GivenUp { first_mps - 4.0 } else { 22.0 / 3.6 };
        let mut speeds = Vec::new();
        let mut speed = 0.0;
        while speed < first_mps {
            speeds.push((speed, false));
            speed += 1.9 * step_s * (1.0 - 0.6 * speed / first_mps);
        }
        for speed in coasted(first_mps, last_mps, step_s, east, gust_n, story) {
            speeds.push((speed, true));
        }
        let mut speed = last_mps;
        while speed > 0.0 {
            speeds.push((speed, true));
            speed -= 2.2 * step_s;
        }
        let mut paused_s = 0.0;
        while paused_s < 12.0 {
            speeds.push((0.0, false));
            paused_s += step_s;
        }
        let sign = if east { 1.0 } else { -1.0 };
        for (speed, pressed) in speeds {
            let (time, place) = match (drive.time_s.last(), drive.east_m.last()) {
                (Some(time), Some(place)) => (time + step_s, place + sign * speed * step_s),
                _ => (0.0, 0.0),
            };
            drive.time_s.push(time);
            drive.east_m.push(place);
            let read = if speed > 0.0 { (speed + self.noise_mps(step_s)).max(0.0) } else { 0.0 };
            drive.speed_mps.push(read);
            drive.run.push(pressed.then_some((number, east)));
        }
    }
}

/// Speeds of coasting, with what the story does to them.
fn coasted(
    first_mps: f64,
    last_mps: f64,
    step_s: f64,
    east: bool,
    gust_n: f64,
    story: Story,
) -> Vec<f64> {
    let sign = if east { 1.0 } else { -1.0 };
    let day = RunConditions {
        slope_sin: sign * DAY.slope_sin,
        air: Air { headwind_mps: sign * DAY.air.headwind_mps, all_round_mps: 0.0 },
        ..DAY
    };
    let load = Coefficients { f0_n: TRUTH.f0_n + gust_n, ..TRUTH };
    let times: Vec<f64> = (0..2_000).map(|i| f64::from(i) * step_s).collect();
    let curve = |first: f64| speed_curve(&load, &day, first, &times, &[]);
    let mut speeds: Vec<f64> = curve(first_mps).iter().map(|point| point.speed_mps).collect();
    if story == Story::Braked {
        let at = times.iter().take_while(|time| **time < 31.0).count();
        let mut speed = speeds[at];
        speeds.truncate(at);
        let mut braked_s = 0.0;
        while braked_s < 2.0 {
            speed -= 1.6 * step_s;
            speeds.push(speed);
            braked_s += step_s;
        }
        speeds.extend(curve(speed).iter().map(|point| point.speed_mps));
    }
    speeds.into_iter().take_while(|speed| *speed > last_mps).collect()
}

/// As an app on a phone writes it: byte order mark, `sep=`, units below the heading, decimal commas.
fn phone(drive: &Drive) -> String {
    let mut out =
        String::from("\u{feff}sep=;\r\nTime;Speed;Lat;Lon;Run;Direction\r\ns;km/h;°;°;;\r\n");
    let comma = |text: String| text.replace('.', ",");
    for i in 0..drive.time_s.len() {
        let Some((number, east)) = drive.run[i] else { continue };
        let longitude = WEST_DEG.1 + drive.east_m[i] / LONGITUDE_M;
        let line = format!(
            "{};{};{};{};{number};{}",
            comma(format!("{:.1}", drive.time_s[i])),
            comma(format!("{:.2}", 3.6 * drive.speed_mps[i])),
            comma(format!("{:.6}", WEST_DEG.0)),
            comma(format!("{longitude:.6}")),
            if east { "east" } else { "west" }
        );
        // A trailing separator on some rows, and a reading that never came.
        let line = if i % 41 == 0 { format!("{line};") } else { line };
        let line = if i % 97 == 96 {
            line.replacen(&comma(format!("{:.2}", 3.6 * drive.speed_mps[i])), "--", 1)
        } else {
            line
        };
        let _ = write!(out, "{line}\r\n");
    }
    out
}

/// As a logger writes it: lines about itself, milliseconds, miles an hour, one drive from end to end.
fn logger(drive: &Drive) -> String {
    let mut out = String::from(
        "Session log, firmware 2.11\nDriver: own notes\n\nTimestamp (ms),Speed (mph),Latitude,Longitude\n",
    );
    for i in 0..drive.time_s.len() {
        let longitude = WEST_DEG.1 + drive.east_m[i] / LONGITUDE_M;
        let speed = drive.speed_mps[i] / 0.447_04;
        let speed = if i % 211 == 210 { "NaN".to_owned() } else { format!("{speed:.1}") };
        let _ = writeln!(
            out,
            "{:.0},{speed},{:.6},{longitude:.6}",
            1e3 * (drive.time_s[i] + 52_310.5),
            WEST_DEG.0
        );
    }
    out
}

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "data-demo/dunlin/logs".to_owned());
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    let mut maker = Maker { random: Pcg64::seed_from_u64(SEED), memory_mps: 0.0 };
    let mut drive = Drive::default();
    let stories = [
        Story::Clean,
        Story::Clean,
        Story::Braked,
        Story::Clean,
        Story::Clean,
        Story::Clean,
        Story::GivenUp,
        Story::Clean,
    ];
    for (number, story) in (1..).zip(stories) {
        maker.run(&mut drive, 1.0, number, number % 2 == 1, story);
    }
    std::fs::write(folder.join("coastdown-phone.csv"), phone(&drive))?;
    let mut drive = Drive::default();
    for number in 1..=4 {
        maker.run(&mut drive, 0.5, number, number % 2 == 1, Story::Clean);
    }
    std::fs::write(folder.join("coastdown-logger.csv"), logger(&drive))
}
