//! Prints nanoseconds per step as JSON: the full model and the bare kernel, in the same run.

use std::process::ExitCode;

use crownwheel::cycle::Cycle;
use crownwheel::example::{mild_day, small_saloon};
use crownwheel::{Car, Day};
use crownwheel_benches::rate::step_rate;

#[allow(clippy::print_stdout, reason = "a program whose answer is one line")]
fn main() -> ExitCode {
    let (Ok(car), Ok(day)) = (Car::new(&small_saloon()), Day::new(&mild_day())) else {
        return ExitCode::FAILURE;
    };
    let Some(cycle) = Cycle::builtin("wltc3b") else { return ExitCode::FAILURE };
    let rate = step_rate(&car, &day, &cycle);
    let answer = serde_json::json!({
        "scalar_ns_per_step": rate.scalar_ns,
        "bare_scalar_ns_per_step": rate.bare_scalar_ns,
    });
    println!("{answer}");
    ExitCode::SUCCESS
}
