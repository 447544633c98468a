//! Whatever a file holds, reading it ends with a build or a report: no panic, no endless loop.

use crate::bench::{Bench, Demo};

/// A small generator of numbers, so that every run spoils the demo in the same places.
struct Numbers(u64);

impl Numbers {
    /// Knuth's constants for a 64-bit linear congruential generator (MMIX).
    fn next(&mut self, below: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap_or(0) % below
    }
}

const PIECES: [&str; 16] =
    ["", "\"", "[", "]", "{", "}", "=", "\n", "±", "..", "-", "1e999", "nan", ",", "\u{1}", "'''"];

fn spoiled(text: &str, numbers: &mut Numbers) -> String {
    let mut text = text.to_owned();
    for _ in 0..=numbers.next(3) {
        let mut start = numbers.next(text.len());
        let mut end = (start + numbers.next(12)).min(text.len());
        while !text.is_char_boundary(start) {
            start -= 1;
        }
        while !text.is_char_boundary(end) {
            end += 1;
        }
        text.replace_range(start..end, PIECES[numbers.next(PIECES.len())]);
    }
    text
}

#[test]
fn spoiled_files_end_with_a_build_or_a_report() {
    let mut numbers = Numbers(1967);
    for demo in Demo::ALL {
        let bench = Bench::of(demo);
        let mut refused = 0;
        for name in ["build.toml", "motor-curve.csv", "motor-losses.csv", "cell-cold.csv"] {
            if !bench.path(name).exists() {
                continue;
            }
            let text = bench.text(name);
            for _ in 0..100 {
                bench.write_bytes(name, spoiled(&text, &mut numbers).as_bytes());
                if let Err(report) = bench.load(&[]) {
                    assert!(!report.is_empty() && !report.to_string().is_empty());
                    refused += 1;
                }
            }
            bench.write_bytes(name, text.as_bytes());
        }
        assert!(refused > 50, "{demo:?}: {refused}");
    }
}

/// Files of megabytes that are made to be slow to refuse.
#[test]
fn long_rubbish_is_refused_soon() {
    let bench = Bench::demo();
    let lines = |line: fn(usize) -> String, count: usize| (0..count).map(line).collect::<String>();
    for (name, text) in [
        ("unknown keys", lines(|i| format!("k{i} = 1\n"), 50_000)),
        ("broken lines", "=\n".repeat(20_000)),
        ("one long key", format!("{} = 1\n", "k".repeat(1_000_000))),
        ("one long value", format!("[car]\nname = \"{}\"\n", "k".repeat(1_000_000))),
        ("parts without a mass", lines(|i| format!("[put_in.p{i}]\n"), 20_000)),
        ("a long list", format!("a = [{}]\n", "1,".repeat(500_000))),
    ] {
        bench.write_bytes("build.toml", text.as_bytes());
        let start = std::time::Instant::now();
        let report = bench.load(&[]).expect_err(name);
        assert!(report.problems().len() <= 120 && report.to_string().len() < 200_000, "{name}");
        // About a tenth of a second each, unoptimised and on a busy machine some more.
        assert!(start.elapsed().as_secs() < 20, "{name}: {:?}", start.elapsed());
    }
}
