//! A server of our own for a test: on a free port, in a temporary folder, gone at the end.
#![allow(dead_code, unreachable_pub)] // Each test file uses its part of it.

use std::io::{BufRead, BufReader};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};

use serde_json::{Value, json};
use tungstenite::{Message, WebSocket};

/// A running server.
pub struct Server {
    child: Child,
    /// Host and port.
    pub authority: String,
    cookie: String,
    token: String,
}

/// The line for live sound.
pub struct Line(pub WebSocket<TcpStream>);

impl Server {
    /// Starts the program on a data folder.
    pub fn start(data: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_waterkey"))
            .args(["serve", "--port", "0", "--print-address", "--data"])
            .arg(data)
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        let authority = line
            .trim()
            .trim_start_matches("http://")
            .trim_end_matches('/')
            .to_owned();
        assert!(authority.starts_with("127.0.0.1:"), "`{line}`");
        let mut server = Self {
            child,
            authority,
            cookie: String::new(),
            token: String::new(),
        };
        let mut answer = agent().get(server.address("/api/session")).call().unwrap();
        let cookie = answer.headers()["set-cookie"].to_str().unwrap();
        server.cookie = cookie.split(';').next().unwrap().to_owned();
        let door: Value = answer.body_mut().read_json().unwrap();
        server.token = door["token"].as_str().unwrap().to_owned();
        server
    }

    /// A full address.
    pub fn address(&self, way: &str) -> String {
        format!("http://{}{way}", self.authority)
    }

    /// Asks for JSON; gives the status and the answer.
    pub fn get(&self, way: &str) -> (u16, Value) {
        let request = agent().get(self.address(way));
        read(request.header("cookie", &self.cookie).call().unwrap())
    }

    /// Sends JSON; gives the status and the answer.
    pub fn post(&self, way: &str, body: &Value) -> (u16, Value) {
        let request = agent()
            .post(self.address(way))
            .header("cookie", &self.cookie)
            .header("x-waterkey-token", &self.token);
        read(request.send_json(body).unwrap())
    }

    /// Sends JSON; gives the status and the bytes of the answer.
    pub fn post_bytes(&self, way: &str, body: &Value) -> (u16, Vec<u8>) {
        let request = agent()
            .post(self.address(way))
            .header("cookie", &self.cookie)
            .header("x-waterkey-token", &self.token);
        let mut answer = request.send_json(body).unwrap();
        let bytes = answer.body_mut().with_config().limit(1 << 30).read_to_vec();
        (answer.status().as_u16(), bytes.unwrap())
    }

    /// Puts JSON; gives the status and the answer.
    pub fn put(&self, way: &str, body: &Value) -> (u16, Value) {
        let request = agent()
            .put(self.address(way))
            .header("cookie", &self.cookie)
            .header("x-waterkey-token", &self.token);
        read(request.send_json(body).unwrap())
    }

    /// Sends bytes; gives the status and the answer.
    pub fn send(&self, way: &str, kind: &str, bytes: &[u8]) -> (u16, Value) {
        let request = agent()
            .post(self.address(way))
            .header("cookie", &self.cookie)
            .header("content-type", kind)
            .header("x-waterkey-token", &self.token);
        read(request.send(bytes).unwrap())
    }

    /// The bytes under a way, or a stretch of them.
    pub fn bytes(&self, way: &str, range: Option<&str>) -> (u16, Vec<u8>) {
        let mut request = agent()
            .get(self.address(way))
            .header("cookie", &self.cookie);
        if let Some(range) = range {
            request = request.header("range", range);
        }
        let mut answer = request.call().unwrap();
        let bytes = answer.body_mut().with_config().limit(1 << 30).read_to_vec();
        (answer.status().as_u16(), bytes.unwrap())
    }

    /// Cookie and token, for requests by hand.
    pub fn pass(&self) -> (&str, &str) {
        (&self.cookie, &self.token)
    }

    /// Opens the line.
    pub fn line(&self) -> Line {
        let stream = TcpStream::connect(&self.authority).unwrap();
        stream.set_nodelay(true).unwrap();
        let way = format!("ws://{}/api/live", self.authority);
        Line(tungstenite::client(way, stream).unwrap().0)
    }

    /// Its process.
    pub fn process(&self) -> u32 {
        self.child.id()
    }

    /// Kills the server at once, as a power cut would.
    pub fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.child.kill().ok();
        self.child.wait().ok();
    }
}

fn agent() -> ureq::Agent {
    ureq::Agent::config_builder()
        .http_status_as_error(false)
        .build()
        .into()
}

fn read(mut answer: ureq::http::Response<ureq::Body>) -> (u16, Value) {
    let status = answer.status().as_u16();
    // What is no text (a PDF) is no JSON either.
    let text = answer.body_mut().read_to_string().unwrap_or_default();
    (status, serde_json::from_str(&text).unwrap_or(Value::Null))
}

impl Line {
    /// Says something.
    pub fn say(&mut self, message: &Value) {
        self.0.send(Message::text(message.to_string())).unwrap();
    }

    /// The next message of a kind; others are passed over.
    pub fn hear(&mut self, kind: &str) -> Value {
        loop {
            if let Message::Text(text) = self.0.read().unwrap() {
                let message: Value = serde_json::from_str(&text).unwrap();
                if message["type"] == kind {
                    return message;
                }
                assert!(message["type"] != "error", "{message}");
            }
        }
    }

    /// Begins a recording; gives the take's id.
    pub fn start(&mut self, rate: u32) -> String {
        self.say(&json!({
            "type": "start", "sample_rate": rate, "format": "i16", "instrument": "trumpet-bflat",
        }));
        self.hear("ready")["take"].as_str().unwrap().to_owned()
    }

    /// Sends a block.
    pub fn block(&mut self, seq: u32, first: u64, samples: &[i16]) {
        self.0
            .send(Message::binary(frame(seq, first, samples)))
            .unwrap();
    }
}

/// A frame as the line takes it.
pub fn frame(seq: u32, first: u64, samples: &[i16]) -> Vec<u8> {
    let mut bytes = vec![1, 1, 0, 0];
    bytes.extend(seq.to_le_bytes());
    bytes.extend(first.to_le_bytes());
    bytes.extend(0.0_f64.to_le_bytes());
    bytes.extend(samples.iter().flat_map(|sample| sample.to_le_bytes()));
    bytes
}
