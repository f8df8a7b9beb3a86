//! What the commands need beyond Rust, Node and Python: found, installed where that is allowed,
//! or asked for in one line.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Result, bail};

use crate::run;

/// A program from Debian's packages.
pub(crate) struct Tool {
    /// The command that must be on the path.
    pub(crate) command: &'static str,
    /// The package that brings it.
    pub(crate) package: &'static str,
}

/// The C++ compiler for the engraving library.
pub(crate) const CXX: Tool = Tool {
    command: "c++",
    package: "g++",
};
/// The browser that the page is tested in.
pub(crate) const CHROMIUM: Tool = Tool {
    command: "chromium",
    package: "chromium",
};
/// Reads the text layer of a PDF.
pub(crate) const PDFTOTEXT: Tool = Tool {
    command: "pdftotext",
    package: "poppler-utils",
};
/// Plays a MIDI file with recorded brass.
pub(crate) const FLUIDSYNTH: Tool = Tool {
    command: "fluidsynth",
    package: "fluidsynth",
};

/// The recorded instruments that fluidsynth plays.
pub(crate) const SOUNDFONT: &str = "/usr/share/sounds/sf2/FluidR3_GM.sf2";

/// Whether a command is on the path.
pub(crate) fn has(command: &str) -> bool {
    std::env::var_os("PATH")
        .is_some_and(|path| std::env::split_paths(&path).any(|dir| dir.join(command).is_file()))
}

/// Makes sure that all tools are there: installs Debian's packages as root, else asks for them.
pub(crate) fn need(tools: &[Tool]) -> Result<()> {
    let mut packages: Vec<&str> = tools
        .iter()
        .filter(|tool| !has(tool.command))
        .map(|tool| tool.package)
        .collect();
    let soundfont = tools.iter().any(|tool| tool.command == FLUIDSYNTH.command);
    if soundfont && !Path::new(SOUNDFONT).is_file() {
        packages.push("fluid-soundfont-gm");
    }
    if packages.is_empty() {
        return Ok(());
    }
    let list = packages.join(" ");
    if !(has("apt-get") && is_root()) {
        bail!("missing: {list}. On a Debian-like system: sudo apt-get install {list}");
    }
    println!("installing {list}");
    let apt = |args: &[&str]| {
        let mut command = Command::new("apt-get");
        command.args(args).env("DEBIAN_FRONTEND", "noninteractive");
        run::output(&mut command)
    };
    apt(&["update", "-q"])?;
    let mut install = vec!["install", "-y", "-q", "--no-install-recommends"];
    install.extend(packages);
    apt(&install)?;
    Ok(())
}

fn is_root() -> bool {
    run::output(Command::new("id").arg("-u")).is_ok_and(|id| id.trim() == "0")
}

/// The page's packages, installed when the lock file is newer than they are.
pub(crate) fn node_modules() -> Result<()> {
    let ui = run::root().join("ui");
    let stamp = ui.join("node_modules/.package-lock.json");
    if !newer(&ui.join("package-lock.json"), &stamp) {
        return Ok(());
    }
    if !has("npm") {
        bail!("missing: npm. Install Node.js 20 or newer (on Debian: apt-get install nodejs npm)");
    }
    run::succeed(run::command("npm", &ui).args(["ci", "--no-audit", "--no-fund"]))
}

/// The packages of recorded brass notes that the demo and the checks use: fetched into the build
/// folder, never committed. Gives the folder that holds them.
pub(crate) fn recorded_brass() -> Result<PathBuf> {
    let folder = run::target().join("recorded-brass");
    let done = folder.join("fetched");
    let source = run::root().join("checks/brass");
    if newer(&source.join("package-lock.json"), &done) {
        std::fs::create_dir_all(&folder)?;
        for name in ["package.json", "package-lock.json"] {
            std::fs::copy(source.join(name), folder.join(name))?;
        }
        run::succeed(run::command("npm", &folder).args([
            "ci",
            "--legacy-peer-deps",
            "--no-audit",
            "--no-fund",
        ]))?;
        std::fs::write(&done, "")?;
    }
    Ok(folder.join("node_modules"))
}

/// The Python of the checks' own environment, made when its requirements are newer than it is.
pub(crate) fn python() -> Result<PathBuf> {
    let folder = run::target().join("checks-venv");
    let python = folder.join("bin/python");
    let stamp = folder.join("requirements.stamp");
    let requirements = run::root().join("checks/requirements.txt");
    if python.is_file() && !newer(&requirements, &stamp) {
        return Ok(python);
    }
    if !has("python3") {
        bail!("missing: python3. On a Debian-like system: apt-get install python3 python3-venv");
    }
    let root = run::root();
    run::succeed(
        run::command("python3", &root)
            .args(["-m", "venv"])
            .arg(&folder),
    )?;
    run::succeed(
        run::command(&python, &root)
            .args([
                "-m",
                "pip",
                "install",
                "--quiet",
                "--disable-pip-version-check",
                "-r",
            ])
            .arg(&requirements),
    )?;
    std::fs::write(&stamp, "")?;
    Ok(python)
}

/// Whether `source` changed after `made` was made, or `made` is not there.
pub(crate) fn newer(source: &Path, made: &Path) -> bool {
    let time = |path: &Path| path.metadata().and_then(|data| data.modified()).ok();
    match (time(source), time(made)) {
        (Some(source), Some(made)) => source > made,
        (_, None) => true,
        (None, Some(_)) => false,
    }
}
