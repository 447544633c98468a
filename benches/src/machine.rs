//! What the machine is, as far as it tells.

use serde_json::Value;

/// Name of the processor, or its family where the system does not say.
#[must_use]
pub fn cpu() -> String {
    let told = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let name = told.lines().find_map(|line| line.strip_prefix("model name"));
    let name = name.and_then(|rest| rest.split_once(':')).map(|(_, name)| name.trim().to_owned());
    name.unwrap_or_else(|| std::env::consts::ARCH.to_owned())
}

/// Instruction sets of the machine that matter here; the batch runs with the last that it knows.
#[must_use]
pub fn target_features() -> Vec<&'static str> {
    #[cfg(target_arch = "x86_64")]
    {
        let all = [
            ("sse2", std::is_x86_feature_detected!("sse2")),
            ("avx", std::is_x86_feature_detected!("avx")),
            ("avx2", std::is_x86_feature_detected!("avx2")),
            ("fma", std::is_x86_feature_detected!("fma")),
            ("avx512f", std::is_x86_feature_detected!("avx512f")),
        ];
        all.into_iter().filter(|(_, there)| *there).map(|(name, _)| name).collect()
    }
    #[cfg(not(target_arch = "x86_64"))]
    {
        vec![std::env::consts::ARCH]
    }
}

/// Threads that the machine runs at once.
#[must_use]
pub fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

/// Processor time of this process so far, in its own code, s; 0 where the system does not say.
#[must_use]
pub fn processor_seconds() -> f64 {
    /// Ticks of the clock that Linux counts processes by, 1/s.
    const TICKS: f64 = 100.0;
    let told = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // Behind the name, which may have spaces in it: the twelfth.
    let behind = told.rsplit_once(')').map_or("", |(_, rest)| rest);
    let ticks: Option<f64> = behind.split_whitespace().nth(11).and_then(|it| it.parse().ok());
    ticks.unwrap_or(0.0) / TICKS
}

/// Most memory that this process held so far, MB (10^6 bytes). `None` where the system does not say.
#[must_use]
pub fn peak_memory_mb() -> Option<f64> {
    let told = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = told.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kibibytes: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kibibytes * 1024.0 / 1e6)
}

/// A number with as many digits as a timing deserves.
#[must_use]
pub fn rounded(number: f64) -> Value {
    Value::from((number * 1000.0).round() / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_machine_has_a_name_and_a_thread() {
        assert!(!cpu().is_empty() && threads() >= 1 && !target_features().is_empty());
    }

    #[test]
    fn peak_memory_grows_with_what_is_held() {
        let Some(before_mb) = peak_memory_mb() else { return };
        let held = std::hint::black_box(vec![1_u8; 200_000_000]);
        let grown_mb = peak_memory_mb().unwrap() - before_mb;
        assert!(held.len() == 200_000_000 && grown_mb > 100.0, "{grown_mb} MB");
    }
}
