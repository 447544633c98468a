//! Counts instructions per step with valgrind, which must be installed: the same program runs under
//! it with few and with many passes, and the difference is what the passes took. Counts do not depend
//! on what else the machine does.

use std::hint::black_box;
use std::process::{Command, ExitCode};

use crownwheel::batch::WIDTH;
use crownwheel::lane::Lane;
use crownwheel::ready::Ready;
use crownwheel_benches::bare::{BareCar, BareLanes};
use crownwheel_benches::demo::Demo;
use crownwheel_benches::machine::rounded;
use crownwheel_benches::options::start;
use crownwheel_benches::rate::speed_trace;
use crownwheel_benches::sides::{batch_pass, scalar_pass};

/// Passes of the short and the long run.
const PASSES: [u32; 2] = [1, 5];

/// What can be counted, and the cars that one pass drives.
const SIDES: [(&str, u32); 4] =
    [("scalar", 1), ("batch", 8), ("bare_scalar", 1), ("bare_batch", 8)];

/// Drives one side so many times: the run that is counted.
fn drive(side: &str, passes: &str) -> Result<(), String> {
    let passes: u32 = passes.parse().map_err(|_| format!("`{passes}` is no number of passes"))?;
    let demo = Demo::load()?;
    let start = start(&demo);
    let alone = Ready::new(&demo.car, &demo.day);
    let options = (0..WIDTH).map(|i| demo.option(i)).collect::<Result<Vec<Ready>, _>>()?;
    let cars = std::array::from_fn(|i| &options[i]);
    let trace = speed_trace(&demo.cycle);
    let bare = black_box(BareCar::small_saloon());
    for _ in 0..passes {
        black_box(match side {
            "scalar" => scalar_pass(&alone.view(), start, &demo.cycle).balance.sum.from_pack_j,
            "batch" => batch_pass(cars, start, &demo.cycle).balance.sum.from_pack_j.lane(0),
            "bare_scalar" => bare.drive(0.9, &trace, 1.0),
            "bare_batch" => BareLanes::of(&[bare; WIDTH]).drive(0.9, &trace, 1.0)[0],
            other => return Err(format!("`{other}` is no side")),
        });
    }
    Ok(())
}

/// Instructions of one run of this program.
fn counted(side: &str, passes: u32) -> Result<f64, String> {
    let program = std::env::current_exe().map_err(|error| error.to_string())?;
    let run = Command::new("valgrind")
        .args(["--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null"])
        .arg(program)
        .args([side, &passes.to_string()])
        .output()
        .map_err(|error| format!("valgrind is needed, and could not be started: {error}"))?;
    let said = String::from_utf8_lossy(&run.stderr);
    let line = said.lines().find(|line| line.contains("refs:"));
    let digits: String =
        line.and_then(|line| line.split("refs:").nth(1)).unwrap_or_default().replace(',', "");
    digits.trim().parse().map_err(|_| format!("valgrind said no number of instructions:\n{said}"))
}

/// One line of JSON: instructions per step and car of each side.
fn counts() -> Result<String, String> {
    let steps = Demo::load()?.steps();
    let mut answer = serde_json::Map::new();
    for (side, cars) in SIDES {
        let more = counted(side, PASSES[1])? - counted(side, PASSES[0])?;
        let per_step = more / f64::from(PASSES[1] - PASSES[0]) / steps / f64::from(cars);
        answer.insert(format!("{side}_instructions_per_step_option"), rounded(per_step));
    }
    Ok(serde_json::Value::Object(answer).to_string())
}

#[allow(clippy::print_stdout, reason = "a program whose answer is one line")]
fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let done = match args.as_slice() {
        [] => counts().map(|line| println!("{line}")),
        [side, passes] => drive(side, passes),
        _ => Err("no arguments are needed".to_owned()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}
