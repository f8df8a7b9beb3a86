//! The migrations are part of the program: a new one must build it anew.

#![allow(clippy::print_stdout)] // How a build script speaks to cargo.

fn main() {
    println!("cargo:rerun-if-changed=migrations");
}
