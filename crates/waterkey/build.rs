//! Builds the web page into `$OUT_DIR/ui`, from where it is embedded into the program.
//!
//! `WATERKEY_UI_DIST` names a folder with a page that is built already; then npm is not needed.
//! Without the feature `page` nothing is done.
#![allow(clippy::print_stdout, clippy::panic)] // Talking to Cargo is what a build script does.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs, io};

const READY_MADE: &str = "WATERKEY_UI_DIST";

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-env-changed={READY_MADE}");
    if env::var_os("CARGO_FEATURE_PAGE").is_none() {
        return;
    }
    if let Err(error) = put_page() {
        panic!(
            "the page could not be built: {error}.\nInstall Node.js 20 or later with npm, or set \
             {READY_MADE} to a folder with a page that is built already, or build without the \
             page: --no-default-features"
        );
    }
}

fn put_page() -> io::Result<()> {
    let place = |name: &str| {
        env::var_os(name)
            .map(PathBuf::from)
            .ok_or(io::ErrorKind::NotFound)
    };
    let out = place("OUT_DIR")?.join("ui");
    if let Some(ready) = env::var_os(READY_MADE) {
        let ready = PathBuf::from(ready);
        println!("cargo::rerun-if-changed={}", ready.display());
        fs::remove_dir_all(&out).or_else(missing_is_fine)?;
        return copy(&ready, &out);
    }
    let ui = place("CARGO_MANIFEST_DIR")?.join("../../ui");
    for part in [
        "src",
        "public",
        "index.html",
        "package.json",
        "package-lock.json",
        "vite.config.ts",
        "svelte.config.js",
        "tsconfig.json",
    ] {
        if ui.join(part).exists() {
            println!("cargo::rerun-if-changed={}", ui.join(part).display());
        }
    }
    if installed_before(&ui) {
        npm(&ui, &["ci", "--no-audit", "--no-fund"], &out)?;
    }
    npm(&ui, &["run", "build"], &out)
}

/// True when the packages are missing or older than the lock file.
fn installed_before(ui: &Path) -> bool {
    let changed = |path: PathBuf| fs::metadata(path).and_then(|m| m.modified()).ok();
    match (
        changed(ui.join("package-lock.json")),
        changed(ui.join("node_modules/.package-lock.json")),
    ) {
        (Some(lock), Some(installed)) => lock > installed,
        _ => true,
    }
}

fn npm(ui: &Path, arguments: &[&str], out: &Path) -> io::Result<()> {
    let program = if cfg!(windows) { "npm.cmd" } else { "npm" };
    let done = Command::new(program)
        .args(arguments)
        .current_dir(ui)
        .env("WATERKEY_PAGE_OUT", out)
        .output()?;
    if done.status.success() {
        return Ok(());
    }
    Err(io::Error::other(format!(
        "npm {} said: {}{}",
        arguments.join(" "),
        String::from_utf8_lossy(&done.stdout),
        String::from_utf8_lossy(&done.stderr)
    )))
}

fn copy(from: &Path, to: &Path) -> io::Result<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let target = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            copy(&entry.path(), &target)?;
        } else {
            fs::copy(entry.path(), target)?;
        }
    }
    Ok(())
}

fn missing_is_fine(error: io::Error) -> io::Result<()> {
    if error.kind() == io::ErrorKind::NotFound {
        return Ok(());
    }
    Err(error)
}
