//! The server: one socket of this machine. A thread accepts connections and does nothing else; each of the
//! few that may be open has its own, which reads one request, answers it and closes.

use std::fmt;
use std::io::{ErrorKind, Read, Write};
use std::net::{Ipv4Addr, Shutdown, SocketAddr, TcpListener, TcpStream};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use crate::desk::{Desk, QuestionKind};
use crate::gate::{Denial, RequestHead, Resource, judge};
use crate::head;
use crate::page;
use crate::places::{Place, Places};
use crate::response::{CSS, HTML, JAVASCRIPT, Response};
use crate::site::Site;
use crate::timed::Timed;
use crate::token::Token;
use crate::{Engine, EngineRefusal};

/// Time to send a request, and time to take an answer. Engineer's judgement: a page of this machine needs
/// milliseconds.
const PATIENCE: Duration = Duration::from_secs(5);

/// Time to close after an answer.
const FAREWELL: Duration = Duration::from_secs(1);

/// Time to accept the connection that only wakes who accepts.
const WAKING: Duration = Duration::from_millis(500);

/// How often in a row a connection may fail to be accepted, and the pause after each. Together longer than
/// [`PATIENCE`]: what the system is short of, connections that end give back.
const MOST_FAILURES: usize = 200;
const PAUSE: Duration = Duration::from_millis(50);

/// Why the page cannot be served.
#[derive(Debug)]
#[non_exhaustive]
pub enum ServeError {
    /// The port is not to be had.
    Port {
        /// The port, 0 for any.
        port: u16,
        /// What the system says.
        reason: String,
    },
    /// The system gives no random numbers.
    NoChance {
        /// What it says.
        reason: String,
    },
    /// The build does not stand.
    Build(EngineRefusal),
    /// The socket broke.
    Socket {
        /// What the system says.
        reason: String,
    },
}

impl fmt::Display for ServeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ServeError::Port { port: 0, reason } => {
                write!(f, "no port of 127.0.0.1 is to be had: {reason}")
            }
            ServeError::Port { port, reason } => write!(
                f,
                "port {port} of 127.0.0.1 is not to be had: {reason}; name another, or leave --port out to take any that is free"
            ),
            ServeError::NoChance { reason } => {
                write!(f, "the system gives no random numbers for the address: {reason}")
            }
            ServeError::Build(refused) => {
                let texts: Vec<&str> = refused.messages.iter().map(|it| it.text.as_str()).collect();
                f.write_str(&texts.join("\n\n"))
            }
            ServeError::Socket { reason } => write!(f, "the socket broke: {reason}"),
        }
    }
}

impl std::error::Error for ServeError {}

/// The page, ready to be served.
pub struct Server {
    listener: TcpListener,
    address: SocketAddr,
    token: Token,
    places: Arc<Places>,
    site: Arc<Site>,
}

impl fmt::Debug for Server {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Server").field("address", &self.address).finish_non_exhaustive()
    }
}

/// Ends a [`Server`] from another thread.
#[derive(Clone)]
pub struct Stopper {
    address: SocketAddr,
    places: Arc<Places>,
}

impl fmt::Debug for Stopper {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Stopper").field("address", &self.address).finish_non_exhaustive()
    }
}

impl Stopper {
    /// Ends it: all connections are closed, and no request is taken any more.
    pub fn stop(&self) {
        self.places.close();
        // Who accepts sees it at the next connection. If this one finds no room, others are before it.
        let _ = TcpStream::connect_timeout(&self.address, WAKING);
    }
}

impl Server {
    /// Takes a port of 127.0.0.1, 0 for any that is free. `offered` are values to pick from, by key.
    ///
    /// # Errors
    /// The build does not stand, or the port is not to be had.
    pub fn new(
        engine: Arc<dyn Engine>,
        port: u16,
        offered: Vec<(String, Vec<String>)>,
    ) -> Result<Server, ServeError> {
        let site = Arc::new(Site::new(engine, offered).map_err(ServeError::Build)?);
        let token =
            Token::draw().map_err(|error| ServeError::NoChance { reason: error.to_string() })?;
        let taken = |error: std::io::Error| ServeError::Port { port, reason: error.to_string() };
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(taken)?;
        let address = listener.local_addr().map_err(taken)?;
        Ok(Server { listener, address, token, places: Arc::default(), site })
    }

    /// The address to open.
    #[must_use]
    pub fn address(&self) -> String {
        format!("http://{}/{}/", self.address, self.token.as_str())
    }

    /// What ends it.
    #[must_use]
    pub fn stopper(&self) -> Stopper {
        Stopper { address: self.address, places: Arc::clone(&self.places) }
    }

    /// Serves until it is stopped.
    ///
    /// # Errors
    /// The socket broke.
    pub fn run(&self) -> Result<(), ServeError> {
        let desk = Desk::open(&self.site);
        let ended = self.accept(&desk);
        self.places.close();
        desk.close();
        ended
    }

    fn accept(&self, desk: &Arc<Desk>) -> Result<(), ServeError> {
        let mut failures = 0;
        while !self.places.is_closed() {
            match self.listener.accept() {
                Ok((stream, _)) => {
                    failures = 0;
                    let Some(place) = self.places.take(stream) else { break };
                    let host = self.host(desk);
                    // Without a thread to serve it, it is closed.
                    let _ = thread::Builder::new().spawn(move || host.serve(&place));
                }
                Err(_) if failures < MOST_FAILURES => {
                    failures += 1;
                    thread::sleep(PAUSE);
                }
                Err(error) => return Err(ServeError::Socket { reason: error.to_string() }),
            }
        }
        Ok(())
    }

    fn host(&self, desk: &Arc<Desk>) -> Host {
        Host {
            port: self.address.port(),
            token: self.token.clone(),
            site: Arc::clone(&self.site),
            desk: Arc::clone(desk),
        }
    }
}

/// Who serves a connection.
struct Host {
    port: u16,
    token: Token,
    site: Arc<Site>,
    desk: Arc<Desk>,
}

impl Host {
    fn serve(&self, place: &Place) {
        let response = match head::read(&mut Timed::new(place.stream(), PATIENCE)) {
            Ok(Some(request)) if place.keep() => self.response(&request),
            Ok(_) => return,
            Err(denied) => denied.into(),
        };
        let bytes = response.bytes();
        let sent = Timed::new(place.stream(), PATIENCE).write_all(&bytes);
        if sent.is_ok() && place.idle() {
            farewell(place.stream());
        }
    }

    fn response(&self, request: &RequestHead) -> Response {
        match judge(request, self.port, &self.token) {
            Err(denied) => denied.into(),
            Ok(Resource::Page) => catch_unwind(AssertUnwindSafe(|| self.site.page()))
                .map_or_else(|_| Denial(500).into(), |page| Response::of(HTML, page)),
            Ok(Resource::Style) => Response::of(CSS, page::style()),
            Ok(Resource::Script) => Response::of(JAVASCRIPT, page::SCRIPT.to_owned()),
            Ok(Resource::Answer(of, query)) => self.desk.ask(QuestionKind::Answer, of, query),
            Ok(Resource::Bands(of, query)) => self.desk.ask(QuestionKind::Bands, of, query),
        }
    }
}

/// Closes, and for a moment throws away what comes after the head: a stream that is closed with something
/// unread takes the answer back that is on its way.
fn farewell(stream: &TcpStream) {
    if stream.shutdown(Shutdown::Write).is_err() {
        return;
    }
    let mut rest = Timed::new(stream, FAREWELL);
    let mut part = [0; 4096];
    loop {
        match rest.read(&mut part) {
            Ok(0) => return,
            Err(error) if error.kind() != ErrorKind::Interrupted => return,
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{Demo, PANIC};

    fn status(server: &Server, rest: &str) -> String {
        let mut stream = TcpStream::connect(server.address).unwrap();
        let (token, port) = (server.token.as_str(), server.address.port());
        let lines = [
            format!("GET /{token}/{rest} HTTP/1.1"),
            format!("Host: localhost:{port}"),
            "Connection: close".to_owned(),
            String::new(),
            String::new(),
        ];
        stream.write_all(lines.join("\r\n").as_bytes()).unwrap();
        let mut all = String::new();
        stream.read_to_string(&mut all).unwrap();
        all.split_whitespace().nth(1).unwrap_or_default().to_owned()
    }

    #[test]
    fn a_panic_ends_an_answer_and_not_the_server() {
        let server = Server::new(Arc::new(Demo("dunlin")), 0, Vec::new()).unwrap();
        let stopper = server.stopper();
        thread::scope(|scope| {
            let run = scope.spawn(|| server.run());
            assert_eq!(status(&server, "answer/1/1"), "200");
            for turn in 2..5 {
                assert_eq!(status(&server, &format!("answer/1/{turn}?{PANIC}")), "500");
            }
            assert_eq!(status(&server, "answer/1/9?driveline.axle.ratio=3.9"), "200");
            assert_eq!(status(&server, ""), "200");
            stopper.stop();
            assert!(run.join().unwrap().is_ok());
        });
    }
}
