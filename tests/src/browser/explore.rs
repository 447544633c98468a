//! The page with sliders in the browser, beside the command line.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use serde_json::{Value, json};

use super::looks;
use super::session::Browser;

/// Arrow left, as the recommendation's section on keyboard actions numbers it.
const LEFT: &str = "\u{e012}";

/// The ratio of the demo is 4.22; so many steps of 0.01 below it another one is moved to.
const STEPS: usize = 33;

/// The program while it serves its page. Ended when it is dropped.
struct Served {
    program: Child,
    address: String,
}

impl Served {
    fn start(program: &Path, build: &Path) -> Result<Served, String> {
        let mut child = Command::new(program)
            .arg("explore")
            .arg(build)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .map_err(|error| format!("{}: {error}", program.display()))?;
        let mut line = String::new();
        if let Some(output) = child.stdout.take() {
            BufReader::new(output).read_line(&mut line).map_err(|error| error.to_string())?;
        }
        let address = line.split_whitespace().find(|word| word.starts_with("http://"));
        let address = address.unwrap_or_default().to_owned();
        Ok(Served { program: child, address })
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

/// Complaints about the page of a build, moved as a person would. The build is the saloon of the demo.
///
/// # Errors
/// The browser, the program or the disk refuses.
pub fn look(
    browser: &Browser,
    program: &Path,
    build: &Path,
    pictures: &Path,
) -> Result<Vec<String>, String> {
    let served = Served::start(program, build)?;
    browser.requests()?;
    browser.open(&served.address)?;
    settled(browser)?;
    let mut all = looks::look(browser, "explore", pictures)?;
    all.extend(moves(browser, program, build)?);
    all.extend(refusals(browser, pictures)?);
    all.extend(browser.console()?.into_iter().map(|line| format!("explore: console: {line}")));
    let elsewhere = browser.requests()?.into_iter();
    let elsewhere =
        elsewhere.filter(|it| !it.starts_with(&served.address) && !it.starts_with("data:"));
    all.extend(elsewhere.map(|it| format!("explore: the page asks for {it}")));
    all.extend(closed(browser, served)?);
    all.extend(changes(browser, program, build, pictures)?);
    Ok(all)
}

/// Complaints about the page of a build as it opens.
///
/// # Errors
/// The browser, the program or the disk refuses.
pub fn glance(
    browser: &Browser,
    program: &Path,
    build: &Path,
    pictures: &Path,
) -> Result<Vec<String>, String> {
    let served = Served::start(program, build)?;
    let name = build.file_name().map_or_else(String::new, |it| it.to_string_lossy().into_owned());
    browser.console()?;
    browser.open(&served.address)?;
    browser.wait_for("an answer", "return Boolean(document.body.dataset.shown)")?;
    looks::look(browser, &format!("explore-{name}"), pictures)
}

/// Waits until the last move is answered with bands.
fn settled(browser: &Browser) -> Result<(), String> {
    let script = "return (document.body.dataset.shown || '').endsWith(' bands')";
    browser.wait_for("bands", script).map(drop)
}

fn text(browser: &Browser, script: &str) -> Result<String, String> {
    let value = browser.run(&format!("return {script}"), &[])?;
    value.as_str().map(str::to_owned).ok_or_else(|| format!("{script}: {value}"))
}

const RANGE: &str =
    "document.querySelector('#decision strong').textContent.replaceAll('\\u00a0', ' ')";
const RATIO: &str = "document.getElementById('move-driveline-axle-ratio').value";

/// The slider by its keys: the number is that of the command line, and the address keeps it.
fn moves(browser: &Browser, program: &Path, build: &Path) -> Result<Vec<String>, String> {
    let before = text(browser, RANGE)?;
    browser
        .type_into("[data-key='driveline.axle.ratio'] input[type=range]", &LEFT.repeat(STEPS))?;
    browser.wait_for("the moved number", "return /ratio=3.89/.test(location.search)")?;
    settled(browser)?;
    let (ratio, shown) = (text(browser, RATIO)?, text(browser, RANGE)?);
    let right = |set: &str| range_km(program, build, set).map(|km| format!("{km:.0}"));
    let (was, now) = (right("driveline.axle.ratio=4.22")?, right("driveline.axle.ratio=3.89")?);
    let mut all = Vec::new();
    let mut expect = |what: &str, found: &str, wanted: &str| {
        if found != wanted {
            all.push(format!("explore: {what} is `{found}` and should be `{wanted}`"));
        }
    };
    expect("the ratio", &ratio, "3.89");
    expect("the range before", &before, &format!("{was} km"));
    expect("the range", shown.split(',').next().unwrap_or_default(), &format!("{now} km"));
    let address = browser.address()?;
    browser.open(&address)?;
    settled(browser)?;
    expect("the ratio after loading again", &text(browser, RATIO)?, &ratio);
    expect("the range after loading again", &text(browser, RANGE)?, &shown);
    let command = text(browser, "document.getElementById('command').textContent")?;
    if !command.starts_with("crownwheel range ")
        || !command.ends_with(" --set driveline.axle.ratio=3.89")
    {
        expect("the command", &command, "crownwheel range ... --set driveline.axle.ratio=3.89");
    }
    Ok(all)
}

/// Nominal range of the demanded round in winter, km, as the command line has it.
fn range_km(program: &Path, build: &Path, set: &str) -> Result<f64, String> {
    let output = Command::new(program)
        .arg("range")
        .arg(build)
        .args(["--set", set, "--day", "winter", "--worlds", "1", "--json"])
        .output()
        .map_err(|error| error.to_string())?;
    let answer: Value =
        serde_json::from_slice(&output.stdout).map_err(|error| error.to_string())?;
    let results = answer["results"].as_array().ok_or("no results")?;
    let round = results.iter().find(|it| it["cycle"] == "moor-round");
    round.and_then(|it| it["range_km"]["nominal"].as_f64()).ok_or_else(|| "no range".to_owned())
}

/// A bad value is told beside its control, the answers stay, and there is a way back.
fn refusals(browser: &Browser, pictures: &Path) -> Result<Vec<String>, String> {
    let mut all = Vec::new();
    let put = "const it = document.getElementById('move-pack-modules_in_series'); it.value = arguments[0]; \
               it.dispatchEvent(new Event('input', { bubbles: true }));";
    browser.run(put, &[json!("12")])?;
    let refused = "return (document.body.dataset.shown || '').endsWith(' refused')";
    browser.wait_for("the refusal", refused)?;
    let message = text(
        browser,
        "document.getElementById('move-pack-modules_in_series-message').textContent",
    )?;
    if !message.contains("156 V") {
        all.push(format!("explore: the message beside the modules is `{message}`"));
    }
    if text(browser, RANGE)?.is_empty() {
        all.push("explore: a refusal leaves no answer on the page".to_owned());
    }
    browser.resize(390, 844)?;
    browser.picture(&pictures.join("explore-390-refused.png"))?;
    all.extend(looks::complaints(browser)?.into_iter().map(|it| format!("explore, refused: {it}")));
    browser.resize(1400, 900)?;
    browser.click("#copy")?;
    let copied = "return document.getElementById('copied').textContent";
    browser.wait_for("the command to be copied or marked", copied)?;
    browser.click("#back")?;
    browser.wait_for("the build's own values", "return location.search === ''")?;
    settled(browser)?;
    let left = text(
        browser,
        "document.getElementById('move-pack-modules_in_series-message').textContent",
    )?;
    if !left.is_empty() {
        all.push(format!("explore: after the way back there still stands `{left}`"));
    }
    Ok(all)
}

/// When the program is gone the page says so.
fn closed(browser: &Browser, served: Served) -> Result<Vec<String>, String> {
    drop(served);
    browser.type_into("[data-key='speed'] input[type=range]", LEFT)?;
    browser.wait_for("a word about the end", "return document.body.dataset.shown === 'gone'")?;
    let said = text(browser, "document.getElementById('message').textContent")?;
    let fine = said.contains("Start it again");
    Ok(if fine { Vec::new() } else { vec![format!("explore: at its end the page says `{said}`")] })
}

/// A build that is changed on disk is taken up by the next move, and the page says so.
fn changes(
    browser: &Browser,
    program: &Path,
    build: &Path,
    pictures: &Path,
) -> Result<Vec<String>, String> {
    let copy = pictures.join("changing-build");
    let refused = |error: std::io::Error| error.to_string();
    fs::create_dir_all(&copy).map_err(refused)?;
    for entry in fs::read_dir(build).map_err(refused)? {
        let from = entry.map_err(refused)?.path();
        if let (true, Some(name)) = (from.is_file(), from.file_name()) {
            fs::copy(&from, copy.join(name)).map_err(refused)?;
        }
    }
    let file = copy.join("build.toml");
    let served = Served::start(program, &copy)?;
    browser.open(&served.address)?;
    settled(browser)?;
    let whole = fs::read_to_string(&file).map_err(refused)?;
    fs::write(&file, whole.replacen("ratio = 4.22", "ratio = 3.70", 1)).map_err(refused)?;
    browser.type_into("[data-key='speed'] input[type=range]", LEFT)?;
    browser
        .wait_for("a word about the change", "return !document.getElementById('changed').hidden")?;
    let ratio = text(browser, RATIO)?;
    let fine = ratio == "3.70";
    Ok(if fine { Vec::new() } else { vec![format!("explore: the changed ratio is `{ratio}`")] })
}
