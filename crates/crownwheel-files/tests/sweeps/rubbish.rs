//! Long rubbish is refused soon. What short slips do stands in `tests/tests/suite/broken_input.rs`.

use crate::bench::Bench;

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
