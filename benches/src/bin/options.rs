//! Drives a thousand to a million options of the demo once over WLTC 3b, in memory, on all threads,
//! and prints a line of JSON for each number: time, and the most memory held so far. A number as the
//! only argument ends the row earlier: `options 10000`.

use std::process::ExitCode;
use std::time::Instant;

use crownwheel_benches::demo::Demo;
use crownwheel_benches::machine::{cpu, peak_memory_mb, rounded, threads};
use crownwheel_benches::options::{Kept, drive_options};

/// Numbers of options; each is ten times the one before.
const NUMBERS: [u32; 4] = [1_000, 10_000, 100_000, 1_000_000];

/// The largest number that is wanted.
fn most() -> Result<u32, String> {
    let Some(text) = std::env::args().nth(1) else { return Ok(NUMBERS[3]) };
    text.parse().map_err(|_| format!("`{text}` is no number of options: write one, such as 10000"))
}

/// Drives so many options: a line of JSON.
fn line(demo: &Demo, number: u32) -> Result<String, String> {
    let options = usize::try_from(number).map_err(|error| error.to_string())?;
    let start = Instant::now();
    let kept = drive_options(demo, options)?;
    let seconds = start.elapsed().as_secs_f64();
    let wh_per_km: Vec<f64> = kept.iter().map(Kept::wh_per_km).collect();
    let least = wh_per_km.iter().copied().fold(f64::INFINITY, f64::min);
    let most = wh_per_km.iter().copied().fold(0.0, f64::max);
    let line = serde_json::json!({
        "options": number,
        "seconds": rounded(seconds),
        "us_per_option": rounded(seconds * 1e6 / f64::from(number)),
        "ns_per_step_option": rounded(seconds * 1e9 / f64::from(number) / demo.steps()),
        "peak_memory_mb": peak_memory_mb().map(rounded),
        "least_wh_per_km": rounded(least),
        "most_wh_per_km": rounded(most),
        "threads": threads(),
        "cpu": cpu(),
    });
    Ok(line.to_string())
}

#[allow(clippy::print_stdout, reason = "a program whose answer is its lines")]
fn all() -> Result<(), String> {
    let most = most()?;
    let demo = Demo::load()?;
    for number in NUMBERS.into_iter().filter(|number| *number <= most) {
        println!("{}", line(&demo, number)?);
    }
    Ok(())
}

fn main() -> ExitCode {
    match all() {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}
