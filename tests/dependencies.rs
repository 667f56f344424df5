//! Whose work is in the program: every package comes from the registry, is looked after, and is under a
//! licence that lets anybody use and change it. What is not for this machine is not asked about.

use std::process::Command;

use serde_json::Value;

/// Licences that ask for no more than to be named, by their SPDX identifiers.
const LICENCES: [&str; 10] = [
    "MIT",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "0BSD",
    "MIT-0",
    "Unicode-3.0",
    "OFL-1.1",
];
/// Packages that nobody looks after any more, by the RustSec advisory database (category
/// "unmaintained"; from memory, without the numbers): those that drawing, fonts, windows, files and
/// commands are likeliest to bring in.
const UNMAINTAINED: [&str; 29] = [
    "adler",
    "ansi_term",
    "async-std",
    "atty",
    "bincode",
    "derivative",
    "dotenv",
    "encoding",
    "failure",
    "fxhash",
    "gdk",
    "gtk",
    "instant",
    "mach",
    "net2",
    "number_prefix",
    "paste",
    "proc-macro-error",
    "rusttype",
    "rustybuzz",
    "serde_cbor",
    "serde_yml",
    "stdweb",
    "tempdir",
    "term",
    "ttf-parser",
    "unic-ucd-ident",
    "wee_alloc",
    "yaml-rust",
];
/// Where packages come from.
const REGISTRY: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// True when the terms can be met with these licences alone. All that is joined by AND must be met, of
/// what is joined by OR one; where both are joined without brackets it may refuse, and never accepts,
/// more than is meant.
fn is_free(terms: &str) -> bool {
    let terms = terms.replace('/', " OR ").replace(['(', ')'], "");
    terms.split(" AND ").all(|term| term.split(" OR ").any(|licence| LICENCES.contains(&licence.trim())))
}

fn host() -> String {
    let told = Command::new("rustc").arg("-vV").output().expect("a compiler").stdout;
    let told = String::from_utf8(told).expect("text");
    told.lines().find_map(|line| line.strip_prefix("host: ")).expect("it names its host").to_owned()
}

#[test]
fn every_package_is_free_looked_after_and_from_the_registry() {
    let told = Command::new(env!("CARGO"))
        .args(["metadata", "--locked", "--offline", "--format-version", "1", "--filter-platform", &host()])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(told.status.success(), "{}", String::from_utf8_lossy(&told.stderr));
    let known: Value = serde_json::from_slice(&told.stdout).expect("JSON");
    let packages = known["packages"].as_array().expect("packages");
    assert!(packages.len() > 100);
    for package in packages {
        let (name, licence) = (&package["name"], package["license"].as_str().unwrap_or("none"));
        assert!(is_free(licence), "{name}: {licence}");
        let source = package["source"].as_str();
        assert!(!UNMAINTAINED.iter().any(|old| name == old), "nobody looks after {name}");
        assert!(source.map_or(name == "elbowroom", |source| source == REGISTRY), "{name}: {source:?}");
    }
}

#[test]
fn terms_are_read() {
    for free in ["MIT", "Apache-2.0/MIT", "GPL-2.0-only OR MIT", "(MIT OR Apache-2.0) AND Unicode-3.0"] {
        assert!(is_free(free), "{free}");
    }
    for other in ["GPL-3.0-only", "MIT AND GPL-2.0-only", "MIT AND (GPL-2.0-only OR MPL-2.0)", "none", ""] {
        assert!(!is_free(other), "{other}");
    }
}
