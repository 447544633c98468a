//! Where questions wait for the engine: one thread answers moves and one draws bands. What a later move of
//! the same page took over is not answered any more.

use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

use serde_json::Value;

use crate::gate::{Denial, Move};
use crate::response::{JSON, Response};
use crate::site::Site;

/// Pages whose last move is remembered.
const MOST_PAGES: usize = 64;

/// What a question is about, and the thread that answers it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum QuestionKind {
    Answer,
    Bands,
}

/// A question that waits.
#[derive(Debug)]
struct Question {
    about: QuestionKind,
    of: Move,
    query: String,
    /// Dropped without a word, the question is taken over.
    reply: Sender<Response>,
}

/// Both threads and what waits for them.
pub(crate) struct Desk {
    site: Arc<Site>,
    waiting: Mutex<WaitingQueue>,
    changed: Condvar,
}

#[derive(Debug, Default)]
struct WaitingQueue {
    questions: VecDeque<Question>,
    latest: LatestMoves,
    closed: bool,
}

impl Desk {
    /// With its threads; they end when it is closed and what they do is done.
    pub(crate) fn open(site: &Arc<Site>) -> Arc<Desk> {
        let waiting = Mutex::default();
        let desk = Arc::new(Desk { site: Arc::clone(site), waiting, changed: Condvar::new() });
        for about in [QuestionKind::Answer, QuestionKind::Bands] {
            let desk = Arc::clone(&desk);
            thread::spawn(move || desk.work(about));
        }
        desk
    }

    /// Waits for an answer. At most as many wait as there are connections.
    pub(crate) fn ask(&self, about: QuestionKind, of: Move, query: String) -> Response {
        let (reply, answer) = channel();
        self.put(Question { about, of, query, reply });
        answer.recv().unwrap_or_else(|_| Denial(204).into())
    }

    /// Whoever waits leaves without an answer.
    pub(crate) fn close(&self) {
        let mut waiting = self.waiting();
        waiting.closed = true;
        waiting.questions.clear();
        self.changed.notify_all();
    }

    fn put(&self, question: Question) {
        let mut waiting = self.waiting();
        waiting.latest.heard(question.of);
        waiting.questions.push_back(question);
        let WaitingQueue { questions, latest, closed } = &mut *waiting;
        questions.retain(|it| !*closed && latest.is(it.of));
        self.changed.notify_all();
    }

    fn work(&self, about: QuestionKind) {
        while let Some(Question { of, query, reply, .. }) = self.next(about) {
            // What a panic left behind is only what was remembered, and that is put there whole.
            let answer = catch_unwind(AssertUnwindSafe(|| self.answer(about, of, &query)));
            let response = match answer {
                Ok(Some(answer)) => Response::of(JSON, answer.to_string()),
                Ok(None) => Denial(204).into(),
                Err(_) => Denial(500).into(),
            };
            // Who asked may have left.
            let _ = reply.send(response);
        }
    }

    /// The next question, when there is one. `None`: there will be none any more.
    fn next(&self, about: QuestionKind) -> Option<Question> {
        let mut waiting = self.waiting();
        loop {
            if waiting.closed {
                return None;
            }
            if let Some(at) = waiting.questions.iter().position(|it| it.about == about) {
                return waiting.questions.remove(at);
            }
            waiting = self.changed.wait(waiting).unwrap_or_else(PoisonError::into_inner);
        }
    }

    fn answer(&self, about: QuestionKind, of: Move, query: &str) -> Option<Value> {
        match about {
            QuestionKind::Answer => Some(self.site.answer(query)),
            QuestionKind::Bands => self.site.bands(query, &|| self.is_wanted(of)),
        }
    }

    fn is_wanted(&self, of: Move) -> bool {
        let waiting = self.waiting();
        !waiting.closed && waiting.latest.is(of)
    }

    fn waiting(&self) -> MutexGuard<'_, WaitingQueue> {
        self.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The last move of each page.
#[derive(Debug, Default)]
struct LatestMoves(Vec<Move>);

impl LatestMoves {
    fn heard(&mut self, of: Move) {
        let known = self.0.iter().position(|it| it.page == of.page);
        let last = known.map_or(of, |at| self.0.remove(at));
        if self.0.len() >= MOST_PAGES {
            self.0.remove(0);
        }
        self.0.push(Move { number: last.number.max(of.number), ..of });
    }

    /// Whether no later move of the page was heard of.
    fn is(&self, of: Move) -> bool {
        self.0.iter().all(|it| it.page != of.page || it.number <= of.number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::Demo;
    use std::sync::mpsc::{Receiver, TryRecvError};

    fn of(page: u64, number: u64) -> Move {
        Move { page, number }
    }

    #[test]
    fn a_later_move_of_the_same_page_takes_over() {
        let mut latest = LatestMoves::default();
        latest.heard(of(1, 5));
        latest.heard(of(2, 1));
        assert!(latest.is(of(1, 5)) && latest.is(of(2, 1)));
        // One that comes late does not turn the clock back.
        latest.heard(of(1, 7));
        latest.heard(of(1, 6));
        assert!(!latest.is(of(1, 5)) && !latest.is(of(1, 6)) && latest.is(of(1, 7)));
        assert!(latest.is(of(2, 1)));
        // Of many pages those that were heard of last are known.
        (100..100 + 2 * 64).for_each(|page| latest.heard(of(page, 9)));
        assert!(latest.0.len() <= MOST_PAGES);
    }

    /// A desk that nobody works at.
    fn unmanned() -> Desk {
        let site = Site::new(Arc::new(Demo("dunlin")), Vec::new()).unwrap();
        Desk { site: Arc::new(site), waiting: Mutex::default(), changed: Condvar::new() }
    }

    fn put(desk: &Desk, about: QuestionKind, of: Move) -> Receiver<Response> {
        let (reply, answer) = channel();
        desk.put(Question { about, of, query: String::new(), reply });
        answer
    }

    #[test]
    fn what_is_taken_over_need_not_wait_for_its_turn() {
        let desk = unmanned();
        let waits = |answer: &Receiver<Response>| answer.try_recv() == Err(TryRecvError::Empty);
        let other = put(&desk, QuestionKind::Bands, of(2, 1));
        let first = put(&desk, QuestionKind::Bands, of(1, 5));
        assert!(waits(&first));
        let second = put(&desk, QuestionKind::Answer, of(1, 6));
        assert!(!waits(&first) && waits(&second) && waits(&other));
        let late = put(&desk, QuestionKind::Answer, of(1, 4));
        assert!(!waits(&late) && waits(&second) && waits(&other));
        assert_eq!(desk.next(QuestionKind::Answer).unwrap().of, of(1, 6));
        assert_eq!(desk.next(QuestionKind::Bands).unwrap().of, of(2, 1));
        assert!(desk.is_wanted(of(1, 6)) && !desk.is_wanted(of(1, 5)));
        desk.close();
        let closed = put(&desk, QuestionKind::Answer, of(1, 7));
        assert!(!waits(&closed) && desk.next(QuestionKind::Answer).is_none());
        assert!(!desk.is_wanted(of(1, 7)));
    }
}
