//! Long rubbish is refused soon. What short slips do stands in `tests/tests/suite/broken_input.rs`.

use crate::bench::Bench;

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
