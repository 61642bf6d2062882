//! A browser driven over the WebDriver protocol (W3C WebDriver): JSON over plain HTTP to
//! `chromedriver`, which drives headless Chromium with the screen of a phone.

use std::cell::RefCell;
use std::io::{BufRead, BufReader, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};
use tempfile::TempDir;

/// The key under which WebDriver names an element (W3C WebDriver, section 12.3).
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

pub struct Browser {
    process: Child,
    port: u16,
    session: String,
    /// Where the pages are served; another place after each start of the server.
    site: RefCell<String>,
    _profile: TempDir,
}

impl Browser {
    /// A browser that asks for addresses of `site`. Fails, and says what to install, where there is
    /// no browser or no driver.
    pub fn open(site: &str) -> Self {
        let driver = found(&["chromedriver"], "chromium-driver");
        let chromium = found(&["chromium", "chromium-browser"], "chromium");
        let mut process =
            Command::new(driver).arg("--port=0").stdout(Stdio::piped()).spawn().unwrap();
        let mut said = BufReader::new(process.stdout.take().unwrap()).lines();
        let port = said.find_map(|line| {
            let line = line.unwrap();
            line.split("started successfully on port ").nth(1)?.trim_end_matches('.').parse().ok()
        });
        // Whatever else it says is read and let go, so that it never waits for a reader.
        std::thread::spawn(move || said.for_each(drop));
        let profile = tempfile::tempdir().unwrap();
        let mut browser = Self {
            process,
            port: port.expect("chromedriver ended before it named its port"),
            session: String::new(),
            site: RefCell::new(site.to_owned()),
            _profile: profile,
        };
        let arguments = [
            "--headless=new".to_owned(),
            "--no-sandbox".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-dev-shm-usage".to_owned(),
            "--disable-background-networking".to_owned(),
            "--disable-extensions".to_owned(),
            format!("--user-data-dir={}", browser._profile.path().display()),
        ];
        let phone = json!({ "deviceMetrics": { "width": 390, "height": 844, "pixelRatio": 1.0 } });
        let options = json!({ "binary": chromium, "args": arguments, "mobileEmulation": phone });
        let asked = json!({ "capabilities": { "alwaysMatch": { "goog:chromeOptions": options } } });
        let opened = browser.send("POST", "/session", &asked);
        browser.session = opened["sessionId"].as_str().unwrap().to_owned();
        browser
    }

    /// Goes to an address of the site, and sees that the page is no wider than the phone.
    pub fn go(&self, address: &str) {
        self.command("POST", "/url", &json!({ "url": format!("{}{address}", self.site.borrow()) }));
        self.fits();
    }

    /// Follows the link with these words.
    pub fn follow(&self, words: &str) {
        let asked = json!({ "using": "link text", "value": words });
        let link = self.command("POST", "/element", &asked);
        self.click(link[ELEMENT].as_str().unwrap_or_else(|| panic!("no link `{words}`: {link}")));
        self.fits();
    }

    /// The pages are served elsewhere from now on.
    pub fn moved(&self, site: &str) {
        *self.site.borrow_mut() = site.to_owned();
    }

    /// Fills in fields by their names. No page has a script that listens to keys, so that a value
    /// that is set is one that was typed; what a list or a form does not offer is refused.
    pub fn fill(&self, fields: &[(&str, &str)]) {
        let script = "for (const [name, value] of arguments[0]) {
                const field = document.querySelector(`main [name=\"${name}\"]`);
                if (!field || field.type === 'hidden') return `no field ${name}`;
                if (field.type === 'checkbox') field.checked = true; else field.value = value;
                if (field.localName === 'select' && field.value !== value)
                    return `${name} offers no ${value}`;
            } return ''";
        let asked = json!({ "script": script, "args": [fields] });
        let said = self.command("POST", "/execute/sync", &asked);
        assert_eq!(said, "", "at {}:\n{}", self.address(), self.text());
    }

    /// Chooses a file of the project in the field of this name.
    pub fn choose(&self, name: &str, file: &str) {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(file);
        let field = self.find(&format!("main [name=\"{name}\"]"));
        let asked = json!({ "text": file.canonicalize().unwrap() });
        let said = self.command("POST", &format!("/element/{field}/value"), &asked);
        assert!(said.is_null(), "{said}");
    }

    /// Sets every field that `css` finds to the same, and tells how many there are.
    pub fn set_all(&self, css: &str, value: &str) -> u64 {
        let script = "const all = document.querySelectorAll(arguments[0]);
            all.forEach(field => { field.value = arguments[1] }); return all.length";
        let asked = json!({ "script": script, "args": [css, value] });
        self.command("POST", "/execute/sync", &asked).as_u64().unwrap()
    }

    /// Presses the first button that `css` names.
    pub fn press(&self, css: &str) {
        self.click(&self.find(css));
        self.fits();
    }

    /// The words on the page.
    pub fn text(&self) -> String {
        let body = self.find("body");
        let text = self.command("GET", &format!("/element/{body}/text"), &Value::Null);
        text.as_str().unwrap().to_owned()
    }

    /// Every word of the page, also what is folded away.
    pub fn whole_text(&self) -> String {
        let asked = json!({ "script": "return document.body.textContent", "args": [] });
        self.command("POST", "/execute/sync", &asked).as_str().unwrap().to_owned()
    }

    /// Sees that these words stand on the page.
    pub fn sees(&self, words: &str) {
        let text = self.text();
        assert!(text.contains(words), "`{words}` is not in\n{text}");
    }

    /// The address shown, without the site.
    pub fn address(&self) -> String {
        let address = self.command("GET", "/url", &Value::Null);
        address.as_str().unwrap().replace(self.site.borrow().as_str(), "")
    }

    /// No page makes a phone scroll sideways.
    fn fits(&self) {
        let script = "return [document.documentElement.scrollWidth, window.innerWidth]";
        let widths =
            self.command("POST", "/execute/sync", &json!({ "script": script, "args": [] }));
        let [page, screen] = [&widths[0], &widths[1]].map(|width| width.as_u64().unwrap());
        assert!(page <= screen, "{} is {page} wide on a screen of {screen}", self.address());
    }

    fn find(&self, css: &str) -> String {
        let found =
            self.command("POST", "/element", &json!({ "using": "css selector", "value": css }));
        let id = found[ELEMENT].as_str();
        id.unwrap_or_else(|| panic!("no `{css}` at {}:\n{}", self.address(), self.text()))
            .to_owned()
    }

    /// Clicks on what leads to another page, and waits until that one is there.
    fn click(&self, element: &str) {
        let run = |script: &str| {
            self.command("POST", "/execute/sync", &json!({ "script": script, "args": [] }))
        };
        run("window.pageBefore = true");
        let clicked = self.command("POST", &format!("/element/{element}/click"), &json!({}));
        assert!(clicked.is_null(), "{clicked}");
        let there = "return !window.pageBefore && document.readyState === 'complete'";
        let come = (0..200).any(|_| {
            std::thread::sleep(Duration::from_millis(50));
            run(there) == true
        });
        assert!(come, "no page came after a click at {}", self.address());
    }

    fn command(&self, method: &str, path: &str, body: &Value) -> Value {
        self.send(method, &format!("/session/{}{path}", self.session), body)
    }

    /// The value of the answer, an error too.
    fn send(&self, method: &str, path: &str, body: &Value) -> Value {
        let text = if body.is_null() { String::new() } else { body.to_string() };
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nContent-Type: application/json\r\n\
             Content-Length: {}\r\nConnection: close\r\n\r\n{text}",
            self.port,
            text.len()
        )
        .unwrap();
        let body = body_of(&mut BufReader::new(stream));
        let answer: Value =
            serde_json::from_str(&body).unwrap_or_else(|_| panic!("no answer: {body}"));
        answer["value"].clone()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if !self.session.is_empty() && !std::thread::panicking() {
            self.send("DELETE", &format!("/session/{}", self.session), &Value::Null);
        }
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// The body of an answer, as long as its head says.
fn body_of(answer: &mut impl BufRead) -> String {
    let mut length = 0;
    loop {
        let mut line = String::new();
        answer.read_line(&mut line).unwrap();
        let line = line.trim_end().to_lowercase();
        if line.is_empty() {
            break;
        }
        if let Some(written) = line.strip_prefix("content-length:") {
            length = written.trim().parse().unwrap();
        }
    }
    let mut body = vec![0; length];
    answer.read_exact(&mut body).unwrap();
    String::from_utf8(body).unwrap()
}

/// The first of `names` that stands on the path.
fn found(names: &[&str], package: &str) -> PathBuf {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    let here = names.iter().flat_map(|name| folders.iter().map(move |folder| folder.join(name)));
    here.into_iter().find(|file| file.is_file()).unwrap_or_else(|| {
        panic!("{} is missing\n  run: apt-get install {package}", names.join(" or "))
    })
}
