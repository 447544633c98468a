//! Whatever a sweep holds, reading it ends with a sweep or a report: no panic, no endless loop.

use crate::bench::Bench;

/// A small generator of numbers, so that every run spoils the sweep in the same places.
struct Numbers(u64);

impl Numbers {
    /// Knuth's constants for a 64-bit linear congruential generator (MMIX).
    fn next(&mut self, below: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap_or(0) % below
    }
}

const PIECES: [&str; 18] = [
    "", "\"", "[", "]", "{", "}", "=", "\n", "±", "..", "-", "1e999", "nan", ",", "\u{1}", "'''",
    "0", "set.",
];

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
fn spoiled_sweeps_end_with_a_sweep_or_a_report() {
    let mut numbers = Numbers(1971);
    for demo in ["dunlin", "petrel"] {
        let bench = Bench::of(demo);
        let text = std::fs::read_to_string(bench.path("sweep.toml")).unwrap();
        // Comments hide most slips.
        let bare: String = text
            .lines()
            .map(|line| line.split('#').next().unwrap_or_default().trim_end())
            .filter(|line| !line.is_empty())
            .map(|line| format!("{line}\n"))
            .collect();
        let mut refused = 0;
        for _ in 0..150 {
            bench.write("sweep.toml", &spoiled(&bare, &mut numbers));
            match bench.load(&[]) {
                Ok(sweep) => assert!(!sweep.space.is_empty()),
                Err(report) => {
                    assert!(!report.is_empty() && !report.to_string().is_empty());
                    refused += 1;
                }
            }
        }
        assert!(refused > 75, "{demo}: {refused}");
    }
}

/// Files of megabytes that are made to be slow to refuse.
#[test]
fn long_rubbish_is_refused_soon() {
    let lines = |line: fn(usize) -> String, count: usize| (0..count).map(line).collect::<String>();
    for (name, text) in [
        ("unknown keys", lines(|i| format!("k{i} = 1\n"), 50_000)),
        ("unknown varied keys", format!("[vary]\n{}", lines(|i| format!("k{i} = [1]\n"), 50_000))),
        ("groups without names", lines(|i| format!("[[choose.g{i}]]\n"), 20_000)),
        ("things of one name", "[[choose.g]]\nname = \"a\"\n".repeat(20_000)),
        ("bad values", format!("[vary]\npack.module_mass = [{}]\n", "1,".repeat(100_000))),
        ("a deep path", format!("[vary]\n{}x = [1]\n", "a.".repeat(50_000))),
    ] {
        let started = std::time::Instant::now();
        let bench = Bench::with(&text);
        let report = bench.load(&[]).unwrap_err();
        assert!(report.problems().len() <= 120, "{name}: {}", report.problems().len());
        assert!(started.elapsed().as_secs() < 20, "{name}: {:?}", started.elapsed());
    }
}
