//! Running other programs, with a clear word when one is missing or fails.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

/// The root of the repository. Cargo tells it anew at each run: with a target folder that serves
/// several clones, the clone this was compiled in may be gone.
pub(crate) fn root() -> PathBuf {
    std::env::var_os("CARGO_MANIFEST_DIR")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from)
        .parent()
        .map_or_else(PathBuf::new, Path::to_path_buf)
}

/// The folder that cargo builds into.
pub(crate) fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from)
}

/// The built program.
pub(crate) fn program() -> PathBuf {
    target().join("debug").join("waterkey")
}

/// A command that runs in `folder`.
pub(crate) fn command(program: impl AsRef<std::ffi::OsStr>, folder: &Path) -> Command {
    let mut command = Command::new(program);
    command.current_dir(folder);
    command
}

/// Runs a command to its end; an error names it and its exit code.
pub(crate) fn succeed(command: &mut Command) -> Result<()> {
    let shown = show(command);
    let status = command
        .status()
        .with_context(|| format!("could not start `{shown}`"))?;
    if !status.success() {
        bail!("`{shown}` failed ({status})");
    }
    Ok(())
}

/// Runs a command and gives its standard output.
pub(crate) fn output(command: &mut Command) -> Result<String> {
    let shown = show(command);
    let out = command
        .output()
        .with_context(|| format!("could not start `{shown}`"))?;
    if !out.status.success() {
        bail!(
            "`{shown}` failed ({}): {}",
            out.status,
            String::from_utf8_lossy(&out.stderr).trim()
        );
    }
    Ok(String::from_utf8_lossy(&out.stdout).into_owned())
}

/// The command as one would type it.
fn show(command: &Command) -> String {
    std::iter::once(command.get_program())
        .chain(command.get_args())
        .map(|part| part.to_string_lossy())
        .collect::<Vec<_>>()
        .join(" ")
}
