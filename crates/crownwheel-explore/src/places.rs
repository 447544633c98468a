//! The connections that are open: so many at once and no more. When all places are taken, the next one gets
//! that of the first who came of those that keep the program waiting. Those that the program keeps waiting
//! keep their places: if all are of that kind, the next one waits.

use std::net::{Shutdown, TcpStream};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

/// Connections at once.
const MOST: usize = 32;

/// All places.
#[derive(Debug, Default)]
pub(crate) struct Places {
    open: Mutex<OpenPlaces>,
    changed: Condvar,
}

#[derive(Debug, Default)]
struct OpenPlaces {
    /// The longest taken first.
    taken: Vec<TakenPlace>,
    /// How many were ever taken.
    count: u64,
    closed: bool,
}

#[derive(Debug)]
struct TakenPlace {
    number: u64,
    stream: Arc<TcpStream>,
    state: State,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// The program waits for the other end.
    Idle,
    /// The other end waits for its answer.
    Answered,
    /// It was sent away.
    Leaving,
}

/// A place that is taken until it is dropped.
#[derive(Debug)]
pub(crate) struct Place {
    places: Arc<Places>,
    number: u64,
    stream: Arc<TcpStream>,
}

impl Places {
    /// A place for a connection, when there is one. `None`: there will be none any more.
    pub(crate) fn take(self: &Arc<Places>, stream: TcpStream) -> Option<Place> {
        let mut open = self.open();
        while !open.closed && open.taken.len() >= MOST {
            open.send_one_away();
            open = self.changed.wait(open).unwrap_or_else(PoisonError::into_inner);
        }
        if open.closed {
            return None;
        }
        let (number, stream) = (open.count, Arc::new(stream));
        open.count += 1;
        open.taken.push(TakenPlace { number, stream: Arc::clone(&stream), state: State::Idle });
        Some(Place { places: Arc::clone(self), number, stream })
    }

    /// Ends all connections. No other place is given.
    pub(crate) fn close(&self) {
        let mut open = self.open();
        open.closed = true;
        open.taken.iter_mut().for_each(TakenPlace::send_away);
        self.changed.notify_all();
    }

    pub(crate) fn is_closed(&self) -> bool {
        self.open().closed
    }

    fn open(&self) -> MutexGuard<'_, OpenPlaces> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl OpenPlaces {
    /// Unless one is on its way already.
    fn send_one_away(&mut self) {
        if self.taken.iter().any(|it| it.state == State::Leaving) {
            return;
        }
        if let Some(longest) = self.taken.iter_mut().find(|it| it.state == State::Idle) {
            longest.send_away();
        }
    }
}

impl TakenPlace {
    /// Who reads or writes there comes to an end at once.
    fn send_away(&mut self) {
        self.state = State::Leaving;
        let _ = self.stream.shutdown(Shutdown::Both);
    }
}

impl Place {
    pub(crate) fn stream(&self) -> &TcpStream {
        &self.stream
    }

    /// The other end waits for the program from now on, and keeps its place. False: it was sent away.
    pub(crate) fn keep(&self) -> bool {
        self.turn(State::Answered)
    }

    /// The program waits for the other end from now on.
    pub(crate) fn idle(&self) -> bool {
        self.turn(State::Idle)
    }

    fn turn(&self, state: State) -> bool {
        let mut open = self.places.open();
        let own = open.taken.iter_mut().find(|it| it.number == self.number);
        let own = own.filter(|it| it.state != State::Leaving);
        let turned = own.map(|it| it.state = state).is_some();
        self.places.changed.notify_all();
        turned
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.places.open().taken.retain(|it| it.number != self.number);
        self.places.changed.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::pair;
    use std::io::Read;
    use std::sync::mpsc::{RecvTimeoutError, channel};
    use std::thread;
    use std::time::Duration;

    /// All places, each with its far end.
    fn full(places: &Arc<Places>) -> Vec<(TcpStream, Place)> {
        let taken = (0..MOST).map(|_| {
            let (far, near) = pair();
            (far, places.take(near).unwrap())
        });
        taken.collect()
    }

    fn is_ended(far: &mut TcpStream) -> bool {
        far.set_read_timeout(Some(Duration::from_millis(50))).unwrap();
        far.read(&mut [0]).is_ok_and(|read| read == 0)
    }

    #[test]
    fn the_first_that_keeps_the_program_waiting_makes_room() {
        let places = Arc::default();
        let mut all = full(&places);
        assert!(all[0].1.keep() && all[1].1.keep() && all[1].1.idle());
        let (_far, near) = pair();
        let (mut ends, place) = all.remove(1);
        thread::scope(|scope| {
            scope.spawn(move || {
                // Who serves it reads until it is sent away.
                assert_eq!(place.stream().read(&mut [0]).unwrap(), 0);
                assert!(!place.keep() && !place.idle());
            });
            assert!(places.take(near).is_some());
        });
        assert!(is_ended(&mut ends));
        assert!(all.iter_mut().all(|(far, _)| !is_ended(far)));
    }

    #[test]
    fn those_that_wait_for_the_program_keep_their_places() {
        let places = Arc::default();
        let mut all = full(&places);
        assert!(all.iter().all(|(_, place)| place.keep()));
        let (_far, near) = pair();
        let (got, gets) = channel();
        thread::scope(|scope| {
            scope.spawn(|| got.send(places.take(near)).unwrap());
            let early = gets.recv_timeout(Duration::from_millis(300));
            assert_eq!(early.map(drop), Err(RecvTimeoutError::Timeout));
            assert!(all.iter_mut().all(|(far, _)| !is_ended(far)));
            drop(all.pop());
            assert!(gets.recv().unwrap().is_some());
        });
    }

    #[test]
    fn closing_ends_all_and_who_waits_for_a_place() {
        let places = Arc::default();
        let mut all = full(&places);
        assert!(all.iter().all(|(_, place)| place.keep()));
        let near = [pair(), pair()].map(|(_, near)| near);
        let [first, second] = near;
        thread::scope(|scope| {
            let waits = scope.spawn(|| places.take(first).is_none());
            thread::sleep(Duration::from_millis(100));
            places.close();
            assert!(waits.join().unwrap());
        });
        assert!(places.is_closed() && places.take(second).is_none());
        assert!(all.iter_mut().all(|(far, _)| is_ended(far)));
    }
}
