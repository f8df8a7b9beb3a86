//! Files of the user's own beside those that come with the program: one rule for all kinds.

use studio::{Error, OwnText, TextKind};

use crate::server::problem::{Answer, Code, Problem};
use crate::server::state::App;

/// A kind of file that a user may keep.
pub(super) struct Own {
    /// Where it is kept.
    pub(super) kind: TextKind,
    /// What it is called.
    pub(super) noun: &'static str,
    /// Whether the program comes with one under this id.
    pub(super) shipped: fn(&str) -> bool,
}

impl Own {
    /// The user's file under an id.
    pub(super) async fn find(&self, app: &App, id: &str) -> Answer<OwnText> {
        match app.store.text(self.kind, id).await {
            Err(Error::NotFound { .. }) => Err(Problem::not_found(self.noun, id)),
            found => Ok(found?),
        }
    }

    /// All of the user's files.
    pub(super) async fn all(&self, app: &App) -> Answer<Vec<OwnText>> {
        Ok(app.store.texts(self.kind).await?)
    }

    /// Keeps a new file under the id that it says.
    pub(super) async fn add(&self, app: &App, id: &str, text: &str) -> Answer<OwnText> {
        if (self.shipped)(id) || app.store.text(self.kind, id).await.is_ok() {
            return Err(Problem::new(
                Code::Conflict,
                format!(
                    "there is already `{id}`; give the new {} another id",
                    self.noun
                ),
            ));
        }
        Ok(app.store.put_text(self.kind, id, text).await?)
    }

    /// Refuses to touch what came with the program.
    pub(super) fn must_be_own(&self, id: &str) -> Answer<()> {
        if (self.shipped)(id) {
            return Err(Problem::new(
                Code::Conflict,
                format!(
                    "the {} `{id}` came with the program and stays as it is; add a copy under another id",
                    self.noun
                ),
            ));
        }
        Ok(())
    }

    /// Keeps a changed file; `says` is the id that the file itself has.
    pub(super) async fn change(
        &self,
        app: &App,
        id: &str,
        says: &str,
        text: &str,
    ) -> Answer<OwnText> {
        self.must_be_own(id)?;
        if says != id {
            return Err(Problem::unprocessable(format!(
                "the file says id `{says}`, the address `{id}`; they must be the same"
            )));
        }
        Ok(app.store.put_text(self.kind, id, text).await?)
    }

    /// Removes a file; it can be restored.
    pub(super) async fn remove(&self, app: &App, id: &str) -> Answer<()> {
        self.must_be_own(id)?;
        Ok(app.store.remove_text(self.kind, id).await?)
    }

    /// Brings a removed file back.
    pub(super) async fn restore(&self, app: &App, id: &str) -> Answer<OwnText> {
        Ok(app.store.restore_text(self.kind, id).await?)
    }
}
