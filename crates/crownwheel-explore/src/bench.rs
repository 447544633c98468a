//! For tests: the demo cars, read as the command line reads them, and a connection.

use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::Path;

use crownwheel::cycle::Cycle;
use crownwheel::{Car, Day};
use crownwheel_answers::from_car::{RangeRequest, Subject};
use crownwheel_answers::{Provenance, Units};
use crownwheel_files::Set;

use crate::engine::{BandedAnswers, Engine, EngineRefusal, Reading};

/// A demo; a setting of tyres with this mark makes it panic.
pub(crate) struct Demo(pub(crate) &'static str);

pub(crate) const PANIC: &str = "tyres.size=panic";

impl Engine for Demo {
    fn read(&self, sets: &[String]) -> Result<Reading, EngineRefusal> {
        assert!(!sets.iter().any(|set| set == PANIC), "as the test wants it");
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../data-demo").join(self.0);
        let parsed: Vec<Set> = sets.iter().filter_map(|set| Set::parse(set)).collect();
        let build = crownwheel_files::load(&path, &parsed)
            .map_err(|report| EngineRefusal::from(&report))?;
        let subject = Subject {
            car: Car::new(&build.car).unwrap(),
            days: build.days.iter().map(|day| Day::new(day).unwrap()).collect(),
            provenance: Provenance { inputs_hash: sets.join("\n"), ..Provenance::default() },
            assumed: Vec::new(),
            notes: Vec::new(),
            warnings: Vec::new(),
            lines_to_add: Vec::new(),
            units: Units::Metric,
        };
        let asked = RangeRequest {
            cycles: vec![Cycle::builtin("udds").unwrap()],
            days: (0..build.days.len()).collect(),
            steady_kmh: Vec::new(),
            ..RangeRequest::default()
        };
        Ok(Reading { files: Vec::new(), hills: Vec::new(), asked, build, subject })
    }

    fn bands(
        &self,
        _: &[String],
        _: usize,
        _: &dyn Fn() -> bool,
    ) -> Result<Option<BandedAnswers>, EngineRefusal> {
        Ok(None)
    }

    fn command(&self, sets: &[String]) -> String {
        sets.join(" ")
    }

    fn worlds(&self) -> usize {
        1
    }
}

/// A demo as it is.
pub(crate) fn demo(name: &'static str) -> Reading {
    Demo(name).read(&[]).unwrap()
}

/// Both ends of a connection.
pub(crate) fn pair() -> (TcpStream, TcpStream) {
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
    let far = TcpStream::connect(listener.local_addr().unwrap()).unwrap();
    (far, listener.accept().unwrap().0)
}
