//! `explore` among clients that want to freeze, crash or bloat it.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::thread;
use std::time::{Duration, Instant};

use crate::bench::dunlin;
use crate::page::{Page, parted, status};

/// Far more than the time for a request or an answer, 5 s, and far less than that for many of them one
/// after the other.
const SOON: Duration = Duration::from_secs(20);

/// The page goes on, and nobody waits for those who are slow.
fn is_answered(page: &Page) {
    let start = Instant::now();
    let (head, body) = page.get("page.css");
    assert_eq!(status(&head), "200");
    assert!(body.len() > 1000 && start.elapsed() < SOON, "{:?}", start.elapsed());
}

/// Sends a request and then `more` as often as it is taken, at most 64 MB; head and body of the answer.
fn poured(page: &Page, request: &str, more: &str) -> (String, String) {
    let mut stream = page.open();
    stream.write_all(request.as_bytes()).unwrap();
    let mut pours = stream.try_clone().unwrap();
    let part = more.repeat((1 << 20) / more.len());
    let pouring = thread::spawn(move || (0..64).all(|_| pours.write_all(part.as_bytes()).is_ok()));
    let mut all = Vec::new();
    // A connection that is cut while it pours may end with an error, behind the answer.
    let _ = stream.read_to_end(&mut all);
    pouring.join().unwrap();
    let all = String::from_utf8(all).unwrap();
    let (head, body) = all.split_once("\r\n\r\n").unwrap();
    (head.to_owned(), body.to_owned())
}

/// Connections with a request that has no end.
fn half_open(page: &Page, count: usize) -> Vec<TcpStream> {
    let streams = (0..count).map(|_| {
        let mut stream = page.open();
        // It may have been closed already in favour of the next one.
        let _ = stream.write_all(b"GET / HTTP/1.1\r\nHost: ");
        stream
    });
    streams.collect()
}

/// Most memory that the program ever had, MB.
#[cfg(target_os = "linux")]
fn most_memory_mb(page: &Page) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{}/status", page.id())).unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap();
    line.split_whitespace().next().unwrap().parse::<u64>().unwrap() / 1024
}

/// It has some 25 MB when it has answered a few moves.
#[cfg(target_os = "linux")]
fn is_lean(page: &Page) {
    let most = most_memory_mb(page);
    assert!(most < 50, "{most} MB");
}

#[cfg(not(target_os = "linux"))]
fn is_lean(_: &Page) {}

/// Files and connections that are open.
#[cfg(target_os = "linux")]
fn open_files(page: &Page) -> usize {
    std::fs::read_dir(format!("/proc/{}/fd", page.id())).unwrap().count()
}

#[test]
fn a_body_is_not_waited_for_whatever_its_length() {
    let page = Page::of(&[&dunlin()]);
    let own = format!("/{}/", page.token);
    for length in ["99999999999", "100000000000", "2000", "99999999999999999999999"] {
        for (address, code) in [("/", "403"), (own.as_str(), "405")] {
            let host = page.host();
            let head =
                format!("POST {address} HTTP/1.1\r\nHost: {host}\r\nContent-Length: {length}");
            let mut stream = page.open();
            stream.write_all(format!("{head}\r\n\r\n").as_bytes()).unwrap();
            is_answered(&page);
            let (head, body) = parted(&mut stream);
            assert_eq!((status(&head), body.as_str()), (code, ""), "{length}");
            assert!(head.contains("Connection: close"), "{head}");
        }
    }
    // One that comes is thrown away.
    let head = format!("POST {own} HTTP/1.1\r\nHost: {}\r\nContent-Length: 67108864", page.host());
    let (head, body) = poured(&page, &format!("{head}\r\n\r\n"), "x");
    assert_eq!((status(&head), body.as_str()), ("405", ""));
    is_answered(&page);
    is_lean(&page);
}

#[test]
fn a_head_without_an_end_is_refused() {
    let page = Page::of(&[&dunlin()]);
    let line = format!("GET /{}/ HTTP/1.1\r\nHost: {}\r\n", page.token, page.host());
    for (begun, more, code) in [
        (format!("{line}X-Long: "), "x", "431"),
        (line, "X-Many: x\r\n", "431"),
        (format!("GET /{}/?", page.token), "a=b&", "414"),
    ] {
        let (head, body) = poured(&page, &begun, more);
        assert_eq!((status(&head), body.as_str()), (code, ""), "{more}");
        is_answered(&page);
    }
    is_lean(&page);
}

#[test]
fn who_is_slow_to_ask_is_not_waited_for() {
    let page = Page::of(&[&dunlin()]);
    let mut silent = page.open();
    let mut slow = page.open();
    let mut dribbles = slow.try_clone().unwrap();
    let dribbling = thread::spawn(move || {
        let bytes = b"GET / HTTP/1.1\r\nX: ".iter().chain(std::iter::repeat(&b'x'));
        let taken = bytes.take_while(|byte| {
            thread::sleep(Duration::from_millis(100));
            dribbles.write_all(&[**byte]).is_ok()
        });
        taken.count()
    });
    let start = Instant::now();
    let mut answer = Vec::new();
    let _ = slow.read_to_end(&mut answer);
    let head = String::from_utf8(answer).unwrap();
    assert_eq!(status(&head), "408");
    assert_eq!(silent.read(&mut [0]).unwrap(), 0);
    assert!(start.elapsed() < SOON, "{:?}", start.elapsed());
    drop(slow);
    assert!(dribbling.join().unwrap() > 0);
    is_answered(&page);
}

#[test]
fn half_open_connections_make_room() {
    let page = Page::of(&[&dunlin()]);
    let streams = half_open(&page, 200);
    is_answered(&page);
    #[cfg(target_os = "linux")]
    assert!(open_files(&page) < 50, "{}", open_files(&page));
    for number in 1..4 {
        let start = Instant::now();
        let (head, _) = page.asked("answer", number, &[]);
        assert_eq!(status(&head), "200");
        assert!(start.elapsed() < SOON, "{:?}", start.elapsed());
    }
    is_lean(&page);
    drop(streams);
}

#[test]
fn of_many_requests_at_once_the_first_is_answered() {
    let page = Page::of(&[&dunlin()]);
    let mut stream = page.open();
    let many = page.good("answer/1/1").repeat(3000);
    // Nothing is read meanwhile.
    let _ = stream.write_all(many.as_bytes());
    is_answered(&page);
    let mut all = String::new();
    stream.read_to_string(&mut all).unwrap();
    assert_eq!(status(&all), "200");
    assert_eq!(all.matches("HTTP/1.1 200").count(), 1);
    is_lean(&page);
}

/// More than the system keeps for a connection: a name of signs that a page must write out.
#[cfg(target_os = "linux")]
#[test]
fn who_does_not_read_is_not_waited_for() {
    use crate::bench::{copy_of, path_text};
    use crate::page::PATIENCE;
    use std::fs;

    let folder = copy_of("dunlin");
    let file = folder.path().join("build.toml");
    let text = fs::read_to_string(&file).unwrap();
    let long = text.replacen("Dunlin 1100 saloon, 1967", &"<".repeat(3_000_000), 1);
    assert!(long.len() > 3_000_000);
    fs::write(&file, long).unwrap();
    let page = Page::of(&[path_text(folder.path())]);
    let few = open_files(&page);
    let asked = |_| {
        let mut stream = page.open();
        stream.write_all(page.good("").as_bytes()).unwrap();
        stream
    };
    let streams: Vec<TcpStream> = (0..4).map(asked).collect();
    is_answered(&page);
    let start = Instant::now();
    while open_files(&page) > few {
        assert!(start.elapsed() < PATIENCE, "they are waited for");
        thread::sleep(Duration::from_millis(50));
    }
    for mut stream in streams {
        let (head, body) = parted(&mut stream);
        let length = head.lines().find_map(|line| line.strip_prefix("Content-Length: ")).unwrap();
        assert!(body.len() < length.parse().unwrap(), "all of {length} were taken");
    }
    is_answered(&page);
}

#[test]
fn an_address_that_is_not_ascii_is_a_bad_request() {
    let page = Page::of(&[&dunlin()]);
    let own = page.good("?a=").into_bytes();
    let at = own.iter().position(|byte| *byte == b'=').unwrap();
    for raw in [&b"\xc2\xb0"[..], b"\xb0", b"\xff\xfe"] {
        let mut stream = page.open();
        stream.write_all(&[&own[..=at], raw, &own[at + 1..]].concat()).unwrap();
        let (head, body) = parted(&mut stream);
        assert!(head.starts_with("HTTP/1.1 400 Bad Request\r\n"), "{raw:?}: {head}");
        assert!(head.contains("Content-Security-Policy: default-src 'none'"), "{head}");
        assert_eq!(body, "");
    }
    is_answered(&page);
}

#[cfg(unix)]
#[test]
fn a_signal_closes_it_whatever_clients_do() {
    use crate::bench::{demo, path_text};

    // Its bands take long.
    let page = Page::of(&[path_text(&demo("godwit"))]);
    let asks = [
        page.good("bands/1/1"),
        page.good("answer/2/1").repeat(3000),
        format!("POST / HTTP/1.1\r\nHost: {}\r\nContent-Length: 99999999999\r\n\r\n", page.host()),
        format!("POST / HTTP/1.1\r\nHost: {}\r\nContent-Length: 2000\r\n\r\n", page.host()),
    ];
    let asked = asks.map(|ask| {
        let mut stream = page.open();
        stream.write_all(ask.as_bytes()).unwrap();
        stream
    });
    let streams = half_open(&page, 100);
    let start = Instant::now();
    let (code, said) = page.ended("-INT");
    // A second is what it may take; a machine that is busy needs more to see it.
    assert!(start.elapsed() < Duration::from_secs(3), "{:?}", start.elapsed());
    assert_eq!((code, said.as_str()), (Some(0), "closed.\n"));
    drop((asked, streams));
}
