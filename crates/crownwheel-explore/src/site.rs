//! The page and its answers, without the server around it.

use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant, SystemTime};

use crownwheel_answers::sweep::{DemandLimit, DemandMet};
use crownwheel_answers::text::{clean, clean_lines};
use crownwheel_answers::{PullAnswer, RangeAnswer, WeighAnswer, json};
use crownwheel_quantities::Demand;
use crownwheel_sweep::result::limits;
use serde::Serialize;
use serde_json::{Map, Value, json};

use crate::answers::{Answers, Memory};
use crate::control::{Control, controls};
use crate::engine::{BandedAnswers, Engine, EngineRefusal, Message, Reading};
use crate::moves::{Moves, typed_sets};
use crate::page;
use crate::parts::{View, parts};

/// A file that was written less than this ago may not be whole.
const SETTLED: Duration = Duration::from_millis(150);

/// How often a build is read again that changes while it is read.
const READINGS: usize = 4;

/// The page of a build.
pub(crate) struct Site {
    engine: Arc<dyn Engine>,
    offered: Vec<(String, Vec<String>)>,
    memory: Memory,
    /// The build as it last stood.
    last: Mutex<Arc<Reading>>,
}

/// The unmoved build, the moved one, and what is asked.
struct PageQuery {
    before: Arc<Reading>,
    now: Arc<Reading>,
    moves: Moves,
}

impl Site {
    pub(crate) fn new(
        engine: Arc<dyn Engine>,
        offered: Vec<(String, Vec<String>)>,
    ) -> Result<Site, EngineRefusal> {
        let first = Arc::new(engine.read(&[])?);
        Ok(Site { engine, offered, memory: Memory::default(), last: Mutex::new(first) })
    }

    /// The page. Of a build that no longer stands, with the controls of the last one that did.
    pub(crate) fn page(&self) -> String {
        let reading = self.unmoved().unwrap_or_else(|_| self.last());
        let controls = self.controls(&reading);
        page::page(&reading, &controls, self.engine.worlds())
    }

    /// The nominal answer to a query, as JSON.
    pub(crate) fn answer(&self, query: &str) -> Value {
        let begun = Instant::now();
        let answered = self.asked(query).map(|asked| self.view(&asked, None));
        self.told(query, answered, begun)
    }

    /// The same with bands. `None`: it is no longer wanted.
    pub(crate) fn bands(&self, query: &str, wanted: &dyn Fn() -> bool) -> Option<Value> {
        let begun = Instant::now();
        let banded = self.asked(query).and_then(|asked| {
            let banded = self.engine.bands(&asked.moves.sets, asked.moves.day, wanted)?;
            Ok(banded.map(|banded| self.view(&asked, Some(&banded))))
        });
        match banded {
            Ok(None) => None,
            Ok(Some(answered)) => Some(self.told(query, Ok(answered), begun)),
            Err(refused) => Some(self.told(query, Err(refused), begun)),
        }
    }

    fn controls(&self, reading: &Reading) -> Vec<Control> {
        controls(reading, &self.offered)
    }

    fn last(&self) -> Arc<Reading> {
        Arc::clone(&self.last.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// The build as it is now, without any move.
    fn unmoved(&self) -> Result<Arc<Reading>, EngineRefusal> {
        self.last().files.iter().for_each(|file| settle(file));
        let reading = Arc::new(self.engine.read(&[])?);
        *self.last.lock().unwrap_or_else(PoisonError::into_inner) = Arc::clone(&reading);
        Ok(reading)
    }

    /// Both builds, made from the same file.
    fn asked(&self, query: &str) -> Result<PageQuery, EngineRefusal> {
        for _ in 0..READINGS {
            let before = self.unmoved()?;
            let moves = Moves::read(query, &before, &self.controls(&before))?;
            if moves.sets.is_empty() {
                return Ok(PageQuery { now: Arc::clone(&before), before, moves });
            }
            let now = self.engine.read(&moves.sets)?;
            let file =
                |reading: &Reading| reading.build.inputs.first().map(|it| Arc::clone(&it.bytes));
            if file(&now) == file(&before) {
                return Ok(PageQuery { before, now: Arc::new(now), moves });
            }
        }
        let text = "The build changes all the time: it is read again at the next move.";
        Err(EngineRefusal::of("", text.to_owned()))
    }

    /// What is told of an answer.
    fn view(&self, asked: &PageQuery, banded: Option<&BandedAnswers>) -> Map<String, Value> {
        let PageQuery { before, now, moves } = asked;
        let of = |reading: &Reading| self.memory.answers(reading, moves.day, moves.speed_kmh);
        let view = View {
            before: of(before),
            now: of(now),
            moved: !moves.sets.is_empty(),
            banded,
            units: now.subject.units,
            speed_kmh: moves.speed_kmh,
            worlds: self.engine.worlds(),
        };
        let controls = self.controls(before).into_iter().filter(Control::is_there);
        let own = controls.map(|control| (control.key, Value::from(control.own)));
        let parts = parts(&view).into_iter();
        let parts = parts.map(|(name, part)| (name.to_owned(), Value::from(part.into_string())));
        let mut told = Map::from_iter([
            ("build".to_owned(), Value::from(&*before.subject.provenance.inputs_hash)),
            ("own".to_owned(), own.collect::<Map<_, _>>().into()),
            ("parts".to_owned(), parts.collect::<Map<_, _>>().into()),
        ]);
        if let Ok(Value::Object(numbers)) = json::value(&Numbers::of(&view), view.units) {
            told.extend(numbers);
        }
        told
    }

    /// With the command that asks the same, and how long it took.
    fn told(
        &self,
        query: &str,
        answered: Result<Map<String, Value>, EngineRefusal>,
        begun: Instant,
    ) -> Value {
        let mut told = answered.unwrap_or_else(|refused| {
            let message = |message: Message| {
                let sentences: Vec<String> = message.sentences.iter().map(|it| clean(it)).collect();
                json!({
                    "key": clean(&message.key),
                    "text": clean_lines(&message.text),
                    "sentences": sentences,
                })
            };
            let messages: Vec<Value> = refused.messages.into_iter().map(message).collect();
            Map::from_iter([("refused".to_owned(), Value::from(messages))])
        });
        let command = self.engine.command(&typed_sets(query));
        told.insert("command".to_owned(), Value::from(command));
        let took_ms = begun.elapsed().as_secs_f64() * 1e3;
        told.insert("took_ms".to_owned(), json!((10.0 * took_ms).round() / 10.0));
        Value::Object(told)
    }
}

/// The numbers of the page, with the keys of the command line's JSON. The long lists of `pull` are left
/// out, and its table has one line, that of the steady speed.
#[derive(Serialize)]
struct Numbers<'a> {
    range: RangeAnswer,
    weigh: &'a WeighAnswer,
    pull: PullAnswer,
    demand_limits: Vec<DemandLimit>,
    /// With bands only.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    demands: &'a [DemandMet],
}

impl<'a> Numbers<'a> {
    fn of(view: &'a View<'_>) -> Numbers<'a> {
        let Answers { weigh, steady, at_speed, demands, .. } = &view.now;
        let (range, pull) = (view.range(), view.pull());
        let demands: Vec<Demand> = demands.iter().map(|it| it.demand.clone()).collect();
        Numbers {
            range: RangeAnswer { steady: steady.to_vec(), ..range.clone() },
            weigh,
            pull: PullAnswer {
                table: at_speed.iter().cloned().collect(),
                at_less_charge: Vec::new(),
                run: Vec::new(),
                ..pull.clone()
            },
            demand_limits: limits(&demands),
            demands: view.banded.map_or(&[], |banded| &banded.demands),
        }
    }
}

/// Waits until a file is not quite new, so that who writes it has time to end.
fn settle(path: &Path) {
    for _ in 0..READINGS {
        let written = path.metadata().and_then(|about| about.modified()).ok();
        let age = written.and_then(|written| SystemTime::now().duration_since(written).ok());
        match age.and_then(|age| SETTLED.checked_sub(age)) {
            Some(left) => thread::sleep(left),
            None => return,
        }
    }
}
