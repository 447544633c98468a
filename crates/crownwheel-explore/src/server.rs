//! The server: one socket on this machine, a thread that answers moves and one that draws bands.

use std::fmt;
use std::net::{Ipv4Addr, TcpListener};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use tiny_http::{Header, Request, Response, StatusCode};

use crate::gate::{Denied, Incoming, Move, Wanted, judge};
use crate::page;
use crate::site::Site;
use crate::token::Token;
use crate::{Engine, Refused};

/// Questions that wait at most.
const MOST_WAITING: usize = 64;

/// Pages whose last move is remembered.
const MOST_PAGES: usize = 64;

/// Everything comes from the page's own address, and nothing is kept, framed or sent elsewhere.
const HEADERS: [(&str, &str); 7] = [
    (
        "Content-Security-Policy",
        "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src data:; \
         base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    ),
    ("X-Content-Type-Options", "nosniff"),
    ("X-Frame-Options", "DENY"),
    ("Referrer-Policy", "no-referrer"),
    ("Cache-Control", "no-store"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
];

const HTML: &str = "text/html; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const JAVASCRIPT: &str = "text/javascript; charset=utf-8";
const JSON: &str = "application/json";

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
    Build(Refused),
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
    http: Arc<tiny_http::Server>,
    port: u16,
    token: Token,
    stopped: Arc<AtomicBool>,
    site: Arc<Site>,
}

impl fmt::Debug for Server {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Server").field("port", &self.port).finish_non_exhaustive()
    }
}

/// Ends a [`Server`] from another thread.
#[derive(Clone)]
pub struct Stopper {
    http: Arc<tiny_http::Server>,
    stopped: Arc<AtomicBool>,
}

impl fmt::Debug for Stopper {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Stopper").field("stopped", &self.stopped).finish_non_exhaustive()
    }
}

impl Stopper {
    /// Ends it: no request is taken any more.
    pub fn stop(&self) {
        self.stopped.store(true, Ordering::SeqCst);
        self.http.unblock();
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
        let taken =
            |reason: &dyn fmt::Display| ServeError::Port { port, reason: reason.to_string() };
        let listener =
            TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(|error| taken(&error))?;
        let own = listener.local_addr().map_err(|error| taken(&error))?.port();
        let http =
            tiny_http::Server::from_listener(listener, None).map_err(|error| taken(&error))?;
        Ok(Server { http: Arc::new(http), port: own, token, stopped: Arc::default(), site })
    }

    /// The address to open.
    #[must_use]
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.token.as_str())
    }

    /// What ends it.
    #[must_use]
    pub fn stopper(&self) -> Stopper {
        Stopper { http: Arc::clone(&self.http), stopped: Arc::clone(&self.stopped) }
    }

    /// Serves until it is stopped.
    ///
    /// # Errors
    /// The socket broke.
    pub fn run(&self) -> Result<(), ServeError> {
        let latest = Arc::new(Latest::default());
        let answers = worker(&self.site, &latest, |site, query, _| Some(site.answer(query)));
        let bands = worker(&self.site, &latest, Site::bands);
        loop {
            let request = match self.http.recv() {
                Ok(request) => request,
                Err(_) if self.stopped.load(Ordering::SeqCst) => return Ok(()),
                Err(error) => return Err(ServeError::Socket { reason: error.to_string() }),
            };
            match judge(&incoming(&request), self.port, &self.token) {
                Err(denied) => deny(request, denied),
                Ok(Wanted::Page) => match catch_unwind(AssertUnwindSafe(|| self.site.page())) {
                    Ok(page) => give(request, HTML, page),
                    Err(_) => deny(request, Denied(500)),
                },
                Ok(Wanted::Style) => give(request, CSS, page::style()),
                Ok(Wanted::Script) => give(request, JAVASCRIPT, page::SCRIPT.to_owned()),
                Ok(Wanted::Answer(of, query)) => {
                    latest.heard(of);
                    queue(&answers, Question { request, of, query });
                }
                Ok(Wanted::Bands(of, query)) => {
                    latest.heard(of);
                    queue(&bands, Question { request, of, query });
                }
            }
        }
    }
}

/// A question that waits for its worker.
struct Question {
    request: Request,
    of: Move,
    query: String,
}

fn queue(worker: &SyncSender<Question>, question: Question) {
    if let Err(error) = worker.try_send(question) {
        use std::sync::mpsc::TrySendError::{Disconnected, Full};
        let (Full(question) | Disconnected(question)) = error;
        deny(question.request, Denied(503));
    }
}

/// A thread that answers one question after the other, and drops those that a later move took over.
fn worker(
    site: &Arc<Site>,
    latest: &Arc<Latest>,
    answer: fn(&Site, &str, &dyn Fn() -> bool) -> Option<serde_json::Value>,
) -> SyncSender<Question> {
    let (sender, questions): (SyncSender<Question>, Receiver<Question>) =
        sync_channel(MOST_WAITING);
    let (site, latest) = (Arc::clone(site), Arc::clone(latest));
    thread::spawn(move || {
        for Question { request, of, query } in questions {
            let wanted = || latest.is(of);
            // What a panic left behind is only what was remembered, and that is put there whole.
            let work = || wanted().then(|| answer(&site, &query, &wanted)).flatten();
            match catch_unwind(AssertUnwindSafe(work)) {
                Ok(Some(told)) => give(request, JSON, told.to_string()),
                Ok(None) => deny(request, Denied(204)),
                Err(_) => deny(request, Denied(500)),
            }
        }
    });
    sender
}

/// The last move of each page.
#[derive(Debug, Default)]
struct Latest(Mutex<Vec<Move>>);

impl Latest {
    fn heard(&self, of: Move) {
        let mut moves = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let known = moves.iter().position(|it| it.page == of.page);
        let last = known.map_or(of, |at| moves.remove(at));
        if moves.len() >= MOST_PAGES {
            moves.remove(0);
        }
        moves.push(Move { number: last.number.max(of.number), ..of });
    }

    /// Whether no later move of the page was heard of.
    fn is(&self, of: Move) -> bool {
        let moves = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        moves.iter().all(|it| it.page != of.page || it.number <= of.number)
    }
}

fn incoming(request: &Request) -> Incoming {
    let header = |header: &Header| {
        let name = header.field.as_str().as_str().to_ascii_lowercase();
        (name, header.value.as_str().to_owned())
    };
    Incoming {
        method: request.method().as_str().to_owned(),
        address: request.url().to_owned(),
        headers: request.headers().iter().map(header).collect(),
    }
}

fn give(request: Request, kind: &str, body: String) {
    let mut response = Response::from_data(body);
    add(&mut response, &[("Content-Type", kind)]);
    send(request, response);
}

/// A status and nothing else.
fn deny(request: Request, Denied(status): Denied) {
    let mut response = Response::from_data(Vec::new()).with_status_code(StatusCode(status));
    if status == 405 {
        add(&mut response, &[("Allow", "GET")]);
    }
    send(request, response);
}

fn send(request: Request, mut response: Response<std::io::Cursor<Vec<u8>>>) {
    add(&mut response, &HEADERS);
    // With its length, however long it is. Who asked may have left.
    let _ = request.respond(response.with_chunked_threshold(usize::MAX));
}

fn add(response: &mut Response<std::io::Cursor<Vec<u8>>>, headers: &[(&str, &str)]) {
    for (name, value) in headers {
        if let Ok(header) = Header::from_bytes(name.as_bytes(), value.as_bytes()) {
            response.add_header(header);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{Demo, PANIC};
    use std::io::{Read, Write};
    use std::net::TcpStream;

    fn status(server: &Server, rest: &str) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", server.port)).unwrap();
        let (token, port) = (server.token.as_str(), server.port);
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

    #[test]
    fn a_later_move_of_the_same_page_takes_over() {
        let latest = Latest::default();
        let of = |page, number| Move { page, number };
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
        assert!(latest.0.lock().unwrap().len() <= MOST_PAGES);
    }

    #[test]
    fn every_header_can_be_sent() {
        for (name, value) in HEADERS.iter().chain(&[("Allow", "GET"), ("Content-Type", HTML)]) {
            assert!(Header::from_bytes(name.as_bytes(), value.as_bytes()).is_ok(), "{name}");
        }
    }
}
