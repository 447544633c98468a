//! Prints nanoseconds per step as JSON: the full model, the same with a driver, and the bare kernel,
//! in the same run.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crownwheel::cycle::Cycle;
use crownwheel::{Car, Day};
use crownwheel_benches::rate::step_rate;

/// The demo build, in the folder of this workspace.
fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-demo/dunlin/build.toml")
}

/// One line of JSON, or why there is none.
fn answer() -> Result<String, String> {
    let build = crownwheel_files::load(&demo(), &[]).map_err(|report| report.render(false))?;
    let car = Car::new(&build.car).map_err(|error| error.to_string())?;
    let day = build.days.first().ok_or("the demo has no day")?;
    let day = Day::new(day).map_err(|error| error.to_string())?;
    let cycle = Cycle::builtin("wltc3b").ok_or("no cycle wltc3b")?;
    let rate = step_rate(&car, &day, &cycle);
    let line = serde_json::json!({
        "scalar_ns_per_step": rate.scalar_ns,
        "driver_ns_per_step": rate.driver_ns,
        "bare_scalar_ns_per_step": rate.bare_scalar_ns,
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
