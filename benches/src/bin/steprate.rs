//! Prints nanoseconds per step as JSON: the full model alone, with a driver and in a batch, and the
//! bare kernel alone and side by side, in the same run.

use std::process::ExitCode;

use crownwheel_benches::demo::Demo;
use crownwheel_benches::machine::{cpu, rounded, target_features, threads};
use crownwheel_benches::rate::{BATCH_OPTIONS, step_rate};

/// One line of JSON, or why there is none.
fn answer() -> Result<String, String> {
    let rate = step_rate(&Demo::load()?)?;
    let line = serde_json::json!({
        "scalar_ns_per_step": rounded(rate.scalar_ns),
        "driver_ns_per_step": rounded(rate.driver_ns),
        "batch_ns_per_step_option": rounded(rate.batch_ns),
        "ready_ns_per_step_option": rounded(rate.ready_ns),
        "bare_scalar_ns_per_step": rounded(rate.bare_scalar_ns),
        "bare_batch_ns_per_step_option": rounded(rate.bare_batch_ns),
        "bare_batch_width": rate.bare_width,
        "scalar_over_bare": rounded(rate.scalar_ns / rate.bare_scalar_ns),
        "batch_over_bare": rounded(rate.batch_ns / rate.bare_batch_ns),
        "scalar_over_batch": rounded(rate.scalar_ns / rate.batch_ns),
        "batch_options": BATCH_OPTIONS,
        "threads": threads(),
        "two_thread_gain": rounded(rate.two_thread_gain),
        "cpu": cpu(),
        "target_features": target_features(),
    });
    Ok(line.to_string())
}

#[allow(clippy::print_stdout, reason = "a program whose answer is one line")]
fn main() -> ExitCode {
    match answer() {
        Ok(line) => {
            println!("{line}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}
