//! Every test of the project, step by step, with a count at the end.

use std::path::Path;
use std::time::Instant;

use anyhow::{Result, bail};

use crate::machine::{self, CHROMIUM, CXX, FLUIDSYNTH, PDFTOTEXT};
use crate::{run, tidy};

/// A step: its name on the command line, what it shows, what it does.
struct Step {
    name: &'static str,
    what: &'static str,
    run: fn(&Path) -> Result<()>,
}

const STEPS: &[Step] = &[
    Step {
        name: "fmt",
        what: "formatting",
        run: fmt,
    },
    Step {
        name: "tidy",
        what: "the rooms and their page agree",
        run: |_| tidy::run(),
    },
    Step {
        name: "clippy",
        what: "lints, warnings are errors",
        run: clippy,
    },
    Step {
        name: "rust",
        what: "Rust tests and examples in the docs",
        run: rust,
    },
    Step {
        name: "lean",
        what: "the program without the engraver",
        run: lean,
    },
    Step {
        name: "doc",
        what: "documentation builds",
        run: doc,
    },
    Step {
        name: "page",
        what: "the page: types and tests",
        run: page,
    },
    Step {
        name: "browser",
        what: "the page in a real browser",
        run: browser,
    },
    Step {
        name: "checks",
        what: "independent checks in Python",
        run: checks,
    },
];

/// Runs all steps, or those named after `--only`.
pub(crate) fn run(args: &[String]) -> Result<()> {
    let only: Option<Vec<&str>> = match args {
        [] => None,
        [flag, names] if flag == "--only" => Some(names.split(',').collect()),
        _ => bail!("usage: cargo xtask test [--only STEP[,STEP]]"),
    };
    if let Some(unknown) = only
        .iter()
        .flatten()
        .find(|name| !STEPS.iter().any(|step| step.name == **name))
    {
        let names: Vec<_> = STEPS.iter().map(|step| step.name).collect();
        bail!(
            "there is no step `{unknown}`; the steps are {}",
            names.join(", ")
        );
    }
    machine::need(&[CXX, CHROMIUM, PDFTOTEXT, FLUIDSYNTH])?;
    let root = run::root();
    let mut failed = Vec::new();
    let mut passed = 0;
    for step in STEPS {
        if only
            .as_ref()
            .is_some_and(|names| !names.contains(&step.name))
        {
            continue;
        }
        println!("\n== {}: {}", step.name, step.what);
        let start = Instant::now();
        let result = (step.run)(&root);
        let seconds = start.elapsed().as_secs_f64();
        match result {
            Ok(()) => {
                passed += 1;
                println!("== {}: passed in {seconds:.0} s", step.name);
            }
            Err(error) => {
                println!("== {}: FAILED in {seconds:.0} s: {error:#}", step.name);
                failed.push(step.name);
            }
        }
    }
    println!("\nsteps: {passed} passed, {} failed", failed.len());
    if !failed.is_empty() {
        bail!("failed: {}", failed.join(", "));
    }
    Ok(())
}

fn cargo(root: &Path, args: &[&str]) -> Result<()> {
    run::succeed(run::command("cargo", root).args(args))
}

fn fmt(root: &Path) -> Result<()> {
    cargo(root, &["fmt", "--all", "--check"])
}

fn clippy(root: &Path) -> Result<()> {
    let args = [
        "clippy",
        "--quiet",
        "--workspace",
        "--all-targets",
        "--",
        "-D",
        "warnings",
    ];
    cargo(root, &args)
}

fn rust(root: &Path) -> Result<()> {
    cargo(root, &["test", "--workspace", "--no-fail-fast"])
}

fn lean(root: &Path) -> Result<()> {
    cargo(
        root,
        &[
            "check",
            "--quiet",
            "--package",
            "waterkey",
            "--no-default-features",
        ],
    )
}

fn doc(root: &Path) -> Result<()> {
    run::succeed(
        run::command("cargo", root)
            .args([
                "doc",
                "--quiet",
                "--workspace",
                "--no-deps",
                "--document-private-items",
            ])
            .env("RUSTDOCFLAGS", "-D warnings"),
    )
}

fn page(root: &Path) -> Result<()> {
    machine::node_modules()?;
    let ui = root.join("ui");
    for script in ["check", "test"] {
        run::succeed(run::command("npm", &ui).args(["run", script]))?;
    }
    Ok(())
}

/// Builds the program that the browser and the checks use.
fn build(root: &Path) -> Result<()> {
    cargo(root, &["build", "--quiet", "--package", "waterkey"])
}

fn browser(root: &Path) -> Result<()> {
    machine::node_modules()?;
    build(root)?;
    // The tests against an invented studio serve the page as it is built.
    run::succeed(run::command("npm", &root.join("ui")).args(["run", "build"]))?;
    run::succeed(
        run::command("npm", &root.join("ui"))
            .args(["run", "e2e"])
            .env("WATERKEY_BIN", run::program()),
    )
}

fn checks(root: &Path) -> Result<()> {
    build(root)?;
    cargo(
        root,
        &[
            "build",
            "--quiet",
            "--package",
            "horn",
            "--example",
            "export_curve",
        ],
    )?;
    let python = machine::python()?;
    let recorded = machine::recorded_brass()?;
    run::succeed(
        run::command(python, &root.join("checks"))
            .args(["-m", "pytest", "-q", "-rs"])
            .env("WATERKEY_BIN", run::program())
            .env("WATERKEY_RECORDED", recorded)
            .env(
                "HORN_EXPORT",
                run::target().join("debug/examples/export_curve"),
            ),
    )
}
