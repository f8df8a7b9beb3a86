//! A small client of the studio's own interface.

use anyhow::{Context, Result};
use serde_json::Value;

/// Talks to one server with its cookie and token.
pub(crate) struct Client {
    agent: ureq::Agent,
    address: String,
    token: String,
}

impl Client {
    /// Opens a session.
    pub(crate) fn new(address: &str) -> Result<Self> {
        let agent = ureq::Agent::new_with_defaults();
        let address = address.trim_end_matches('/').to_owned();
        let session: Value = agent
            .get(format!("{address}/api/session"))
            .call()
            .context("the server does not answer")?
            .body_mut()
            .read_json()?;
        let token = session["token"]
            .as_str()
            .context("a session without a token")?
            .to_owned();
        Ok(Self {
            agent,
            address,
            token,
        })
    }

    /// Posts JSON and gives the answer.
    pub(crate) fn post(&self, path: &str, body: &Value) -> Result<Value> {
        let mut answer = self
            .agent
            .post(format!("{}{path}", self.address))
            .header("x-waterkey-token", &self.token)
            .send_json(body)
            .with_context(|| format!("POST {path}"))?;
        Ok(answer.body_mut().read_json()?)
    }

    /// Posts bytes and gives the answer.
    pub(crate) fn upload(&self, path: &str, kind: &str, bytes: &[u8]) -> Result<Value> {
        let mut answer = self
            .agent
            .post(format!("{}{path}", self.address))
            .header("x-waterkey-token", &self.token)
            .header("content-type", kind)
            .send(bytes)
            .with_context(|| format!("POST {path}"))?;
        Ok(answer.body_mut().read_json()?)
    }
}
