//! Prints what the bands of each demo cost, fitted and driven, and how far the fitted ones lie off; `worlds 500 wren`
//! draws so many worlds of one demo.

use std::num::NonZeroUsize;
use std::process::ExitCode;

use crownwheel::unsure::USUAL_WORLDS;
use crownwheel_benches::worlds::{DEMOS, compare};

/// Worlds if nobody says how many.
const USUAL: NonZeroUsize = NonZeroUsize::new(USUAL_WORLDS).unwrap();

#[allow(clippy::print_stdout, reason = "a program whose answer is a few lines")]
fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    let count = args.next().and_then(|text| text.parse().ok()).unwrap_or(USUAL);
    let only = args.next();
    for demo in DEMOS.into_iter().filter(|demo| only.as_ref().is_none_or(|only| only == demo)) {
        let found = match compare(demo, count) {
            Ok(found) => found,
            Err(why) => {
                eprintln!("{why}");
                return ExitCode::FAILURE;
            }
        };
        let over = found.off.iter().filter(|(off, _)| *off > 0.03).count();
        let [fast, slow] = found.seconds;
        println!(
            "{demo}: {fast:.2} s of processor time fitted, {slow:.2} driven; {over} of {} quantiles off by more than 3 % of the band",
            found.off.len()
        );
        for (off, what) in found.off.iter().take(12) {
            println!("  {:.1} %  {what}", 100.0 * off);
        }
    }
    ExitCode::SUCCESS
}
