//! Reads the arguments and hands over.

fn main() {}
