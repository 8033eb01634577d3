//! The `rainworth` command.
fn main() {}
