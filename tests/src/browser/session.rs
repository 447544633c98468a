//! A headless browser behind its driver program.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use serde_json::{Value, json};

/// The driver program, as Debian's package `chromium-driver` calls it.
const DRIVER: &str = "chromedriver";

/// How long a page may take until it shows what is waited for.
const PATIENCE: Duration = Duration::from_secs(20);

/// A window of a browser. Closed when it is dropped.
#[derive(Debug)]
pub struct Browser {
    driver: Child,
    agent: ureq::Agent,
    /// Address of the session at the driver.
    session: String,
}

/// Light or dark, as the reader's system says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scheme {
    /// Dark text on a light ground.
    Light,
    /// Light text on a dark ground.
    Dark,
}

impl Scheme {
    /// The word that style sheets ask for.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Scheme::Light => "light",
            Scheme::Dark => "dark",
        }
    }
}

impl Browser {
    /// Starts a browser without a window on the screen.
    ///
    /// # Errors
    /// The driver or the browser is not there or does not start.
    pub fn start() -> Result<Browser, String> {
        let mut driver = Command::new(DRIVER)
            .arg("--port=0")
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|error| format!("{DRIVER}, of Debian's package chromium-driver: {error}"))?;
        let base = address_of(&mut driver);
        let agent = ureq::Agent::config_builder().http_status_as_error(false).proxy(None).build();
        let mut browser = Browser { driver, agent: agent.into(), session: String::new() };
        browser.session = format!("{}/session", base?);
        // The performance log of the driver holds every request that the page makes.
        let wanted = json!({ "capabilities": { "alwaysMatch": {
            "goog:chromeOptions": { "args": [
                "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
                "--hide-scrollbars", "--force-color-profile=srgb",
            ] },
            "goog:loggingPrefs": { "browser": "ALL", "performance": "ALL" },
        } } });
        let session = browser.post("", &wanted)?;
        let id = session["sessionId"].as_str().ok_or("the driver names no session")?;
        browser.session = format!("{}/{id}", browser.session);
        Ok(browser)
    }

    /// Opens an address and waits until it is loaded.
    ///
    /// # Errors
    /// The browser cannot open it.
    pub fn open(&self, address: &str) -> Result<(), String> {
        self.post("/url", &json!({ "url": address })).map(drop)
    }

    /// The address in the window.
    ///
    /// # Errors
    /// The browser does not answer.
    pub fn address(&self) -> Result<String, String> {
        let value = self.get("/url")?;
        value.as_str().map(str::to_owned).ok_or_else(|| format!("no address: {value}"))
    }

    /// Runs the body of a function in the page and gives what it returns.
    ///
    /// # Errors
    /// The script throws.
    pub fn run(&self, script: &str, arguments: &[Value]) -> Result<Value, String> {
        self.post("/execute/sync", &json!({ "script": script, "args": arguments }))
    }

    /// Asks a script until it returns something other than null and false.
    ///
    /// # Errors
    /// The script throws, or time is over.
    pub fn wait_for(&self, what: &str, script: &str) -> Result<Value, String> {
        let start = Instant::now();
        loop {
            let value = self.run(script, &[])?;
            if !matches!(value, Value::Null | Value::Bool(false)) {
                return Ok(value);
            }
            if start.elapsed() > PATIENCE {
                return Err(format!("waited in vain for {what}"));
            }
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Types into the element that a CSS selector finds, as a person would; keys such as the arrows are
    /// the code points of the recommendation's section on keyboard actions.
    ///
    /// # Errors
    /// There is no such element, or it takes no keys.
    pub fn type_into(&self, selector: &str, keys: &str) -> Result<(), String> {
        let element = self.element(selector)?;
        self.post(&format!("/element/{element}/value"), &json!({ "text": keys })).map(drop)
    }

    /// Clicks the middle of the element that a CSS selector finds.
    ///
    /// # Errors
    /// There is no such element, or something lies over it.
    pub fn click(&self, selector: &str) -> Result<(), String> {
        let element = self.element(selector)?;
        self.post(&format!("/element/{element}/click"), &json!({})).map(drop)
    }

    fn element(&self, selector: &str) -> Result<String, String> {
        let found =
            self.post("/element", &json!({ "using": "css selector", "value": selector }))?;
        let id = found.as_object().and_then(|found| found.values().next()).and_then(Value::as_str);
        id.map(str::to_owned).ok_or_else(|| format!("no element {selector}"))
    }

    /// Makes the page as wide and as high as a screen of that many CSS pixels.
    ///
    /// # Errors
    /// The browser refuses.
    pub fn resize(&self, width_px: u32, height_px: u32) -> Result<(), String> {
        let screen = json!({
            "width": width_px, "height": height_px, "deviceScaleFactor": 1, "mobile": width_px < 600,
        });
        self.command("Emulation.setDeviceMetricsOverride", &screen).map(drop)
    }

    /// Asks for a light or a dark page.
    ///
    /// # Errors
    /// The browser refuses.
    pub fn prefer(&self, scheme: Scheme) -> Result<(), String> {
        let features = json!([{ "name": "prefers-color-scheme", "value": scheme.word() }]);
        self.command("Emulation.setEmulatedMedia", &json!({ "features": features })).map(drop)
    }

    /// Every line that the page or the browser wrote to the console since the last call.
    ///
    /// # Errors
    /// The browser does not answer.
    pub fn console(&self) -> Result<Vec<String>, String> {
        let lines = self.log("browser")?;
        Ok(lines.iter().map(|line| line["message"].to_string()).collect())
    }

    /// Address of every request since the last call, the page itself among them.
    ///
    /// # Errors
    /// The browser does not answer.
    pub fn requests(&self) -> Result<Vec<String>, String> {
        let mut addresses = Vec::new();
        for line in self.log("performance")? {
            let text = line["message"].as_str().unwrap_or_default();
            let event: Value = serde_json::from_str(text).map_err(|error| error.to_string())?;
            if event["message"]["method"] == "Network.requestWillBeSent" {
                let address = &event["message"]["params"]["request"]["url"];
                addresses.extend(address.as_str().map(str::to_owned));
            }
        }
        Ok(addresses)
    }

    fn log(&self, kind: &str) -> Result<Vec<Value>, String> {
        let lines = self.post("/se/log", &json!({ "type": kind }))?;
        lines.as_array().cloned().ok_or_else(|| format!("no log {kind}"))
    }

    /// Writes a picture of the whole page, however long it is.
    ///
    /// # Errors
    /// The browser or the disk refuses.
    pub fn picture(&self, file: &Path) -> Result<(), String> {
        let whole = json!({ "format": "png", "captureBeyondViewport": true });
        let taken = self.command("Page.captureScreenshot", &whole)?;
        write_base64(file, &taken["data"])
    }

    /// Prints the page to a PDF file of A4 sheets.
    ///
    /// # Errors
    /// The browser or the disk refuses.
    pub fn print(&self, file: &Path) -> Result<(), String> {
        let sheet = json!({ "page": { "width": 21.0, "height": 29.7 } });
        let pdf = self.post("/print", &sheet)?;
        write_base64(file, &pdf)
    }

    /// A command of the browser's own protocol, for what the recommendation does not have.
    fn command(&self, name: &str, parameters: &Value) -> Result<Value, String> {
        self.post("/goog/cdp/execute", &json!({ "cmd": name, "params": parameters }))
    }

    fn get(&self, path: &str) -> Result<Value, String> {
        let address = format!("{}{path}", self.session);
        let answer = self.agent.get(&address).call();
        value_of(path, answer)
    }

    fn post(&self, path: &str, body: &Value) -> Result<Value, String> {
        let address = format!("{}{path}", self.session);
        let answer =
            self.agent.post(&address).content_type("application/json").send(body.to_string());
        value_of(path, answer)
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // The window may be closed already; the driver is ended all the same.
        let _ = self.agent.delete(&self.session).call();
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// Where the driver listens: it says so in one of its first lines.
fn address_of(driver: &mut Child) -> Result<String, String> {
    let output = driver.stdout.take().ok_or("the driver says nothing")?;
    for line in BufReader::new(output).lines() {
        let line = line.map_err(|error| error.to_string())?;
        let port = line.rsplit_once("on port ").map(|(_, rest)| rest.trim_end_matches('.'));
        if let Some(port) = port.and_then(|port| port.parse::<u16>().ok()).filter(|port| *port > 0)
        {
            return Ok(format!("http://127.0.0.1:{port}"));
        }
    }
    Err(format!("{DRIVER} does not say where it listens"))
}

fn value_of(
    path: &str,
    answer: Result<ureq::http::Response<ureq::Body>, ureq::Error>,
) -> Result<Value, String> {
    let mut answer = answer.map_err(|error| format!("{path}: {error}"))?;
    let text = answer.body_mut().with_config().limit(200_000_000).read_to_string();
    let text = text.map_err(|error| format!("{path}: {error}"))?;
    let mut parsed: Value =
        serde_json::from_str(&text).map_err(|error| format!("{path}: {error}"))?;
    let value = parsed["value"].take();
    if answer.status().is_success() {
        Ok(value)
    } else {
        let message = value["message"].as_str().unwrap_or_default();
        Err(format!("{path}: {}", message.lines().next().unwrap_or_default()))
    }
}

fn write_base64(file: &Path, data: &Value) -> Result<(), String> {
    let text = data.as_str().ok_or("the browser sent no file")?;
    let bytes = BASE64_STANDARD.decode(text).map_err(|error| error.to_string())?;
    std::fs::write(file, bytes).map_err(|error| format!("{}: {error}", file.display()))
}
