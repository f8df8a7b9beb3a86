//! The program: command line and web server.
fn main() {}
