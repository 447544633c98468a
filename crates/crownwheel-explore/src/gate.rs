//! Which requests are answered: those of the page's own address, from the page itself or from the
//! address line, with the token, for one of the few things that there are.
//!
//! Any web page may send requests to this machine. The token keeps out who does not know the address;
//! `Host`, `Origin` and `Sec-Fetch-Site` keep out pages that came to know it.

use crate::token::Token;

/// Most digits of the number of a move or of a page in a browser.
const MOST_DIGITS: usize = 15;

/// A request, as far as it is judged.
#[derive(Clone, Debug, Default)]
pub(crate) struct RequestHead {
    pub(crate) method: String,
    /// Path and query.
    pub(crate) address: String,
    /// Names in lower case, with their values.
    pub(crate) headers: Vec<(String, String)>,
}

/// A move of a page: later ones have higher numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Move {
    /// The page, by a number that it drew.
    pub(crate) page: u64,
    /// The move.
    pub(crate) number: u64,
}

/// What is asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Resource {
    Page,
    Style,
    Script,
    /// The nominal answer to a query.
    Answer(Move, String),
    /// The same with bands.
    Bands(Move, String),
}

/// The status of a request that is not answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Denial(pub(crate) u16);

const FORBIDDEN: Denial = Denial(403);
const NOT_FOUND: Denial = Denial(404);
const NOT_ALLOWED: Denial = Denial(405);

/// What a request asks for, on a port and with a token.
pub(crate) fn judge(request: &RequestHead, port: u16, token: &Token) -> Result<Resource, Denial> {
    let own = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
    let is_own = |host: &str| own.contains(&host.to_ascii_lowercase());
    let from_own = |origin: &str| origin.strip_prefix("http://").is_some_and(is_own);
    let hosts: Vec<&str> = request.values("host").collect();
    let fine = matches!(hosts[..], [host] if is_own(host))
        && request.values("origin").all(from_own)
        && request.values("sec-fetch-site").all(|site| matches!(site, "same-origin" | "none"));
    if !fine {
        return Err(FORBIDDEN);
    }
    let (path, query) = request.address.split_once('?').unwrap_or((&request.address, ""));
    let (said, rest) =
        path.strip_prefix('/').and_then(|path| path.split_once('/')).unwrap_or_default();
    if !token.is(said) {
        return Err(FORBIDDEN);
    }
    if request.method != "GET" {
        return Err(NOT_ALLOWED);
    }
    wanted(rest, query).ok_or(NOT_FOUND)
}

fn wanted(path: &str, query: &str) -> Option<Resource> {
    match path {
        "" => return Some(Resource::Page),
        "page.css" => return Some(Resource::Style),
        "page.js" => return Some(Resource::Script),
        _ => {}
    }
    let (what, which) = path.split_once('/')?;
    let (page, number) = which.split_once('/')?;
    let of = Move { page: whole(page)?, number: whole(number)? };
    match what {
        "answer" => Some(Resource::Answer(of, query.to_owned())),
        "bands" => Some(Resource::Bands(of, query.to_owned())),
        _ => None,
    }
}

fn whole(text: &str) -> Option<u64> {
    let digits =
        !text.is_empty() && text.len() <= MOST_DIGITS && text.bytes().all(|b| b.is_ascii_digit());
    digits.then(|| text.parse().ok())?
}

impl RequestHead {
    fn values<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        let of_name = self.headers.iter().filter(move |(known, _)| known == name);
        of_name.map(|(_, value)| value.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PORT: u16 = 4711;

    fn get(token: &Token, rest: &str, headers: &[(&str, &str)]) -> RequestHead {
        let own = |(name, value): &(&str, &str)| ((*name).to_owned(), (*value).to_owned());
        RequestHead {
            method: "GET".to_owned(),
            address: format!("/{}/{rest}", token.as_str()),
            headers: headers.iter().map(own).collect(),
        }
    }

    fn judged(token: &Token, rest: &str, headers: &[(&str, &str)]) -> Result<Resource, Denial> {
        judge(&get(token, rest, headers), PORT, token)
    }

    const HOST: (&str, &str) = ("host", "127.0.0.1:4711");

    #[test]
    fn the_few_things_that_there_are_are_found() {
        let token = Token::draw().unwrap();
        let of = Move { page: 77, number: 3 };
        for (rest, wanted) in [
            ("", Resource::Page),
            ("?driveline.axle.ratio=3.89", Resource::Page),
            ("page.css", Resource::Style),
            ("page.js", Resource::Script),
            ("answer/77/3", Resource::Answer(of, String::new())),
            ("answer/77/3?a=b&c=d?e", Resource::Answer(of, "a=b&c=d?e".to_owned())),
            ("bands/77/3?a=b", Resource::Bands(of, "a=b".to_owned())),
        ] {
            assert_eq!(judged(&token, rest, &[HOST]), Ok(wanted), "{rest}");
        }
        for rest in [
            "index.html",
            "answer",
            "answer/1",
            "answer/1/x",
            "answer/-1/1",
            "answer/1/+1",
            "bands/1/",
            "answer/1/1/1",
            "answer/1234567890123456/1",
            "../build.toml",
            "/",
            "other/1/1",
            "page.js/",
        ] {
            assert_eq!(judged(&token, rest, &[HOST]), Err(NOT_FOUND), "{rest}");
        }
    }

    #[test]
    fn a_wrong_token_is_refused_whatever_is_asked() {
        let token = Token::draw().unwrap();
        let other = Token::draw().unwrap();
        for address in [
            String::new(),
            "/".to_owned(),
            "//".to_owned(),
            format!("/{}", token.as_str()),
            format!("/{}/", other.as_str()),
            format!("/{}/page.js", other.as_str()),
            format!("//{}/", token.as_str()),
            format!("/?{}/", token.as_str()),
            format!("{}/", token.as_str()),
            "/favicon.ico".to_owned(),
        ] {
            let request = RequestHead { address: address.clone(), ..get(&token, "", &[HOST]) };
            assert_eq!(judge(&request, PORT, &token), Err(FORBIDDEN), "{address}");
        }
    }

    #[test]
    fn only_one_own_host_is_taken() {
        let token = Token::draw().unwrap();
        for host in ["127.0.0.1:4711", "localhost:4711", "LocalHost:4711"] {
            assert_eq!(judged(&token, "", &[("host", host)]), Ok(Resource::Page), "{host}");
        }
        for host in [
            "",
            "127.0.0.1",
            "localhost",
            "127.0.0.1:4712",
            "localhost:80",
            "example.org:4711",
            "127.0.0.1:4711.example.org",
            "evil.localhost:4711",
            "[::1]:4711",
            "0.0.0.0:4711",
            "127.0.0.1:4711 ",
            "127.0.0.1:4711,127.0.0.1:4711",
        ] {
            assert_eq!(judged(&token, "", &[("host", host)]), Err(FORBIDDEN), "{host}");
        }
        assert_eq!(judged(&token, "", &[]), Err(FORBIDDEN));
        assert_eq!(judged(&token, "", &[HOST, HOST]), Err(FORBIDDEN));
        assert_eq!(judged(&token, "", &[HOST, ("host", "example.org")]), Err(FORBIDDEN));
    }

    #[test]
    fn other_pages_are_kept_out() {
        let token = Token::draw().unwrap();
        for origin in ["http://127.0.0.1:4711", "http://localhost:4711"] {
            assert_eq!(
                judged(&token, "", &[HOST, ("origin", origin)]),
                Ok(Resource::Page),
                "{origin}"
            );
        }
        for origin in [
            "null",
            "",
            "https://127.0.0.1:4711",
            "http://127.0.0.1",
            "http://127.0.0.1:80",
            "http://example.org",
            "http://127.0.0.1:4711.example.org",
            "http://example.org:4711",
        ] {
            let headers = [HOST, ("origin", origin)];
            assert_eq!(judged(&token, "", &headers), Err(FORBIDDEN), "{origin}");
        }
        for (site, fine) in [
            ("same-origin", true),
            ("none", true),
            ("cross-site", false),
            ("same-site", false),
            ("", false),
        ] {
            let headers = [HOST, ("sec-fetch-site", site)];
            assert_eq!(judged(&token, "", &headers).is_ok(), fine, "{site}");
        }
    }

    #[test]
    fn nothing_but_get_is_answered() {
        let token = Token::draw().unwrap();
        for method in ["POST", "PUT", "DELETE", "HEAD", "OPTIONS", "TRACE", "CONNECT", "get", ""] {
            let request = RequestHead { method: method.to_owned(), ..get(&token, "", &[HOST]) };
            assert_eq!(judge(&request, PORT, &token), Err(NOT_ALLOWED), "{method}");
        }
    }
}
