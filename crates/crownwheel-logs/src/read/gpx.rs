//! GPX 1.0 and 1.1, as the schema says and as people have it.
//!
//! Only the local names of elements count, wherever they stand below a point, so versions,
//! namespaces and extensions are all one. A file that breaks off is read up to there.

use std::cell::Cell as Shared;
use std::io::{self, BufRead, BufReader, Read};
use std::rc::Rc;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::builder::{Builder, NO_VALUES, Row};
use super::cells::{self, Cell, DecimalMark};
use super::error::{LogError, LogProblem};
use super::stamp;
use crate::log::{Clock, Quantity};
use crate::repairs::RepairKind;

/// Most bytes between two tags: what is longer is no GPX, and would fill the memory.
const LONGEST_EVENT: u64 = 1 << 20;

pub(super) fn read(
    name: &str,
    reader: impl BufRead,
    builder: &mut Builder,
) -> Result<(), LogError> {
    let since_tag = Rc::new(Shared::new(0));
    let bounded = TagLimit { inner: LineCounter::new(reader), since_tag: Rc::clone(&since_tag) };
    let line = Rc::clone(&bounded.inner.line);
    let mut reader = Reader::from_reader(BufReader::with_capacity(1 << 13, bounded));
    // A tag that closes another one than was opened is no reason to lose the drive.
    reader.config_mut().check_end_names = false;
    reader.config_mut().allow_unmatched_ends = true;
    for quantity in [Quantity::Latitude, Quantity::Longitude] {
        builder.has(quantity);
    }
    builder.log.clock = if builder.as_route { Clock::None } else { Clock::Stamp };
    let mut state = State { line, ..State::default() };
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        let event = reader.read_event_into(&mut buffer);
        since_tag.set(0);
        match event {
            Ok(Event::Eof) => break,
            Ok(event) => state.take(&event, builder),
            Err(error) => {
                if state.points == 0 {
                    let problem = LogProblem::NoTrack { reason: error.to_string() };
                    return Err(LogError::new(name, state.line.get(), problem));
                }
                builder.count(RepairKind::CutOff, 1);
                return Ok(());
            }
        }
    }
    builder.count(RepairKind::CutOff, u64::from(state.point.is_some()));
    if state.points == 0 {
        return Err(LogError::new(name, 0, LogProblem::NoTrack { reason: String::new() }));
    }
    Ok(())
}

/// What stands around the reader.
#[derive(Default)]
struct State {
    line: Rc<Shared<usize>>,
    point: Option<Row>,
    /// The element whose text is read.
    reads: Option<Reads>,
    text: String,
    points: u64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reads {
    Elevation,
    Time,
    Speed,
}

impl State {
    fn take(&mut self, event: &Event<'_>, builder: &mut Builder) {
        match event {
            Event::Start(start) => self.open(start, builder),
            Event::Empty(start) => {
                self.open(start, builder);
                self.close(start.local_name().as_ref(), builder);
            }
            Event::End(end) => self.close(end.local_name().as_ref(), builder),
            Event::Text(text) if self.reads.is_some() => self.text.push_str(&text.xml10_content()),
            Event::CData(text) if self.reads.is_some() => self.text.push_str(&text.xml10_content()),
            _ => {}
        }
    }

    fn open(&mut self, start: &BytesStart<'_>, builder: &mut Builder) {
        self.text.clear();
        self.reads = None;
        match start.local_name().as_ref() {
            "trkpt" | "rtept" => self.point = Some(self.point_of(start, builder)),
            "trkseg" | "trk" | "rte" => builder.break_part(),
            "ele" => self.reads = Some(Reads::Elevation),
            "time" => self.reads = Some(Reads::Time),
            "speed" => self.reads = Some(Reads::Speed),
            _ => {}
        }
    }

    fn point_of(&self, start: &BytesStart<'_>, builder: &mut Builder) -> Row {
        let mut values = NO_VALUES;
        for attribute in start.attributes().with_checks(false).flatten() {
            let quantity = match attribute.key.as_ref() {
                "lat" => Quantity::Latitude,
                "lon" => Quantity::Longitude,
                _ => continue,
            };
            values[quantity.place()] = number(&attribute.value, builder);
        }
        Row { line: self.line.get(), time_s: f64::NAN, values }
    }

    fn close(&mut self, name: &str, builder: &mut Builder) {
        if let (Some(point), Some(reads)) = (&mut self.point, self.reads.take()) {
            let text = self.text.trim();
            match reads {
                Reads::Time => match stamp::parse(text) {
                    Some(time) if time.clock == Clock::Stamp => {
                        point.time_s = time.seconds;
                        if !time.zoned
                            && builder.log.repairs.count(RepairKind::StampsWithoutZone) == 0
                        {
                            builder.count(RepairKind::StampsWithoutZone, 1);
                        }
                    }
                    _ => builder.count(RepairKind::UnreadableCells, 1),
                },
                Reads::Elevation => {
                    builder.has(Quantity::Elevation);
                    point.values[Quantity::Elevation.place()] = number(text, builder);
                }
                Reads::Speed => {
                    builder.has(Quantity::Speed);
                    point.values[Quantity::Speed.place()] = number(text, builder);
                }
            }
        }
        if matches!(name, "trkpt" | "rtept")
            && let Some(point) = self.point.take()
        {
            self.points += 1;
            builder.push(point);
        }
    }
}

fn number(text: &str, builder: &mut Builder) -> f64 {
    match cells::number(text.trim(), DecimalMark::Unknown) {
        Cell::Number { value, unit: "", .. } => value,
        Cell::Empty | Cell::NoValue => {
            builder.count(RepairKind::NoValueCells, 1);
            f64::NAN
        }
        _ => {
            builder.count(RepairKind::UnreadableCells, 1);
            f64::NAN
        }
    }
}

/// Refuses to read on when too much was read since the last tag.
struct TagLimit<R> {
    inner: R,
    since_tag: Rc<Shared<u64>>,
}

impl<R: Read> Read for TagLimit<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.since_tag.get() > LONGEST_EVENT {
            return Err(io::Error::other("there is no tag for a million bytes"));
        }
        let count = self.inner.read(buffer)?;
        let read = u64::try_from(count).unwrap_or(u64::MAX);
        self.since_tag.set(self.since_tag.get().saturating_add(read));
        Ok(count)
    }
}

/// Counts lines as they go by. The reader looks ahead, so the count is right to a few lines.
struct LineCounter<R> {
    inner: R,
    line: Rc<Shared<usize>>,
}

impl<R> LineCounter<R> {
    fn new(inner: R) -> Self {
        Self { inner, line: Rc::new(Shared::new(1)) }
    }
}

impl<R: Read> Read for LineCounter<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.inner.read(buffer)?;
        let ends = buffer[..count].iter().filter(|byte| **byte == b'\n').count();
        self.line.set(self.line.get() + ends);
        Ok(count)
    }
}
