//! The page with sliders as a program on a socket.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::bench::crownwheel;

/// How long a test waits for what must come.
pub(crate) const PATIENCE: Duration = Duration::from_secs(120);

/// The page, served until it is dropped.
pub(crate) struct Page {
    program: Child,
    pub(crate) port: u16,
    pub(crate) token: String,
}

impl Page {
    pub(crate) fn of(args: &[&str]) -> Page {
        let mut program = crownwheel()
            .arg("explore")
            .args(args)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(program.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
        let address = line.split_whitespace().find(|word| word.starts_with("http://"));
        let rest = address.unwrap_or_else(|| panic!("no address: {line}"));
        let rest = rest.strip_prefix("http://127.0.0.1:").unwrap();
        let (port, token) = rest.trim_end_matches('/').split_once('/').unwrap();
        assert!(line.contains("Ctrl-C closes it"), "{line}");
        Page { program, port: port.parse().unwrap(), token: token.to_owned() }
    }

    pub(crate) fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    /// A connection on which nothing was said.
    pub(crate) fn open(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream
    }

    /// Sends a request as it stands, and gives head and body.
    pub(crate) fn said(&self, request: &str) -> (String, String) {
        let mut stream = self.open();
        stream.write_all(request.as_bytes()).unwrap();
        parted(&mut stream)
    }

    pub(crate) fn get(&self, rest: &str) -> (String, String) {
        self.said(&self.good(rest))
    }

    /// A request that is answered.
    pub(crate) fn good(&self, rest: &str) -> String {
        let (token, host) = (&self.token, self.host());
        format!("GET /{token}/{rest} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")
    }

    pub(crate) fn id(&self) -> u32 {
        self.program.id()
    }

    pub(crate) fn asked(&self, what: &str, number: u32, sets: &[(&str, &str)]) -> (String, String) {
        let query: Vec<String> =
            sets.iter().map(|(key, value)| format!("{key}={}", encoded(value))).collect();
        self.get(&format!("{what}/1/{number}?{}", query.join("&")))
    }

    pub(crate) fn answer(&self, sets: &[(&str, &str)]) -> Value {
        let (head, body) = self.asked("answer", 1, sets);
        assert!(head.starts_with("HTTP/1.1 200"), "{head}");
        serde_json::from_str(&body).unwrap()
    }

    /// Ends it by a signal; its exit code and what it said.
    pub(crate) fn ended(mut self, signal: &str) -> (Option<i32>, String) {
        let id = self.id().to_string();
        assert!(Command::new("kill").args([signal, &id]).status().unwrap().success());
        let start = Instant::now();
        let status = loop {
            match self.program.try_wait().unwrap() {
                Some(status) => break status,
                None if start.elapsed() > PATIENCE => panic!("it does not end"),
                None => sleep(Duration::from_millis(10)),
            }
        };
        let mut said = String::new();
        self.program.stderr.take().unwrap().read_to_string(&mut said).unwrap();
        (status.code(), said)
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

/// Head and body of what is answered until the connection is closed.
pub(crate) fn parted(stream: &mut TcpStream) -> (String, String) {
    let mut all = String::new();
    stream.read_to_string(&mut all).unwrap();
    let (head, body) = all.split_once("\r\n\r\n").unwrap_or((&all, ""));
    (head.to_owned(), body.to_owned())
}

/// Everything but letters and digits by its number.
fn encoded(text: &str) -> String {
    text.bytes()
        .map(|byte| match byte {
            b'0'..=b'9' | b'a'..=b'z' | b'A'..=b'Z' => char::from(byte).to_string(),
            other => format!("%{other:02X}"),
        })
        .collect()
}

pub(crate) fn status(head: &str) -> &str {
    head.split_whitespace().nth(1).unwrap_or_default()
}
