//! How many threads compute: as many as there are cores, or as the environment says, within reason.

use std::env;
use std::num::NonZeroUsize;
use std::thread::available_parallelism;

use rayon::ThreadPoolBuilder;

use crate::outcome::{Failure, say};

/// Variables that say how many, the first that is set; the library of the threads reads them too.
const NAMES: [&str; 2] = ["RAYON_NUM_THREADS", "RAYON_RS_NUM_CPUS"];

/// Most threads of a core. More wait for each other, and a hundred thousand are never started.
const MOST_OF_A_CORE: usize = 4;

/// Holds the number of threads within what the machine can run. Nothing that is printed depends on it.
pub(crate) fn settle() -> Result<(), Failure> {
    let set = NAMES.iter().find_map(|name| Some((*name, env::var_os(name)?)));
    let Some((name, text)) = set else { return Ok(()) };
    let cores = available_parallelism().map_or(1, NonZeroUsize::get);
    match wanted(&text.to_string_lossy(), cores) {
        ThreadRequest::Within => Ok(()),
        ThreadRequest::NoNumber => {
            say(&format!(
                "{name} is no number of threads, so it is not used: write a whole number such as {name}={cores}"
            ));
            Ok(())
        }
        ThreadRequest::TooMany(most) => {
            say(&format!(
                "{name} asks for more than {MOST_OF_A_CORE} threads a core: {most} are used"
            ));
            let pool = ThreadPoolBuilder::new().num_threads(most).build_global();
            pool.map_err(|error| Failure::Failed(format!("cannot start {most} threads: {error}")))
        }
    }
}

/// What a variable asks for.
#[derive(Debug, PartialEq)]
enum ThreadRequest {
    Within,
    /// So many are enough.
    TooMany(usize),
    NoNumber,
}

fn wanted(text: &str, cores: usize) -> ThreadRequest {
    let digits = text.trim();
    if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return ThreadRequest::NoNumber;
    }
    let most = cores.saturating_mul(MOST_OF_A_CORE);
    // More digits than a number can have are a large number all the same.
    match digits.parse::<usize>() {
        Ok(threads) if threads <= most => ThreadRequest::Within,
        _ => ThreadRequest::TooMany(most),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn threads_are_held_to_four_a_core() {
        for within in ["0", "1", "8", " 3 "] {
            assert_eq!(wanted(within, 2), ThreadRequest::Within, "{within}");
        }
        for many in ["9", "100000", "99999999999999999999999999"] {
            assert_eq!(wanted(many, 2), ThreadRequest::TooMany(8), "{many}");
        }
        for none in ["", "many", "-1", "2.5", "1e3"] {
            assert_eq!(wanted(none, 2), ThreadRequest::NoNumber, "{none}");
        }
    }
}
