//! Three hundred logs with something broken in each: every one is read or refused, none is a panic,
//! none is an endless loop, and what is read can be driven.

use std::path::Path;

use crownwheel_logs::audit::{AuditOptions, audit};
use crownwheel_logs::read::read_log_from;
use crownwheel_logs::trip::{CycleAxis, route, trip};
use crownwheel_logs::{Log, ReadOptions};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::Rng;

/// Pieces that logs are broken with.
const PIECES: [&[u8]; 24] = [
    b"",
    b";",
    b",",
    b"\t",
    b"\n",
    b"\r",
    b"\"",
    b"'",
    b"NaN",
    b"-",
    b"OFF",
    b"1e400",
    b"-0.0",
    b"\0",
    b"\xff\xfe",
    b"9999999999999999",
    b"2024-13-45T99:99:99Z",
    b"<trkpt lat=\"91\" lon=\"x\">",
    b"</trkseg>",
    b"<!--",
    b"&#0;",
    b"]]>",
    b"sep=\xe2",
    b"12:30",
];

fn sources() -> Vec<Vec<u8>> {
    let logs = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo/dunlin/logs");
    let names = ["moor-round.gpx", "moor-round-phone.csv", "finished-car.csv"];
    names
        .map(|name| {
            // The first minutes are enough to break, and quick to read.
            let bytes = std::fs::read(logs.join(name)).unwrap();
            bytes[..bytes.len().min(40_000)].to_vec()
        })
        .to_vec()
}

fn below(random: &mut Pcg64Mcg, limit: usize) -> usize {
    usize::try_from(random.next_u32()).unwrap() % limit.max(1)
}

/// One to twelve changes: bytes flipped, pieces put in, lines repeated, left out, swapped, cut.
fn mutated(source: &[u8], random: &mut Pcg64Mcg) -> Vec<u8> {
    let mut bytes = source.to_vec();
    for _ in 0..1 + below(random, 12) {
        // Half of the changes hit the beginning, where headings are.
        let reach =
            if random.next_u32().is_multiple_of(2) { 400.min(bytes.len()) } else { bytes.len() };
        let at = below(random, reach);
        let to = (at + 1 + below(random, 200)).min(bytes.len());
        match below(random, 7) {
            0 if !bytes.is_empty() => bytes[at] ^= 1 << below(random, 8),
            1 => {
                let piece = PIECES[below(random, PIECES.len())];
                bytes.splice(at..at, piece.iter().copied());
            }
            2 => bytes.truncate(at.max(1)),
            3 => {
                bytes.drain(at..to);
            }
            4 => {
                let again = bytes[at..to].to_vec();
                bytes.splice(at..at, again);
            }
            5 => {
                let piece = PIECES[below(random, PIECES.len())];
                bytes.splice(at..to, piece.iter().copied());
            }
            _ => bytes.reverse_range(at, to),
        }
    }
    bytes
}

trait ReverseRange {
    fn reverse_range(&mut self, from: usize, to: usize);
}

impl ReverseRange for Vec<u8> {
    fn reverse_range(&mut self, from: usize, to: usize) {
        self[from..to].reverse();
    }
}

/// What holds for every log that was read.
fn check(log: &Log) {
    let covered: usize = log.parts.iter().map(|part| part.rows.len()).sum();
    assert_eq!(covered, log.len());
    for part in &log.parts {
        let times = &log.time_s[part.rows.clone()];
        assert!(times.iter().all(|time| time.is_finite()));
        let rises = times.windows(2).all(|pair| pair[0] < pair[1]);
        assert!(rises || log.clock == crownwheel_logs::log::Clock::None);
    }
}

#[test]
fn three_hundred_broken_logs_are_read_or_refused() {
    let sources = sources();
    let build = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo/dunlin");
    let build = crownwheel_files::load(&build, &[]).unwrap();
    let mut random = Pcg64Mcg::new(0x000b_1a5e_d10c_5eed);
    let (mut read, mut refused, mut driven) = (0, 0, 0);
    for k in 0..300 {
        let bytes = mutated(&sources[k % sources.len()], &mut random);
        let options = ReadOptions { as_route: k % 11 == 10, ..ReadOptions::default() };
        let log = match read_log_from("broken", bytes.as_slice(), &options) {
            Ok(log) => log,
            Err(error) => {
                assert!(error.to_string().contains("help"), "{error}");
                refused += 1;
                continue;
            }
        };
        read += 1;
        check(&log);
        let made = if options.as_route { route(&log, 15.0) } else { trip(&log) };
        let Ok(made) = made else { continue };
        driven += 1;
        assert!(made.time_s.windows(2).all(|pair| pair[0] < pair[1]), "log {k}");
        made.cycle().unwrap_or_else(|error| panic!("log {k}: {error}"));
        for along in [CycleAxis::Time, CycleAxis::Distance] {
            let folder = tempfile::tempdir().unwrap();
            let path = folder.path().join("cycle.csv");
            std::fs::write(&path, made.cycle_csv(along)).unwrap();
            crownwheel_files::cycle_file::read(&path, 1 << 26)
                .unwrap_or_else(|error| panic!("log {k}: {error}"));
        }
        if k % 9 == 2 {
            let _ = audit(&log, &build, &build.days[0], &AuditOptions::default());
        }
    }
    // The corpus must break things, and not everything.
    assert!(read > 100 && refused > 20 && driven > 80, "{read} {refused} {driven}");
}

/// Ten million bytes of rows in a few buffers' worth of memory: the rows that are kept are bounded,
/// whatever the length of the file.
#[test]
fn a_long_log_keeps_a_bounded_number_of_rows() {
    let rows = 300_000_u32;
    let options = ReadOptions { most_rows: 10_000, ..ReadOptions::default() };
    let log =
        read_log_from("long.csv", Endless { next: 0, rows, line: Vec::new() }, &options).unwrap();
    assert!(log.len() <= 10_000 && log.len() > 5_000, "{}", log.len());
    let thinned = log.repairs.count(crownwheel_logs::RepairKind::Thinned);
    assert_eq!(thinned + u64::try_from(log.len()).unwrap(), u64::from(rows));
    assert!((log.time_s[log.len() - 1] - f64::from(rows) * 0.1).abs() < 10.0);
    let made = trip(&log).unwrap();
    assert!((made.length_m() / (f64::from(rows) * 0.1 * 15.0) - 1.0).abs() < 0.01);
}

/// A log that is made while it is read.
struct Endless {
    next: u32,
    rows: u32,
    line: Vec<u8>,
}

impl std::io::Read for Endless {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        if self.line.is_empty() {
            self.line = match self.next {
                0 => b"time_s,speed_kmh,pack_voltage_v\n".to_vec(),
                n if n > self.rows => return Ok(0),
                n => format!("{:.1},54.00,132.5\n", f64::from(n) * 0.1).into_bytes(),
            };
            self.next += 1;
        }
        let count = self.line.len().min(buffer.len());
        buffer[..count].copy_from_slice(&self.line[..count]);
        self.line.drain(..count);
        Ok(count)
    }
}
