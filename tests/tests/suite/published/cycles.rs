//! Drive cycles: duration, distance, top speed, and the checksums of the WLTC.

use crownwheel::constants::METRE_PER_MILE;
use crownwheel::cycle::{BUILTIN_NAMES, Cycle, builtin_text};
use crownwheel_testkit::tolerance::{ROUNDING_REL, half_of_last_digit};
use crownwheel_testkit::{Table, assert_close};

const MPS_PER_KMH: f64 = 1.0 / 3.6;
const MPS_PER_MPH: f64 = METRE_PER_MILE / 3600.0;

/// A published summary: cycle, seconds, distance and top speed as printed.
struct Summary {
    name: &'static str,
    duration_s: f64,
    distance: &'static str,
    top: &'static str,
}

fn check(summary: &Summary, distance_unit_m: f64, speed_unit_mps: f64) {
    let Summary { name, duration_s, distance, top } = *summary;
    let cycle = Cycle::builtin(name).expect(name);
    assert_close!(cycle.duration_s(), duration_s, abs = 1e-9, rel = 0.0, "{name}");
    let found = cycle.distance_m() / distance_unit_m;
    let half = half_of_last_digit(distance) * 1.000_001;
    assert_close!(found, distance.parse().unwrap(), abs = half, rel = 0.0, "{name}");
    let top_speed = cycle.top_speed_mps() / speed_unit_mps;
    assert_close!(top_speed, top.parse().unwrap(), abs = 0.0, rel = ROUNDING_REL, "{name}");
}

/// Source: 40 CFR Part 86 Appendix I(a) and (g), 40 CFR Part 600 Appendix I. The summary of US06 says
/// 596 s and leaves out the last seconds at rest; the table runs to 600 s.
#[test]
fn american_cycles() {
    for summary in [
        Summary { name: "udds", duration_s: 1369.0, distance: "7.45", top: "56.7" },
        Summary { name: "hwfet", duration_s: 765.0, distance: "10.26", top: "59.9" },
        Summary { name: "us06", duration_s: 600.0, distance: "8.01", top: "80.3" },
    ] {
        check(&summary, METRE_PER_MILE, MPS_PER_MPH);
    }
    let us06 = Cycle::builtin("us06").unwrap();
    let last_moving = us06.legs().iter().rposition(|leg| leg.target_mps > 0.0).unwrap();
    // Leg i ends at second i + 1.
    assert!(last_moving + 1 < 596, "the summary leaves out only seconds at rest");
}

/// Source: Regulation (EU) 2017/1151, Annex XXI, Sub-Annex 1. Class 3b prints distance and top speed;
/// of the others the distance is the printed checksum over 3600, the top speed is our own.
#[test]
fn worldwide_cycles() {
    for summary in [
        Summary { name: "wltc3b", duration_s: 1800.0, distance: "23.266", top: "131.3" },
        Summary { name: "wltc3a", duration_s: 1800.0, distance: "23.194", top: "131.3" },
        Summary { name: "wltc2", duration_s: 1800.0, distance: "22.649", top: "123.1" },
        Summary { name: "wltc1", duration_s: 1611.0, distance: "11.428", top: "64.4" },
    ] {
        check(&summary, 1000.0, MPS_PER_KMH);
    }
}

/// Source: UN Regulation 83, Annex 4a. It prints 4 x 1.013 + 6.955 = 11.007 km; straight lines between
/// its operations give 0.06 % more.
#[test]
fn european_cycle() {
    check(
        &Summary { name: "nedc", duration_s: 1180.0, distance: "11.013", top: "120" },
        1000.0,
        MPS_PER_KMH,
    );
    let distance_km = Cycle::builtin("nedc").unwrap().distance_m() / 1000.0;
    assert_close!(distance_km, 11.007, abs = 0.0, rel = 0.000_7);
}

/// Phase name and printed checksum: the sum of the speeds at whole seconds, km/h.
type Phase = (&'static str, u32, f64);

/// Source: Regulation (EU) 2017/1151, Annex XXI, Sub-Annex 1, Table A1/13.
const CHECKSUMS: &[(&str, &[Phase])] = &[
    (
        "wltc3b",
        &[
            ("low", 589, 11_140.3),
            ("medium", 433, 17_121.2),
            ("high", 455, 25_782.2),
            ("extra_high", 323, 29_714.9),
        ],
    ),
    (
        "wltc3a",
        &[
            ("low", 589, 11_140.3),
            ("medium", 433, 16_995.7),
            ("high", 455, 25_646.0),
            ("extra_high", 323, 29_714.9),
        ],
    ),
    (
        "wltc2",
        &[
            ("low", 589, 11_162.2),
            ("medium", 433, 17_054.3),
            ("high", 455, 24_450.6),
            ("extra_high", 323, 28_869.8),
        ],
    ),
    ("wltc1", &[("low", 589, 11_988.4), ("medium", 433, 17_162.8), ("low_2", 589, 11_988.4)]),
];

/// Phase of each whole second from 1 on, from the embedded file.
fn phases(name: &str) -> Vec<&'static str> {
    let rows = builtin_text(name).unwrap().lines().filter(|line| !line.starts_with('#'));
    rows.skip(2).map(|line| line.rsplit(',').next().unwrap()).collect()
}

/// The legs of the cycle, not the text, are summed: leg `i` ends at second `i + 1`.
#[test]
fn checksums_of_the_worldwide_phases() {
    for (name, printed) in CHECKSUMS {
        let (cycle, phases) = (Cycle::builtin(name).unwrap(), phases(name));
        assert_eq!(cycle.legs().len(), phases.len(), "{name}");
        let mut total_kmh = 0.0;
        for (phase, seconds, checksum_kmh) in *printed {
            let of_phase: Vec<f64> = cycle
                .legs()
                .iter()
                .zip(&phases)
                .filter(|(_, its_phase)| *its_phase == phase)
                .map(|(leg, _)| leg.target_mps / MPS_PER_KMH)
                .collect();
            assert_eq!(of_phase.len(), *seconds as usize, "{name} {phase}");
            let sum_kmh: f64 = of_phase.iter().sum();
            assert_close!(sum_kmh, *checksum_kmh, abs = 1e-6, rel = 0.0, "{name} {phase}");
            total_kmh += sum_kmh;
        }
        let from_distance_kmh = cycle.distance_m() / 1000.0 * 3600.0;
        assert_close!(total_kmh, from_distance_kmh, abs = 1e-6, rel = 0.0, "{name}");
    }
}

/// Source: UN Regulation 83, part two of the European cycle; break points in `eudc.csv`. The last
/// 400 s of the embedded cycle are the same trace.
#[test]
fn the_extra_urban_part_is_in_the_european_cycle() {
    let cycle = Cycle::builtin("nedc").unwrap();
    let mut speed_kmh_at_end = vec![0.0];
    speed_kmh_at_end.extend(cycle.legs().iter().map(|leg| leg.target_mps / MPS_PER_KMH));
    for row in Table::read(include_str!("../../../data/eudc.csv")).rows() {
        let second: usize = row.text("t_s").parse().unwrap();
        let speed_kmh = speed_kmh_at_end[780 + second];
        assert_close!(speed_kmh, row.number("v_km_h"), abs = 1e-9, rel = 0.0, "{row:?}");
    }
}

/// Every built-in cycle carries the lines that say where it is from.
#[test]
fn every_cycle_names_its_source() {
    for name in BUILTIN_NAMES {
        let text = builtin_text(name).unwrap();
        for word in ["# Standard and clause:", "# Licence status:", "# How obtained:"] {
            assert!(text.contains(word), "{name} lacks {word}");
        }
    }
}
